// The taper page: drag a station or type it; stress, masses, strip heights and the bend answer while it is dragged.
import { mark, now, onPick, pick, rule, stayThere } from "./station.js";
import { drawBend } from "./bend.js";
import { refuse, sentence } from "./refusing.js";
import { Frame, make, onWidth } from "./curves.js";

const form = document.getElementById("redraw");
const body = document.querySelector("#stations tbody");
const unit = {
  station: Number(form.dataset.stationM), across: Number(form.dataset.acrossM), stress: Number(form.dataset.stressPa),
  places: Number(form.dataset.places), step: Number(form.dataset.step),
};
const code = form.dataset.code;
const key = `culmwright taper ${code}`;
const token = document.querySelector("meta[name=token]").content;
const TREMBLE = 4; // px a hand moves that only picks
const byId = (id) => document.getElementById(id);

const frames = {
  across: new Frame(byId("chart-across"), { height: 190, label: "Across along the rod, a handle at every station" }),
  stress: new Frame(byId("chart-stress"), { height: 160, label: "Stress along the rod" }),
  heights: new Frame(byId("chart-heights"), { height: 150, label: "Strip heights along the rod" }),
};

let rows = readRows();
const frozen = JSON.stringify(JSON.parse(form.dataset.frozen).map(({ station, across }) => ({ station, across }))); // whatever is typed on a page that was refused
let back = [], ahead = [];
let answer = null;
let load = null;
let dragging = null;
let scale = null; // held while a station is dragged, so that the paper does not move under the hand

function readRows() {
  return [...body.querySelectorAll("tr")]
    .map((row) => [...row.querySelectorAll("input")].map((one) => one.value.trim()))
    .filter(([station, across]) => station || across)
    .map(([station, across]) => ({ station, across }));
}

function plain(text) {
  if (/^-?\d+([.,]\d+)?$/.test(text)) return Number(text.replace(",", "."));
  const [, whole, top, bottom] = /^(\d+)[ -](\d+)\/(\d+)$/.exec(text) ?? [];
  return bottom > 0 ? Number(whole) + top / bottom : NaN;
}
const shown = (number, places) => String(Number(number.toFixed(places)));

function value(row, name) {
  const typed = plain(row[name]);
  if (!Number.isNaN(typed)) return typed;
  return name === "station" ? row.stationSeen ?? NaN : row.acrossSeen ?? NaN;
}

function points() {
  return rows.map((row) => [value(row, "station"), value(row, "across")]).filter(([a, b]) => Number.isFinite(a) && Number.isFinite(b));
}

// ---- what was done, undone and kept

const snapshot = () => JSON.stringify(rows.map(({ station, across }) => ({ station, across })));

function changing() { back.push(snapshot()); ahead = []; if (back.length > 300) back.shift(); }

function turn(from, to) {
  if (!from.length) return;
  to.push(snapshot());
  rows = JSON.parse(from.pop());
  fill();
  changed();
}

function changed() {
  byId("undo").disabled = !back.length;
  byId("redo").disabled = !ahead.length;
  byId("reset").disabled = snapshot() === frozen;
  try {
    if (snapshot() === frozen) localStorage.removeItem(key); else localStorage.setItem(key, snapshot());
  } catch { /* a browser that keeps nothing */ }
  drawAcross();
  ask();
}

// ---- the table

function cell(name, row, label) {
  const td = document.createElement("td");
  const one = document.createElement("input");
  Object.assign(one, { name, value: row[name], autocomplete: "off" });
  one.setAttribute("aria-label", label);
  td.append(one);
  return td;
}

function fill() {
  const made = rows.map((row, i) => {
    const tr = document.createElement("tr");
    tr.append(cell("station", row, `station ${i + 1}`), cell("across", row, `across at station ${row.station}`));
    for (const kind of ["stress", "heights", "out"]) { const td = document.createElement("td"); td.className = kind; tr.append(td); }
    return tr;
  });
  const extra = document.createElement("tr");
  extra.className = "extra";
  extra.append(cell("station", { station: "" }, "one more station"), cell("across", { across: "" }, "across at one more station"));
  for (let i = 0; i < 3; i += 1) extra.append(document.createElement("td"));
  body.replaceChildren(...made, extra);
  takers();
  if (answer) tellRows();
}

