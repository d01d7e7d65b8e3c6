// The log: what was thrown, putted and scored, kept in the browser and handed over as text.

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
    delete state.counts[ref];
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
