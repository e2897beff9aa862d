// Keeps the pages a person has read, newest first from the network, so that a shop without signal
// still shows the list: only when a page's header names a copy it may join, which its holder asked
// for. Every other copy goes at the next answer, and one that has ended is not read. What is
// logged without signal waits in waiting.js; nothing is changed here.
"use strict";
var SHELL = "shell-2";
var READ = /^\/clients\/[0-9a-f]+\/(today|week|list|cooking|tastes|worksheet|checkin|review|days\/.*)$/;
function only(names) {
  return caches.keys().then(function (found) {
    return Promise.all(found.filter(function (name) { return names.indexOf(name) < 0; }).map(function (name) { return caches.delete(name); }));
  });
}
function stamped(answer, until) {
  return answer.blob().then(function (body) {
    var headers = new Headers(answer.headers);
    headers.set("Kept-On", String(Date.now()));
    headers.set("Kept-Until", until);
    return new Response(body, { status: answer.status, headers: headers });
  });
}
function said(kept) {
  return kept.text().then(function (text) {
    var on = new Date(Number(kept.headers.get("Kept-On"))), now = new Date();
    var clock = String(on.getHours()).padStart(2, "0") + ":" + String(on.getMinutes()).padStart(2, "0");
    var day = on.toDateString() === now.toDateString() ? "" : " on " + on.toLocaleDateString(undefined, { weekday: "long", day: "numeric", month: "long" });
    var note = "<p class=\"kept\" role=\"status\">No signal: this page is as of " + clock + day + ".</p>";
    return new Response(text.replace("<main id=\"content\">", "<main id=\"content\">" + note), { headers: { "Content-Type": "text/html; charset=utf-8" } });
  });
}
function fromCopy(request) {
  return caches.match(request).then(function (kept) {
    if (!kept) { return undefined; }
    var until = Number(kept.headers.get("Kept-Until") || 0);
    if (!until) { return kept; }
    if (Date.now() > until) { return only([SHELL]).then(function () { return undefined; }); }
    return said(kept);
  });
}
function ahead(address) {
  return fetch(address, { credentials: "same-origin" }).then(function (answer) {
    var holder = answer.headers.get("Kept-For");
    if (!holder || !answer.ok || answer.redirected) { return undefined; }
    return stamped(answer, answer.headers.get("Kept-Until")).then(function (page) {
      return caches.open("kept-" + holder).then(function (cache) { return cache.put(address, page); });
    });
  }).catch(function () { return undefined; });
}
self.addEventListener("message", function (event) {
  if (!event.data || !Array.isArray(event.data.ahead)) { return; }
  event.waitUntil(event.data.ahead.filter(function (address) { return READ.test(new URL(address, self.location.origin).pathname); }).slice(0, 12).reduce(function (before, address) {
    return before.then(function () { return ahead(new URL(address, self.location.origin).href); });
  }, Promise.resolve()));
});
self.addEventListener("install", function (event) {
  event.waitUntil(caches.open(SHELL).then(function (cache) { return cache.add("/offline"); }).then(function () { return self.skipWaiting(); }));
});
self.addEventListener("activate", function (event) {
  event.waitUntil(caches.keys().then(function (found) {
    return only(found.filter(function (name) { return name === SHELL || name.indexOf("kept-") === 0; }));
  }).then(function () { return self.clients.claim(); }));
});
self.addEventListener("fetch", function (event) {
  var address = new URL(event.request.url);
  if (address.origin !== self.location.origin || event.request.method !== "GET") { return; }
  var shell = address.pathname.indexOf("/static/") === 0;
  var navigates = event.request.mode === "navigate";
  if (!shell && !navigates) { return; }
  event.respondWith(fetch(event.request).then(function (answer) {
    if (shell && answer.ok) {
      var file = answer.clone();
      event.waitUntil(caches.open(SHELL).then(function (cache) { return cache.put(event.request, file); }));
    }
    // A redirect is followed by the browser, whose next request tells; a fault tells nothing.
    if (!navigates || answer.type === "opaqueredirect" || answer.status >= 500) { return answer; }
    var holder = answer.headers.get("Kept-For");
    if (!holder) { return only([SHELL]).then(function () { return answer; }); }
    var name = "kept-" + holder;
    var copy = READ.test(address.pathname) && answer.ok && !answer.redirected ? answer.clone() : null;
    return only([SHELL, name]).then(function () {
      if (!copy) { return answer; }
      return stamped(copy, answer.headers.get("Kept-Until")).then(function (page) {
        return caches.open(name).then(function (cache) { return cache.put(event.request, page); });
      }).then(function () { return answer; });
    });
  }).catch(function () {
    return fromCopy(event.request).then(function (kept) { return kept || (navigates ? caches.match("/offline") : Response.error()); });
  }));
});
