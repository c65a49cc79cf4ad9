// A gauge that types like a keyboard: its keystrokes are put together wherever the focus is, except in a text field.
// A reading ends with Enter, Tab or 80 ms of silence; half of one is worse than none.

import { session } from "./keeping.js";

export const GAP = 80; // ms of silence that end a reading
const STALL = 300; // ms a radio may hesitate inside one
const LONGEST_STALL = 1000; // ms after which what is there already was no part of it
const FAST = 55; // ms from key to key in the middle: no hand types so
const SHORTEST = 4; // keys of a reading that silence may end

export function isText(element) {
  if (!element) return false;
  if (element.isContentEditable || element.tagName === "TEXTAREA") return true;
  return element.tagName === "INPUT" && !["button", "checkbox", "radio", "submit", "reset", "range", "color", "file"].includes(element.type);
}

const middle = gaps => [...gaps].sort((a, b) => a - b)[gaps.length >> 1];

export class Wedge {
  // typed(draft) shows what is there so far; take(raw) gets a reading; twice(first, second) two that came as one;
  // broken(first, rest) the rest of one that was taken too early; press(name, event) a key that is no character,
  // true if it was used.
  constructor(said) {
    this.said = said;
    this.draft = "";
    this.burst = null;
    this.taken = null;
    this.ends = session.get("gauge ends") === "yes"; // this gauge is known to end its readings itself
    addEventListener("keydown", event => this.key(event), true);
  }

  set(draft) { this.draft = draft; this.burst = null; this.taken = null; clearTimeout(this.timer); }

  fast(burst) { return burst.gaps.length > 0 && middle(burst.gaps) <= FAST; }

  goesOn(t) {
    if (!this.burst) return false;
    const gap = t - this.burst.last;
    return gap <= GAP || (gap <= STALL && this.fast(this.burst));
  }

  key(event) {
    if (isText(event.target) || event.ctrlKey || event.metaKey || event.altKey || event.isComposing) return;
    const t = event.timeStamp, key = event.key;
    if (key.length === 1) return this.character(event, key, t);
    if (key === "Enter" || key === "Tab") return this.end(event, key, t);
    if (["Shift", "CapsLock", "NumLock"].includes(key)) return;
    if (key === "Backspace" && this.draft) {
      event.preventDefault();
      this.set(this.draft.slice(0, -1));
      return this.said.typed(this.draft);
    }
    if (this.said.press(key, event)) { event.preventDefault(); event.stopPropagation(); }
  }

  character(event, key, t) {
    if (key === " " && !this.goesOn(t)) return;
    event.preventDefault();
    event.stopPropagation();
    if (this.taken && t - this.taken.last <= STALL) { // it was not over yet
      this.taken.rest = (this.taken.rest ?? "") + key;
      this.taken.last = t;
      clearTimeout(this.timer);
      this.timer = setTimeout(() => this.tooEarly(), GAP);
      return;
    }
    this.taken = null;
    if (this.goesOn(t)) {
      this.burst.gaps.push(t - this.burst.last);
      this.burst.keys += key;
    } else {
      const one = this.burst && t - this.burst.last <= LONGEST_STALL; // still the same reading, after a long breath
      this.burst = { keys: key, before: one ? this.burst.before : this.draft, gaps: [] };
    }
    this.burst.last = t;
    this.draft += key;
    this.said.typed(this.draft);
    clearTimeout(this.timer);
    this.timer = setTimeout(() => this.silence(), GAP + 5);
  }

  end(event, key, t) {
    const burst = this.burst, sent = burst && this.goesOn(t) && burst.keys.length >= 2 && this.fast(burst);
    if (this.taken?.rest) { event.preventDefault(); this.learn(); return this.tooEarly(); }
    if (!this.draft || (key === "Tab" && !sent)) {
      if (this.taken && t - this.taken.last <= STALL) { event.preventDefault(); event.stopPropagation(); this.learn(); this.taken = null; return; }
      if (key === "Enter" && this.said.press(key, event)) { event.preventDefault(); event.stopPropagation(); }
      return;
    }
    event.preventDefault();
    event.stopPropagation();
    const raw = this.draft;
    this.set("");
    if (sent) this.learn();
    if (sent && burst.before && burst.keys.length >= SHORTEST) return this.said.twice(burst.before, burst.keys);
    this.said.take(raw);
  }

  silence() {
    const burst = this.burst;
    if (this.ends || !burst || burst.keys.length < SHORTEST || !this.fast(burst) || !/[0-9]/.test(burst.keys)) return;
    const { before, keys, last } = burst, raw = this.draft;
    this.set("");
    if (before) return this.said.twice(before, keys);
    this.taken = { raw, last };
    this.said.take(raw);
  }

  tooEarly() {
    const { raw, rest } = this.taken;
    this.set("");
    this.said.broken(raw, rest);
  }

  learn() {
    this.ends = true;
    session.set("gauge ends", "yes");
  }
}
