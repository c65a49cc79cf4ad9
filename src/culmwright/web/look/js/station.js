// A station picked on the rod's drawing is picked everywhere: one line through every chart, the rows of every table, the
// address (#25) and the links to the rod's other pages. The panel beside says its figures.
const ruler = document.querySelector(".ruler[data-stations]");
const SAME = 1e-6;

export const rule = ruler && {
  code: ruler.dataset.code,
  unit: ruler.dataset.unit,
  si: Number(ruler.dataset.si),
  length: Number(ruler.dataset.length),
  grip: Number(ruler.dataset.grip), // in metres, as the workshop reckons
  stations: ruler.dataset.stations.split(" ").map(Number),
  margins: { wide: [952, 44, 10], narrow: [358, 44, 10] },
};

let picked = null;
const heard = new Set();

export function onPick(call) { heard.add(call); }
export function now() { return picked; }

export function share(station, kind) {
  const [width, left, right] = rule.margins[kind];
  return (left + (width - left - right) * (station / rule.length)) / width;
}

function words(station) { return `station ${plain(station)} ${rule.unit}`; }
function plain(number) { return String(Number(number.toFixed(4))); }

export function mark() {
  for (const host of document.querySelectorAll(".ruler, .along")) {
    for (const kind of ["wide", "narrow"]) {
      const part = host.querySelector(`:scope > .${kind}`);
      if (!part) continue;
      let line = part.querySelector(":scope > .mark");
      if (picked === null) { line?.remove(); continue; }
      if (!line) { line = document.createElement("i"); line.className = "mark"; line.setAttribute("aria-hidden", "true"); part.append(line); }
      line.style.left = `${share(picked, kind) * 100}%`;
      if (host === ruler) {
        line.dataset.words = words(picked);
        line.classList.toggle("late", picked > rule.length * 0.8);
      }
    }
  }
  for (const row of document.querySelectorAll("tr[data-station]")) {
    const here = picked !== null && Math.abs(Number(row.dataset.station) - picked * rule.si) < SAME;
    row.classList.toggle("picked", here);
    if (here) row.setAttribute("aria-current", "true"); else row.removeAttribute("aria-current");
  }
}

// What the page came up at (a field that was refused) stays in sight while drawings above it find their size; until a
// hand moves it.
let moved = false;
for (const kind of ["pointerdown", "wheel", "keydown"]) addEventListener(kind, () => { moved = true; }, { once: true, passive: true });
export function stayThere() {
  const one = document.activeElement;
  if (!moved && one?.hasAttribute("autofocus")) one.scrollIntoView({ block: "center" });
}

const panel = document.getElementById("station");
const sheet = document.getElementById("sheet");
let asked = 0;

// Where the panel stands above the sheet it pushes the sheet down: what was picked there stays under the hand.
function still(below, change) {
  const was = sheet.getBoundingClientRect().top;
  change();
  if (below) scrollBy({ top: sheet.getBoundingClientRect().top - was, behavior: "instant" });
}

async function tell(below = false) {
  if (!panel) return;
  const off = picked === null && offTheRod();
  still(below, () => { panel.hidden = false; panel.classList.toggle("none", picked === null && !off); });
  if (picked === null) {
    asked += 1;
    const hint = document.createElement("p");
    hint.className = off ? "say" : "hint";
    hint.textContent = off
      ? `${words(off)[0].toUpperCase()}${words(off).slice(1)} is not on this rod: it runs from 0 to ${plain(rule.length)} ${rule.unit}.`
      : "Pick a station on the rod to see its figures here: click it, or go there with Tab and step with the arrow keys.";
    panel.replaceChildren(hint);
    return;
  }
  const mine = ++asked;
  try {
    const answer = await fetch(`/${rule.code}/at/${encodeURIComponent(plain(picked))}?part`);
    const text = await answer.text();
    if (mine === asked && answer.ok) still(below, () => { panel.innerHTML = text; }); // made by our own templates, where everything is escaped
  } catch { /* the page stands without the panel */ }
}

// `below` says that it was picked on the sheet, not on the rod's drawing above it.
export function pick(station, { keep = true, below = false } = {}) {
  picked = station;
  if (keep) history.replaceState(null, "", station === null ? location.pathname + location.search : `#${plain(station)}`);
  for (const link of document.querySelectorAll("a[href^='/R']")) {
    const bare = link.getAttribute("href").split("#")[0];
    link.setAttribute("href", station === null ? bare : `${bare}#${plain(station)}`);
  }
  const thumb = ruler.querySelector(".hand");
  if (thumb && station !== null) {
    thumb.setAttribute("aria-valuenow", String(station));
    thumb.setAttribute("aria-valuetext", words(station));
  }
  mark();
  for (const call of heard) call(station);
  tell(below);
}

function nearest(station) {
  return rule.stations.reduce((best, one) => (Math.abs(one - station) < Math.abs(best - station) ? one : best));
}

function inAddress() {
  const typed = Number(decodeURIComponent(location.hash.slice(1)));
  return location.hash.length > 1 && Number.isFinite(typed) ? typed : null;
}
const holds = (station) => station >= 0 && station <= rule.length;
function fromAddress() { const typed = inAddress(); return typed !== null && holds(typed) ? typed : null; }
// A station the address names that is past an end of the rod; false for none.
function offTheRod() { const typed = inAddress(); return typed !== null && !holds(typed) && typed; }

if (rule) {
  const hand = document.createElement("div");
  hand.className = "hand";
  hand.tabIndex = 0;
  hand.setAttribute("role", "slider");
  hand.setAttribute("aria-label", "Station on the rod");
  hand.setAttribute("aria-valuemin", "0");
  hand.setAttribute("aria-valuemax", String(rule.length));
  hand.setAttribute("aria-valuenow", "0");
  hand.setAttribute("aria-valuetext", "no station is picked");
  ruler.append(hand);
  hand.addEventListener("click", (event) => {
    const box = hand.getBoundingClientRect();
    const kind = getComputedStyle(ruler.querySelector(".wide")).display === "none" ? "narrow" : "wide";
    const [width, left, right] = rule.margins[kind];
    const x = ((event.clientX - box.left) / box.width) * width;
    pick(nearest(((x - left) / (width - left - right)) * rule.length));
  });
  hand.addEventListener("keydown", (event) => {
    const here = picked === null ? -1 : rule.stations.findIndex((one) => Math.abs(one - picked) < SAME);
    const last = rule.stations.length - 1;
    const to = { ArrowRight: here + 1, ArrowUp: here + 1, ArrowLeft: here - 1, ArrowDown: here - 1, Home: 0, End: last }[event.key];
    if (event.key === "Escape") pick(null);
    else if (to === undefined) return;
    else pick(rule.stations[Math.min(Math.max(to, 0), last)]);
    event.preventDefault();
  });
  addEventListener("hashchange", () => { if (location.hash === "" || inAddress() !== null) pick(fromAddress(), { keep: false }); });
  const first = fromAddress();
  if (first !== null) pick(first, { keep: false });
  else tell();
  document.querySelector(".rail [aria-current]")?.scrollIntoView({ block: "nearest", inline: "center" });
  if (document.readyState === "complete") stayThere();
  else addEventListener("load", stayThere);
}
