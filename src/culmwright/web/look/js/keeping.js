// What a browser keeps of a page over a reload. One that keeps nothing, or has no room left, forgets and never stops.

class Keeping {
  constructor(name) {
    try { this.store = globalThis[name]; } catch { this.store = null; } // a browser may refuse even to name it
  }

  // What was kept under a name; `otherwise` where nothing is, or nothing that can be read.
  get(name, otherwise = null) {
    try { return JSON.parse(this.store.getItem(name)) ?? otherwise; } catch { return otherwise; }
  }

  set(name, value) {
    try { this.store.setItem(name, JSON.stringify(value)); } catch { /* forgotten at the next reload */ }
  }
}

export const keeping = new Keeping("localStorage");
export const session = new Keeping("sessionStorage");

// A signal that gives up after so many ms, in older browsers too.
export function patience(ms) {
  if (AbortSignal.timeout) return AbortSignal.timeout(ms);
  const giving = new AbortController();
  setTimeout(() => giving.abort(), ms);
  return giving.signal;
}
