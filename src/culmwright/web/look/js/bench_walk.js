// The walk as the tablet knows it: the cells in order, what counts in each (in the shop, or still waiting here), the
// one that is armed, and what this hand did last.

import { keeping } from "./keeping.js";

export class Walk {
  constructor(data) {
    this.data = data;
    this.cells = data.cells;
    this.bySpot = new Map(this.cells.map((cell, at) => [cell.spot, { ...cell, at }]));
    this.name = `bench ${data.code} ${data.stage} ${data.cut} ${this.cells[0]?.spot} ${this.cells.at(-1)?.spot} ${this.cells.length}`;
    this.seq = -1;
    this.counted = new Map();
    this.mine = keeping.get(`${this.name} mine`, []);
    this.refresh(data.recent);
  }

  // What the shop says counts now; an answer older than one already heard is not believed, unless the shop was opened
  // anew: a backup may have been put back.
  refresh(recent, anew = false) {
    if (recent.seq < this.seq && !anew) return false;
    this.seq = recent.seq;
    this.counted = new Map(recent.counted.filter(one => this.bySpot.has(one.spot)).map(one => [one.spot, one]));
    this.runs = recent.runs;
    return true;
  }

  kept(spot, entry, seq) {
    this.seq = Math.max(this.seq, seq ?? 0);
    this.counted.set(spot, { ...entry, spot, seq });
  }

  // Lays what waits on the tablet over what counts in the shop.
  standing(items) {
    const found = new Map(this.counted);
    for (const item of items) {
      if (item.rod !== this.data.code || item.state !== "waiting") continue;
      if (item.kind === "undo") {
        for (const [spot, one] of found) if (one.id === item.body.entry) found.delete(spot);
      } else if (item.spot && item.body.stage === this.data.stage && item.body.cut === this.data.cut && this.bySpot.has(item.spot)) {
        found.set(item.spot, { spot: item.spot, id: item.id, value: item.value ?? null, text: item.body.typed ?? "", why: item.body.why, waiting: true, seq: Infinity });
      }
    }
    return found;
  }

  get armed() { return this.spot ? this.bySpot.get(this.spot) : null; }

  arm(spot) {
    this.spot = spot;
    keeping.set(`${this.name} at`, spot ?? "");
  }

  // The first open cell from a place on, round past the end.
  open(standing, from) {
    for (let i = 0; i < this.cells.length; i++) {
      const cell = this.cells[(from + i) % this.cells.length];
      if (!standing.has(cell.spot)) return cell.spot;
    }
    return null;
  }

  begin(standing) {
    const before = keeping.get(`${this.name} at`);
    this.arm(before && this.bySpot.has(before) && !standing.has(before) ? before : this.open(standing, 0));
  }

  step(by) {
    const at = this.armed ? this.armed.at + by : by > 0 ? 0 : this.cells.length - 1;
    this.arm(this.cells[(at + this.cells.length) % this.cells.length].spot);
  }

  did(id, spot) {
    this.mine = [...this.mine, { id, spot }].slice(-100);
    keeping.set(`${this.name} mine`, this.mine);
  }

  // The newest entry that still counts, one's own before another hand's.
  newest(standing) {
    const ids = new Map([...standing.values()].map(one => [one.id, one]));
    while (this.mine.length) {
      const last = this.mine.pop();
      keeping.set(`${this.name} mine`, this.mine);
      if (ids.has(last.id)) return ids.get(last.id);
    }
    return [...standing.values()].reduce((best, one) => (!best || one.seq > best.seq ? one : best), null);
  }
}
