// Plan against actual on the strip's own axis: the target line, the limits, the readings, the pass before behind them;
// and the run of strips as a control chart.

import { digits } from "./reading.js";

const NS = "http://www.w3.org/2000/svg";
export function draw(parent, name, attributes = {}, text) {
  const made = document.createElementNS(NS, name);
  for (const [key, value] of Object.entries(attributes)) made.setAttribute(key, value);
  if (text !== undefined) made.textContent = text;
  parent.append(made);
  return made;
}

// A verdict as a shape: a disc on size, else a triangle that points the way, open inside, barred beyond the stop limit.
export function shape(parent, verdict, x, y, size) {
  const g = draw(parent, "g", { transform: `translate(${x} ${y})` });
  const open = verdict.shape.startsWith("open") ? " open" : "", stop = verdict.level === "stop" ? " stop" : "";
  if (verdict.shape === "disc") draw(g, "circle", { r: size * 0.8, class: "shape" });
  else {
    const up = verdict.shape.endsWith("up") ? 1 : -1;
    draw(g, "path", { d: `M0 ${-size * up}L${size} ${size * 0.75 * up}H${-size}Z`, class: `shape${open}${stop}` });
    if (verdict.shape.startsWith("barred")) draw(g, "path", { d: `M${-size} ${-size * 1.35 * up}H${size}`, class: `shape${stop}` });
  }
  return g;
}

export function icon(verdict) {
  const svg = document.createElementNS(NS, "svg");
  svg.setAttribute("viewBox", "-12 -14 24 28");
  shape(svg, verdict, 0, 0, 9.5);
  return svg;
}

function canvas(where, least) {
  const width = where.clientWidth || 300, height = least || where.clientHeight || 100;
  where.replaceChildren();
  const svg = draw(where, "svg", { viewBox: `0 0 ${width} ${height}`, role: "img" });
  svg.style.height = `${height}px`;
  return [svg, width, height];
}

// cells of one strip, each {spot, station, place, armed, deviation or null, verdict, waiting, old}
export function plan(where, cells, walk, height, go) {
  const [svg, width] = canvas(where, height);
  const left = 8, right = 8, top = 18, bottom = 22;
  const first = Math.min(...cells.map(one => one.place)), last = Math.max(...cells.map(one => one.place));
  const margin = Math.min(34, width / (cells.length + 1) / 2);
  const x = place => left + margin + (last > first ? (place - first) / (last - first) : 0.5) * (width - left - right - 2 * margin);
  const [stopUnder, warnUnder, warnOver, stopOver] = walk.limits;
  const values = cells.flatMap(one => [one.deviation, one.old]).filter(one => one !== null && one !== undefined);
  const low = Math.min(-1.7 * (stopUnder ?? warnUnder ?? walk.small.worth), ...values);
  const high = Math.max(2.2 * (warnOver ?? stopOver ?? walk.small.worth), ...values.map(one => one * 1.06));
  const y = value => top + (high - value) / (high - low) * (height - top - bottom);
  svg.setAttribute("aria-label", `Over or under target along strip ${cells[0].strip} of ${cells[0].section}`);
  const [bandTop, bandBottom] = [y(warnOver ?? stopOver ?? 0), y(-(warnUnder ?? stopUnder ?? 0))];
  draw(svg, "rect", { x: left, width: width - left - right, y: bandTop, height: Math.max(bandBottom - bandTop, 1), class: "band" });
  if (stopUnder !== null) draw(svg, "line", { x1: left, x2: width - right, y1: y(-stopUnder), y2: y(-stopUnder), class: "stop-edge" });
  if (stopOver !== null) draw(svg, "line", { x1: left, x2: width - right, y1: y(stopOver), y2: y(stopOver), class: "stop-edge" });
  draw(svg, "line", { x1: left, x2: width - right, y1: y(0), y2: y(0), class: "aim" });
  const armed = cells.find(one => one.armed);
  if (armed) {
    draw(svg, "line", { x1: x(armed.place), x2: x(armed.place), y1: 8, y2: height - bottom + 4, class: "armed-line" });
    draw(svg, "path", { d: `M${x(armed.place) - 9} 0h18l-9 11z`, class: "armed-mark" });
  }
  const line = (points, name) => points.length > 1 && draw(svg, "polyline", { points: points.map(one => one.join()).join(" "), class: name });
  line(cells.filter(one => one.old !== undefined).map(one => [x(one.place), y(one.old)]), "old");
  for (const one of cells) if (one.old !== undefined) draw(svg, "rect", { x: x(one.place) - 3.5, y: y(one.old) - 3.5, width: 7, height: 7, class: "old" });
  line(cells.filter(one => one.deviation !== null).map(one => [x(one.place), y(one.deviation)]), "now");
  const every = Math.ceil(46 / ((width - 2 * margin) / Math.max(cells.length - 1, 1)));
  cells.forEach((one, at) => {
    draw(svg, "line", { x1: x(one.place), x2: x(one.place), y1: y(0) - 4, y2: y(0) + 4, class: "tick" });
    if (one.verdict) shape(svg, one.verdict, x(one.place), y(one.deviation), one.armed ? 9 : 7.5);
    if (one.waiting) draw(svg, "circle", { cx: x(one.place), cy: one.deviation === null ? y(0) : y(one.deviation), r: 13, class: "wait" });
    if (one.left) draw(svg, "text", { x: x(one.place), y: y(0) - 8, "text-anchor": "middle" }, "left out");
    if (at % every === 0 || one.armed) draw(svg, "text", { x: x(one.place), y: height - 5, "text-anchor": "middle", class: one.armed ? "k" : "" }, one.station);
  });
  const said = walk.limits[2] ?? walk.limits[1];
  const band = `band ${digits(-(warnUnder ?? stopUnder ?? 0), walk.small)} to +${digits(said ?? 0, walk.small)}`;
  const caption = width < 500 ? `${band} ${walk.small.unit}` : `${walk.small.unit} over and under; ${band}`;
  if (height > 80) draw(svg, "text", { x: armed && x(armed.place) > width / 2 ? left : width - right, y: 12, "text-anchor": armed && x(armed.place) > width / 2 ? "start" : "end" }, caption);
  const wide = (width - 2 * margin) / Math.max(cells.length - 1, 1);
  for (const one of cells) {
    const tap = draw(svg, "rect", { x: x(one.place) - wide / 2, width: wide, y: 0, height, class: "tap" });
    tap.addEventListener("click", () => go(one.spot));
  }
}

