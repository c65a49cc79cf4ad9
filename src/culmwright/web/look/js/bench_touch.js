// Staying in touch with the shop: what other hands did meanwhile, the page's token, the clocks, a screen that stays on.

import { patience } from "./keeping.js";
import { digits } from "./reading.js";

const EVERY = 1800; // ms between looks at the shop
const PATIENCE = 8000; // ms for one answer
const APART = 120000; // ms two clocks may differ before it is said

const meta = () => document.querySelector("meta[name=token]");
export const token = () => meta().content;

// A shop started anew gives its pages another token: this page asks for it, and need not be loaded again.
export async function renew() {
  try {
    const text = await (await fetch(location.href, { cache: "no-store", signal: patience(PATIENCE) })).text();
    const fresh = new DOMParser().parseFromString(text, "text/html").querySelector("meta[name=token]")?.content;
    if (!fresh) return false;
    meta().content = fresh;
    return true;
  } catch {
    return false;
  }
}

export class Touch {
  constructor({ walk, outbox, show, able, path }) {
    Object.assign(this, { walk, outbox, show, able, tag: "", era: "", looking: false, ahead: 0, timer: 0 });
    const sections = [...new Set(walk.cells.map(one => one.section))].map(one => `&section=${one}`).join("");
    this.address = `${path}?stage=${walk.data.stage}&cut=${walk.data.cut}${sections}`;
  }

  begin() {
    this.stayAwake();
    document.addEventListener("visibilitychange", () => {
      if (document.hidden) return;
      this.stayAwake();
      this.look();
      this.show();
    });
    setInterval(() => this.look(), EVERY);
    setInterval(() => {
      if (Math.abs(this.ahead) > APART) this.able(`this tablet's clock is ${digits(Math.abs(this.ahead) / 60000, { worth: 1, places: 0 })} min ${this.ahead > 0 ? "behind" : "ahead of"} the shop's`);
      if (this.outbox.waiting.length) this.show();
    }, 1000);
  }

  soon() {
    clearTimeout(this.timer);
    this.timer = setTimeout(() => this.look(), 300);
  }

  async look() {
    if (document.hidden || this.looking) return; // one at a time: a browser has few lines, and readings need them
    this.looking = true;
    try {
      const response = await fetch(this.address, { headers: this.tag ? { "if-none-match": this.tag } : {}, cache: "no-store", signal: patience(PATIENCE) });
      if (response.status === 200) {
        const recent = await response.json();
        this.tag = response.headers.get("etag") ?? "";
        this.ahead = recent.now - Date.now();
        const era = this.tag.split("-")[0], anew = this.era !== "" && era !== this.era;
        this.era = era;
        if (this.walk.refresh(recent, anew)) this.show();
      }
      if (response.status < 400 && this.outbox.waiting.length) this.outbox.flush();
    } catch {
      this.show();
    } finally {
      this.looking = false;
    }
  }

  async stayAwake() {
    try {
      const lock = await navigator.wakeLock.request("screen");
      this.able("the screen is kept awake");
      lock.addEventListener("release", () => this.able("the screen may go dark"));
    } catch {
      this.able(isSecureContext ? "the screen may go dark: set this tablet's display to stay on" : "a page without https cannot keep the screen awake: set this tablet's display to stay on");
    }
  }
}
