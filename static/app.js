// Pages work without this file. This part keeps a keyboard user's place after part of
// the page is replaced.
document.addEventListener("htmx:afterSettle", () => {
  const said = document.getElementById("said");
  if (said) said.focus({ preventScroll: true });
});
// Copies a text, or selects it for the reader to copy where the browser doesn't let a
// page do that.
for (const button of document.querySelectorAll("[data-copy]")) {
  button.hidden = false;
  button.addEventListener("click", async () => {
    const text = document.querySelector(button.dataset.copy);
    try {
      await navigator.clipboard.writeText(text.textContent);
      button.textContent = "Copied";
    } catch {
      getSelection().selectAllChildren(text);
      button.textContent = "Selected: copy it now";
    }
  });
}
// Shrinks a photo before it is sent, because a phone may have a weak signal. A file the
// browser can't read goes as it is, and the server says what is wrong.
const longest = 1600;
for (const field of document.querySelectorAll("input[data-shrink]")) {
  field.addEventListener("change", async () => {
    const [file] = field.files;
    if (!file) return;
    try {
      const picture = await createImageBitmap(file);
      const part = Math.min(1, longest / Math.max(picture.width, picture.height));
      const canvas = document.createElement("canvas");
      canvas.width = Math.round(picture.width * part);
      canvas.height = Math.round(picture.height * part);
      canvas.getContext("2d").drawImage(picture, 0, 0, canvas.width, canvas.height);
      const blob = await new Promise((done) => canvas.toBlob(done, "image/jpeg", 0.9));
      // Someone may have chosen another one by now.
      if (!blob || blob.size >= file.size || field.files[0] !== file) return;
      const small = new DataTransfer();
      small.items.add(new File([blob], "photo.jpg", { type: "image/jpeg" }));
      field.files = small.files;
    } catch {
      // Sent as it is.
    }
  });
}
// Suggests matching names while someone types one.
for (const field of document.querySelectorAll("input[data-names]")) {
  let asked = 0;
  field.addEventListener("input", async () => {
    const number = ++asked;
    await new Promise((done) => setTimeout(done, 250));
    if (number !== asked || field.value.trim().length < 2) return;
    try {
      const answer = await fetch(`${field.dataset.names}?q=${encodeURIComponent(field.value)}`);
      // Someone may have typed more by now.
      if (!answer.ok || number !== asked) return;
      const names = await answer.json();
      field.list.replaceChildren(...names.map((name) => Object.assign(document.createElement("option"), { value: name })));
    } catch {
      // The list stays as it was; any name can be typed.
    }
  });
}
// Shows a text with its marks filled in while someone types it. Without this, the page
// shows it as it was last saved.
const filled = document.querySelector("[data-fill]");
const marked = filled && document.querySelector(filled.dataset.fill);
if (marked) {
  const headline = document.querySelector(filled.dataset.headline);
  const facts = new Map(
    Array.from(document.querySelectorAll("[data-mark]"), (fact) => [fact.dataset.mark, fact.textContent])
  );
  const fill = (text) =>
    text.replace(/\{([^{}\n]*)\}/g, (whole, name) => {
      const mark = name.trim();
      return mark.startsWith("other:") ? mark.slice(6).trim() : facts.get(mark) ?? whole;
    });
  const [head, body] = filled.querySelectorAll("p");
  const show = () => {
    head.firstElementChild.textContent = fill(headline.value);
    body.textContent = fill(marked.value);
  };
  for (const field of [headline, marked]) field.addEventListener("input", show);
}
