// On the page of a rod that was just kept: what was typed to start it is let go of.
try {
  for (const key of Object.keys(localStorage).filter((one) => one.startsWith("culmwright /new"))) localStorage.removeItem(key);
} catch { /* a browser that keeps nothing */ }
history.replaceState(history.state, "", location.pathname + location.hash);
