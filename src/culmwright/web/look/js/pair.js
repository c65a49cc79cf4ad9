// The code of a scanned address stands behind the #, which no server and no log ever sees.
const field = document.getElementById("code");
const given = decodeURIComponent(location.hash.slice(1));
if (field && given) {
  field.value = given;
  history.replaceState(null, "", location.pathname);
  document.querySelector("input[name=name]").focus();
}
