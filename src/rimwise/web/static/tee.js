// A tap on the map of a hole fills in where you lie. Without this script the same is typed. The
// map's unit is the metre, with the tee at (0, 0), the basket straight up and y downward.
"use strict";
(() => {
  const METRES = { m: 1, ft: 0.3048 };

  function mark(plan, at) {
    for (const old of document.querySelectorAll(".tapped")) old.remove();
    const ring = document.createElementNS("http://www.w3.org/2000/svg", "circle");
    ring.setAttribute("class", "tapped");
    ring.setAttribute("r", String(plan.viewBox.baseVal.width / 40));
    ring.setAttribute("cx", String(at.x));
    ring.setAttribute("cy", String(at.y));
    plan.append(ring);
  }

  document.addEventListener("click", (event) => {
    const map = event.target.closest("[data-lie-map]");
    const plan = map && map.querySelector("svg svg"); // from above; the side view is the second
    const lie = document.getElementById("lie");
    if (!plan || !lie) return;
    const inside = plan.querySelector(":scope > polyline").getScreenCTM().inverse();
    const at = new DOMPoint(event.clientX, event.clientY).matrixTransform(inside);
    const unit = map.dataset.lieMap;
    const along = Math.round(-at.y / METRES[unit]);
    const aside = Math.round(Math.abs(at.x) / METRES[unit]);
    const { x, y, width, height } = plan.viewBox.baseVal;
    const within = at.x > x && at.x < x + width && at.y > y && at.y < y + height;
    if (!within || along < 0) return; // below the tee the scale and the key stand
    lie.value = `${along}${unit} ${aside}${at.x > 0 ? "R" : "L"}`;
    mark(plan, at);
    document.getElementById("tapped").textContent = `Your lie: ${lie.value}. Now ask again.`;
  });
})();