// The run of strips: mean deviations in the order read, centre and limits; words say what they say.
export function run(where, seen, walk) {
  if (seen.values.length < 2 && !seen.words.length) return; // a heading over nothing
  const heading = document.createElement("h2");
  heading.textContent = `The run of ${seen.section}, ${walk.small.unit}`;
  const box = document.createElement("div");
  const said = seen.words.map(words => Object.assign(document.createElement("p"), { textContent: words }));
  where.append(heading, box, ...said);
  if (seen.values.length < 2) return box.remove();
  const [svg, width, height] = canvas(box, 150);
  svg.setAttribute("aria-label", `Control chart of the strips of ${seen.section}`);
  const ends = [...seen.values, seen.lower ?? 0, seen.upper ?? 0, 0];
  const low = Math.min(...ends), high = Math.max(...ends), span = high - low || 1;
  const left = 92, right = 12, x = at => left + 20 + at / Math.max(seen.values.length - 1, 1) * (width - left - right - 40);
  const y = value => 14 + (high - value) / span * (height - 46);
  const level = (value, name, words) => {
    draw(svg, "line", { x1: left, x2: width - right, y1: y(value), y2: y(value), class: name });
    draw(svg, "text", { x: left - 8, y: y(value) + 4, "text-anchor": "end" }, words);
  };
  const apart = (a, b) => Math.abs(y(a) - y(b)) > 15;
  if (seen.centre !== null) {
    level(seen.upper, "edge", `limit ${digits(seen.upper, walk.small)}`);
    level(seen.lower, "edge", `limit ${digits(seen.lower, walk.small)}`);
    if (apart(seen.centre, seen.upper)) level(seen.centre, "now", `mean ${digits(seen.centre, walk.small)}`);
    if ([seen.centre, seen.lower, seen.upper].every(one => apart(one, 0))) level(0, "aim", "target");
  }
  draw(svg, "polyline", { points: seen.values.map((one, at) => `${x(at)},${y(one)}`).join(" "), class: "old" });
  seen.values.forEach((one, at) => {
    const out = seen.centre !== null && (one > seen.upper || one < seen.lower);
    shape(svg, { shape: out ? "triangle up" : "disc", level: out ? "stop" : "in" }, x(at), y(one), 6);
    draw(svg, "text", { x: x(at), y: height - 6, "text-anchor": "middle" }, seen.labels[at]);
  });
}
