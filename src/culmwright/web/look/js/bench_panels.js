// What stands in the keypad's place for a while: the question, what else may be done, what is not in the shop; and the
// keypad and the four keys themselves.

import { keeping } from "./keeping.js";

const at = id => document.getElementById(id);
const REASONS = ["read twice, it is so", "a node is there", "torn there", "the strip lay crooked", "dug in"];
const SKIPS = ["a node is there", "damaged there", "not cut yet", "no room for the gauge"];
const KEYS = { next: "PageDown", prev: "PageUp", accept: "Enter", undo: "Escape" };
const CALLED = { next: "next", prev: "back", accept: "accept", undo: "undo" };

// The time of day as the other pages write it, whatever the tablet's own habit.
function clock(moment) { return new Date(moment).toLocaleTimeString("en-GB"); }

function button(words, act, pressed) {
  const made = document.createElement("button");
  made.type = "button";
  made.textContent = words;
  if (pressed !== undefined) made.setAttribute("aria-pressed", pressed);
  made.addEventListener("click", act);
  return made;
}

// What cannot be had back is asked for twice.
function twice(words, sure, act) {
  const made = button(words, () => {
    if (made.textContent === sure) return act();
    made.textContent = sure;
  });
  return made;
}

export class Panels {
  constructor(does) {
    Object.assign(this, does);
    this.keys = { ...KEYS, ...keeping.get("bench keys", {}) };
    this.said = new Map();
    this.reason = -1;
    this.learning = null;
    this.open = "";
  }

  begin(key) {
    this.key = key;
    for (const one of document.querySelectorAll("[data-key], [data-do]")) {
      one.addEventListener("pointerdown", event => event.preventDefault()); // the focus stays where it is
      one.addEventListener("click", () => (one.dataset.key ? this.key(one.dataset.key) : this.act(one.dataset.do)));
    }
    at("keep").addEventListener("click", () => this.keep());
    at("drop").addEventListener("click", () => this.drop());
    at("ask").addEventListener("submit", event => { event.preventDefault(); this.keep(); });
    at("why").addEventListener("input", () => this.choose(-1));
    at("skip").addEventListener("click", () => this.trySkip());
    at("skip-why").addEventListener("keydown", event => event.key === "Enter" && this.trySkip());
    at("skips").append(...SKIPS.map(words => button(words, () => this.skip(words))));
    at("reasons").append(...REASONS.map((words, i) => button(words, () => this.choose(i), "false")));
    for (const [id, every] of [["cut-one", false], ["cut-all", true]]) at(id).addEventListener("click", () => { this.cut(at("depth").value, every); at("depth").value = ""; });
    at("sound").addEventListener("click", () => this.showSound(this.sound.toggle()));
    at("close").addEventListener("click", () => { this.close(); at("bench").querySelector('[data-do="more"]').focus(); });
    at("looks-close").addEventListener("click", () => { this.close(); at("sent").focus(); });
    at("sent").addEventListener("click", () => (this.open === "looks" ? this.close() : this.only("looks")));
    at("resend").addEventListener("click", () => this.outbox.flush());
    this.showSound(this.sound.on);
    this.showKeys();
  }

  only(name) {
    this.open = name === "pad" ? "" : name;
    at("bench").classList.toggle("asking", name === "ask");
    for (const one of ["pad", "ask", "more", "looks"]) at(one).hidden = one !== name;
    at("bench").querySelector('[data-do="more"]').setAttribute("aria-expanded", name === "more");
  }

  close() {
    this.only(this.asking() ? "ask" : "pad"); // a question that waits is come back to
    this.learning = null;
  }

  toggle() {
    if (this.open === "more") return this.close();
    this.only("more");
    const { walk } = this, cell = walk.armed ?? walk.cells[0];
    this.wanted = { section: cell.section, strip: cell.strip };
    this.showPlaces();
  }

  showPlaces() {
    const { cells } = this.walk;
    const sections = new Set(cells.map(one => one.section)).size;
    const names = [...new Map(cells.map(one => [`${one.section}/S${one.strip}`, one])).values()];
    at("strips").replaceChildren(...names.map(one => button(sections > 1 ? `${one.section} ${one.strip}` : `strip ${one.strip}`, () => {
      this.wanted = one;
      this.showPlaces();
    }, String(one.section === this.wanted.section && one.strip === this.wanted.strip))));
    const here = cells.filter(one => one.section === this.wanted.section && one.strip === this.wanted.strip);
    at("stations").replaceChildren(...here.map(one => button(one.station, () => this.go(one.spot), String(one.spot === this.walk.spot))));
  }

  ask(one) {
    at("question").textContent = one.words;
    at("reasons").hidden = at("why").parentElement.hidden = !one.doubt;
    at("drop").textContent = one.theirs ? "Leave theirs" : "Read again";
    at("why").value = "";
    this.choose(-1);
    this.only("ask");
  }

