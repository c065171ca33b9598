// What is in hand: a question, a mark, words that were chosen, or a stretch; and all that can be done with it.

import { button, byId, choice, clock, el, fill } from "./dom.js";
import { KINDS, sign } from "./kinds.js";
import { searchField } from "./search.js";

const FIRST = /^\s*(?:\S+\s+){0,4}\S*/u; // the words by which a stretch is told
const AROUND = matchMedia("(max-width: 40rem)").matches ? 30 : 70; // letters of the text around what is in hand

export class Hand {
  // `desk` gives opening, state, letters, and does what is asked: act(given), take(mark), skip(), play(text, place), next(by).
  constructor(root, desk) {
    Object.assign(this, { root, desk });
    this.everywhere = false;
  }

  draw(shown) {
    const active = this.root.contains(document.activeElement) ? document.activeElement : null;
    const before = active?.id, typed = active?.matches("input[type=text]") ? active.value : "";
    const same = shown && this.shown && shown.kind === this.shown.kind && shown.mark?.id === this.shown.mark?.id;
    this.shown = shown;
    if (!same) this.everywhere = false;
    if (!same && !document.activeElement?.closest("#wheel, #map")) byId("side").scrollTop = this.root.scrollTop = 0;
    const fold = el("button", { type: "button", id: "fold", class: "fold", "aria-expanded": String(!this.folded), onclick: () => {
      this.folded = this.root.classList.toggle("folded");
      fold.setAttribute("aria-expanded", String(!this.folded));
      fold.textContent = this.folded ? "Unfold" : "Fold";
    } }, this.folded ? "Unfold" : "Fold");
    fill(this.root, fold, this.made(shown));
    if (!active) return;
    const again = before ? this.root.querySelector(`#${CSS.escape(before)}`) : null;
    (again ?? this.root.querySelector("button:not(.fold)"))?.focus();
    if (again && typed && same) { // somebody else's change must not take away what is being typed
      again.value = typed;
      again.dispatchEvent(new Event("input"));
    }
  }

  made(shown) {
    if (!shown) return this.nothing();
    return { mark: this.mark, words: this.words, stretch: this.stretch }[shown.kind].call(this, shown);
  }

  nothing() {
    const { state, opening } = this.desk;
    const left = state.asks.length;
    if (left) {
      return [el("h2", {}, "In hand"), el("p", {}, `${left} question${left === 1 ? " is" : "s are"} left; you skipped what was in hand.`),
        el("div", { class: "row" }, button("Next question", "N", () => this.desk.next(1), { class: "main" }))];
    }
    const files = [...new Set(opening.texts.map((t) => t.file ?? "the typed notes"))].join(" and ");
    return [el("h2", {}, "Done"),
      el("p", { class: "told good" }, `Nothing is left to decide. ${state.decided} decision${state.decided === 1 ? " is" : "s are"} kept beside ${files}.`),
      el("p", { class: "small quiet" }, "Read on and press any word that is missing or wrong. Then: ", el("code", {}, "tastevocab feature"))];
  }

  // --- a mark ---

  mark({ mark, text }) {
    const { state } = this.desk;
    const n = state.asks.findIndex((a) => a.mark === mark.id), ask = state.asks[n];
    const title = ask ? `Question ${this.desk.number(mark.id)} of ${this.desk.total()}` : mark.added ? "Added by you" : "In hand";
    const others = state.pages[text].marks.filter((m) => m.id !== mark.id && m.start < mark.end && mark.start < m.end);
    return [
      el("h2", {}, title),
      this.quote(text, mark.start, mark.end),
      el("p", { class: "small quiet" }, this.where(mark)),
      el("p", {}, el("span", { class: `m ${mark.kind}` }, mark.means || mark.words, el("sup", { "aria-hidden": "true" }, sign(mark.kind))),
        ` ${KINDS[mark.kind][1]}${mark.reason ? `: ${mark.reason}` : ""}${mark.decided && !mark.added ? " (decided)" : ""}`),
      ask && el("p", { class: "small" }, ask.question || `${ask.why}.`),
      others.length > 0 && el("div", { class: "row small" }, "Also here: ", others.map((m) => el("button",
        { type: "button", class: "plain", onclick: () => this.desk.take(m.id) }, m.means || m.words, ` (${KINDS[m.kind][1]})`))),
      ask && ask.candidates.length > 0 && el("div", { class: "candidates" }, ask.candidates.map((c, i) => button(
        `${c.present ? "" : "no "}${c.print}${c.fault ? " (fault)" : ""}`, String(i + 1), () => this.candidate(i),
        { class: "candidate", "data-effect": c.effect.replace("->", "→") }))),
      el("div", { class: "row acts" },
        button("Keep", "A", () => this.keep(), { disabled: mark.kind === "unknown" && !mark.decided }),
        button(mark.added ? "Take away" : "Wrong", "R", () => this.wrong()),
        button("Change", "C", () => this.change()),
        ask ? button("Skip", "S", () => this.desk.skip()) : button("Next question", "N", () => this.desk.next(1)),
        this.desk.opening.audio && mark.at !== null && button("Hear", "P", () => this.desk.play(text, mark.start))),
      this.changing && this.searching(mark),
      this.details(mark),
      el("details", { class: "more", open: this.moreOpen, ontoggle: (e) => { this.moreOpen = e.target.open; } },
        el("summary", {}, "More"),
        el("label", { class: "tick" }, el("input", { type: "checkbox", id: "everywhere", onchange: (e) => { this.everywhere = e.target.checked; } }),
          el("span", {}, "Keep, wrong and change hold for these words in the whole session", el("kbd", { "aria-hidden": "true" }, "E"))),
        el("div", { class: "row" },
          button("Ask me no more of this word", "I", () => this.never()),
          button("House word", "H", () => this.house()),
          mark.decided && !mark.added && button("As it was read", "O", () => this.forget()),
          button("Add another in these words", "D", () => this.another()),
          button("From here on …", "G", () => this.desk.from(text, mark.start)))),
      mark.why && el("p", { class: "small quiet" }, `Why: ${mark.why}`),
    ];
  }

