// Curves on the rod's own axis, drawn as SVG from numbers: the same frame as the charts the server draws.
import { rule } from "./station.js";

const NS = "http://www.w3.org/2000/svg";
const phone = matchMedia("(max-width: 640px)");
export const onWidth = (call) => phone.addEventListener("change", call);

export function make(kind, attributes = {}, words) {
  const one = document.createElementNS(NS, kind);
  for (const [name, value] of Object.entries(attributes)) one.setAttribute(name, value);
  if (words !== undefined) one.textContent = words;
  return one;
}

// Between three and seven figures on an axis.
export function nice(low, high) {
  const most = (high - low) / 3 || 1;
  const power = 10 ** Math.floor(Math.log10(most) + 1e-9);
  const step = [5, 2, 1].map((one) => one * power).find((one) => one <= most * (1 + 1e-9));
  const places = Math.max(0, -Math.floor(Math.log10(step) + 1e-9));
  const found = [];
  for (let value = Math.ceil(low / step) * step; value <= high + step * 1e-9; value += step) found.push([value, value.toFixed(places)]);
  return found;
}

// A frame under the ruler. Values grow upwards from `low` to `high`; `draw` fills it.
export class Frame {
  constructor(host, { height, label }) {
    this.host = host;
    this.height = height;
    this.label = label;
    this.parts = { wide: document.createElement("div"), narrow: document.createElement("div") };
    for (const [kind, part] of Object.entries(this.parts)) part.className = kind;
    host.replaceChildren(this.parts.wide, this.parts.narrow);
  }

  open(low, high, height = this.height) {
    const kind = phone.matches ? "narrow" : "wide";
    [this.width, this.left, this.right] = rule.margins[kind];
    [this.low, this.high, this.tall] = [low, high, height];
    const svg = make("svg", { viewBox: `0 0 ${this.width} ${height}`, role: "group", "aria-label": this.label });
    const old = this.parts[kind].querySelector("svg");
    if (old) old.replaceWith(svg); else this.parts[kind].prepend(svg);
    this.svg = svg;
    return svg;
  }

  x(station) { return this.left + (this.width - this.left - this.right) * (station / rule.length); }
  y(value) { return this.tall - 5 - (this.tall - 12) * ((value - this.low) / (this.high - this.low)); }
  station(x) { return ((x - this.left) / (this.width - this.left - this.right)) * rule.length; }
  value(y) { return this.low + ((this.tall - 5 - y) / (this.tall - 12)) * (this.high - this.low); }

  grid() {
    for (const [value, words] of nice(this.low, this.high)) {
      this.svg.append(make("line", { x1: this.left, x2: this.width - this.right, y1: this.y(value), y2: this.y(value), class: "hair" }));
      this.svg.append(make("text", { x: this.left - 10, y: this.y(value) + 4, "text-anchor": "end" }, words));
    }
    const step = (rule.unit === "in" ? 10 : 250) * (this.width > 500 ? 1 : 2);
    for (let at = 0; at <= rule.length + 1e-6; at += step) {
      this.svg.append(make("line", { x1: this.x(at), x2: this.x(at), y1: 6, y2: this.tall - 4, class: "hair" }));
    }
  }

  line(points, kind = "ln") {
    const at = points.map(([station, value]) => `${this.x(station).toFixed(2)},${this.y(value).toFixed(2)}`).join(" ");
    this.svg.append(make("polyline", { points: at, class: kind }));
  }

  level(value, words) {
    this.svg.append(make("line", { x1: this.left, x2: this.width - this.right, y1: this.y(value), y2: this.y(value), class: "limit" }));
    this.svg.append(make("text", { x: this.left + 4, y: this.y(value) - 5 }, words));
  }
}
