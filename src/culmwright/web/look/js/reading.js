// Reads what was typed, by the grammar the workshop sends along, and compares it with an aim, in the workshop's words.
// Lengths are exact: a whole number over another, in nanometres.

const whole = pattern => new RegExp(`^(?:${pattern})$`, "is");

export class Unreadable extends Error {}

function times([n, d], unit) {
  const top = n * BigInt(unit), common = gcd(top < 0n ? -top : top, d);
  return [top / common, d / common];
}
function gcd(a, b) { while (b) [a, b] = [b, a % b]; return a || 1n; }

export class Reader {
  constructor(grammar) {
    this.grammar = grammar;
    const p = grammar.patterns;
    this.frame = whole(p.frame);
    this.body = whole(p.body);
    this.exponent = whole(p.exponent);
    this.front = whole(p.unit_in_front);
    this.cutOff = new RegExp(p.cut_off);
    this.single = whole(p.single);
    this.feet = whole(p.feet);
    this.mixed = whole(p.mixed);
    this.mixedVulgar = whole(p.mixed_vulgar);
    this.ratio = whole(p.ratio);
  }

  // {exact: [numerator, denominator] in nm, nm, unit, text}; throws Unreadable with the text shown raw.
  read(raw, bare) {
    try {
      return this.typed(raw, bare);
    } catch (fault) {
      if (!(fault instanceof Unreadable)) throw fault;
      throw new Unreadable(`${quoted(visible(raw.slice(0, this.grammar.longest)))} cannot be read as a reading. ${this.grammar.remedy}`);
    }
  }

  typed(raw, bare) {
    if ([...raw].length > this.grammar.longest) throw new Unreadable();
    const body = this.frame.exec(raw)?.groups.body ?? raw;
    const match = this.body.exec(body);
    if (match && !this.doubtful(match.groups)) {
      const g = match.groups, sent = g.unit?.toLowerCase();
      const unit = sent === '"' ? "in" : sent ?? bare;
      return this.made(this.decimal(g.number), g.sign === "-", unit, body);
    }
    if (this.cutOff.test(body)) throw new Unreadable();
    return this.length(body, bare);
  }

  doubtful(g) {
    const prefix = g.prefix ?? g.joined;
    if (prefix === undefined) return false;
    return this.exponent.test(prefix) || this.front.test(prefix) || (g.comma !== undefined && !g.sign && /^[0-9]+$/.test(g.number));
  }

  length(text, bare) {
    const tidy = [...text].map(one => this.grammar.plain[one] ?? one).join("").trim().toLowerCase();
    const feet = this.feet.exec(tidy)?.groups;
    if (feet) {
      const [n, d] = this.numeral(feet.number);
      if (n >= 12n * d) throw new Unreadable();
      return this.made([12n * BigInt(feet.feet) * d + n, d], feet.sign === "-", "in", text.trim());
    }
    const one = this.single.exec(tidy)?.groups;
    if (!one) throw new Unreadable();
    const unit = one.unit ? this.grammar.spelt[one.unit.replace(/\.+$/, "")] : bare;
    if (!unit) throw new Unreadable();
    const fraction = /\//.test(one.number) || [...one.number].some(mark => mark in this.grammar.vulgar);
    if (!one.unit && bare === "mm" && fraction) throw new Unreadable();
    return this.made(this.numeral(one.number), one.sign === "-", unit, text.trim());
  }

  decimal(text) {
    const [before, after = ""] = text.replace(",", ".").split(".");
    return [BigInt((before || "0") + after), 10n ** BigInt(after.length)];
  }

