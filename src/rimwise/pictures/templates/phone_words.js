// The first of the parts that stand in one function, in the file for the phone: what is on hand,
// numbers, packed answers and throws in words.

const data = JSON.parse(document.getElementById("data").textContent);
const holes = data.holes;
const sections = holes.map((_, n) => document.getElementById(`hole-${n + 1}`));
const LOG = "rimwise-phone-log", AT = "rimwise-phone-at", SUN = "rimwise-phone-sun";
const ON_TEE = [0, 0];
const state = {
  hole: 0, wind: data.expected, lie: ON_TEE, thrown: null, log: [], kept: true, said: "",
  undo: null, played: false, counts: {},
};

// -- elements ---------------------------------------------------------------------------------

const fill = (node, attributes, children) => {
  for (const [name, value] of Object.entries(attributes || {})) {
    if (name.startsWith("on")) node.addEventListener(name.slice(2), value);
    else if (value === true) node.setAttribute(name, "");
    else if (value !== false && value !== null) node.setAttribute(name, value);
  }
  node.append(...children.filter((child) => child !== null && child !== ""));
  return node;
};
const el = (tag, attributes, ...children) =>
  fill(document.createElement(tag), attributes, children);
const drawn = (tag, attributes, ...children) =>
  fill(document.createElementNS("http://www.w3.org/2000/svg", tag), attributes, children);
const button = (words, act, main = false) =>
  el("button", { type: "button", class: main ? "main" : null, onclick: act }, words);
const field = (words, input) => {
  input.id = input.id || `f${Math.random().toString(36).slice(2)}`;
  return el("div", {}, el("label", { for: input.id }, words), input);
};
const choice = (options, chosen, act) => {
  const select = el("select", { onchange: () => act(Number(select.value)) },
    ...options.map((words, n) => el("option", { value: n }, words)));
  select.value = String(chosen);
  return select;
};
const amount = (value) => el("input", { inputmode: "decimal", autocomplete: "off", value });

// -- numbers and units as people say them -------------------------------------------------------

const FOOT = 0.3048;
const number = (value, decimals = 0) => {
  let text = value.toFixed(decimals);
  if (decimals === 0 && Math.abs(value % 1) === 0.5) text = String(2 * Math.round(value / 2));
  if (!text.startsWith("-")) return text;
  return Number(text) === 0 ? text.slice(1) : `−${text.slice(1)}`;
};
const shown = (metres) => (data.units === "m" ? metres : metres / FOOT);
const metres = (text) => {
  const value = Number(String(text).trim().replace(",", "."));
  return String(text).trim() === "" || !Number.isFinite(value) ? null
    : data.units === "m" ? value : value * FOOT;
};
const distance = (value) => `${number(shown(value))} ${data.units}`;
const sideways = (left) => {
  const size = number(Math.abs(shown(left)));
  return size === "0" ? "straight" : `${size} ${data.units} ${left > 0 ? "left" : "right"}`;
};
const strokes = (value, error) => `${number(value, 2)} strokes, give or take ${number(error, 2)}`;
const of = (share) => (share === 0 ? "none" : share < 0.005 ? "fewer than 1" : number(share * 100));
const joined = (parts) =>
  parts.length < 2 ? parts.join("") : `${parts.slice(0, -1).join(", ")} and ${parts.at(-1)}`;
const capital = (text) => text.charAt(0).toUpperCase() + text.slice(1);
const degrees = (angle) => (angle * 180) / Math.PI;

// -- packed answers -------------------------------------------------------------------------------

const unpacked = (hole) => {
  if (hole.read) return hole.read;
  const bytes = Uint8Array.from(atob(hole.answers), (letter) => letter.charCodeAt(0));
  const view = new DataView(bytes.buffer);
  let at = 0;
  const byte = () => view.getUint8(at++);
  const signed = () => view.getInt8(at++);
  const short = () => { at += 2; return view.getInt16(at - 2, true); };
  const place = () => [short() / 10, short() / 10];
  const chance = () => byte() / 250;
  const thrown = () => {
    const one = { disc: byte(), base: byte(), effort: byte() / 100, rise: byte() / 5 };
    one.turn = short() / 10000;
    one.end = place();
    one.bends = [signed() / 4, signed() / 4, signed() / 4, signed() / 4];
    one.centre = place();
    one.short = short() / 10;
    one.shortHalf = byte() / 4;
    one.left = short() / 10;
    one.leftHalf = byte() / 4;
    [one.putt, one.penalty, one.water, one.trees, one.gone] =
      [chance(), chance(), chance(), chance(), chance()];
    at += 2;
    one.strokes = view.getUint16(at - 2, true) / 100;
    one.error = byte() / 100;
    const better = short();
    const error = byte() / 100;
    one.better = better === -32768 ? null : better / 100;
    one.betterError = error;
    one.dots = Array.from({ length: byte() }, () =>
      [one.centre[0] + signed() / 2, one.centre[1] + signed() / 2]);
    return one;
  };
  const answer = () => {
    const count = byte(), putt = byte();
    const throws = [];
    for (let n = 0; n < count; n++) throws.push(thrown());
    return { putt: putt === 255 ? null : putt / 250, throws };
  };
  hole.read = data.winds.map(() => hole.lies.map(answer));
  return hole.read;
};

