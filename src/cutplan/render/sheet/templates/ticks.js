(function () {
  "use strict";
  var boxes = Array.prototype.slice.call(document.querySelectorAll(".ticks input"));
  var bar = document.getElementById("next"), told = document.getElementById("kept");
  var key = "cutplan " + document.documentElement.getAttribute("data-sheet"), kept = [];
  function keep() {
    try { localStorage.setItem(key, JSON.stringify(kept)); return true; } catch (refused) { return false; }
  }
  try { kept = JSON.parse(localStorage.getItem(key)) || []; } catch (refused) { kept = []; }
  if (keep() && told) { told.textContent = "Ticks are kept on this phone, for this plan."; }
  function show() {
    var left = boxes.filter(function (box) { return !box.checked && box.closest(".step"); })[0];
    if (!bar) { return; }
    bar.hidden = false;
    bar.firstElementChild.textContent = left ? "Next: " + left.getAttribute("data-says") : "Every step is ticked.";
    bar.firstElementChild.href = left ? "#" + left.id : "#top";
  }
  boxes.forEach(function (box) {
    box.checked = kept.indexOf(box.id) >= 0;
    box.addEventListener("change", function () {
      kept = boxes.filter(function (each) { return each.checked; }).map(function (each) { return each.id; });
      keep();
      show();
    });
  });
  show();
})();
