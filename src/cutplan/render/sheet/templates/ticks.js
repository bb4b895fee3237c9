(function () {
  "use strict";
  var boxes = Array.prototype.slice.call(document.querySelectorAll(".ticks input"));
  var bar = document.getElementById("next"), told = document.getElementById("kept");
  var key = "cutplan " + document.documentElement.getAttribute("data-sheet"), kept = [];
  function keep() {
    try { localStorage.setItem(key, JSON.stringify(kept)); return true; } catch (refused) { return false; }
  }
  boxes.sort(function (one, other) { return (one.dataset.number || 0) - (other.dataset.number || 0); });
  try {
    var page = document.documentElement.dataset, newest = "cutplan job " + page.job;
    if ((localStorage.getItem(newest) || "") > page.made) { document.getElementById("outdated").hidden = false; }
    else if (page.made) { localStorage.setItem(newest, page.made); }
  } catch (refused) { /* nothing is known of other sheets */ }
  document.documentElement.classList.add("scripted");
  try { kept = JSON.parse(localStorage.getItem(key)) || []; } catch (refused) { kept = []; }
  if (keep() && told) { told.textContent = "Ticks are kept on this phone, for this plan."; }
  function show() {
    var left = boxes.filter(function (box) { return !box.checked && box.closest(".step"); })[0];
    boxes.forEach(function (box) { box.closest("li").classList.toggle("next", box === left); });
    if (!bar) { return; }
    bar.hidden = false;
    bar.firstElementChild.textContent = left ? "Next: " + left.getAttribute("data-says") : "Every step is ticked.";
    bar.firstElementChild.href = left ? "#" + left.id : "#top";
  }
  boxes.forEach(function (box) {
    box.checked = kept.indexOf(box.id) >= 0 || box.hasAttribute("data-done");
    box.addEventListener("change", function () {
      kept = boxes.filter(function (each) { return each.checked; }).map(function (each) { return each.id; });
      keep();
      show();
    });
  });
  show();
})();
