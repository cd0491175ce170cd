// Pages work without this. It only keeps a keyboard user's place after a part
// of the page was replaced.
document.addEventListener("htmx:afterSettle", () => {
  const said = document.getElementById("said");
  if (said) said.focus({ preventScroll: true });
});
// What stands to be copied is copied, or chosen for the reader to copy where the
// browser doesn't let a page do it.
for (const button of document.querySelectorAll("[data-copy]")) {
  button.hidden = false;
  button.addEventListener("click", async () => {
    const text = document.querySelector(button.dataset.copy);
    try {
      await navigator.clipboard.writeText(text.textContent);
      button.textContent = "Copied";
    } catch {
      getSelection().selectAllChildren(text);
      button.textContent = "Chosen: copy it now";
    }
  });
}
