// Keeps the pages a person has read, newest first from the network, so that a shop without signal
// still shows the list. Nothing is changed while offline, and signing out forgets everything.
"use strict";
var KEPT = "pages-1";
var READ = /^\/clients\/[0-9a-f]+\/(today|week|list|cooking|worksheet|checkin|review|days\/.*)$/;
self.addEventListener("install", function (event) {
  event.waitUntil(caches.open(KEPT).then(function (cache) { return cache.add("/offline"); }).then(function () { return self.skipWaiting(); }));
});
self.addEventListener("activate", function (event) { event.waitUntil(self.clients.claim()); });
self.addEventListener("fetch", function (event) {
  var address = new URL(event.request.url);
  if (address.origin !== self.location.origin) { return; }
  if (event.request.method === "POST" && address.pathname === "/sign-out") {
    event.waitUntil(caches.delete(KEPT));
    return;
  }
  if (event.request.method !== "GET") { return; }
  var keeps = READ.test(address.pathname) || address.pathname.indexOf("/static/") === 0;
  var navigates = event.request.mode === "navigate";
  if (!keeps && !navigates) { return; }
  event.respondWith(fetch(event.request).then(function (answer) {
    if (keeps && answer.ok && !answer.redirected) {
      var copy = answer.clone();
      caches.open(KEPT).then(function (cache) { cache.put(event.request, copy); });
    }
    return answer;
  }).catch(function () {
    return caches.match(event.request).then(function (kept) { return kept || (navigates ? caches.match("/offline") : Response.error()); });
  }));
});
