// Pages work without this. It only keeps a keyboard user's place after a part
// of the page was replaced.
document.addEventListener("htmx:afterSettle", () => {
  const said = document.getElementById("said");
  if (said) said.focus({ preventScroll: true });
});