function takers() {
  [...body.querySelectorAll("tr:not(.extra)")].forEach((tr, i, every) => {
    if (i === 0 || i === every.length - 1) return;
    const button = document.createElement("button");
    Object.assign(button, { type: "button", className: "quiet", textContent: "take out" });
    button.setAttribute("aria-label", `take out station ${rows[i].station}`);
    button.addEventListener("click", () => takeOut(i));
    tr.querySelector(".out").replaceChildren(button);
  });
}

function takeOut(i) { changing(); rows.splice(i, 1); fill(); changed(); }

function addOne() {
  const at = now();
  const xs = points().map(([x]) => x);
  let i = at === null ? -1 : xs.findIndex((x) => Math.abs(x - at) < 1e-6);
  if (i === xs.length - 1) i -= 1;
  if (i < 0) i = xs.slice(1).reduce((best, x, k) => (x - xs[k] > xs[best + 1] - xs[best] ? k : best), 0);
  const [a, b] = [points()[i], points()[i + 1]];
  changing();
  const station = (a[0] + b[0]) / 2;
  rows.splice(i + 1, 0, { station: shown(station, 4), across: shown((a[1] + b[1]) / 2, unit.places) });
  fill();
  changed();
  pick(station, { below: true });
}

body.addEventListener("focusin", (event) => {
  const i = [...body.children].indexOf(event.target.closest("tr"));
  const here = rows[i] && value(rows[i], "station");
  if (Number.isFinite(here) && here !== now() && here >= 0 && here <= rule.length) pick(here, { below: true });
});
body.addEventListener("change", () => {
  const typed = readRows();
  const full = typed.filter((row) => row.station && row.across);
  const sorted = full.every((row) => !Number.isNaN(plain(row.station)));
  const extra = body.querySelector(".extra");
  const added = [...extra.querySelectorAll("input")].every((one) => one.value.trim());
  const begun = [...extra.querySelectorAll("input")].some((one) => one.value.trim());
  if (begun && !added) return;
  changing();
  rows = typed;
  if (added && sorted) rows.sort((a, b) => plain(a.station) - plain(b.station));
  if (added || typed.length !== body.children.length - 1) fill();
  changed();
});

// ---- asking the workshop

let busy = false;
let edited = null; // when the first edit was made that the workshop has not been asked about

async function ask() {
  edited ??= performance.now();
  if (busy) return;
  busy = true;
  form.setAttribute("aria-busy", "true");
  while (edited !== null) {
    const since = edited;
    edited = null;
    const asked = { code, stations: rows.map((row) => row.station), across: rows.map((row) => row.across) };
    if (load !== null) asked.load = load;
    try {
      const got = await fetch("/api/try", {
        method: "POST", body: JSON.stringify(asked),
        headers: { "content-type": "application/json", "x-culmwright-token": token },
      });
      const said = await got.json();
      refuse(got.ok ? "" : `${sentence(said.title)}${said.remedy ? ` ${sentence(said.remedy)}` : ""}`, got.ok ? "" : said.where);
      if (got.ok) { answer = said; redraw(); performance.measure("edit to redraw", { start: since }); }
    } catch { refuse("The workshop does not answer. What is typed is kept in this browser; try again in a moment."); }
  }
  busy = false;
  form.setAttribute("aria-busy", "false");
}

// ---- drawing

function drawAcross() {
  const all = points();
  if (all.length < 2) return;
  const held = document.activeElement?.closest?.(".handle")?.dataset.row;
  const high = scale ?? Math.max(...all.map(([, across]) => across)) * 1.12;
  const frame = frames.across;
  frame.open(0, high);
  frame.grid();
  const old = JSON.parse(frozen).map((row) => [plain(row.station), plain(row.across)]);
  if (snapshot() !== frozen && old.every((pair) => pair.every(Number.isFinite))) frame.line(old, "ln2");
  frame.line(all);
  rows.forEach((row, i) => handle(frame, row, i));
  if (held !== undefined) focusOn(held);
}

function handle(frame, row, i) {
  const [station, across] = [value(row, "station"), value(row, "across")];
  if (!Number.isFinite(station) || !Number.isFinite(across)) return;
  const here = now() !== null && Math.abs(now() - station) < 1e-6;
  const one = make("g", {
    class: `handle${here ? " picked" : ""}`, role: "slider", tabindex: here || (now() === null && i === 0) ? 0 : -1,
    "aria-label": `across at station ${row.station}`, "aria-valuenow": across,
    "aria-valuemin": 0, "aria-valuemax": Number((across * 2).toFixed(4)),
    "aria-valuetext": `${shown(across, unit.places)} ${form.dataset.acrossUnit}`, "data-row": i,
  });
  const at = { cx: frame.x(station), cy: frame.y(across) };
  one.append(make("circle", { ...at, r: 15, class: "grasp" }), make("circle", { ...at, r: here ? 6 : 4.5, class: "dot" }));
  if (here) one.append(make("text", { x: at.cx, y: at.cy - 14, "text-anchor": station > rule.length * 0.93 ? "end" : station < rule.length * 0.05 ? "start" : "middle", class: "k" }, shown(across, unit.places)));
  frame.svg.append(one);
}

