// The rod bent under a load, to scale on the ruler's own axis, the grip at its butt end.
import { make } from "./curves.js";
import { rule } from "./station.js";

export function drawBend(host, said, bend, frame, length) {
  const words = bend.reason ? `no rest was found: ${bend.reason}` : bend.words;
  said.textContent = `${words[0].toUpperCase()}${words.slice(1)}.`;
  if (bend.reason) { host.replaceChildren(); return; }
  const points = bend.x_m.map((x, i) => [x, bend.y_m[i]]);
  const free = length - rule.grip;
  const pixels = (frame.width - frame.left - frame.right) / (rule.length * rule.si);
  const drop = Math.max(0, ...points.map(([, y]) => -y)) * pixels;
  const top = 14;
  const svg = make("svg", { viewBox: `0 0 ${frame.width} ${(top + drop + 22).toFixed(1)}`, role: "img", "aria-label": bend.words });
  const place = ([x, y]) => [frame.left + (free - x) * pixels, top - y * pixels];
  const clamp = frame.left + free * pixels;
  svg.append(make("line", { x1: frame.left, x2: clamp, y1: top, y2: top, class: "ln2" }));
  svg.append(make("polyline", { points: points.map((one) => place(one).map((at) => at.toFixed(2)).join(",")).join(" "), class: "ln" }));
  svg.append(make("rect", { x: clamp, y: top - 5, width: Math.max(frame.width - frame.right - clamp, 0), height: 10, class: "held" }));
  const [x, y] = place(points.at(-1));
  svg.append(make("path", { d: `M${x} ${y}v10m-4 -5l4 6 4 -6`, class: "ln" }));
  host.replaceChildren(svg);
}
