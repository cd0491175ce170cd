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
// A photo is made small before it is sent: a phone's line may be a bad one. What
// the browser can't read goes as it is, and the server says what is wrong.
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
      // Somebody may have chosen another one meanwhile.
      if (!blob || blob.size >= file.size || field.files[0] !== file) return;
      const small = new DataTransfer();
      small.items.add(new File([blob], "photo.jpg", { type: "image/jpeg" }));
      field.files = small.files;
    } catch {
      // Sent as it is.
    }
  });
}
// Where a name is typed, the names that hold it are offered as it grows.
for (const field of document.querySelectorAll("input[data-names]")) {
  let asked = 0;
  field.addEventListener("input", async () => {
    const number = ++asked;
    await new Promise((done) => setTimeout(done, 250));
    if (number !== asked || field.value.trim().length < 2) return;
    try {
      const answer = await fetch(`${field.dataset.names}?q=${encodeURIComponent(field.value)}`);
      // Somebody may have typed on meanwhile.
      if (!answer.ok || number !== asked) return;
      const names = await answer.json();
      field.list.replaceChildren(...names.map((name) => Object.assign(document.createElement("option"), { value: name })));
    } catch {
      // The list stays as it was; any name can be typed.
    }
  });
}
// A text with marks is shown filled in while it is typed. Without this it is
// shown as it was saved.
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
