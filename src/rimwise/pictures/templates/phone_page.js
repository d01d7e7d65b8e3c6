// What is on the page: the bar, the choices, the forms and the list of what was logged.

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
  const noted = roundNow()?.scores[hole.ref];
  const away = toBasket(hole, state.lie);
  const puttAway = amount(away <= 30 ? number(shown(away), 1) : "");
  const wrong = complaint(puttAway);
  const score = el("output", { "aria-live": "polite" }, String(state.counts[hole.ref] ?? noted ?? hole.par ?? 3));
  const change = (by) => {
    state.counts[hole.ref] = Math.min(Math.max(Number(score.textContent) + by, 1), 30);
    score.textContent = String(state.counts[hole.ref]);
  };
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
    el("p", { class: "quiet" }, noted ? `${noted} is kept.`
      : `None yet: the count begins at ${hole.par ? `par ${hole.par}` : 3} and is a score once you tap Keep.`),
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
