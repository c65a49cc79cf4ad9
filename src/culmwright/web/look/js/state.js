// What this browser can do here, and why not: told as words, one row each.
const safe = globalThis.isSecureContext;
const onlySafe = safe ? "off: this browser does not have it" : "off: only with encryption, or on the shop's own machine";
const rows = [
  ["Safe connection", safe ? "yes" : "no: it is not encrypted, so that some of what follows is off"],
  ["Readings that wait", "indexedDB" in globalThis ? "on: readings wait here when the network drops" : "off: this browser keeps no storage; stay in reach of the network"],
  ["Screen stays awake", "wakeLock" in navigator ? "on" : `${onlySafe}; set the tablet itself to never sleep`],
  ["Pages without network", "serviceWorker" in navigator ? "not needed: the bench page keeps its readings by itself" : `${onlySafe}; keep the bench page open, its readings wait there all the same`],
  ["Camera", navigator.mediaDevices ? "on" : `${onlySafe}; a scanner that types works everywhere`],
  ["Clipboard", navigator.clipboard ? "on" : `${onlySafe}; nothing here needs it`],
  ["Sound", "AudioContext" in globalThis ? "on, after the first touch" : "off: this browser has none; verdicts are words and shapes too"],
  ["Network", navigator.onLine ? "on" : "off: readings wait here"],
];
const list = document.getElementById("features");
list.replaceChildren(...rows.map(([name, words]) => {
  const row = document.createElement("div"), term = document.createElement("dt"), told = document.createElement("dd");
  term.textContent = name; told.textContent = words; row.append(term, told);
  return row;
}));
if (navigator.storage?.persisted) {
  const kept = await navigator.storage.persisted();
  const row = list.children[1].lastElementChild;
  row.textContent += kept ? "; kept for good" : "; the browser may clear it after weeks unused";
}
