// Pages work without this: it keeps ticks on the shopping list and pages for reading without signal.
(function () {
  "use strict";
  var list = document.getElementById("shopping");
  if (list && window.localStorage) {
    var key = "ticked " + list.dataset.list;
    var ticked = JSON.parse(localStorage.getItem(key) || "[]");
    list.querySelectorAll("input").forEach(function (box) {
      box.checked = ticked.indexOf(box.dataset.food) >= 0;
      box.addEventListener("change", function () {
        ticked = ticked.filter(function (food) { return food !== box.dataset.food; });
        if (box.checked) { ticked.push(box.dataset.food); }
        localStorage.setItem(key, JSON.stringify(ticked));
      });
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
