// Pages work without this: it sends each tick on the shopping list at once.
(function () {
  "use strict";
  var list = document.getElementById("shopping");
  if (list && window.fetch) {
    var path = location.pathname.replace(/list$/, "waiting");
    var key = "ticks " + list.dataset.start + path, saved;
    // What could not be sent yet stays on this device and goes later; what was sent stays until a
    // page newer than it was read.
    try { saved = JSON.parse(localStorage.getItem(key) || "{}"); } catch (_) { saved = {}; }
    var old = document.querySelector("p.kept");
    var keep = function () { try { localStorage.setItem(key, JSON.stringify(saved)); } catch (_) { /* no room */ } };
    var waiting = function () { return Object.keys(saved).filter(function (food) { return !saved[food].sent; }); };
    if (!old) { Object.keys(saved).forEach(function (food) { if (saved[food].sent) { delete saved[food]; } }); keep(); }
    var one = function (food) {
      var said = saved[food], form = new URLSearchParams();
      form.append("guard", list.querySelector("[name=guard]").value);
      form.append("what", "tick"); form.append("date", list.dataset.start);
      form.append("food", food); form.append("state", said.state);
      return fetch(path, { method: "POST", body: form, credentials: "same-origin", redirect: "manual",
        headers: { "Idempotency-Key": said.key } }).then(function (answer) {
          if (answer.ok || answer.status === 422) { said.sent = true; keep(); }
        }, function () {});
    };
    var sending = Promise.resolve();
    var send = function () {
      sending = sending.then(function () {
        return waiting().reduce(function (before, food) { return before.then(function () { return one(food); }); }, Promise.resolve());
      });
      return sending;
    };
    list.querySelectorAll("input[name=bought]").forEach(function (box) {
      if (saved[box.value]) { box.checked = saved[box.value].state === "bought"; }
      box.addEventListener("change", function () {
        saved[box.value] = { state: box.checked ? "bought" : "open", key: "tick-" + Date.now() + "-" + Math.random(), sent: false }; keep(); send();
      });
    });
    list.querySelector(".keep").hidden = true;
    if (waiting().length) { send(); }
    window.addEventListener("online", send);
    document.addEventListener("visibilitychange", function () {
      // Back from the pocket: what others ticked meanwhile.
      if (document.visibilityState === "visible" && navigator.onLine) { send().then(function () { if (!waiting().length) { location.reload(); } }); }
    });
  }
  document.querySelectorAll("[data-copy]").forEach(function (button) {
    var field = document.getElementById(button.dataset.copy);
    button.hidden = false;
    button.addEventListener("click", function () {
      field.select();
      var done = function () { button.textContent = "Copied"; };
      if (navigator.clipboard) { navigator.clipboard.writeText(field.value).then(done, function () {}); }
      else if (document.execCommand("copy")) { done(); }
    });
  });
  document.querySelectorAll("input[type=password]").forEach(function (field) {
    var show = document.createElement("button");
    show.type = "button";
    show.textContent = "Show";
    show.setAttribute("aria-pressed", "false");
    show.setAttribute("aria-controls", field.id);
    show.addEventListener("click", function () {
      var hidden = field.type === "password";
      field.type = hidden ? "text" : "password";
      show.setAttribute("aria-pressed", String(hidden));
    });
    field.after(show);
    if (field.autocomplete !== "new-password") { return; }
    // Letters count as far as they differ; words that guessers try first the service refuses.
    var meter = document.createElement("meter");
    meter.min = 0; meter.max = 24; meter.low = 12; meter.high = 18; meter.optimum = 24;
    meter.value = 0;
    meter.setAttribute("aria-label", "How hard it is to guess");
    field.addEventListener("input", function () {
      var text = field.value;
      meter.value = Math.min(text.length, 2 * new Set(text).size, 24);
      meter.textContent = meter.value < 12 ? "easy" : meter.value < 18 ? "harder" : "hard";
    });
    show.after(meter);
  });
  if ("serviceWorker" in navigator && window.isSecureContext) {
    navigator.serviceWorker.register("/service-worker.js");
  }
})();
