// The field takes whatever a scanner types, wherever the eye was last.
const field = document.getElementById("scan");
const ready = () => { field.value = ""; field.focus({ preventScroll: true }); };
ready();
addEventListener("pageshow", ready);
document.addEventListener("visibilitychange", () => { if (!document.hidden) field.focus({ preventScroll: true }); });
document.addEventListener("keydown", (event) => {
  const elsewhere = event.target.closest("input, textarea, select, button, a");
  if (!elsewhere && event.key.length === 1 && !event.ctrlKey && !event.metaKey && !event.altKey) field.focus();
});
