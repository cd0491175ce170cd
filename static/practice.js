"use strict";
// Runs the talk against one fire: the current line, the next one, the clock, and what comes
// early or late. Without this, the page has the same lines, the fire's times, and a form for a
// stopwatch.
const prompter = document.getElementById("prompter");
if (prompter) {
  const form = document.getElementById("practice-form");
  const part = (name) => prompter.querySelector(`#${name}`);
  const [clock, moment, turn, facts, now, upcoming] = ["clock", "moment", "turn", "now-facts", "now", "upcoming"].map(part);
  const [go, out, stop, end, how, skip] = ["go", "out", "stop", "end", "how", "skip"].map(part);

  const read = (item) => ({
    words: item.querySelector(".w").textContent,
    facts: item.querySelector(".d").textContent,
    count: Number(item.dataset.words),
    isForAdults: "adults" in item.dataset,
  });
  const pieces = [...document.querySelectorAll("[data-piece]")].map((piece) => ({
    name: piece.getAttribute("aria-label"),
    burn: piece.dataset.burn,
    mark: piece.dataset.mark,
    lines: [...piece.querySelectorAll("[data-spoken]")].map(read),
  }));
  const marksOf = (burn) => {
    const run = document.querySelector(`[data-run="${burn}"]`);
    const marks = (run?.dataset.marks ?? "").split(" ").filter(Boolean).map((mark) => mark.split(":"));
    return marks.map(([name, at]) => ({ name, at: Number(at) })).sort((one, other) => one.at - other.at);
  };
  const turns = [...document.querySelectorAll("[data-turn]")].map((one) => ({
    mark: one.dataset.mark,
    side: one.dataset.side,
    at: Number(one.dataset.at),
    isTimed: one.dataset.at !== "",
    name: one.querySelector("dt").textContent,
    words: one.querySelector("dd .soft") ? "" : one.querySelector("dd").textContent.trim(),
  }));
  // Without a plan there are no clocks, and the lines follow one another.
  const hasClock = document.querySelector("[data-run]") !== null;
  const names = { alarm: "The smoke alarm sounds", sprinkler: "The sprinkler opens", flashover: "Flashover", attack: "The crew's water" };

  // What comes one after the other: parts without a clock, and burns.
  const steps = [];
  for (const piece of pieces) {
    const last = steps.at(-1);
    if (hasClock && piece.burn && last?.burn === piece.burn) last.pieces.push(piece);
    else {
      // Nobody lights a room before the presenter is ready.
      if (hasClock && piece.burn && last?.burn) steps.push({ burn: "", pieces: [{ ...piece, lines: [], burn: "" }] });
      steps.push({ burn: hasClock ? piece.burn : "", pieces: [piece] });
    }
  }

  // Nobody knows beforehand what the fire does. What it did is shown at the end.
  const showFire = (isShown) => {
    for (const run of document.querySelectorAll("[data-run]")) run.hidden = !isShown;
  };

  let at = -1;
  let queue = [];
  let begun = 0;
  let lit = 0;
  let marks = [];
  let said = new Set();
  let seen = new Set();
  let last = "";
  let marked = -1_000;
  let timer = 0;
  let isOver = false;
  const spoken = { children: [0, 0], adults: [0, 0], finished: 0, cut: 0 };

  const seconds = () => (performance.now() - lit) / 1000;
  const says = (time) => `${Math.floor(time / 60)}:${String(Math.floor(time % 60)).padStart(2, "0")}`;
  const step = () => steps[at];
  const isBurning = () => Boolean(step()?.burn);

  const show = () => {
    const [line, next] = queue;
    now.textContent = line?.words ?? (isBurning() ? "Wait, and watch with the crowd." : "");
    facts.textContent = line?.facts ?? "";
    upcoming.textContent = next ? `Next: ${next.words}` : "";
    const following = steps[at + 1];
    if (line || isBurning()) go.textContent = "Next line";
    else if (following?.burn) go.textContent = following.burn === "both" ? "Light both rooms" : `Light room ${following.burn.toUpperCase()}`;
    else go.textContent = following ? "Go on" : "End practice";
    // It keeps the focus while there is nothing to say.
    go.setAttribute("aria-disabled", String(isBurning() && !line));
    out.hidden = !isBurning();
    // What is going on: the last key moment of a burn, or nothing.
    prompter.dataset.burning = isBurning() ? last : "";
    begun = performance.now();
  };
  const say = (words) => {
    turn.hidden = words === "";
    turn.textContent = words;
  };
  const branch = (mark, side) => {
    const one = turns.find((one) => one.mark === mark && one.side === side);
    if (one?.words && !said.has(one.name)) {
      said.add(one.name);
      say(`${one.name}: ${one.words}`);
    }
  };

  const cutOff = () => {
    if (queue.length > 0 && performance.now() - begun > 300) spoken.cut += 1;
  };
  // A key moment interrupts what is being said.
  const happen = (mark) => {
    seen.add(mark.name);
    last = mark.name;
    cutOff();
    marked = performance.now();
    moment.textContent = `${names[mark.name]}, ${says(mark.at)}`;
    say("");
    const early = turns.find((one) => one.mark === mark.name && one.side === "early");
    if (early?.isTimed && mark.at < early.at) branch(mark.name, "early");
    const piece = step().pieces.find((piece) => piece.mark === mark.name);
    queue = [...(piece?.lines ?? [])];
    if (mark.name === "attack") finishBurn();
    else show();
  };
  const tick = () => {
    const time = seconds();
    clock.textContent = says(time);
    while (isBurning() && marks.length > 0 && marks[0].at <= seconds()) happen(marks.shift());
    if (!isBurning()) return;
    for (const piece of step().pieces) {
      for (const side of ["late", "never"]) {
        const one = turns.find((one) => one.mark === piece.mark && one.side === side);
        // What will still come isn't said to have failed.
        const isRight = side === "late" || !marks.some((mark) => mark.name === piece.mark);
        if (piece.mark && !seen.has(piece.mark) && one?.isTimed && time >= one.at && isRight) branch(piece.mark, side);
      }
    }
  };
  const finishBurn = () => {
    clearInterval(timer);
    say("");
    advance();
  };

  const advance = () => {
    at += 1;
    if (at >= steps.length) return finish();
    const { burn, pieces } = step();
    queue = [...pieces[0].lines];
    if (burn) {
      lit = performance.now();
      marks = marksOf(burn);
      seen = new Set();
      last = "lit";
      said = new Set();
      moment.textContent = pieces[0].name;
      timer = setInterval(tick, 100);
      tick();
    } else {
      moment.textContent = pieces[0].name;
    }
    show();
  };
  const finish = () => {
    if (isOver) return;
    isOver = true;
    clearInterval(timer);
    prompter.classList.add("over");
    for (const button of [go, out, stop, end]) button.hidden = true;
    now.textContent = "That was the talk.";
    facts.textContent = upcoming.textContent = "";
    say("");
    showFire(true);
    now.focus();
    if (!form) return;
    const { children, adults, finished, cut } = spoken;
    const filled = { children_words: children[0], children_ms: children[1], adults_words: adults[0], adults_ms: adults[1], finished, cut };
    for (const [name, value] of Object.entries(filled)) form.elements[name].value = Math.round(value);
    const byHand = document.getElementById("by-hand");
    if (byHand) byHand.hidden = true;
    const [toAll, toAdults] = prompter.dataset.planned.split(" ");
    const rate = ([words, ms], whom, planned) =>
      words > 0 ? `${Math.round((words * 60000) / ms)} words a minute ${whom}, planned ${planned}` : "";
    const rates = [rate(children, "to children and to all", toAll), rate(adults, "to adults", toAdults)].filter(Boolean);
    document.getElementById("measured").textContent =
      `${finished} ${finished === 1 ? "line" : "lines"} finished, ${cut} cut off. ${rates.join("; ")}${rates.length > 0 ? "." : ""}`;
    form.hidden = false;
  };

  const begin = (from) => {
    how.hidden = true;
    for (const button of [stop, end]) button.hidden = false;
    document.getElementById("whole").hidden = true;
    prompter.classList.add("begun");
    if (form) form.hidden = true;
    at = from - 1;
    advance();
    go.focus();
  };
  go.addEventListener("click", () => {
    if (at < 0) return begin(0);
    // A press just after a key moment was meant for the line that it cut off.
    if (isBurning() && (queue.length === 0 || performance.now() - marked < 500)) return;
    const line = queue.shift();
    if (!line) return advance();
    const group = line.isForAdults ? spoken.adults : spoken.children;
    group[0] += line.count;
    group[1] += performance.now() - begun;
    spoken.finished += 1;
    show();
  });
  skip.addEventListener("click", () => begin(Math.max(0, steps.findIndex((step) => step.pieces[0].burn))));
  out.addEventListener("click", () => {
    cutOff();
    finishBurn();
  });
  end.addEventListener("click", () => {
    cutOff();
    finish();
  });
  stop.addEventListener("click", () => {
    clearInterval(timer);
    cutOff();
    const stopped = turns.find((one) => one.mark === "");
    finish();
    now.textContent = stopped?.words ?? "";
  });
  showFire(false);
  if (form && !document.querySelector(".summary")) form.hidden = true;
  const first = pieces.find((piece) => piece.lines.length > 0)?.lines[0];
  upcoming.textContent = first ? `First: ${first.words}` : "";
  prompter.hidden = false;
}
