// Step boxes that can be ticked on a screen and stay ticked; the page is whole without them.
(function () {
  "use strict";
  var foot = document.querySelector(".gg-foot");
  var store;
  try { store = window.localStorage; } catch (refused) { return; }
  if (!foot || !store) { return; }
  document.querySelectorAll(".gg-step[id] .gg-tick:not(label)").forEach(function (box, place) {
    var step = box.closest(".gg-step");
    // The identity is part of the key: ticks of an older issue never stand for this one.
    var key = "guide " + foot.textContent + " " + step.id + " " + place;
    var label = document.createElement("label");
    var input = document.createElement("input");
    input.type = "checkbox";
    input.setAttribute("aria-label", "Done: " + step.id.replace(/-/g, " "));
    input.checked = store.getItem(key) === "done";
    step.classList.toggle("gg-done", input.checked);
    input.addEventListener("change", function () {
      if (input.checked) { store.setItem(key, "done"); } else { store.removeItem(key); }
      step.classList.toggle("gg-done", input.checked);
    });
    label.className = "gg-tick";
    label.appendChild(input);
    box.replaceWith(label);
  });
}());
