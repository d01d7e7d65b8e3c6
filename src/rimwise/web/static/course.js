// A tap on the map of a hole adds a corner to what is being drawn. Without this script the same is
// typed. The map's unit is the metre, with the tee at (0, 0), the basket straight up, y downward.
"use strict";
(() => {
  const METRES = { m: 1, ft: 0.3048 };
  const ONE_PLACE = ["mandatory", "drop zone"];
  const CORNER = /^\s*([+-]?\d+(?:[.,]\d+)?)(?:[\s,;]+(\d+(?:[.,]\d+)?)\s*([lr])[a-z]*)?\s*$/i;
  const map = () => document.querySelector("[data-course-map]");
  const field = (name) => document.getElementById(name);
  const value = (text) => Number(text.replace(",", "."));
  const lines = () => field("corners").value.split("\n").filter((line) => line.trim());

  function places(unit) {
    return lines().flatMap((line) => {
      const said = CORNER.exec(line);
      if (!said) return [];
      const aside = said[2] ? value(said[2]) * (said[3].toLowerCase() === "r" ? 1 : -1) : 0;
      return [[aside * unit, -value(said[1]) * unit]];
    });
  }

  function add(svg, name, attributes) {
    const drawn = document.createElementNS("http://www.w3.org/2000/svg", name);
    drawn.setAttribute("class", "tapped");
    for (const [key, said] of Object.entries(attributes)) drawn.setAttribute(key, said);
    svg.append(drawn);
  }

  function show() {
    const svg = map().querySelector("svg");
    for (const old of svg.querySelectorAll(".tapped")) old.remove();
    const found = places(METRES[map().dataset.courseMap]);
    if (found.length > 1) add(svg, "polygon", { points: found.join(" ") });
    for (const [cx, cy] of found) add(svg, "circle", { cx, cy, r: svg.viewBox.baseVal.width / 60 });
    const back = field("back");
    if (back) back.hidden = found.length === 0;
  }

  function write(all) {
    field("corners").value = all.join("\n");
    show();
    const last = all.at(-1);
    field("tapped").textContent = last
      ? `${all.length === 1 ? "1 corner" : `${all.length} corners`}, the last at ${last}.`
      : "No corner yet.";
  }

  document.addEventListener("click", (event) => {
    if (!map() || !field("corners")) return;
    if (event.target.id === "back") return write(lines().slice(0, -1));
    if (!map().contains(event.target)) return;
    const svg = map().querySelector("svg");
    const at = new DOMPoint(event.clientX, event.clientY).matrixTransform(svg.getScreenCTM().inverse());
    const unit = METRES[map().dataset.courseMap];
    const aside = Math.round(Math.abs(at.x) / unit);
    const tapped = `${Math.round(-at.y / unit)} ${aside}${at.x > 0 ? "R" : "L"}`;
    write(ONE_PLACE.includes(field("kind").value) ? [tapped] : [...lines(), tapped]);
  });

  document.addEventListener("input", (event) => {
    if (map() && event.target.id === "corners") show();
  });
  const start = () => map() && field("corners") && show();
  document.addEventListener("DOMContentLoaded", start);
  document.addEventListener("htmx:load", start);
})();
