// What is typed into a form survives a reload: kept in this browser until the page of what was made of it lets it go.
const form = document.querySelector("form.sheetform");
const key = `culmwright ${location.pathname}${location.search}`;
const refused = document.querySelector(".refusal, .told, .seen");

function typed() {
  return [...form.elements].filter((one) => one.name && one.name !== "token" && one.type !== "submit" && (one.type !== "radio" || one.checked)).map((one) => [one.name, one.value]);
}

function put(pairs) {
  const by = new Map();
  for (const [name, value] of pairs) by.set(name, [...(by.get(name) ?? []), value]);
  const paste = form.elements.pasted, across = by.get("across") ?? [];
  if (paste && !form.elements.station && across.some(Boolean)) { // a grid that this page has not: as what is pasted
    by.set("pasted", [by.get("station").map((one, i) => `${one}\t${across[i]}`).filter((row) => row.trim()).join("\n")]);
  }
  for (const one of form.elements) {
    if (!one.name || one.name === "token" || one.name === "base" || one.type === "submit" || !by.has(one.name)) continue;
    if (one.type === "radio") one.checked = by.get(one.name)[0] === one.value;
    else one.value = by.get(one.name).shift() ?? one.value;
  }
}

try {
  const kept = localStorage.getItem(key);
  const keep = () => localStorage.setItem(key, JSON.stringify(typed()));
  if (refused) keep();
  else if (kept) put(JSON.parse(kept));
  form.addEventListener("input", keep);
} catch { /* a browser that keeps nothing: the form works all the same */ }
