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
  if ("serviceWorker" in navigator && window.isSecureContext) {
    navigator.serviceWorker.register("/service-worker.js");
  }
})();
