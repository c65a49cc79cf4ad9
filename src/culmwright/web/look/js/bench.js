// The page beside the rig. One cell is armed; whatever is typed or sent by a gauge goes to it, is judged at once in the
// workshop's words, kept on the tablet, sent, and ticked when the shop has it on its disk. The next cell arms itself.

import { Panels } from "./bench_panels.js";
import { icon, plan, run } from "./bench_picture.js";
import { Touch, renew, token } from "./bench_touch.js";
import { Walk } from "./bench_walk.js";
import { Wedge } from "./gauge.js";
import { keeping } from "./keeping.js";
import { Outbox, newId } from "./outbox.js";
import { Reader, Unreadable, judge, others, question, visible } from "./reading.js";
import { Sound } from "./sound.js";

const WAIT = 2500; // ms until a reading without an answer is left waiting and the walk goes on
const LATE = 10 * 60 * 1000; // ms
const at = id => document.getElementById(id);
const data = JSON.parse(at("walk").textContent);
const walk = new Walk(data), reader = new Reader(data.grammar), sound = new Sound();
const path = name => `/api/rods/${data.code}/${name}`;
const capital = words => words.charAt(0).toUpperCase() + words.slice(1);
const draftName = `${walk.name} draft`;

let asked = null; // a question that waits: {words, doubt, raw, value, spot, seen, item}
let flight = null; // what the shop has not answered for yet: {id, settle}
let last = null; // the reading kept last: {exact, at}
let seen = null; // the id of what counted in the armed cell when it was armed
let alone = null; // goes on without the answer
let pressed = 0; // when the last reading came [ms]
let gone = ""; // what waited for an answer when another reading came in its place

const outbox = new Outbox({ token, renew, changed: () => { if (outbox.offline) alone?.(); show(); }, answered });
const wedge = new Wedge({
  typed: draft => { keepDraft(draft); show(); },
  take: raw => take(raw),
  twice: (first, second) => refuse(`two readings came as one, ${raws(first, second)}: neither was kept`),
  broken: (first, rest) => takeBack(first, rest),
  press,
});
const touch = new Touch({ walk, outbox, show, able: words => panels.able(words), path: path("recent") });
const panels = new Panels({ walk, sound, outbox, go, keep, drop, skip, cut, act, asking: () => asked !== null });

function raws(...them) { return them.map(one => `"${visible(one)}"`).join(" and "); }

// What one may do

function press(key) {
  const name = panels.name(key);
  if (!name) return false;
  if (name === "accept" && !wedge.draft && !asked) {
    const focus = document.activeElement;
    if (focus?.matches?.("a, button, summary") && !focus.closest("#pad, .four")) return false; // it is that one's Enter
  }
  act(name);
  return true;
}

function act(name) {
  if (document.hidden && name !== "undo") return;
  if (asked && (name === "next" || name === "prev")) return panels.turn(name === "next" ? 1 : -1);
  if (name === "more") return panels.toggle();
  if (name === "next" || name === "prev") { clear(); walk.step(name === "next" ? 1 : -1); moved(); }
  if (name === "accept") return accept();
  if (name === "undo") return undo();
}

function accept() {
  if (asked) return keep();
  const raw = wedge.draft;
  if (!raw) return tell("nothing is typed", "refused");
  wedge.set("");
  take(raw);
}

function key(name) {
  if (name === "accept") return accept();
  let draft = wedge.draft;
  if (name === "back") draft = draft.slice(0, -1);
  else if (name === "unit") {
    const [bare, unit = ""] = draft.split(" "), turns = ["", ...[data.unit === "in" ? "mm" : "in", data.unit]];
    const next = turns[(turns.indexOf(unit) + 1) % turns.length];
    draft = bare ? `${bare}${next ? ` ${next}` : ""}` : "";
  } else draft += name;
  wedge.set(draft);
  keepDraft(draft);
  show();
}

function take(raw) {
  pressed = performance.now();
  keepDraft("");
  const cell = walk.armed;
  if (document.hidden) return refuse(`${raws(raw)} came while the page was hidden: it was not kept`);
  if (!cell) return refuse(`${raws(raw)} came while no cell was armed: it was not kept`);
  let value;
  try {
    value = reader.read(raw, data.unit);
  } catch (fault) {
    if (!(fault instanceof Unreadable)) throw fault;
    return refuse(fault.message); // a question that stands waits on
  }
  const again = asked?.value && !asked.early && Math.abs(value.nm - asked.value.nm) <= data.guards.alike;
  const twice = again && asked.astray && pressed - asked.since > data.guards.repeat_within * 1000;
  gone = asked && !again && !asked.item ? `${visible(asked.raw)}, asked about before, was let go` : "";
  asked = null;
  panels.close();
  const entry = { raw, value, spot: cell.spot, seen };
  if (flight) return ask({ ...entry, words: `${reader.shown(value)} came before the last reading was answered for. Keep it, or read again?`, doubt: false, early: true });
  const beside = others(cell, walk.cells, walk.standing(outbox.items));
  const doubt = question(value, cell, last && { exact: last.exact, elapsed: Math.abs(Date.now() - last.at) / 1000 }, data, reader, beside);
  if (doubt && !(doubt.astray && twice)) return ask({ ...entry, ...doubt, since: pressed });
  send(entry, Boolean(doubt), doubt ? data.guards.read_twice : "");
}

