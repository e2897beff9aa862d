// At the stove: one step at a time in big type, next by a tap anywhere, timers that ring, the screen kept
// awake. Without this the page is a plain numbered list.
(function () {
  "use strict";
  var list = document.getElementById("stove");
  var start = document.getElementById("single");
  var bar = document.getElementById("stovebar");
  var place = document.getElementById("place");
  var rings = document.getElementById("rings");
  var steps = list ? Array.prototype.slice.call(list.children) : [];
  var at = 0;
  var lock = null;
  var sound = null;
  if (!list || !list.querySelector(".do")) { return; }
  start.hidden = false;

  function awake() {
    if ("wakeLock" in navigator && document.visibilityState === "visible") {
      navigator.wakeLock.request("screen").then(function (held) { lock = held; }, function () { lock = null; });
    }
  }
  function show(number) {
    at = Math.max(0, Math.min(steps.length - 1, number));
    steps.forEach(function (step, other) { step.classList.toggle("now", other === at); });
    place.textContent = "Step " + (at + 1) + " of " + steps.length;
    steps[at].focus({ preventScroll: true });
    window.scrollTo(0, 0);
  }
  function open() {
    document.body.classList.add("single");
    bar.hidden = false;
    sound = sound || (window.AudioContext ? new AudioContext() : null);
    awake();
    show(at);
  }
  function close() {
    document.body.classList.remove("single");
    bar.hidden = true;
    if (lock) { lock.release(); lock = null; }
    steps[at].scrollIntoView();
  }
  function ring(button, words) {
    button.classList.add("rings");
    button.textContent = "Time is up";
    rings.textContent = "Time is up: " + words;
    if (navigator.vibrate) { navigator.vibrate([400, 200, 400, 200, 400]); }
    if (sound) {
      [0, 0.5, 1, 1.5, 2].forEach(function (after) {
        var tone = sound.createOscillator();
        var loud = sound.createGain();
        tone.frequency.value = 880;
        loud.gain.value = 0.25;
        tone.connect(loud);
        loud.connect(sound.destination);
        tone.start(sound.currentTime + after);
        tone.stop(sound.currentTime + after + 0.25);
      });
    }
  }
  function time(button) {
    var ends = Date.now() + Number(button.dataset.minutes) * 60000;
    var words = button.closest("li").querySelector(".do").textContent;
    sound = sound || (window.AudioContext ? new AudioContext() : null);
    if (button.dataset.ticking) { return; }
    button.dataset.ticking = "yes";
    var tick = setInterval(function () {
      var left = Math.ceil((ends - Date.now()) / 1000);
      if (left <= 0) { clearInterval(tick); delete button.dataset.ticking; ring(button, words); return; }
      button.textContent = Math.floor(left / 60) + ":" + String(left % 60).padStart(2, "0") + " left";
    }, 250);
  }

  Array.prototype.forEach.call(list.querySelectorAll(".timer"), function (button) {
    button.hidden = false;
    button.addEventListener("click", function () { time(button); });
  });
  start.querySelector("button").addEventListener("click", function (event) { event.stopPropagation(); open(); });
  document.addEventListener("click", function (event) {
    if (!document.body.classList.contains("single")) { return; }
    var button = event.target.closest("button, a, summary");
    if (!button) { show(at + 1); return; }
    if (button.dataset.go === "back") { show(at - 1); }
    if (button.dataset.go === "all") { close(); }
  });
  document.addEventListener("keydown", function (event) {
    if (!document.body.classList.contains("single") || event.target.closest("button, a, summary")) { return; }
    if (event.key === "ArrowRight" || event.key === " " || event.key === "Enter") { event.preventDefault(); show(at + 1); }
    if (event.key === "ArrowLeft") { show(at - 1); }
    if (event.key === "Escape") { close(); }
  });
  document.addEventListener("visibilitychange", function () {
    if (document.body.classList.contains("single")) { awake(); }
  });
})();
