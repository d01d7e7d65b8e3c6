// A tap on the map of the field fills in where the disc came to rest. Without this script the
// same is typed. The drawing's unit is the metre, with the thrower at (0, 0) and y downward.
"use strict";
(() => {
  const METRES = { m: 1, ft: 0.3048 };
  const field = (name) => document.getElementById(name);

  function show(map, x, y) {
    const svg = map.querySelector("svg");
    let mark = svg.querySelector(".tapped");
    if (!mark) {
      mark = document.createElementNS("http://www.w3.org/2000/svg", "circle");
      mark.setAttribute("class", "tapped");
      mark.setAttribute("r", String(svg.viewBox.baseVal.width / 40));
      svg.append(mark);
    }
    mark.setAttribute("cx", String(x));
    mark.setAttribute("cy", String(y));
  }

  document.addEventListener("click", (event) => {
    const map = event.target.closest("[data-field-map]");
    if (!map) return;
    const screen = map.querySelector("svg").getScreenCTM().inverse();
    const at = new DOMPoint(event.clientX, event.clientY).matrixTransform(screen);
    const unit = METRES[map.dataset.fieldMap];
    const out = Math.max(0, Math.round(-at.y / unit));
    const aside = Math.round(Math.abs(at.x) / unit);
    field("distance").value = String(out);
    field("aside").value = String(aside);
    field("side").value = at.x > 0 ? "R" : "L";
    show(map, at.x, Math.min(at.y, 0));
    const way = aside === 0 ? "straight" : `${aside} ${at.x > 0 ? "right" : "left"}`;
    field("tapped").textContent = `Tapped: ${out} ${map.dataset.fieldMap} out, ${way}.`;
  });

  document.addEventListener("input", (event) => {
    const map = document.querySelector("[data-field-map]");
    if (!map || !["distance", "aside", "side"].includes(event.target.id)) return;
    const unit = METRES[map.dataset.fieldMap];
    const out = Number(field("distance").value.replace(",", "."));
    const aside = Number((field("aside").value || "0").replace(",", "."));
    if (Number.isNaN(out + aside)) return;
    show(map, (field("side").value === "R" ? aside : -aside) * unit, -out * unit);
  });
})();
