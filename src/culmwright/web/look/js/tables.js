// A table that is wider than its page is scrolled: by keyboard too, and told what it is.
function told() {
  for (const one of document.querySelectorAll(".table")) {
    const scrolls = one.scrollWidth > one.clientWidth + 1;
    if (!scrolls) { for (const name of ["tabindex", "role", "aria-label"]) one.removeAttribute(name); continue; }
    one.tabIndex = 0;
    one.setAttribute("role", "region");
    const heading = one.dataset.called ?? one.closest("section")?.querySelector("h2, h3")?.textContent ?? document.title;
    one.setAttribute("aria-label", `${heading.trim()}: a table that goes on to the right`);
  }
}
const watch = new ResizeObserver(told);
for (const one of document.querySelectorAll(".table, .table > table")) watch.observe(one);
document.fonts.ready.then(told);
