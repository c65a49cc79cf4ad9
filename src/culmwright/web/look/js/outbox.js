// What was typed and is not in the shop yet. It lies in the tablet's own store until the shop has answered for it:
// written through to the disk, sent in the order typed, one after the other, and let go only when it is answered for.

import { patience } from "./keeping.js";

const STORE = "waiting";
const OPENING = 8000; // ms for the store; what lies in it is sent when the page is loaded again
const PATIENCE = 8000; // ms for one answer
const WRITING = 3000; // ms for the store to take one
const PAUSES = [500, 1000, 2000, 4000, 8000]; // ms between tries

const done = request => new Promise((yes, no) => {
  request.onsuccess = () => yes(request.result);
  request.onerror = () => no(request.error);
});
const ended = deal => new Promise((yes, no) => {
  deal.oncomplete = () => yes();
  deal.onabort = deal.onerror = () => no(deal.error);
});

class Memory { // Plan B where the browser keeps no store for this page: as long as the page lives
  constructor() { this.rows = new Map(); this.next = 1; this.lasting = false; }
  async all() { return [...this.rows.values()].sort((a, b) => a.n - b.n).map(one => structuredClone(one)); }
  async add(item) { const n = this.next++; this.rows.set(n, { ...item, n }); return n; }
  async put(item) { this.rows.set(item.n, structuredClone(item)); }
  async drop(n) { this.rows.delete(n); }
}

class Disk {
  constructor(name, base) { Object.assign(this, { name, base, lasting: true }); }
  static async open(name) { return new Disk(name, await Disk.base(name)); }
  static base(name) {
    return new Promise((yes, no) => {
      const asked = indexedDB.open(name, 1);
      asked.onupgradeneeded = () => asked.result.createObjectStore(STORE, { keyPath: "n", autoIncrement: true });
      asked.onsuccess = () => yes(asked.result);
      asked.onerror = () => no(asked.error);
      asked.onblocked = () => no(new Error("blocked"));
      setTimeout(() => no(new Error("the store does not open")), OPENING);
    });
  }
  async all() { return done(this.base.transaction(STORE).objectStore(STORE).getAll()); }
  async write(act) {
    try { return await this.deal(act); } catch { // a tablet that slept may have let go of the store: open it once more
      this.base = await Disk.base(this.name);
      return this.deal(act);
    }
  }
  async deal(act) {
    const deal = this.base.transaction(STORE, "readwrite", { durability: "strict" });
    const asked = act(deal.objectStore(STORE));
    await ended(deal);
    return asked.result;
  }
  add(item) { return this.write(store => store.add(item)); }
  put(item) { return this.write(store => store.put(item)); }
  drop(n) { return this.write(store => store.delete(n)); }
}

export function newId() { // randomUUID is not there on plain http
  return [...crypto.getRandomValues(new Uint8Array(16))].map(one => one.toString(16).padStart(2, "0")).join("");
}

export class Outbox {
  // token() gives the page's token, renew() asks the shop for a fresh one; changed() is called after every change,
  // answered(item, answer) when the shop has answered for an item.
  constructor({ token, renew, changed = () => {}, answered = () => {}, name = "culmwright bench" }) {
    Object.assign(this, { token, renew, changed, answered, name });
    this.items = [];
    this.spare = 0;
    this.failed = 0;
    this.fault = "";
    this.running = null;
    this.timer = 0;
  }

  async open() {
    try {
      this.store = await Disk.open(this.name);
      this.items = await this.store.all();
    } catch { this.store = new Memory(); }
    this.lasting = false;
    navigator.storage?.persist?.().then(granted => { this.lasting = granted && this.store.lasting; this.changed(); }, () => {});
    addEventListener("online", () => this.flush());
    addEventListener("pageshow", () => this.flush());
    document.addEventListener("visibilitychange", () => document.hidden || this.flush());
    setInterval(() => this.waiting.length && this.flush(), 5000);
    this.changed();
    this.flush();
  }

  get waiting() { return this.items.filter(one => one.state === "waiting"); }
  get looks() { return this.items.filter(one => one.state === "look"); }
  get loose() { return this.items.some(one => one.n < 0); }
  get offline() { return this.failed > 0; }
  get oldest() { return this.waiting.length ? Math.min(...this.waiting.map(one => one.made)) : null; }

  // Keeps {id, path, body, …} on the tablet; when this returns, the tablet has it. One its store has no room for is held
  // by this page alone, sent all the same, and `loose` says so until it is answered for.
  async keep(item) {
    const whole = { ...item, made: Date.now(), state: "waiting" };
    whole.n = await this.stored(() => this.store.add(whole)) ?? (this.spare -= 1);
    this.items.push(whole);
    this.changed();
    return whole;
  }

  // What the store says; undefined where it cannot, or takes too long.
  stored(act) {
    return Promise.race([act(), new Promise(yes => { setTimeout(yes, WRITING); })]).catch(() => undefined);
  }

  async letGo(item) {
    if (item.n > 0) await this.stored(() => this.store.drop(item.n)); // one that stays is sent again, and is the same
    this.items = this.items.filter(one => one.n !== item.n);
    this.changed();
  }

  // Sends what needed a look once more, with what was answered to the question.
  async again(item, change) {
    const { n, said, state, made, ...rest } = item;
    await this.keep({ ...rest, body: { ...item.body, ...change } });
    await this.letGo(item);
    return this.flush();
  }

  flush() {
    if (!this.running) this.running = this.run().finally(() => { this.running = null; });
    return this.running;
  }

  async run() {
    clearTimeout(this.timer);
    for (let item; (item = this.waiting[0]);) {
      const answer = await this.send(item);
      if (!answer) {
        this.failed += 1;
        this.timer = setTimeout(() => this.flush(), PAUSES[Math.min(this.failed, PAUSES.length) - 1]);
        this.changed();
        return;
      }
      this.failed = 0;
      this.fault = "";
      if (answer.look) {
        const looked = { ...item, state: "look", said: answer };
        if (item.n > 0) await this.stored(() => this.store.put(looked));
        this.items = this.items.map(one => (one.n === item.n ? looked : one));
        this.changed();
        this.answered(looked, answer);
      } else {
        for (const same of this.items.filter(one => one.id === item.id)) await this.letGo(same);
        this.answered(item, answer);
      }
    }
    this.changed();
  }

  // The shop's answer, or null where there was none: then it stays and is sent again.
  async send(item, renewed = false) {
    let response, said;
    try {
      response = await fetch(item.path, {
        method: "POST",
        headers: { "content-type": "application/json", "x-culmwright-token": this.token() },
        body: JSON.stringify(item.body),
        signal: patience(PATIENCE),
        cache: "no-store",
      });
      said = await response.json();
    } catch {
      this.fault = response ? "something else answers in the shop's place" : "the shop does not answer";
      return null;
    }
    if (response.status === 403) {
      if (!renewed && await this.renew()) return this.send(item, true);
      this.fault = said.remedy || said.title || "the shop does not know this page: load it again";
      return null;
    }
    if (response.ok && said.id === item.id) return { ...said, look: said.said === "held" };
    if ([400, 404, 409, 413, 422].includes(response.status) && said.title) return { ...said, said: "refused", words: said.title, look: true };
    this.fault = said.title || `the shop answers ${response.status}`;
    return null;
  }
}