function set(i, across) {
  const least = unit.step;
  rows[i].across = shown(Math.max(across, least), unit.places);
  const input = body.children[i]?.querySelector("input[name=across]");
  if (input) input.value = rows[i].across;
}

byId("chart-across").addEventListener("pointerdown", (event) => {
  const one = event.target.closest(".handle");
  if (!one) return;
  event.preventDefault();
  const i = Number(one.dataset.row);
  changing();
  const all = points();
  scale = Math.max(...all.map(([, across]) => across)) * 1.12;
  dragging = { i, id: event.pointerId, moved: false, from: event.clientY, was: value(rows[i], "across") };
  byId("chart-across").setPointerCapture(event.pointerId);
  pick(value(rows[i], "station"), { below: true });
});
byId("chart-across").addEventListener("pointermove", (event) => {
  if (!dragging || event.pointerId !== dragging.id) return;
  if (!dragging.moved && Math.abs(dragging.from - event.clientY) < TREMBLE) return;
  const up = ((dragging.from - event.clientY) / frames.across.svg.getBoundingClientRect().height) * frames.across.tall;
  const fine = unit.step / 2;
  set(dragging.i, Math.round((dragging.was + frames.across.value(0) - frames.across.value(up)) / fine) * fine);
  dragging.moved = true;
  changed();
});
for (const end of ["pointerup", "pointercancel"]) {
  byId("chart-across").addEventListener(end, () => {
    if (!dragging) return;
    if (!dragging.moved) back.pop();
    const { i } = dragging;
    dragging = scale = null;
    changed();
    focusOn(i);
  });
}

function focusOn(i) { frames.across.svg.querySelector(`[data-row="${i}"]`)?.focus({ preventScroll: true }); }

byId("chart-across").addEventListener("keydown", (event) => {
  const one = event.target.closest?.(".handle");
  if (!one) return;
  const i = Number(one.dataset.row);
  const by = { ArrowUp: unit.step, ArrowDown: -unit.step, PageUp: 10 * unit.step, PageDown: -10 * unit.step }[event.key];
  const to = { ArrowLeft: i - 1, ArrowRight: i + 1, Home: 0, End: rows.length - 1 }[event.key];
  if (by !== undefined) { changing(); set(i, value(rows[i], "across") + by); changed(); focusOn(i); }
  else if (to !== undefined) { const k = Math.min(Math.max(to, 0), rows.length - 1); pick(value(rows[k], "station"), { below: true }); focusOn(k); }
  else if (event.key === "Delete" && i > 0 && i < rows.length - 1) takeOut(i);
  else return;
  event.preventDefault();
});

function redraw() {
  const byStation = new Map(answer.stations.map((one) => [one.station_m.toFixed(7), one]));
  rows.forEach((row, i) => {
    const typed = plain(row.station);
    const one = Number.isNaN(typed) ? answer.stations[i] : byStation.get((typed * unit.station).toFixed(7));
    if (!one) return;
    row.stationSeen = one.station_m / unit.station;
    row.acrossSeen = one.across_m / unit.across;
  });
  drawAcross();
  const stress = answer.curve_station_m.map((x, i) => [x / unit.station, answer.curve_stress_pa[i] / unit.stress]);
  const limit = answer.stress_limit_pa === null ? null : answer.stress_limit_pa / unit.stress;
  frames.stress.open(0, Math.max(limit ?? 0, ...stress.map(([, one]) => one)) * 1.1);
  frames.stress.grid();
  if (limit !== null) frames.stress.level(limit, "stress limit");
  frames.stress.line(stress);
  const every = answer.heights.flatMap((one) => one.heights_m);
  frames.heights.open(0, (Math.max(...every) / unit.across) * 1.15);
  frames.heights.grid();
  answer.heights.forEach((one, i) => {
    const line = one.stations_m.map((x, k) => [x / unit.station, one.heights_m[k] / unit.across]);
    frames.heights.line(line, i % 2 ? "ln2" : "ln");
    const [x, y] = line[Math.floor(line.length / 2)];
    frames.heights.svg.append(make("text", { x: frames.heights.x(x), y: frames.heights.y(y) - 9, "text-anchor": "end", class: "k" }, one.sections));
  });
  tellFacts();
  if (snapshot() !== frozen || form.hasAttribute("data-changed")) tellRows();
  if (answer.bend) drawBend(bendHost, byId("bend-said"), answer.bend, frames.across, answer.stations.at(-1).station_m);
  mark();
  stayThere();
}

