// What is logged without signal: kept on this device in order, through closing and reopening, and
// sent once each when there is signal. Only where the holder asked for a copy of the pages. Pages
// work without this.
(function () {
  "use strict";
  var keeping = document.getElementById("keeping");
  var whose = /^\/clients\/([0-9a-f]+)\//.exec(location.pathname);
  if (!keeping || !keeping.dataset.kept || !whose || !window.indexedDB || !window.fetch) { return; }
  var client = whose[1], guard = keeping.dataset.kept, main = document.getElementById("content");
  var box = document.createElement("section");
  box.className = "waiting screen"; box.id = "waiting"; box.hidden = true; box.setAttribute("aria-label", "Not sent yet");
  main.insertBefore(box, main.firstChild);

  var opened = new Promise(function (done, failed) {
    var asked = indexedDB.open("waiting", 1);
    asked.onupgradeneeded = function () { asked.result.createObjectStore("entries", { keyPath: "n", autoIncrement: true }); };
    asked.onsuccess = function () { done(asked.result); };
    asked.onerror = function () { failed(asked.error); };
  });
  function stored(mode, work) {
    return opened.then(function (db) {
      return new Promise(function (done, failed) {
        var change = db.transaction("entries", mode), answer = work(change.objectStore("entries"));
        change.oncomplete = function () { done(answer && answer.result); };
        change.onabort = change.onerror = function () { failed(change.error); };
      });
    });
  }
  function all() { return stored("readonly", function (store) { return store.getAll(); }); }
  function let_go(n) { return stored("readwrite", function (store) { return store.delete(n); }); }

  function line(entry) {
    var item = document.createElement("li"), words = document.createElement("span");
    words.textContent = entry.at + ": " + entry.words + (entry.why ? ". Not taken: " + entry.why : "");
    item.appendChild(words);
    if (entry.why) {
      item.className = "attention";
      var button = document.createElement("button");
      button.type = "button"; button.className = "plain"; button.textContent = "Let it go";
      button.addEventListener("click", function () { let_go(entry.n).then(show); });
      item.appendChild(button);
    }
    return item;
  }
  function show(said) {
    return all().then(function (found) {
      // Another client's entries on this device are neither shown nor sent: they go.
      var mine = found.filter(function (entry) { return entry.client === client; });
      found.forEach(function (entry) { if (entry.client !== client) { let_go(entry.n); } });
      box.textContent = ""; box.hidden = !mine.length && typeof said !== "string";
      var head = document.createElement("p");
      head.setAttribute("role", "status");
      head.textContent = typeof said === "string" && !mine.length ? said : mine.length === 1 ? "1 entry waits on this device for signal." : mine.length + " entries wait on this device for signal.";
      box.appendChild(head);
      var list = document.createElement("ul");
      mine.forEach(function (entry) { list.appendChild(line(entry)); });
      if (mine.length) { box.appendChild(list); }
      return mine;
    });
  }

  function body(fields) {
    var form = new URLSearchParams();
    form.append("guard", guard);
    Object.keys(fields).forEach(function (name) { form.append(name, fields[name]); });
    return form;
  }
  // True when it is done with, whether taken or not; false when it has to wait on.
  function send(entry) {
    return fetch("/clients/" + client + "/waiting", {
      method: "POST", body: body(entry.fields), credentials: "same-origin", redirect: "manual",
      headers: { "Idempotency-Key": entry.key }
    }).then(function (answer) {
      if (answer.ok) { return let_go(entry.n).then(function () { return true; }); }
      if (answer.status !== 422) { return false; }
      return answer.json().then(function (told) {
        entry.why = told.why;
        return stored("readwrite", function (store) { return store.put(entry); });
      }).then(function () { return true; }, function () { return false; });
    }, function () { return false; });
  }
  function inOrder() {
    return all().then(function (found) {
      var next = found.filter(function (entry) { return entry.client === client && !entry.why; })[0];
      if (!next) { return 0; }
      return send(next).then(function (done) {
        return done ? inOrder().then(function (more) { return more + 1; }) : 0;
      });
    });
  }
  function sendAll() {
    var work = function () { return inOrder(); };
    var once = navigator.locks ? navigator.locks.request("waiting", work) : work();
    return once.then(function (sent) {
      if (!sent) { return show(); }
      return all().then(function (left) {
        sessionStorage.setItem("sent", sent === 1 ? "Sent." : sent + " entries sent.");
        if (left.length) { return show(); }
        location.reload();
        return left;
      });
    });
  }

  function wordsOf(form, pressed) {
    var typed = form.querySelector("input:not([type=hidden]):not([type=checkbox])");
    var unit = form.querySelector("input[name=unit]");
    if (form.dataset.wait === "weigh-in") { return "on the scale " + typed.value + " " + unit.value; }
    if (form.dataset.wait === "something else") { return "eaten at " + form.dataset.about + ": " + typed.value; }
    return (pressed || form.querySelector("button")).textContent.trim();
  }
  function keep(form, pressed) {
    var fields = { what: form.dataset.wait };
    new FormData(form).forEach(function (value, name) { if (name !== "guard" && name !== "back") { fields[name] = value; } });
    ["date", "slot"].forEach(function (name) { if (form.dataset[name]) { fields[name] = form.dataset[name]; } });
    var now = new Date();
    var entry = {
      client: client, key: crypto.randomUUID(), fields: fields, words: wordsOf(form, pressed),
      at: String(now.getHours()).padStart(2, "0") + ":" + String(now.getMinutes()).padStart(2, "0")
    };
    return stored("readwrite", function (store) { return store.add(entry); });
  }
  function reachable() {
    if (!navigator.onLine) { return Promise.resolve(false); }
    var stop = new AbortController(), late = setTimeout(function () { stop.abort(); }, 4000);
    return fetch("/health", { cache: "no-store", signal: stop.signal }).then(function (answer) { return answer.ok; }, function () { return false; }).then(function (there) { clearTimeout(late); return there; });
  }
  document.addEventListener("submit", function (event) {
    var form = event.target;
    if (!form.dataset || !form.dataset.wait) { return; }
    event.preventDefault();
    reachable().then(function (there) {
      // A sentence is read back at once where there is signal; all else goes by the queue, so that
      // an answer that gets lost on its way does not log twice.
      if (there && form.dataset.wait === "something else") { form.submit(); return undefined; }
      return keep(form, event.submitter).then(function () {
        form.reset();
        return there ? sendAll() : show().then(function () { box.scrollIntoView({ block: "nearest" }); });
      });
    });
  });
  window.addEventListener("online", sendAll);
  var said = sessionStorage.getItem("sent");
  sessionStorage.removeItem("sent");
  show(said || undefined).then(function (mine) { if (mine.length) { return sendAll(); } return undefined; });

  if (navigator.serviceWorker && navigator.onLine && location.pathname.slice(-6) === "/today") {
    navigator.serviceWorker.ready.then(function (worker) {
      var root = "/clients/" + client + "/", later = Array.prototype.map.call(document.querySelectorAll("main a[href*='/days/']"), function (link) { return link.getAttribute("href").split("#")[0]; });
      var wanted = ["week", "list", "cooking", "tastes"].map(function (name) { return root + name; });
      later.forEach(function (address) { if (wanted.indexOf(address) < 0 && address.indexOf("/others") < 0) { wanted.push(address); } });
      if (worker.active) { worker.active.postMessage({ ahead: wanted }); }
    });
  }
})();
