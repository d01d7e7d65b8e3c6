"use strict";
(() => {
  const data = JSON.parse(document.getElementById("data").textContent);
  const holes = data.holes;
  const sections = holes.map((_, n) => document.getElementById(`hole-${n + 1}`));
  const LOG = "rimwise-phone-log", AT = "rimwise-phone-at", SUN = "rimwise-phone-sun";
  const ON_TEE = [0, 0];
  const state = {
    hole: 0, wind: data.expected, lie: ON_TEE, thrown: null, log: [], kept: true, said: "",
    undo: null, played: false,
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

  // -- the map ----------------------------------------------------------------------------------------

  const PAINTS = [["accent", null], ["two", "7 4"], ["ink", "2 4"]];
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
    return [
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

  // -- the log ----------------------------------------------------------------------------------------

  const today = () => {
    const now = new Date();
    const two = (value) => String(value).padStart(2, "0");
    return `${now.getFullYear()}-${two(now.getMonth() + 1)}-${two(now.getDate())}`;
  };
  const dayWords = (on) => on === today() ? "Today"
    : new Date(`${on}T12:00`).toLocaleDateString("en-GB", { day: "numeric", month: "long", year: "numeric" });
  const newId = () => {
    const random = crypto.getRandomValues(new Uint32Array(2));
    return `${Date.now().toString(36)}-${random[0].toString(36)}${random[1].toString(36)}`;
  };
  const keep = () => {
    try {
      localStorage.setItem(LOG, JSON.stringify(state.log));
      localStorage.setItem(AT, JSON.stringify([data.course, state.hole, state.wind]));
      state.kept = true;
    } catch {
      state.kept = false;
    }
  };
  const recall = () => {
    try {
      const log = JSON.parse(localStorage.getItem(LOG) || "[]");
      if (Array.isArray(log)) state.log = log.filter((one) => one && typeof one.id === "string");
      const [course, hole, wind] = JSON.parse(localStorage.getItem(AT) || "[]");
      if (course === data.course && holes[hole] && data.winds[wind]) {
        state.hole = hole;
        state.wind = wind;
        return hole > 0;
      }
    } catch {
      state.kept = false;
    }
    return false;
  };
  const say = (words) => {
    state.said = words;
    state.undo = null;
    state.played = false;
  };
  const airOf = (from) => {
    const [strength, , speed] = data.winds[state.wind];
    if (strength === 0) return `${data.air} calm`;
    return `${data.air} wind ${speed}m/s${from === null ? "" : ` ${seenWords(from)}`}`;
  };
  const keepThrow = (rest) => {
    const hole = holes[state.hole], { disc, one, lie } = state.thrown;
    const toward = one ? one.turn : Math.atan2(-lie[1], hole.length - lie[0]);
    const way = [rest[0] - lie[0], rest[1] - lie[1]];
    const along = way[0] * Math.cos(toward) + way[1] * Math.sin(toward);
    const left = way[1] * Math.cos(toward) - way[0] * Math.sin(toward);
    const base = one ? data.bases[one.base] : ["", "", ""];
    const before = state.thrown, from = state.lie;
    const entry = {
      kind: "throw", id: newId(), on: today(), course: data.course, hole: hole.ref,
      disc: data.discs[disc][0], along: along.toFixed(1), left: left.toFixed(1), style: base[0],
      hyzer: base[1], launch: base[2], effort: one ? one.effort : "",
      air: airOf(seenFrom(hole, toward)), from: placeWords(lie),
      words: `${data.discs[disc][1]}: ${distance(along)}, ${sideways(left)} of its aim, from ${placeWords(lie)}`,
    };
    state.log.push(entry);
    state.thrown = null;
    state.lie = rest;
    kept(() => {
      drop(entry);
      state.thrown = before;
      state.lie = from;
      return "Taken back.";
    }, " If you play on from elsewhere, tap that place.");
  };
  const keepPutt = (input, wrong, made) => {
    const away = metres(input.value);
    if (away === null || away < 0.5 || away > 40) {
      wrong.say(`A putt is ${number(shown(0.5), 1)} to ${distance(40)} long; write its distance as in ${number(shown(6))}.`);
      return;
    }
    const entry = {
      kind: "putts", id: newId(), on: today(), away: away.toFixed(1), made: made ? 1 : 0, tried: 1,
      air: airOf(null), words: `Putt from ${number(shown(away), 1)} ${data.units} ${made ? "made" : "missed"}`,
    };
    state.log.push(entry);
    kept(() => {
      drop(entry);
      return "Taken back.";
    });
  };
  /** Say what was just kept, where it is seen, and offer to take it back. */
  const kept = (undo, more = "", score = null) => {
    say(`Kept: ${score || state.log.at(-1).words}.${more}`);
    state.undo = undo;
    state.played = score !== null;
    keep();
    show();
  };
  const show = () => {
    render();
    document.getElementById("asked").scrollIntoView();
  };
  const takeBack = () => {
    const words = state.undo();
    say(words);
    keep();
    show();
  };
  const drop = (one) => { state.log = state.log.filter((other) => other !== one); };
  const roundNow = () => state.log.findLast((one) =>
    one.kind === "round" && one.on === today() && one.course === data.course && !one.over);
  const roundSum = (one) => {
    const counts = Object.values(one.scores);
    const sum = counts.reduce((total, count) => total + count, 0);
    return `${sum} strokes on ${counts.length === 1 ? "1 hole" : `${counts.length} holes`}`;
  };
  const roundWords = (one) =>
    `Round: ${Object.entries(one.scores).map(([ref, count]) => `${ref}: ${count}`).join(", ")}; ${roundSum(one)}`;
  const keepScore = (count) => {
    let round = roundNow();
    if (!round) {
      round = { kind: "round", id: newId(), on: today(), course: data.course, scores: {}, air: airOf(null) };
    }
    const { ref } = holes[state.hole], before = round.scores[ref];
    const score = (value) => {
      if (value === undefined) delete round.scores[ref];
      else round.scores[ref] = value;
      round.words = roundWords(round);
      drop(round);
      if (Object.keys(round.scores).length) state.log.push(round);
    };
    score(count);
    kept(() => {
      score(before);
      return before === undefined ? "Taken back." : `Taken back: it is ${before} again.`;
    }, "", `${count} on hole ${ref}; ${roundSum(round)}`);
  };
  const FIELDS = {
    throw: ["course", "hole", "disc", "along", "left", "style", "hyzer", "launch", "effort", "from", "air"],
    putts: ["away", "made", "tried", "air"],
    round: ["course", "scores", "air"],
  };
  const exported = () => {
    const code = (value) => encodeURIComponent(String(value)).replace(/'/g, "%27");
    const written = (one, name) => name !== "scores" ? code(one[name])
      : Object.entries(one.scores).map(([ref, count]) => `${code(ref)}:${count}`).join(",");
    const lines = ["rimwise phone log 1", ...state.log.filter((one) => FIELDS[one.kind]).map((one) =>
      [one.kind, code(one.id), one.on, ...FIELDS[one.kind].map((name) => written(one, name))].join("|"))];
    const text = lines.join("\n");
    let sum = 0x811c9dc5;
    for (const letter of text) sum = Math.imul(sum ^ letter.charCodeAt(0), 0x01000193) >>> 0;
    return `${text}\nend|${lines.length - 1}|${sum.toString(16).padStart(8, "0")}\n`;
  };

  // -- what is on the page ------------------------------------------------------------------------------

  const bar = document.getElementById("bar");
  const holeSelect = choice(holes.map((hole) => `Hole ${hole.ref}`), 0, (n) => goTo(n));
  const strengths = [...new Set(data.winds.map((wind) => wind[4]))];
  const strengthSelect = choice(strengths, 0, (n) => blow(n, sideSelect.selectedIndex));
  const sideSelect = choice(data.short, 0, (n) => blow(strengthSelect.selectedIndex, n));
  const blow = (strength, side) => {
    state.wind = strength === 0 ? 0 : 1 + 8 * (strength - 1) + side;
    say("");
    keep();
    render();
  };
  const goTo = (n) => {
    state.hole = Math.min(Math.max(n, 0), holes.length - 1);
    state.lie = ON_TEE;
    state.thrown = null;
    say("");
    keep();
    render();
    window.scrollTo(0, bar.offsetTop);
  };
  const buildBar = () => {
    const step = (words, label, by) => {
      const made = button(words, () => goTo(state.hole + by));
      made.setAttribute("aria-label", label);
      made.className = "small";
      return made;
    };
    holeSelect.setAttribute("aria-label", "Hole");
    strengthSelect.setAttribute("aria-label", "How strong the wind is");
    sideSelect.setAttribute("aria-label", "Where the wind comes from");
    bar.append(el("div", {},
      el("div", { class: "row" }, step("‹", "Hole before", -1), holeSelect, step("›", "Next hole", 1)),
      el("div", { class: "row" }, strengthSelect, sideSelect)));
    document.querySelector("header").append(sunButton());
    bar.hidden = false;
    document.body.classList.add("live");
    document.getElementById("contents").hidden = true;
    document.getElementById("scripted").hidden = true;
    document.getElementById("log").hidden = false;
  };

  /** In the sun a dark screen shows nothing, whatever the phone is set to. */
  const sunButton = () => {
    const root = document.documentElement;
    const made = button("Bright, for the sun", () => sun(!root.classList.contains("sun")));
    const sun = (on) => {
      root.classList.toggle("sun", on);
      made.setAttribute("aria-pressed", String(on));
      try {
        localStorage.setItem(SUN, on ? "yes" : "");
      } catch { /* then it is asked for again next time */ }
    };
    let before = "";
    try {
      before = localStorage.getItem(SUN);
    } catch { /* as above */ }
    sun(before === "yes");
    return made;
  };

  /** Metres that one may be farther from the basket than a lie where one putts, and putt too. */
  const PUTTS_TOO = 3;
  const toBasket = (hole, [x, y]) => Math.hypot(hole.length - x, y);
  const nearest = (hole, answers) => {
    const among = (able) => hole.lies.reduce((best, lie, n) => {
      const away = Math.hypot(lie[0] - state.lie[0], lie[1] - state.lie[1]);
      return able(n) && away < best.away ? { n, away } : best;
    }, { n: 0, away: Infinity });
    const near = among(() => true);
    const closer = toBasket(hole, hole.lies[near.n]) + PUTTS_TOO < toBasket(hole, state.lie);
    if (answers[near.n].throws.length || !closer) return near;
    return among((n) => answers[n].throws.length); // what is a putt there is none from here
  };

  const card = (one, n, lie, hole) => el("li", {},
    el("p", { class: "disc" }, el("span", { class: "badge" }, String(n + 1)),
      el("span", {}, data.discs[one.disc][1])),
    el("p", { class: "how" }, `${capital(lineWords(one))}; ${aimWords(one, lie, hole)}.`),
    el("p", {}, `${capital(landingWords(one))}.`),
    el("p", {}, chancesWords(one)),
    el("p", {}, comparedWords(one)),
    button("I threw this", () => ask({ disc: one.disc, one, lie: state.lie })));
  const ask = (thrown) => {
    state.thrown = thrown;
    say("");
    render();
    document.getElementById("asked").scrollIntoView();
  };

  const whereWords = (hole, near) => {
    if (state.lie === ON_TEE) return "From the tee:";
    const [x, y, kind] = hole.lies[near.n];
    const off = near.away < 1 ? "" : `, ${distance(near.away)} from you`;
    const limits = kind ? ` (${kind})` : "";
    return `You are ${placeWords(state.lie)}. This is best from ${placeWords([x, y])}${off}${limits}:`;
  };
  const puttWords = (hole) => {
    const away = toBasket(hole, state.lie);
    if (away > data.putts.length - 1) return "";
    const low = Math.floor(away), high = Math.min(low + 1, data.putts.length - 1);
    const made = data.putts[low] + (away - low) * (data.putts[high] - data.putts[low]);
    return `The basket is ${number(shown(away), 1)} ${data.units} away: a putt from there goes in ${of(made)} of 100 times.`;
  };

  const asked = (section) => {
    const { thrown } = state;
    const box = el("div", { id: "asked", class: "target", role: "status" });
    if (state.said) box.append(el("p", { class: "say" }, state.said));
    const next = holes[state.hole + 1];
    if (state.played && next) {
      box.append(button(`On to hole ${next.ref}`, () => goTo(state.hole + 1), true));
    }
    if (state.undo) box.append(button("Take that back", takeBack));
    if (!thrown) return box;
    const name = data.discs[thrown.disc][1];
    box.append(
      el("p", { class: "say" }, `${name}: where did it come to rest? Tap the map.`),
      el("details", {}, el("summary", {}, "Type it instead"), ...typedPlace("Keep this throw")),
      button("Cancel", () => { state.thrown = null; say(""); render(); }));
    section.classList.add("asking");
    return box;
  };
  /** What is wrong with what was typed, said beside it and leaving it as it is. */
  const complaint = (...inputs) => {
    const box = el("p", { class: "say", role: "alert", id: `w${Math.random().toString(36).slice(2)}` });
    box.hidden = true;
    box.say = (words) => {
      box.textContent = words;
      box.hidden = false;
      inputs.forEach((input) => input.setAttribute("aria-describedby", box.id));
      inputs[0].focus();
    };
    return box;
  };
  const typedPlace = (words) => {
    const out = amount(""), aside = amount("");
    const side = choice(["left", "right"], 0, () => {});
    const take = () => {
      const x = metres(out.value), y = metres(aside.value || "0");
      if (x === null || y === null || Math.abs(x) > 600 || y < 0 || y > 300) {
        wrong.say(`Write how far out along the line from tee to basket, in ${data.units}, and how far aside, such as 60 and 5.`);
      } else place([x, side.value === "0" ? y : -y]);
    };
    const wrong = complaint(out, aside);
    return [
      wrong,
      el("div", { class: "row" }, field(`Out from the tee, ${data.units}`, out),
        field(`Aside, ${data.units}`, aside), field("Side of the line", side)),
      button(words, take, true),
    ];
  };
  const tools = (hole) => {
    const count = roundNow()?.scores[hole.ref] || 3;
    const away = toBasket(hole, state.lie);
    const puttAway = amount(away <= 30 ? number(shown(away), 1) : "");
    const wrong = complaint(puttAway);
    const score = el("output", { "aria-live": "polite" }, String(count));
    const change = (by) => { score.textContent = String(Math.min(Math.max(Number(score.textContent) + by, 1), 30)); };
    const step = (words, label, by) => {
      const made = button(words, () => change(by));
      made.setAttribute("aria-label", label);
      return made;
    };
    const other = choice(data.discs.map((disc) => disc[1]), 0, () => {});
    return el("div", { class: "tool" },
      el("p", { class: "quiet" }, "Tap the map where you lie to see what is best from there; a tap is good to about " + `${distance(3)}.`),
      state.lie === ON_TEE ? null : button("Back to the tee", () => { state.lie = ON_TEE; say(""); render(); }),
      el("details", {}, el("summary", {}, "Type where you lie"), ...typedPlace("This is my lie")),
      el("details", {}, el("summary", {}, "I threw another disc"), field("Disc", other),
        button("Then it came to rest …", () => ask({ disc: Number(other.value), one: null, lie: state.lie }), true)),
      el("h3", {}, "Putt"),
      wrong,
      el("div", { class: "row" }, field(`From, ${data.units}`, puttAway),
        button("Made", () => keepPutt(puttAway, wrong, true)), button("Missed", () => keepPutt(puttAway, wrong, false))),
      el("h3", {}, `Score on hole ${hole.ref}`),
      el("div", { class: "row" }, step("−", "One fewer", -1),
        el("p", { style: "text-align:center;font-size:1.5rem" }, score), step("+", "One more", 1),
        button("Keep", () => keepScore(Number(score.textContent)), true)));
  };

  const logTitle = document.getElementById("log-title");
  const drawLog = () => {
    const section = document.getElementById("log");
    const text = el("textarea", { readonly: true, rows: 6, spellcheck: "false" });
    text.value = exported();
    const told = el("p", { role: "status" });
    const copy = async () => {
      try {
        await navigator.clipboard.writeText(text.value);
        told.textContent = "Copied.";
      } catch {
        text.focus();
        text.select();
        told.textContent = "Marked; copy it with your phone's own menu.";
      }
    };
    const save = () => {
      const link = el("a", {
        href: URL.createObjectURL(new Blob([text.value], { type: "text/plain" })),
        download: `rimwise-phone-${today()}.txt`,
      });
      link.click();
      setTimeout(() => URL.revokeObjectURL(link.href), 10000);
      told.textContent = "Saved where your phone puts downloads.";
    };
    const list = el("ul", { id: "entries" }, ...state.log.slice().reverse().map((one) => {
      const away = button("Delete", () => {
        drop(one);
        say("");
        keep();
        render();
        logTitle.focus();
      });
      away.setAttribute("aria-label", `Delete: ${one.words || one.kind}`);
      return el("li", {}, el("span", {}, `${dayWords(one.on)}: ${one.words || one.kind}`), away);
    }));
    const round = roundNow();
    const parts = [logTitle, el("p", { class: "quiet" }, state.kept
      ? "Kept in this browser on this phone, until you delete it. Hand it over now and then all the same."
      : "This browser does not let the file keep anything: all of this is gone when you close it. Copy it before.")];
    if (!state.log.length) parts.push(el("p", {}, "Nothing yet."));
    else {
      const wipe = button("Delete all of it", () => {
        if (wipe.dataset.sure) {
          state.log = [];
          say("");
          keep();
          render();
          logTitle.focus();
        } else {
          wipe.dataset.sure = "yes";
          wipe.textContent = "Really delete all? Tap once more if it was handed over.";
        }
      });
      parts.push(list,
        round ? button("This round is over; the next score begins another", () => { round.over = true; keep(); drawLog(); }) : null,
        el("h3", {}, "Hand it over"),
        el("p", {}, "Send this text to your computer, and give it to “Bring a file” or to rimwise import. Doing so twice changes nothing."),
        button("Save as a file", save, true), button("Copy the text", copy), told,
        field("The text", text), wipe);
    }
    section.replaceChildren(...parts.filter(Boolean));
  };

  const render = () => {
    const hole = holes[state.hole], section = sections[state.hole];
    sections.forEach((other) => { other.hidden = other !== section; other.classList.remove("asking"); });
    document.querySelectorAll(".tool, #asked").forEach((old) => old.remove());
    const [strength, from] = data.winds[state.wind];
    holeSelect.value = String(state.hole);
    strengthSelect.value = String(strength);
    if (strength) sideSelect.value = String(Math.round(from / 45) % 8);
    sideSelect.disabled = strength === 0;
    const answers = unpacked(hole)[state.wind];
    const near = nearest(hole, answers);
    const [x, y] = hole.lies[near.n];
    const answer = answers[near.n];
    section.querySelector(".wind").textContent = `Wind: ${windWords(hole)}.`;
    const putt = puttWords(hole);
    const close = toBasket(hole, state.lie) <= 10;
    const throws = close ? [] : answer.throws;
    section.querySelector(".where").textContent = throws.length
      ? whereWords(hole, near) : `You are ${placeWords(state.lie)}. Putt.`;
    section.querySelector(".choices").replaceChildren(
      ...(putt ? [el("li", {}, el("p", {}, putt))] : []),
      ...throws.map((one, n) => card(one, n, [x, y], hole)));
    drawMap(section, hole, [x, y], throws);
    const figure = section.querySelector("figure");
    (state.thrown ? figure : section.querySelector(".where")).before(asked(section));
    // Who putts wants no map, but the buttons.
    if (throws.length) figure.after(tools(hole));
    else figure.before(tools(hole));
    drawLog();
  };

  logTitle.tabIndex = -1;
  const underWay = recall();
  keep();
  buildBar();
  sections.forEach((section) => section.querySelector("svg").addEventListener("click", tapped));
  render();
  if (underWay) window.scrollTo(0, bar.offsetTop); // in the middle of a round: on with it
})();
