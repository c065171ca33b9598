// The transcript: every line as it was said, every finding marked in its place, and a cursor that goes by words.

import { byId, clock, el } from "./dom.js";
import { KINDS, sign, toldOf } from "./kinds.js";

const WORD = /\s*\S+/gu;

export class Transcript {
  // `take(mark)` takes a mark in hand, `words({text, start, end})` plain words, `play(text, place)` plays from there.
  constructor(root, { take, words, play }) {
    Object.assign(this, { root, take, words, play });
    this.drawn = new Map();
    this.cursor = null;
    this.chosen = null;
    root.addEventListener("click", (e) => this.clicked(e));
    root.addEventListener("dblclick", (e) => this.doubled(e));
    root.addEventListener("keydown", (e) => this.pressed(e));
    root.addEventListener("pointerdown", () => { this.dragged = false; });
    root.addEventListener("pointerup", () => this.selected());
  }

  // Show these texts (numbers) as they are now; lines that did not change stay as they are drawn.
  draw(opening, state, numbers, letters) {
    this.opening = opening;
    this.letters = letters;
    this.state = state;
    this.numbers = numbers;
    const used = new Set(), wanted = [];
    for (const n of numbers) {
      const page = state.pages[n];
      if (numbers.length > 1) wanted.push(this.heading(n, used));
      let from = 0;
      for (const line of page.lines) {
        const marks = [];
        while (from < page.marks.length && page.marks[from].start < line[0]) from += 1;
        for (let i = from; i < page.marks.length && page.marks[i].start < line[1]; i += 1) marks.push(page.marks[i]);
        wanted.push(this.line(n, line, marks, used));
      }
    }
    for (const key of [...this.drawn.keys()]) if (!used.has(key)) this.drawn.delete(key);
    this.root.replaceChildren(...wanted);
    if (this.inHand) this.show(this.inHand, false);
    this.lit(this.bright ?? []);
    this.paint();
  }

  heading(n, used) {
    const text = this.opening.texts[n], key = `h${n}`;
    used.add(key);
    if (!this.drawn.has(key)) {
      this.drawn.set(key, el("h3", {}, text.file ? text.about.join(", ") || text.name : `${text.name}${text.about.length ? `: ${text.about.join(", ")}` : ""}`));
    }
    return this.drawn.get(key);
  }

  line(n, line, marks, used) {
    const key = JSON.stringify([n, line, marks]);
    used.add(key);
    if (!this.drawn.has(key)) this.drawn.set(key, this.made(n, line, marks));
    return this.drawn.get(key);
  }

  made(n, [start, end, speaker, at, note], marks) {
    const said = el("span", { class: "said" });
    const letters = this.letters[n];
    const cuts = [...new Set([start, end, ...marks.flatMap((m) => [m.start, Math.min(m.end, end)])])].sort((a, b) => a - b);
    for (let i = 0; i + 1 < cuts.length; i += 1) {
      const here = marks.filter((m) => m.start <= cuts[i] && m.end > cuts[i]);
      const words = this.spans(n, letters, cuts[i], cuts[i + 1]);
      if (!here.length) {
        said.append(...words);
        continue;
      }
      const mark = here.reduce((a, b) => (b.end - b.start < a.end - a.start ? b : a));
      const last = mark.end <= cuts[i + 1];
      said.append(el("span", {
        class: `m ${mark.kind}${mark.decided || mark.added ? " decided" : ""}`, role: "button", tabindex: "-1",
        "aria-label": toldOf(mark), title: toldOf(mark), data: { mark: mark.id },
      }, words, last && el("sup", { "aria-hidden": "true" }, sign(mark.kind), mark.decided || mark.added ? "✓" : "")));
    }
    const who = speaker ?? (note ? `row ${note}` : "");
    return el("p", { class: "line" },
      (who || at !== null) && el("span", { class: "who" }, who || "somebody", at !== null && el("button",
        { type: "button", class: "when", tabindex: "-1", data: { text: n, place: start }, "aria-label": `Hear from ${clock(at)}` }, clock(at))),
      said);
  }

  spans(n, letters, start, end) {
    const made = [];
    let place = start;
    const text = letters.slice(start, end).join("");
    let upTo = 0;
    for (const match of text.matchAll(WORD)) {
      const lead = match[0].length - match[0].trimStart().length;
      if (lead) made.push(match[0].slice(0, lead));
      const word = match[0].slice(lead);
      const at = start + Array.from(text.slice(0, match.index + lead)).length;
      made.push(el("span", { class: "w", data: { text: n, start: at, end: at + Array.from(word).length } }, word));
      upTo = match.index + match[0].length;
      place = at;
    }
    if (upTo < text.length) made.push(text.slice(upTo));
    return made;
  }

  // Marks that a pressed piece of the wheel stands for.
  lit(marks) {
    this.bright = new Set(marks);
    for (const m of this.root.querySelectorAll(".m")) m.classList.toggle("lit", this.bright.has(m.dataset.mark));
  }

  // --- where one is ---

  all() { return [...this.root.querySelectorAll(".w")]; }
  marks() { return [...new Set([...this.root.querySelectorAll(".m")].map((m) => m.dataset.mark))]; }
  elements(id) { return [...this.root.querySelectorAll(".m")].filter((m) => m.dataset.mark === id); }

  show(id, scroll = true) {
    this.inHand = id;
    for (const m of this.root.querySelectorAll(".m.hand")) m.classList.remove("hand");
    const here = id ? this.elements(id) : [];
    for (const m of here) m.classList.add("hand");
    if (!here.length) return;
    if (scroll) here[0].scrollIntoView({ block: "center", behavior: "auto" });
    const word = here[0].querySelector(".w");
    if (word && scroll) this.cursor = this.placeOf(word);
    if (scroll) this.chosen = null;
    this.paint();
  }