  choose(which) {
    this.reason = which;
    at("keep").textContent = "Keep it"; // whatever was wanted before
    [...at("reasons").children].forEach((one, i) => one.setAttribute("aria-pressed", String(i === which)));
    if (which >= 0) at("why").value = "";
  }

  turn(by) {
    if (at("reasons").hidden) return;
    this.choose((this.reason + by + REASONS.length + (this.reason < 0 && by < 0 ? 1 : 0)) % REASONS.length);
  }

  why() { return at("reasons").hidden ? "" : REASONS[this.reason] ?? at("why").value.trim(); }

  want() { at("keep").textContent = "Say why first"; }

  trySkip() {
    const why = at("skip-why").value.trim();
    if (!why) return at("skip-why").focus();
    at("skip-why").value = "";
    this.skip(why);
  }

  showSound(on) {
    at("sound").textContent = on ? "sound on" : "sound off";
    at("sound").setAttribute("aria-pressed", String(on));
  }

  // The four keys, each of which a pedal may have another of.
  name(key) {
    if (this.learning) {
      this.keys[this.learning] = key;
      keeping.set("bench keys", this.keys);
      this.learning = null;
      this.showKeys();
      return "learnt";
    }
    return Object.keys(this.keys).find(one => this.keys[one] === key);
  }

  showKeys() {
    at("keys").replaceChildren(...Object.keys(KEYS).map(one => button(
      this.learning === one ? `${CALLED[one]}: press it now` : `${CALLED[one]}: ${this.keys[one]}`,
      () => { this.learning = one; this.showKeys(); document.activeElement.blur(); },
    )));
  }

  able(words) {
    this.said.set(words.split(" ").slice(0, 3).join(" "), words);
    at("able").replaceChildren(...[...this.said.values()].map(one => Object.assign(document.createElement("li"), { textContent: `${one[0].toUpperCase()}${one.slice(1)}.` })));
  }

  sent(words, { look, waiting, late }) {
    const box = at("sent"), shape = look ? "M6 1 11.2 10.8H.8z" : waiting ? "M6 1.4a4.6 4.6 0 0 1 0 9.2z" : "";
    const state = `${words}${shape}${late}`;
    if (box.dataset.state === state) return;
    box.dataset.state = state;
    box.textContent = late ? `${words}: not in the shop` : words;
    box.classList.toggle("late", late || look);
    const ring = look ? `<path d="${shape}"/>` : `<circle cx="6" cy="6" r="4.6" class="${waiting ? "" : "full"}"/>${shape ? `<path d="${shape}" class="full"/>` : ""}`;
    box.insertAdjacentHTML("beforeend", `<svg viewBox="0 0 12 12" aria-hidden="true">${ring}</svg>`);
  }

  list(data) {
    const state = JSON.stringify(this.outbox.items.map(one => [one.n, one.state]));
    if (this.listed === state + this.outbox.fault) return;
    this.listed = state + this.outbox.fault;
    const rows = [...this.outbox.looks, ...this.outbox.waiting].map(item => {
      const row = document.createElement("li");
      const what = item.body.typed ?? { skip: "left out", undo: "taken back", round: "a round" }[item.kind];
      const cell = item.rod === data.code && this.walk.bySpot.get(item.spot);
      const place = cell ? `${cell.section}, strip ${cell.strip}, station ${cell.station}` : `${item.rod} ${item.spot ?? item.body.section ?? ""}`;
      row.append(Object.assign(document.createElement("b"), { textContent: `${place}: ${what}` }));
      row.append(item.state === "look" ? `${item.said.words}. ${item.said.remedy ?? ""}` : `waits since ${clock(item.made)}`);
      if (item.state === "look") {
        const buttons = document.createElement("div");
        buttons.className = "row";
        const change = { ...(item.kind === "reading" ? { confirmed: true, why: "kept after a look" } : {}), ...(item.said.entry ? { seen: item.said.entry } : {}) };
        buttons.append(button("Keep it", () => this.outbox.again(item, change)), twice("Let it go", "Let it go for good", () => this.outbox.letGo(item)));
        row.append(buttons);
      }
      return row;
    });
    const { waiting: { length: many }, fault, store } = this.outbox;
    if (many) {
      const kept = store.lasting ? "kept on this tablet" : "lost when this page is closed; until then it is kept";
      const said = `${fault ? `${fault[0].toUpperCase()}${fault.slice(1)}. ` : ""}What waits is ${kept}, and goes to the shop by itself. Read on.`;
      rows.unshift(Object.assign(document.createElement("li"), { textContent: said }));
    }
    if (!rows.length) rows.push(Object.assign(document.createElement("li"), { textContent: "Everything typed here is in the shop." }));
    at("look-list").replaceChildren(...rows);
  }
}
