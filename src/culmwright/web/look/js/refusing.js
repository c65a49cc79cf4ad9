// What the workshop refuses of a taper that is being drawn: said over the drawing, and in the table at its cell.

const at = (id) => document.getElementById(id);

export const sentence = (words) => `${words[0].toUpperCase()}${words.slice(1)}${/[.?!]$/.test(words) ? "" : "."}`;

// `where` names cells like "across 4", by column and row; without any it is said over the table.
export function refuse(words, where = "") {
  const rows = at("stations").tBodies[0].children;
  for (const one of document.querySelectorAll("#stations td.wrong")) {
    one.classList.remove("wrong");
    one.querySelector(".fault")?.remove();
    for (const name of ["aria-invalid", "aria-describedby"]) one.querySelector("input").removeAttribute(name);
  }
  const cells = [...where.matchAll(/(station|across) (\d+)(?=,|$)/g)]
    .map(([, name, row]) => rows[row - 1]?.querySelector(`input[name=${name}]`)).filter(Boolean);
  for (const [id, shown] of [["refused", words], ["refused-below", words && !cells.length]]) {
    at(id).textContent = words;
    at(id).hidden = !shown;
  }
  for (const input of cells) {
    input.closest("td").classList.add("wrong");
    input.setAttribute("aria-invalid", "true");
    input.setAttribute("aria-describedby", "cell-fault");
  }
  cells[0]?.after(Object.assign(document.createElement("p"), { className: "fault", id: "cell-fault", textContent: words }));
}