function said(note) { return gone ? `${note}. ${capital(gone)}` : note; }
function ask(one) {
  asked = one;
  if (gone) { one.words = `${capital(gone)}. ${one.words}`; gone = ""; }
  sound.play("held");
  show();
  panels.ask(one);
}

function keep() {
  if (!asked) return;
  const why = panels.why();
  if (asked.doubt && !why) {
    sound.play("refused");
    return panels.want();
  }
  const one = asked;
  asked = null;
  panels.close();
  if (one.item) return resend(one, why);
  if (one.early && flight) return ask(one);
  if (one.early) { wedge.set(""); return take(one.raw); }
  send(one, true, why);
}

async function resend(one, why) {
  if (one.item.body.stage !== data.stage) return outbox.again(one.item, { why, confirmed: true });
  flight = { id: one.item.id };
  const change = one.theirs ? { seen: one.theirs, confirmed: true, why } : { confirmed: true, why };
  if (one.item.kind !== "reading") delete change.confirmed;
  wait(one.item.id, one.spot);
  await outbox.again(one.item, change);
}

function drop() {
  const one = asked;
  asked = null;
  panels.close();
  if (one?.item) outbox.letGo(one.item);
  tell(one ? "dropped; read it again" : "", "moved");
}

async function send({ raw, value, spot, seen: known }, confirmed, why) {
  const id = newId(), made = new Date();
  const body = {
    id, at: made.toISOString(), person: data.person, drawing: data.drawing, spot, stage: data.stage, cut: data.cut, seen: known,
    why, typed: raw, unit: data.unit, gauge: data.gauge, confirmed,
  };
  last = { exact: value.exact, at: made.getTime() };
  flight = { id };
  walk.did(id, spot);
  await outbox.keep({ id, rod: data.code, kind: "reading", path: path("readings"), spot, value: value.nm, body });
  wait(id, spot);
  outbox.flush();
}

// Goes on without an answer where none comes: at once when the shop is known to be away.
function wait(id, spot) {
  const goOn = () => {
    if (flight?.id !== id) return;
    flight = null;
    alone = null;
    next(spot);
    const cell = walk.bySpot.get(spot), one = walk.standing(outbox.items).get(spot);
    const verdict = one?.value != null ? judge(one.value - cell.aim, cell.station, data) : null;
    tell(verdict?.words ?? "", "waiting", verdict, said(`${spot}: on this tablet, not in the shop yet`));
  };
  alone = goOn;
  setTimeout(goOn, outbox.offline ? 0 : WAIT);
}

// The shop has answered for an item of the outbox.
function answered(item, answer) {
  const here = item.rod === data.code && item.spot && walk.bySpot.has(item.spot) && item.body.stage === data.stage;
  const live = flight?.id === item.id;
  if (live) flight = null;
  if (answer.look) {
    if (item.kind === "undo") return;
    if (here && (live || !asked) && item.spot) {
      if (live) walk.arm(item.spot);
      if (live) return ask({ words: capital(answer.words), doubt: answer.doubt ?? true, raw: item.body.typed, spot: item.spot, item, theirs: answer.entry });
    }
    return tell(`${item.spot ?? "a round"}: ${answer.words}`, "held", null, "it needs a look: open the list above");
  }
  if (here && item.kind !== "undo") walk.kept(item.spot, { id: item.id, value: item.value ?? null, text: item.body.typed ?? "", why: item.body.why, by: "" }, answer.seq);
  if (item.kind === "undo" && here) walk.counted.delete(item.spot);
  if (item.kind === "round") tell(answer.words, "moved");
  if (live) {
    if (item.kind === "reading") performance.measure("press to tick", { start: pressed, end: performance.now() });
    next(item.spot);
    const typed = item.kind === "reading" ? `, ${item.body.typed.trim()}` : "";
    tell(answer.words, answer.sound || "moved", answer.shape ? answer : null, said(`${item.spot}${typed}: in the shop${answer.note ? `. ${capital(answer.note)}` : ""}`));
    at("note").insertAdjacentHTML("beforeend", '<svg class="committed" viewBox="0 0 16 14" aria-label="kept" role="img"><path d="M2 7l4 5L14 2"/></svg>');
  } else { if (here) at("note").textContent = at("note").textContent.replace(`${item.spot}: on this tablet, not in the shop yet`, `${item.spot}: in the shop`); show(); }
  touch.soon();
}