// -- throws in words --------------------------------------------------------------------------------

const HEIGHTS = [[2, "head-high"], [4, "low"], [8, "medium height"], [Infinity, "high"]];
const EFFORTS = { 50: "half effort", 75: "three-quarter effort", 100: "full effort" };

const lineWords = (one) => {
  const [style, hyzer] = data.bases[one.base];
  const parts = data.oneStyle ? [] : [style];
  parts.push(hyzer > 3 ? `${number(hyzer)}° hyzer` : hyzer < -3 ? `${number(-hyzer)}° anhyzer`
    : "flat");
  const height = HEIGHTS.find(([most]) => one.rise <= most)[1];
  parts.push(`${height} (rises to ${distance(one.rise)})`);
  const percent = 5 * Math.round(20 * one.effort);
  parts.push(EFFORTS[percent] || `${percent} % effort`);
  return parts.join(", ");
};
const asideOf = (one, lie, hole) => {
  const turn = one.turn - Math.atan2(-lie[1], hole.length - lie[0]);
  return Math.atan2(Math.sin(turn), Math.cos(turn));
};
const aimWords = (one, lie, hole) => {
  const aside = asideOf(one, lie, hole);
  if (Math.abs(degrees(aside)) > 20) {
    const side = aside > 0 ? "left" : "right";
    return `start it ${number(Math.abs(degrees(aside)))}° ${side} of the basket`;
  }
  const left = Math.tan(aside) * Math.hypot(hole.length - lie[0], lie[1]);
  return Math.abs(left) < 1 ? "aim at the basket" : `aim ${sideways(left)} of the basket`;
};
const landingWords = (one) => {
  const ends = one.short > 0 ? "short of the basket" : "past the basket";
  const where = Math.abs(one.short) < 1 ? "level with the basket"
    : `${distance(Math.abs(one.short))} ${ends}`;
  return `it ends ${where}, give or take ${distance(one.shortHalf)}, and ${sideways(one.left)}, ` +
    `give or take ${number(shown(one.leftHalf))}`;
};
const inWater = (one) => {
  if (one.penalty < 0.005 || one.water === 0) return "";
  return one.penalty - one.water < 0.005 ? ", in the water" : ` (${of(one.water)} of them in the water)`;
};
const chancesWords = (one) => {
  const told = [`${of(one.putt)} leave a putt`, `${of(1 - one.putt)} another throw`];
  if (one.penalty > 0) told.push(`${of(one.penalty)} cost a penalty${inWater(one)}`);
  if (one.trees > 0) told.push(`${of(one.trees)} end among trees`);
  return `Of 100 such throws ${joined(told)}; the disc is gone after ${of(one.gone)}.`;
};
const comparedWords = (one) => {
  const told = `${strokes(one.strokes, one.error)}, from here`;
  if (one.better === null) return `${told}.`;
  return one.better > 2 * one.betterError
    ? `${told}; ${strokes(one.better, one.betterError)}, better than the next.`
    : `${told}; it and the next differ by no more than luck.`;
};
const seenFrom = (hole, turn = 0) => {
  const from = data.winds[state.wind][1] - (hole.bearing || 0) + degrees(turn);
  return ((from % 360) + 360) % 360;
};
const seenWords = (from) => data.seen[Math.round(from / 45) % 8];
const windWords = (hole) => {
  const [strength, from, , words] = data.winds[state.wind];
  if (strength === 0) return words;
  const seen = seenWords(seenFrom(hole));
  return hole.bearing === null ? `${words} ${seen}`
    : `${words} ${data.sides[Math.round(from / 45) % 8]}: ${seen}`;
};
const placeWords = ([x, y]) => x === 0 && y === 0 ? "the tee"
  : `${distance(x)} out, ${sideways(y).replace("straight", "on the line")}` +
    (number(Math.abs(shown(y))) === "0" ? "" : " of the line");