function tellFacts() {
  const facts = answer.facts.map(([name, words]) => {
    const line = document.createElement("div");
    const [dt, dd] = [document.createElement("dt"), document.createElement("dd")];
    dt.textContent = name[0].toUpperCase() + name.slice(1);
    dd.textContent = words;
    line.append(dt, dd);
    return line;
  });
  byId("facts").replaceChildren(...facts);
  byId("notes").replaceChildren(...[...answer.warnings, ...answer.notes].map((words) => {
    const one = document.createElement("p");
    one.className = "note";
    one.textContent = sentence(words);
    return one;
  }));
}

function tellRows() {
  rows.forEach((row, i) => {
    const tr = body.children[i];
    const at = value(row, "station") * unit.station;
    if (!tr || !Number.isFinite(at)) return;
    tr.dataset.station = at;
    const one = answer.stations.find((other) => Math.abs(other.station_m - at) < 1e-7);
    tr.querySelector(".stress").textContent = one ? one.stress_shown : "";
    const heights = answer.heights.flatMap((group) => group.stations_m.map((x, k) => [group.sections.split(", ")[0], x, group.shown[k]]))
      .filter(([, x]) => Math.abs(x - at) < 1e-7).map(([name, , words]) => `${name} ${words}`);
    tr.querySelector(".heights").replaceChildren(...heights.flatMap((words, k) => (k ? [document.createElement("br"), words] : [words])));
  });
}

// ---- the load that hangs at the tip

const bendHost = byId("chart-bend");
byId("load").addEventListener("input", (event) => {
  const one = event.target;
  load = `${one.value} ${one.dataset.unit}`;
  byId("load-said").textContent = Number(one.value) ? load : "nothing, only its own weight";
  if (!bendHost.hasChildNodes()) byId("bend-said").textContent = "Reckoning the bend: the first time on a machine it takes a while.";
  ask();
});

// ---- wiring

onPick(() => drawAcross());
onWidth(() => { drawAcross(); if (answer) redraw(); });
byId("undo").addEventListener("click", () => turn(back, ahead));
byId("redo").addEventListener("click", () => turn(ahead, back));
document.addEventListener("keydown", (event) => {
  if (!(event.ctrlKey || event.metaKey) || event.altKey) return;
  const typing = event.target.matches("textarea, #reason");
  const letter = event.key.toLowerCase();
  if (typing || (letter !== "z" && letter !== "y")) return;
  event.preventDefault();
  if (letter === "z" && !event.shiftKey) turn(back, ahead); else turn(ahead, back);
});
form.addEventListener("keydown", (event) => { if (event.key === "Enter" && event.target.matches("#stations input")) { event.preventDefault(); event.target.blur(); event.target.focus(); } });

const add = document.createElement("button");
Object.assign(add, { type: "button", className: "quiet", id: "add", textContent: "Add a station" });
add.addEventListener("click", addOne);
const reset = document.createElement("button");
Object.assign(reset, { type: "button", className: "quiet", id: "reset", textContent: `Back to ${code}`, disabled: true });
reset.addEventListener("click", () => { changing(); rows = JSON.parse(frozen); fill(); changed(); });
byId("redo").after(add, reset);
byId("tools").hidden = byId("more").hidden = false;

if (form.dataset.keptFrom) { // only the page of what was kept lets go of what it was drawn in
  try { localStorage.removeItem(`culmwright taper ${form.dataset.keptFrom}`); } catch { /* nothing was kept */ }
  history.replaceState(history.state, "", location.pathname + location.hash);
}

try {
  const kept = localStorage.getItem(key);
  if (kept && kept !== frozen && !form.hasAttribute("data-changed")) {
    changing();
    rows = JSON.parse(kept);
    fill();
    byId("how").textContent = "what you drew here before is back; it is not kept yet";
  }
} catch { /* nothing kept, or not readable: the frozen taper stands */ }
takers();
changed();