function next(spot) {
  const place = walk.bySpot.get(spot);
  arm(walk.open(walk.standing(outbox.items), place.at + 1));
}

function arm(spot) {
  walk.arm(spot);
  seen = walk.standing(outbox.items).get(spot)?.id ?? null;
}

function moved() {
  seen = walk.standing(outbox.items).get(walk.spot)?.id ?? null;
  const one = walk.standing(outbox.items).get(walk.spot);
  tell(one ? (one.value === null ? `left out here: ${one.why}` : `read here: ${one.text}`) : `at ${walk.spot}`, "moved");
}

function go(spot) {
  if (!walk.bySpot.has(spot)) return;
  clear();
  walk.arm(spot);
  panels.close();
  moved();
}

function clear() { asked = null; gone = ""; clearDraft(); }
function clearDraft() { wedge.set(""); keepDraft(""); }

function undo() {
  if (asked) return drop();
  if (panels.open) { panels.close(); return show(); }
  if (wedge.draft) { clear(); return tell("rubbed out", "moved"); }
  const one = walk.newest(walk.standing(outbox.items));
  if (!one) return tell("there is nothing to undo", "refused");
  if (flight?.id === one.id) flight = null;
  takeOut(one.id, one.spot, "");
  arm(one.spot);
  tell(`${one.spot} taken back; read it again`, "moved");
}

async function takeOut(entry, spot, why) {
  const id = newId();
  last = null;
  walk.counted.forEach((one, place) => one.id === entry && walk.counted.delete(place));
  await outbox.keep({ id, rod: data.code, kind: "undo", path: path("undone"), spot, body: { id, at: new Date().toISOString(), person: data.person, drawing: data.drawing, entry, why } });
  seen = walk.standing(outbox.items).get(walk.spot)?.id ?? null;
  show();
  outbox.flush();
}

// The first part of a reading was taken for the whole: it is taken back, aloud.
function takeBack(first, rest) {
  const mine = walk.mine.at(-1);
  if (asked) asked = null;
  else if (mine && last && Date.now() - last.at < 2000) { walk.mine.pop(); takeOut(mine.id, mine.spot, "came in two pieces"); arm(mine.spot); flight = null; }
  panels.close();
  refuse(`${raws(first, rest)} came in two pieces: neither was kept. Read again`);
}

async function other(kind, name, body, spot) {
  const id = newId();
  if (kind === "skip") { flight = { id }; walk.did(id, spot); }
  await outbox.keep({ id, rod: data.code, kind, path: path(name), spot, body: { id, at: new Date().toISOString(), person: data.person, drawing: data.drawing, ...body } });
  if (kind === "skip") wait(id, spot);
  await outbox.flush();
}

function skip(why) {
  const cell = walk.armed;
  if (!cell || flight) return;
  clear();
  panels.close();
  other("skip", "skips", { spot: cell.spot, stage: data.stage, cut: data.cut, seen, why }, cell.spot);
}

function cut(depth, every) {
  const cell = walk.armed ?? walk.cells[0];
  if (depth.trim()) {
    try { reader.read(depth, data.unit); } catch { return refuse(`"${depth}" is no depth of a pass. Give it like 8 thou or 0.2 mm`); }
  }
  other("round", "rounds", { stage: data.stage, cut: data.cut, section: cell.section, strip: every ? null : cell.strip, depth, unit: data.unit });
  panels.close();
  tell(`a round ${depth ? `of ${depth} ` : ""}over ${every ? `every strip of ${cell.section}` : `${cell.section}/S${cell.strip}`} goes into the log`, "moved");
}

// What is shown

function tell(words, name, verdict = null, note = "") {
  if (name) sound.play(name);
  at("words").textContent = words ? `${capital(words)}.` : "";
  at("note").textContent = note;
  at("mark").replaceChildren(...(verdict ? [icon(verdict)] : []));
  show();
}

function refuse(words) {
  clearDraft();
  tell(words.replace(/\.$/, ""), "refused");
  if (asked) at("question").textContent = `${at("words").textContent} ${asked.words}`; // the question stands over the words
}

function keepDraft(draft) { keeping.set(draftName, { draft, spot: walk.spot }); }