  // The words with what stands around them, cut between words.
  quote(text, start, end) {
    const letters = this.desk.letters[text], from = Math.max(0, start - AROUND), to = end + AROUND;
    const before = letters.slice(from, start).join("").replace(from ? /^\S*\s+/ : "", "").replace(/\s+/g, " ");
    const after = letters.slice(end, to).join("").replace(to < letters.length ? /\s+\S*$/ : "", "").replace(/\s+/g, " ");
    return el("blockquote", {}, from ? `… ${before}` : before, el("strong", {}, letters.slice(start, end).join("")), after, to < letters.length ? " …" : "");
  }

  where(mark) {
    const coffee = this.desk.opening.coffees.find((c) => c.id === mark.coffee)?.name ?? mark.coffee;
    const said = [mark.taster ?? "somebody", mark.at === null ? null : clock(mark.at), coffee ?? "no coffee", mark.brew, mark.moment];
    return said.filter(Boolean).join(", ");
  }

  details(mark) {
    const { opening } = this.desk;
    const set = (given) => this.send({ do: "set", ...given });
    const found = mark.counted || mark.kind === "asked";
    if (!found) return null;
    const parts = [
      choice("Taster", "d-taster", opening.tasters, mark.taster, (v) => set({ taster: v }), "not said"),
      opening.coffees.length > 1 && choice("Coffee", "d-coffee", opening.coffees, mark.coffee, (v) => set({ coffee: v }), "not said"),
      opening.brews.length > 0 && choice("Brew", "d-brew", opening.brews, mark.brew, (v) => set({ brew: v }), "not said"),
      choice("Moment", "d-moment", opening.moments, mark.moment, (v) => set({ moment: v }), "not said"),
      choice("In the sip", "d-place", opening.places, mark.place, (v) => set({ place: v }), "not said"),
      mark.attribute
        ? choice("How much", "d-level", opening.levels, mark.level, (v) => set({ level: v }))
        : choice("Found or denied", "d-present", [{ id: "yes", name: "found" }, { id: "no", name: "denied" }], mark.present ? "yes" : "no", (v) => set({ present: v === "yes" })),
      choice("How sure", "d-doubt", [{ id: "no", name: "firm" }, { id: "yes", name: "with doubt" }], mark.doubt ? "yes" : "no", (v) => set({ doubt: v === "yes" })),
      !mark.attribute && choice("How strong", "d-degree", opening.degrees, mark.degree, (v) => set({ degree: v }), "not said"),
      choice("Whose word", "d-standing", [
        { id: "own", name: "own: counts" }, { id: "echo", name: "agrees with another" }, { id: "led", name: "was asked for it" }, { id: "informed", name: "after the reveal" },
      ], mark.standing, (v) => set({ standing: v })),
    ];
    return el("details", { class: "whose", open: this.whoseOpen, ontoggle: (e) => { this.whoseOpen = e.target.open; } },
      el("summary", {}, "Whose, of what, how strong"), el("div", { class: "choices" }, parts.filter(Boolean)));
  }

  searching(mark) {
    const made = searchField("change-to", "It is …", (meaning) => {
      this.changing = false;
      if (this.housing) {
        this.housing = false;
        this.desk.act({ do: "house", text: this.shown.text, start: mark.start, end: mark.end, descriptor: meaning.descriptor });
      } else this.send({ do: "change", ...meaning });
    }, el("p", { class: "small quiet" }, this.housing ? "A house word: choose a family for a note of its own, or the note that it is another name of." : "Enter takes the first."));
    queueMicrotask(() => made.field.focus());
    return made.root;
  }

  send(given) {
    const { mark } = this.shown;
    return this.desk.act({ mark: mark.id, seen: mark.decided, everywhere: this.everywhere && ["keep", "wrong", "change"].includes(given.do), ...given });
  }

  // --- what keys and buttons do with a mark ---

  keep() { this.send({ do: "keep" }); }
  wrong() { this.send({ do: "wrong" }); }
  never() { this.send({ do: "never" }); }
  forget() { if (this.shown.mark.decided) this.send({ do: "forget" }); }