  numeral(text) {
    const big = one => BigInt(one);
    let m;
    if ((m = this.mixed.exec(text))) {
      const [w, top, bottom] = m.slice(1, 4).map(big);
      if (bottom === 0n || top >= bottom) throw new Unreadable();
      return [w * bottom + top, bottom];
    }
    if ((m = this.mixedVulgar.exec(text))) {
      const [top, bottom] = this.grammar.vulgar[m[2]].map(big);
      return [big(m[1]) * bottom + top, bottom];
    }
    if (text in this.grammar.vulgar) return this.grammar.vulgar[text].map(big);
    if ((m = this.ratio.exec(text))) {
      if (big(m[2]) === 0n) throw new Unreadable();
      return [big(m[1]), big(m[2])];
    }
    return this.decimal(text);
  }

  made([n, d], minus, unit, text) {
    const exact = times([minus ? -n : n, d], this.grammar.units[unit]);
    const found = { exact, nm: Number(exact[0]) / Number(exact[1]), unit, text };
    if (this.shown(found).length > this.grammar.longest) throw new Unreadable();
    return found;
  }

  // The exact text of a length, in its own unit: a decimal if it ends, else a ratio.
  shown({ exact: [n, d], unit }) {
    let bottom = d * BigInt(this.grammar.units[unit]);
    const common = gcd(n < 0n ? -n : n, bottom);
    const top = n / common;
    bottom /= common;
    let rest = bottom, places = 0;
    while (rest % 10n === 0n) { rest /= 10n; places += 1; }
    for (const prime of [2n, 5n]) while (rest % prime === 0n) { rest /= prime; places += 1; }
    if (rest !== 1n) return `${top}/${bottom} ${unit}`;
    const digits = String((top < 0n ? -top : top) * 10n ** BigInt(places) / bottom).padStart(places + 1, "0");
    let text = digits;
    if (places) text = `${digits.slice(0, -places)}.${digits.slice(-places)}`.replace(/0+$/, "").replace(/\.$/, "");
    return `${top < 0n ? "-" : ""}${text} ${unit}`;
  }
}

// A text in one pair of quotation marks, also where it came in a pair.
function quoted(text) {
  return text.length > 1 && text.startsWith('"') && text.endsWith('"') ? text : `"${text}"`;
}

export function visible(raw) {
  return [...raw].map(one => {
    const code = one.codePointAt(0);
    return code < 0x20 ? String.fromCharCode(0x2400 + code) : one;
  }).join("");
}

// Digits of a length [nm], rounded half away from zero as the workshop rounds.
export function digits(nm, { worth, places: most, trimmed, ruled }) {
  const sixteenths = 16 * nm / worth, places = ruled && Math.abs(sixteenths - Math.round(sixteenths)) >= 5e-4 ? 2 : most;
  const amount = Number((nm / worth).toPrecision(13)), size = Math.abs(amount);
  const [mantissa, power = "0"] = String(size).split("e");
  let text = size ? Math.round(Number(`${mantissa}e${Number(power) + places}`)).toFixed(0).padStart(places + 1, "0") : "0".repeat(places + 1);
  if (places) text = `${text.slice(0, -places)}.${text.slice(-places)}`;
  if (trimmed && places) text = text.replace(/0+$/, "").replace(/\.$/, "");
  return amount < 0 && /[1-9]/.test(text) ? `-${text}` : text;
}

// The verdict on a deviation [nm] and the words for it.
export function judge(deviation, place, { scale, small }) {
  let low = 0, high = scale.above.length - 1;
  while (low < high) {
    const half = (low + high + 1) >> 1;
    if (scale.above[half] <= deviation) low = half; else high = half - 1;
  }
  const verdict = scale.verdicts[scale.which[low]];
  const words = verdict.words.replace("{by}", amount(deviation, small)).replace("{where}", `station ${place}`);
  return { ...verdict, deviation, words };
}

export function amount(deviation, small) {
  const shown = digits(Math.abs(deviation), small);
  if (/[1-9]/.test(shown)) return `${shown} ${small.unit}`;
  return `less than ${digits(small.worth / 10 ** small.places, small)} ${small.unit}`;
}

