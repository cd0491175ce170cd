// Pages work without this file. This part keeps a keyboard user's place after part of
// the page is replaced.
document.addEventListener("htmx:afterSettle", () => {
  (document.getElementById("said") ?? picked())?.focus({ preventScroll: true });
  showHelp();
  beginNearToday();
  beginAtRooms();
});
// On a phone the timeline doesn't fit, so it begins shortly before today.
function beginNearToday() {
  const ruler = document.querySelector(".ruler");
  const today = ruler?.querySelector(".today");
  if (today) ruler.scrollLeft += today.getBoundingClientRect().left - ruler.getBoundingClientRect().left - 60;
}
beginNearToday();
// On a phone the drawing of the site doesn't fit either, so it begins around the rooms.
function beginAtRooms() {
  const drawn = document.querySelector(".drawn");
  const room = drawn?.querySelector(".room-a");
  if (!room || drawn.scrollWidth <= drawn.clientWidth) return;
  const [own, around] = [room.getBoundingClientRect(), drawn.getBoundingClientRect()];
  drawn.scrollLeft += own.left - around.left - around.width / 2;
}
beginAtRooms();
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
// Opens the part of a form that holds what the browser won't send.
document.addEventListener(
  "invalid",
  (event) => {
    let part = event.target.closest("details");
    while (part) {
      part.open = true;
      part = part.parentElement.closest("details");
    }
  },
  true
);
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
// Makes a list of people a search while someone types: the editable combobox of the WAI-ARIA
// Authoring Practices, where the suggestions are only a list and nothing is chosen by itself.
// The list stays what the form sends. Whoever isn't found can be added in the same form.
const fewest = 2;
const most = 20;
const plainly = (text) => text.normalize("NFKD").replace(/\p{M}/gu, "").toLowerCase();
const element = (name, attributes = {}, ...children) => {
  const made = document.createElement(name);
  for (const [key, value] of Object.entries(attributes)) made.setAttribute(key, value);
  made.append(...children);
  return made;
};
for (const pick of document.querySelectorAll("[data-pick]")) {
  const list = pick.querySelector("select");
  const label = pick.querySelector(`label[for="${list.id}"]`);
  const left = pick.dataset.without.split(" ");
  const adding = list.form.querySelector("[data-new-person]");
  const unknown = adding
    ? "Choose someone from the list, or add them as a new person."
    : "Choose someone from the list.";

  const input = element("input", {
    type: "text",
    id: `${list.id}-search`,
    role: "combobox",
    autocomplete: "off",
    spellcheck: "false",
    "aria-autocomplete": "list",
    "aria-expanded": "false",
    "aria-controls": `${list.id}-found`,
  });
  if (list.hasAttribute("aria-invalid")) {
    input.setAttribute("aria-invalid", "true");
    input.setAttribute("aria-describedby", `${list.id}-mistake`);
  }
  const found = element("ul", { id: `${list.id}-found`, role: "listbox", "aria-label": label.textContent });
  found.hidden = true;
  const status = element("p", { class: "unseen", role: "status" });
  list.hidden = true;
  list.before(element("div", { class: "combo" }, input, found), status);
  label.htmlFor = input.id;
  for (const plain of pick.querySelectorAll("[data-plain]")) {
    plain.hidden = true;
    // Enter in any field would press them.
    for (const button of plain.querySelectorAll("button")) button.remove();
  }

  const chosen = () => (list.value ? list.selectedOptions[0] : null);
  const words = (person) => (person.detail ? `${person.name} · ${person.detail}` : person.name);
  const options = () => [...found.children];
  const active = () => found.querySelector("[aria-selected=true]");
  const isNew = () => Boolean(adding?.querySelector("[name=new_name]").value.trim());
  let asked = 0;
  let offered = { typed: "", people: [] };

  const close = () => {
    asked++;
    found.hidden = true;
    found.replaceChildren();
    input.setAttribute("aria-expanded", "false");
    input.removeAttribute("aria-activedescendant");
  };
  const check = () => {
    input.setCustomValidity(input.value.trim() && !chosen() && !isNew() ? unknown : "");
  };
  // What is chosen, as the field shows it. A browser may choose again what someone chose
  // before they came back to this page.
  const show = () => {
    if (chosen() || !input.value) input.value = chosen()?.textContent ?? "";
    check();
  };
  const choose = (person) => {
    const id = String(person.id);
    if (![...list.options].some((option) => option.value === id)) list.append(new Option(words(person), id));
    list.value = id;
    close();
    show();
  };
  const add = (name) => {
    list.value = "";
    input.value = "";
    close();
    adding.open = true;
    adding.querySelector("[name=new_name]").value = name;
    adding.querySelector("[name=new_phone]").focus();
    check();
  };
  const mark = (option) => {
    active()?.setAttribute("aria-selected", "false");
    option.setAttribute("aria-selected", "true");
    input.setAttribute("aria-activedescendant", option.id);
    option.scrollIntoView({ block: "nearest" });
  };

  const offer = (people) => {
    const typed = input.value.trim();
    offered = { typed, people };
    found.dataset.typed = typed;
    const lines = people.map((person) => [person.name, person.detail, () => choose(person)]);
    if (adding && typed && !chosen()) lines.push([typed, "Add as a new person", () => add(typed)]);
    found.replaceChildren(
      ...lines.map(([name, detail, act], number) => {
        const option = element("li", { role: "option", id: `${list.id}-found-${number}`, "aria-selected": "false" });
        option.append(element("bdi", {}, name));
        if (detail) option.append(element("span", { class: "d" }, detail));
        option.addEventListener("click", act);
        return option;
      })
    );
    found.hidden = lines.length === 0;
    input.setAttribute("aria-expanded", String(!found.hidden));
    input.removeAttribute("aria-activedescendant");
    status.textContent = people.length === 1 ? "1 person found" : `${people.length || "No"} people found`;
  };
  // Those the page came with, if they have each of these words.
  const known = (typed) => {
    const wanted = plainly(typed).split(/\s+/);
    const people = [...list.options].filter((option) => option.value);
    const fits = (option) => wanted.every((word) => plainly(option.textContent).includes(word));
    return people.filter(fits).slice(0, most).map((option) => {
      const [name, ...detail] = option.textContent.split(" · ");
      return { id: option.value, name, detail: detail.join(" · ") };
    });
  };
  const search = async (wait) => {
    const number = ++asked;
    const typed = chosen() ? "" : input.value.trim();
    if (typed.length < fewest) return offer(known(typed));
    await new Promise((done) => setTimeout(done, wait));
    if (number !== asked) return;
    let people;
    try {
      const answer = await fetch(`${pick.dataset.pick}?q=${encodeURIComponent(typed)}`);
      people = answer.ok ? await answer.json() : known(typed);
    } catch {
      people = known(typed);
    }
    // Someone may have typed more by now, or gone on.
    if (number === asked) offer(people.filter((person) => !left.includes(String(person.id))));
  };
  // A name typed in full is a choice, if only one of those who were found has it.
  const settle = () => {
    const typed = input.value.trim();
    if (!typed || chosen() || offered.typed !== typed) return;
    const same = offered.people.filter((person) => plainly(person.name) === plainly(typed));
    if (same.length === 1) choose(same[0]);
  };

  input.addEventListener("input", () => {
    list.value = "";
    check();
    search(150);
  });
  input.addEventListener("click", () => {
    if (found.hidden) search(0);
  });
  input.addEventListener("keydown", async (event) => {
    if (event.isComposing || event.ctrlKey || event.metaKey) return;
    if (event.key === "ArrowDown" || event.key === "ArrowUp") {
      event.preventDefault();
      if (found.hidden) await search(0);
      const all = options();
      if (all.length === 0) return;
      const at = all.indexOf(active());
      const step = event.key === "ArrowDown" ? 1 : -1;
      // From the field, down leads to the first one and up to the last.
      mark(all[at < 0 && step < 0 ? all.length - 1 : (at + step + all.length) % all.length]);
    } else if (event.key === "Enter" && active()) {
      event.preventDefault();
      active().click();
    } else if (event.key === "Enter") {
      settle();
    } else if (event.key === "Escape" && !found.hidden) {
      event.preventDefault();
      close();
    } else if (event.key === "Escape" && input.value) {
      event.preventDefault();
      list.value = "";
      input.value = "";
      check();
    }
  });
  // The field keeps the focus while someone clicks in the list.
  found.addEventListener("mousedown", (event) => event.preventDefault());
  input.addEventListener("blur", () => {
    close();
    settle();
  });
  list.addEventListener("change", show);
  adding?.addEventListener("input", check);
  addEventListener("pageshow", show);
  show();
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

// Moves things on the drawing of the site: with the pointer, or with arrow keys. What is sent
// is the new places, in meters. The site is drawn in feet, a room in inches.
const stepOf = (mark) => (mark.ownerSVGElement.classList.contains("room") ? 0.0254 : 0.3048);
let moving = null;
function showHelp() {
  for (const help of document.querySelectorAll("[data-scripts]")) help.hidden = false;
  // Corners can be moved only here, so only here does the keyboard stop at them.
  for (const corner of document.querySelectorAll("[data-moves] [data-corner]")) corner.setAttribute("tabindex", "0");
}
showHelp();
// What was just moved or added keeps the focus.
function picked() {
  const named = /^#item--?\d+$/.test(location.hash) && document.getElementById(location.hash.slice(1));
  return document.querySelector("[data-moves] .picked") ?? (named || null);
}
picked()?.focus({ preventScroll: true });
const grab = (target) => {
  const mark = target.closest?.("[data-moves] [data-item]");
  if (!mark) return null;
  const corner = target.closest("[data-corner]");
  const places = mark.dataset.at.split(" ").map((place) => place.split(",").map(Number));
  return { mark, corner: corner && Number(corner.dataset.corner), handle: corner ?? mark, places, by: [0, 0] };
};
const places = ({ places, corner, by }) =>
  places.map((place, number) =>
    corner === null || corner === number ? place.map((at, axis) => at + by[axis]) : place
  );
// Nothing leaves the drawing at its left or its top, and an outline keeps its shape.
const within = ({ places, corner }, by) =>
  by.map((by, axis) => {
    const moved = places.filter((_, number) => corner === null || corner === number);
    return Math.max(by, -Math.min(...moved.map((place) => place[axis])));
  });
const say = (text) => {
  const status = document.getElementById("moving");
  if (status) status.textContent = text;
};
const draw = (move) => {
  const scale = Number(move.mark.ownerSVGElement.dataset.scale);
  if (move.corner === null) {
    move.mark.setAttribute("transform", `translate(${move.by.map((by) => by / scale).join(" ")})`);
    return;
  }
  const [x, y] = places(move)[move.corner].map((at) => at / scale);
  move.handle.setAttribute("cx", x);
  move.handle.setAttribute("cy", y);
  const outline = places(move).map((place) => place.map((at) => at / scale).join(" ")).join("L");
  move.mark.querySelector(".grip").setAttribute("d", `M${outline}`);
  move.mark.classList.add("changing");
};
const isMoved = (move) => Boolean(move?.by.some((by) => by !== 0));
const save = (move) => {
  const form = document.getElementById("move");
  form.action = `${move.mark.ownerSVGElement.dataset.moves}/${move.mark.dataset.item}/move`;
  form.elements.at.value = places(move).map((place) => place.map((at) => at.toFixed(4)).join(",")).join(" ");
  form.elements.version.value = move.mark.dataset.version;
  moving = null;
  form.requestSubmit();
};
const meters = (event, svg) => {
  const at = new DOMPoint(event.clientX, event.clientY).matrixTransform(svg.getScreenCTM().inverse());
  return [at.x * svg.dataset.scale, at.y * svg.dataset.scale];
};
document.addEventListener("pointerdown", (event) => {
  const move = event.button === 0 && grab(event.target);
  if (!move) return;
  putBack();
  moving = { ...move, from: meters(event, move.mark.ownerSVGElement), pointer: event.pointerId };
});
document.addEventListener("pointermove", (event) => {
  if (moving?.pointer !== event.pointerId) return;
  const at = meters(event, moving.mark.ownerSVGElement);
  const snap = stepOf(moving.mark) / (moving.mark.ownerSVGElement.classList.contains("room") ? 1 : 2);
  moving.by = within(moving, at.map((to, axis) => Math.round((to - moving.from[axis]) / snap) * snap));
  draw(moving);
});
document.addEventListener("pointerup", (event) => {
  if (moving?.pointer !== event.pointerId) return;
  if (isMoved(moving)) {
    // The link under the pointer isn't meant.
    const ignore = (click) => click.preventDefault();
    addEventListener("click", ignore, { capture: true });
    setTimeout(() => removeEventListener("click", ignore, { capture: true }), 0);
    save(moving);
  } else {
    moving = null;
  }
});
document.addEventListener("pointercancel", () => putBack());
document.addEventListener("dragstart", (event) => {
  if (event.target.closest?.("[data-moves]")) event.preventDefault();
});
const arrows = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, -1], ArrowDown: [0, 1] };
const putBack = () => {
  if (!moving) return;
  const { mark } = moving;
  moving.by = [0, 0];
  draw(moving);
  mark.removeAttribute("transform");
  mark.classList.remove("changing");
  moving = null;
};
document.addEventListener("keydown", (event) => {
  const move = grab(event.target);
  if (!move || event.altKey || event.ctrlKey || event.metaKey) return;
  if (arrows[event.key]) {
    event.preventDefault();
    if (moving?.handle !== move.handle) {
      putBack();
      moving = move;
    }
    const step = stepOf(move.mark);
    const far = event.shiftKey ? (step < 0.1 ? 6 : 5) * step : step;
    moving.by = within(moving, moving.by.map((by, axis) => by + far * arrows[event.key][axis]));
    draw(moving);
    const [right, down] = moving.by.map((by) => Math.round(by / step));
    const unit = step < 0.1 ? "in" : "ft";
    say(`${right} ${unit} right, ${down} ${unit} down. Enter saves, Escape puts it back.`);
  } else if (event.key === "Enter" && isMoved(moving)) {
    event.preventDefault();
    save(moving);
  } else if (event.key === "Escape" && moving) {
    putBack();
    say("Put back.");
  }
});
document.addEventListener("focusout", (event) => {
  // A look at another window, or at a corner of the same thing, isn't the end of it.
  if (!moving || moving.pointer !== undefined || !document.hasFocus() || moving.mark.contains(event.relatedTarget)) return;
  if (isMoved(moving)) say("Put back. Enter saves.");
  putBack();
});
// Two clicks on the photo from above fill in the two points.
let clicked = 0;
document.querySelector("[data-points]")?.addEventListener("click", (event) => {
  const photo = event.currentTarget.getBoundingClientRect();
  const number = (clicked++ % 2) + 1;
  const percent = (at) => (100 * at).toFixed(1);
  document.getElementById(`x${number}`).value = percent((event.clientX - photo.left) / photo.width);
  document.getElementById(`y${number}`).value = percent((event.clientY - photo.top) / photo.height);
});