function big(where, text) {
  where.textContent = text;
  where.style.setProperty("--n", Math.max(text.length - (text.match(/[.,/' ]/g) ?? []).length * 0.5, 2));
}

let drawn = 0;
function show() {
  if (drawn) return;
  drawn = requestAnimationFrame(() => { drawn = 0; paint(); });
}

function paint() {
  const cell = walk.armed, standing = walk.standing(outbox.items), draft = wedge.draft;
  const strips = new Set(walk.cells.filter(one => !cell || one.section === cell.section).map(one => one.strip));
  at("strip").textContent = cell ? `${cell.section} · strip ${cell.strip}${Math.max(...strips) === strips.size ? ` of ${strips.size}` : ""}` : data.name;
  at("done").textContent = `${walk.cells.filter(one => standing.has(one.spot)).length} of ${walk.cells.length}`;
  at("place-label").textContent = cell ? `station, ${data.station.unit}` : "";
  big(at("place"), cell?.station ?? "");
  const shown = draft || asked?.raw;
  at("value").parentElement.classList.toggle("typed", Boolean(draft));
  at("value-label").textContent = !cell ? "" : shown ? `${draft ? "typed" : "held"}, ${data.unit}; ${data.should} ${cell.shown}` : `${data.should}, ${data.height.unit}`;
  big(at("value"), shown ? visible(shown) : cell?.shown ?? "done");
  at("bench").classList.toggle("done", !cell);
  const ended = "Every cell is done.";
  if (!cell && !at("words").textContent) at("words").textContent = ended;
  if (!cell && at("words").textContent !== ended) at("note").textContent = `${at("note").textContent.replace(ended, "").trim().replace(/[^.]$/, "$&.")} ${ended}`.trim();
  picture(cell, standing);
  const [words, late] = queue();
  panels.sent(words, late);
  panels.list(data);
}

function queue() {
  const { waiting, looks, oldest } = outbox, age = oldest === null ? 0 : Date.now() - oldest;
  const minutes = Math.floor(age / 60000), said = [];
  if (looks.length) said.push(`${looks.length} need${looks.length === 1 ? "s" : ""} a look`);
  if (waiting.length && (outbox.offline || age > WAIT)) said.push(`${waiting.length} waiting, ${minutes ? `${minutes} min` : `${Math.floor(age / 1000)} s`}`);
  if (outbox.loose) said.push("no room on this tablet: keep this page open");
  return [said.join(" · ") || "all kept", { look: looks.length > 0, waiting: said.length > (looks.length ? 1 : 0), late: age > LATE }];
}

let pictured = "", runs = "";
function picture(cell, standing) {
  const of = cell ?? walk.cells.at(-1);
  const cells = walk.cells.filter(one => one.section === of.section && one.strip === of.strip).map(one => {
    const entry = standing.get(one.spot), deviation = entry?.value != null ? entry.value - one.aim : null;
    return {
      ...one, deviation, armed: one.spot === cell?.spot, waiting: entry?.waiting, left: entry && entry.value === null, old: data.before[one.spot],
      verdict: deviation === null ? null : judge(deviation, one.station, data),
    };
  }).sort((a, b) => a.place - b.place);
  const where = at("plan"), height = parseFloat(getComputedStyle(at("bench")).getPropertyValue("--now-plan")) || planHeight();
  const state = JSON.stringify([cells, where.clientWidth, height]);
  if (state !== pictured) plan(where, cells, data, height, go);
  pictured = state;
  const now = JSON.stringify([walk.runs, where.clientWidth]);
  if (now === runs) return;
  runs = now;
  at("run").replaceChildren();
  for (const one of walk.runs ?? []) run(at("run"), one, data);
}

function planHeight() {
  const probe = document.createElement("div");
  probe.style.cssText = "position:absolute;visibility:hidden;height:var(--plan)";
  at("bench").append(probe);
  const height = probe.getBoundingClientRect().height;
  probe.remove();
  return height;
}

async function begin() {
  at("plain").remove();
  at("bench").hidden = false;
  await outbox.open();
  walk.begin(walk.standing(outbox.items));
  seen = walk.standing(outbox.items).get(walk.spot)?.id ?? null;
  const kept = keeping.get(draftName);
  if (kept?.draft && kept.spot === walk.spot) wedge.set(kept.draft);
  panels.begin(key, at("words"));
  panels.able(outbox.store.lasting ? "what waits here is kept by this tablet, unless it runs out of room" : "this browser keeps nothing: a reading that waits is lost when the page is closed");
  touch.begin();
  addEventListener("resize", show);
  show();
}

window.bench = { walk, outbox, sound, wedge, get asked() { return asked; }, get flight() { return flight; } };
begin();