// What else was read on the strip of a cell: {station, place, aim, nm}, from tip to butt.
export function others(cell, cells, standing) {
  return cells.filter(one => one.section === cell.section && one.strip === cell.strip && standing.get(one.spot)?.value != null)
    .map(one => ({ station: one.station, place: one.place, aim: one.aim, nm: standing.get(one.spot).value }))
    .sort((a, b) => a.place - b.place);
}

// What has to be asked before a reading is kept, or null: {words, doubt}, and astray where the same read again answers.
// The rules are told in the workshop's guards.
export function question(value, cell, last, walk, reader, beside = []) {
  const g = walk.guards, off = value.nm - cell.aim, same = g.same;
  const said = (name, more = {}) => {
    const fill = { value: reader.shown(value), wanted: `${cell.shown} ${walk.height.unit}`, by: `${digits(Math.abs(off), walk.small)} ${walk.small.unit}`, ...more };
    return { words: g.questions[name].replace(/\{(\w+)\}/g, (_, key) => fill[key]), doubt: name !== "repeat" };
  };
  if (last && last.exact[0] === value.exact[0] && last.exact[1] === value.exact[1] && last.elapsed <= g.repeat_within) return said("repeat");
  if (value.nm > g.off_by * cell.aim || value.nm * g.off_by < cell.aim) {
    if (Math.abs(value.nm / g.inch_in_mm - cell.aim) <= g.unit_within) return said(value.unit === "in" ? "mm on in" : "too large");
    if (Math.abs(value.nm * g.inch_in_mm - cell.aim) <= g.unit_within) return said(value.unit === "mm" ? "in on mm" : "too small");
  }
  if (!(value.nm > 0 && off >= -g.reach_under - same && off <= cell.reach + same)) {
    const digit = dropped(value, cell.aim, g.digit_within, reader.grammar.units);
    return said(digit ? "digit" : value.nm <= 0 ? "zero" : off > 0 ? "over" : "under", { digit });
  }
  const verdict = judge(off, cell.station, walk), doubt = verdict.needs_reason;
  const about = (name, one, by = 0) => ({ ...said(name, {
    there: `${digits(one.nm, walk.height)} ${walk.height.unit}`, station: one.station, by: `${digits(Math.abs(by), walk.small)} ${walk.small.unit}`,
  }), doubt, verdict, astray: true });
  const near = count => [...beside.filter(one => one.place < cell.place).slice(-count).reverse(), ...beside.filter(one => one.place > cell.place).slice(0, count)];
  const allowed = one => g.astray + g.astray_share * Math.max(one.nm - one.aim, 0);
  const all = near(g.beside);
  for (const one of near(1)) {
    const apart = Math.abs(off - (one.nm - one.aim)), here = one.nm - cell.aim, there = value.nm - one.aim, fits = g.exchanged_fit * apart + same;
    const third = all.some(it => Math.max(Math.abs(here - it.nm + it.aim), Math.abs(there - it.nm + it.aim)) <= fits);
    if (third && apart > g.exchanged_share * allowed(one) + same) return about("exchanged", one);
  }
  if (doubt) return { words: g.say_why.replace("{words}", verdict.words), doubt, verdict };
  const offs = all.map(one => beyond(value.nm, one.nm, one.nm + cell.aim - one.aim));
  if (!all.length || all.some((one, i) => Math.abs(offs[i]) <= allowed(one) + same)) return null;
  return about(offs[0] > 0 ? "more" : "less", all[0], offs[0]);
}

function beyond(value, one, other) { return value - Math.min(Math.max(value, Math.min(one, other)), Math.max(one, other)); }

function dropped(value, aim, within, units) {
  if (value.nm < 0) return 0;
  for (const power of [1, 10, 100]) {
    const unit = power * units[value.unit];
    if (value.nm >= unit) continue;
    for (let digit = 1; digit < 10; digit++) if (Math.abs(value.nm + digit * unit - aim) <= within) return digit;
  }
  return 0;
}