  // A second finding in words that bear a mark already.
  another() {
    const { text, mark } = this.shown;
    this.desk.words({ text, start: mark.start, end: mark.end }, true);
  }

  change() {
    this.changing = true;
    this.housing = false;
    this.draw(this.shown);
  }

  house() {
    if (!this.desk.opening.house) {
      this.desk.tell("There is no house file: start the desk with --house house.yaml (it may be new).", "ask");
      return;
    }
    this.housing = true;
    if (this.shown.kind === "words") {
      this.draw(this.shown);
      return;
    }
    this.changing = true;
    this.draw(this.shown);
  }

  candidate(n) {
    const ask = this.desk.state.asks.find((a) => a.mark === this.shown.mark.id);
    const c = ask?.candidates[n];
    if (c?.coffee) this.send({ do: "set", coffee: c.coffee });
    else if (c) this.send({ do: "change", descriptor: c.descriptor, present: c.present });
  }

  tickEverywhere() {
    const box = this.root.querySelector("#everywhere");
    if (!box) return;
    this.everywhere = box.checked = !box.checked;
    this.desk.tell(this.everywhere ? "The next answer holds for these words everywhere." : "The next answer holds here only.", "");
  }

  // --- words without a mark ---

  words({ text, start, end }) {
    const made = searchField("add-as", this.housing ? "House word: under …" : "These words are …", (meaning) => {
      const housing = this.housing;
      this.housing = false;
      if (housing) this.desk.act({ do: "house", text, start, end, descriptor: meaning.descriptor });
      else this.desk.act({ do: "add", text, start, end, ...meaning });
    });
    return [
      el("h2", {}, "Words in hand"),
      this.quote(text, start, end),
      el("p", { class: "small quiet" }, "Shift and arrow keys, or dragging over the text, choose more or fewer words."),
      made.root,
      el("div", { class: "row acts" },
        button("House word", "H", () => this.house()),
        button("From here on …", "G", () => this.desk.from(text, start)),
        this.desk.opening.audio && this.desk.opening.texts[text].times.length > 0 && button("Hear", "P", () => this.desk.play(text, start)),
        button("Next question", "N", () => this.desk.next(1))),
    ];
  }

  // --- a stretch ---

  stretch({ text, start, end, lane, value }) {
    const { opening } = this.desk;
    const said = {};
    const when = (place) => this.desk.when(text, place);
    const from = el("input", { id: "s-from", type: "text", value: when(start) });
    const to = el("input", { id: "s-to", type: "text", value: end === null ? "" : when(end), placeholder: "to the end" });
    const asIs = (label, id, options) => choice(label, id, options, "", (v) => { said[id.slice(2)] = v; }, "as it is");
    const lanes = [
      asIs("Speaker", "s-taster", opening.tasters), asIs("Coffee", "s-coffee", opening.coffees), asIs("Brew", "s-brew", opening.brews),
      asIs("Moment", "s-moment", opening.moments),
      choice("Whose words", "s-standing", [{ id: "own", name: "their own" }, { id: "informed", name: "after the reveal" }], "", (v) => { said.standing = v; }, "as they are"),
    ];
    for (const box of lanes.slice(0, 4)) box.querySelector("select").append(el("option", { value: "-" }, "not said"));
    const go = (e) => {
      e.preventDefault();
      const given = Object.fromEntries(Object.entries(said).filter(([, v]) => v).map(([k, v]) => [k, v === "-" ? "" : v]));
      const places = {
        ...(from.value.trim() === when(start) ? { start } : { from: from.value }),
        ...(!to.value.trim() ? {} : end !== null && to.value.trim() === when(end) ? { end } : { to: to.value }),
      };
      const all = this.root.querySelector("#s-alike")?.checked ? { alike: true, lane, start } : {};
      this.desk.act({ do: "stretch", text, ...(all.alike ? all : places), ...given });
    };
    const now = lane && this.desk.timeline.print(lane, value);
    const alike = lane ? this.desk.state.pages[text].lanes[lane].filter((run) => run[2] === value).length : 0;
    queueMicrotask(() => this.root.querySelector(lane ? `#s-${lane}` : "#s-taster")?.focus());
    return [
      el("h2", {}, "A stretch of talk"),
      this.quote(text, start, start + Array.from(FIRST.exec(this.desk.letters[text].slice(start, end ?? undefined).join(""))[0]).length),
      lane && el("p", { class: "small quiet" }, `${{ taster: "Speaker", coffee: "Coffee", brew: "Brew", moment: "Moment" }[lane]} now: ${now}`),
      el("form", { onsubmit: go },
        el("div", { class: "choices" },
          el("div", {}, el("label", { for: "s-from" }, "From"), from), el("div", {}, el("label", { for: "s-to" }, "To (before)"), to), lanes),
        alike > 1 && el("label", { class: "tick" }, el("input", { type: "checkbox", id: "s-alike" }),
          el("span", {}, `All ${alike} stretches of this text with “${now}” here, not this one alone`)),
        el("div", { class: "row acts" }, el("button", { class: "main" }, "Set"),
          el("button", { type: "button", onclick: () => this.desk.next(0) }, "Leave"))),
    ];
  }
}
