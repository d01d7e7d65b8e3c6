// The map: throws drawn over the ground for the wind that is set, and taps on it.

const PAINTS = [["accent", null], ["two", "7 4"], ["one", "2 4"]];
const stroke = (paint, width, dashes = null, fillPaint = null) => ({
  class: `s-${paint}${fillPaint ? ` f-${fillPaint}` : ""}`, fill: fillPaint ? null : "none",
  "stroke-width": width, "stroke-dasharray": dashes, "vector-effect": "non-scaling-stroke",
  "stroke-linejoin": "round", "stroke-linecap": "round",
});
const pathOf = (lie, one) => {
  const way = [one.end[0] - lie[0], one.end[1] - lie[1]];
  const length = Math.hypot(...way) || 1;
  const left = [-way[1] / length, way[0] / length];
  const inner = one.bends.map((bend, n) => {
    const share = 0.2 * (n + 1);
    return [lie[0] + share * way[0] + bend * left[0], lie[1] + share * way[1] + bend * left[1]];
  });
  return [lie, ...inner, one.end];
};
const landing = (place, [x, y], px) => {
  const [paint] = PAINTS[place];
  if (place === 2) {
    const arm = 2.6 * px;
    const d = `M${-y - arm},${-x - arm}L${-y + arm},${-x + arm}M${-y - arm},${-x + arm}L${-y + arm},${-x - arm}`;
    return drawn("path", { d, ...stroke(paint, 1.4) });
  }
  const radius = (place === 0 ? 2.2 : 2.8) * px;
  const look = place === 0 ? { class: `f-${paint}` } : stroke(paint, 1.4);
  return drawn("circle", { cx: -y, cy: -x, r: radius, ...look });
};
const badge = (place, one, [px, right]) => {
  const off = (one.leftHalf + 12 * px) * (place % 2 ? 1 : -1), most = right - 12 * px;
  const x = Math.min(Math.max(-one.centre[1] + off, -most), most), y = -one.centre[0];
  const [endX, endY] = one.end;
  return [
    drawn("polyline", { points: `${x},${y} ${-endY},${-endX}`, ...stroke(PAINTS[place][0], 0.9) }),
    drawn("circle", { cx: x, cy: y, r: 9 * px, ...stroke(PAINTS[place][0], 1.8, null, "paper") }),
    drawn("text", {
      x, y: y + 4.5 * px, "text-anchor": "middle", "font-size": 13 * px, "font-weight": 700,
      class: "f-ink",
    }, String(place + 1)),
  ];
};
const spot = ([x, y], words, px) => [
  drawn("circle", { cx: -y, cy: -x, r: 5 * px, ...stroke("paper", 2, null, "ink") }),
  drawn("text", {
    x: -y + 9 * px, y: -x + 4 * px, "font-size": 13 * px, "font-weight": 700,
    class: "f-ink s-paper", "stroke-width": 3.5 * px, "paint-order": "stroke",
    "stroke-linejoin": "round",
  }, words),
];
const arrow = (hole, [px, right, top]) => {
  if (data.winds[state.wind][0] === 0) return [];
  const length = 34 * px, head = 11 * px;
  const d = `M0,${-length / 2}V${length / 2}M${-head / 2},${length / 2 - head}L0,${length / 2}L${head / 2},${length / 2 - head}`;
  const place = `translate(${right - 24 * px} ${-(top - 24 * px)}) rotate(${seenFrom(hole)})`;
  return [drawn("path", { d, transform: place, ...stroke("ink", 3.2) })];
};
const drawMap = (section, hole, lie, throws) => {
  const group = section.querySelector("g.throws");
  const [px] = hole.map;
  const parts = arrow(hole, hole.map);
  throws.map((one, place) => [one, place]).reverse().forEach(([one, place]) => {
    const points = pathOf(lie, one).map(([x, y]) => `${-y},${-x}`).join(" ");
    parts.push(drawn("polyline", { points, ...stroke(PAINTS[place][0], 2.6, PAINTS[place][1]) }));
    parts.push(...one.dots.map((dot) => landing(place, dot, px)));
  });
  throws.forEach((one, place) => parts.push(...badge(place, one, hole.map)));
  if (state.lie !== ON_TEE) parts.push(...spot(state.lie, "you", px));
  group.replaceChildren(...parts);
  const told = throws.map((one, n) =>
    `Choice ${n + 1}: ${data.discs[one.disc][1]}, ${lineWords(one)}; ${landingWords(one)}.`);
  section.querySelector("svg desc").textContent =
    `Seen from above, ${distance(hole.length)} from tee to basket. You are at ` +
    `${placeWords(state.lie)}. Wind: ${windWords(hole)}. ${told.join(" ")}`;
};
const tapped = (event) => {
  const svg = event.currentTarget;
  const at = new DOMPoint(event.clientX, event.clientY).matrixTransform(svg.getScreenCTM().inverse());
  const [, right, top] = holes[state.hole].map;
  if (-at.y > top || Math.abs(at.x) > right) return;
  place([-at.y, -at.x].map((value) => Math.round(10 * value) / 10));
};
/** Take a place that was tapped or typed: where the disc came to rest, or where you lie. */
const place = (at) => {
  if (state.thrown) {
    keepThrow(at);
    return;
  }
  state.lie = at;
  say("");
  render();
  sections[state.hole].querySelector(".where").scrollIntoView();
};