  placeOf(word) { return { text: +word.dataset.text, start: +word.dataset.start, end: +word.dataset.end }; }

  wordAt(place) {
    return place && this.all().find((w) => +w.dataset.text === place.text && +w.dataset.start <= place.start && +w.dataset.end > place.start);
  }

  paint() {
    for (const w of this.root.querySelectorAll(".w.at, .w.chosen")) w.classList.remove("at", "chosen");
    this.wordAt(this.cursor)?.classList.add("at");
    if (this.chosen) {
      for (const w of this.all()) {
        const p = this.placeOf(w);
        if (p.text === this.chosen.text && p.start < this.chosen.end && p.end > this.chosen.start) w.classList.add("chosen");
      }
    }
  }

  // --- by hand ---

  clicked(e) {
    const when = e.target.closest(".when");
    if (when) return this.play(+when.dataset.text, +when.dataset.place);
    if (this.dragged || !getSelection().isCollapsed) return undefined;
    const mark = e.target.closest(".m"), word = e.target.closest(".w");
    if (word) this.cursor = this.placeOf(word);
    if (mark) return this.take(mark.dataset.mark);
    if (word) this.choose(this.placeOf(word));
    return undefined;
  }

  doubled(e) {
    const word = e.target.closest(".w");
    if (word) this.play(+word.dataset.text, +word.dataset.start);
  }

  selected() {
    const range = getSelection();
    if (range.isCollapsed || !range.rangeCount) return;
    const words = this.all().filter((w) => range.containsNode(w, true));
    if (!words.length) return;
    const first = this.placeOf(words[0]);
    const same = words.filter((w) => +w.dataset.text === first.text);
    const chosen = { text: first.text, start: first.start, end: +same.at(-1).dataset.end };
    this.cursor = first;
    range.removeAllRanges();
    this.dragged = true; // the click that ends it chooses nothing more
    this.choose(chosen);
  }

  choose(chosen) {
    this.chosen = chosen;
    this.show(null);
    this.paint();
    this.words(chosen);
  }

  // --- by keyboard ---

  pressed(e) {
    if (e.ctrlKey || e.metaKey || e.altKey) return;
    const step = { ArrowRight: 1, ArrowLeft: -1 }[e.key];
    if (step) this.step(step, e.shiftKey);
    else if (e.key === "ArrowDown" || e.key === "ArrowUp") this.lineStep(e.key === "ArrowDown" ? 1 : -1);
    else if (e.key === "Enter") this.enter();
    else if (e.key === " ") this.playHere();
    else return;
    e.preventDefault();
    e.stopPropagation();
  }

  step(by, extend) {
    const words = this.all();
    if (!words.length) return;
    const here = words.indexOf(this.wordAt(this.cursor));
    const next = words[here < 0 ? 0 : Math.min(Math.max(here + by, 0), words.length - 1)];
    const from = this.chosen && extend ? this.chosen : extend && this.cursor ? { ...this.cursor, anchor: this.cursor } : null;
    this.cursor = this.placeOf(next);
    if (from && from.text === this.cursor.text) {
      const anchor = from.anchor ?? from;
      this.chosen = { text: from.text, start: Math.min(anchor.start, this.cursor.start), end: Math.max(anchor.end, this.cursor.end), anchor };
    } else this.chosen = null;
    this.moved(next);
  }

  lineStep(by) {
    const lines = [...this.root.querySelectorAll(".line")];
    const here = lines.indexOf(this.wordAt(this.cursor)?.closest(".line"));
    const next = lines[Math.min(Math.max(here + by, 0), lines.length - 1)]?.querySelector(".w");
    if (!next) return;
    this.cursor = this.placeOf(next);
    this.chosen = null;
    this.moved(next);
  }

  moved(word) {
    this.paint();
    word.scrollIntoView({ block: "nearest" });
    const mark = word.closest(".m");
    const chosen = this.chosen ? this.wordsOf(this.chosen) : word.textContent;
    byId("cursor-told").textContent = mark ? mark.getAttribute("aria-label") : chosen;
  }

  enter() {
    const mark = this.wordAt(this.cursor)?.closest(".m");
    if (mark && !this.chosen) this.take(mark.dataset.mark, true);
    else if (this.chosen ?? this.cursor) this.words(this.chosen ?? this.cursor, true), this.choose(this.chosen ?? this.cursor);
  }

  playHere() {
    const place = this.chosen ?? this.cursor;
    if (place) this.play(place.text, place.start);
  }

  wordsOf({ text, start, end }) { return this.letters[text].slice(start, end).join("").replace(/\s+/g, " ").trim(); }

  // The mark before or after the one in hand (or the cursor).
  neighbour(by) {
    const ids = this.marks();
    let here = ids.indexOf(this.inHand);
    if (here < 0 && this.cursor) {
      const before = [...this.root.querySelectorAll(".m")].filter((m) => {
        const w = m.querySelector(".w");
        return w && (+w.dataset.text < this.cursor.text || (+w.dataset.text === this.cursor.text && +w.dataset.start <= this.cursor.start));
      });
      here = before.length ? ids.indexOf(before.at(-1).dataset.mark) : -1;
      if (by < 0) here += 1;
    }
    return ids[Math.min(Math.max(here + by, 0), ids.length - 1)];
  }
}

export function legend(root) {
  root.replaceChildren(...Object.entries(KINDS).map(([kind, [mark, word, told]]) => el("li", {},
    el("span", { class: `m ${kind}` }, word, el("sup", { "aria-hidden": "true" }, mark)), ` ${told}`)));
}
