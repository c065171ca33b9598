// The desk: holds what the server said last, draws it, and sends every action.

import { byId, clock, el, get, post } from "./dom.js";
import { Hand } from "./hand.js";
import { FlavourMap } from "./map.js";
import { Sound } from "./sound.js";
import { Timeline } from "./timeline.js";
import { Transcript, legend } from "./transcript.js";
import { Wheel } from "./wheel.js";

const LOOK = 2000; // ms between looks whether another desk has written

class TheDesk {
  constructor() {
    this.tab = 0;
    this.shown = { coffee: "", brew: "" };
    this.skipped = new Set();
    this.inHand = null;
    this.doing = Promise.resolve();
    this.sound = new Sound(byId("audio"), { at: (text, place) => this.heard(text, place) });
    this.transcript = new Transcript(byId("transcript"), {
      take: (mark, focus) => this.take(mark, focus), words: (chosen, focus) => this.words(chosen, focus), play: (t, p) => this.play(t, p),
    });
    this.timeline = new Timeline(byId("timeline"), {
      border: (given) => this.act({ do: "border", ...given }), stretch: (given) => this.hold({ kind: "stretch", ...given }),
      sound: this.sound, go: (n, place) => this.glance(n, place),
    });
    this.hand = new Hand(byId("hand"), this);
    this.wheel = new Wheel(byId("wheel"), { take: (id) => this.take(id), lit: (marks) => this.transcript.lit(marks) });
    this.map = new FlavourMap(byId("map"), { take: (id) => this.take(id), show: (coffee, brew) => this.show(coffee, brew) });
  }

  async open() {
    legend(document.querySelector("#legend .legend"));
    await this.reload();
    this.most = this.state.asks.length;
    if (this.state.asks.length) this.next(1);
    else this.hold(null);
    byId("times").open = matchMedia("(min-width: 70rem)").matches;
    setInterval(() => this.look(), LOOK);
    document.addEventListener("visibilitychange", () => this.look());
    byId("undo").onclick = () => this.act({ do: "undo" });
    byId("redo").onclick = () => this.act({ do: "redo" });
    document.body.dataset.ready = "yes";
  }

  async reload() {
    this.opening = await get("/texts");
    this.letters = this.opening.texts.map((t) => Array.from(t.text));
    this.sound.texts(this.opening.texts);
    this.groups = [];
    for (const [n, text] of this.opening.texts.entries()) {
      const name = text.file ?? "typed notes";
      const known = this.groups.find((g) => g.name === name);
      if (known) known.numbers.push(n);
      else this.groups.push({ name, numbers: [n] });
    }
    await this.fetch();
  }

  async fetch() {
    const { coffee, brew } = this.shown;
    this.take_in(await get(`/state?${new URLSearchParams({ coffee, brew })}`));
  }

  take_in(state) {
    this.state = state;
    this.marks = new Map(state.pages.flatMap((p, text) => p.marks.map((mark) => [mark.id, { mark, text }])));
    this.draw();
  }

  draw() {
    const { state } = this, numbers = this.groups[this.tab].numbers;
    const left = state.asks.length;
    byId("left").textContent = left ? `${left} question${left === 1 ? "" : "s"} left` : "Nothing left to decide";
    byId("undo").disabled = !state.past;
    byId("redo").disabled = !state.future;
    byId("tabs").hidden = this.groups.length < 2;
    byId("tabs").replaceChildren(...this.groups.map((g, n) => el("button",
      { type: "button", "aria-pressed": String(n === this.tab), onclick: () => { this.tab = n; this.draw(); } }, g.name)));
    this.transcript.draw(this.opening, state, numbers, this.letters);
    this.timeline.draw(this.opening, state, numbers, this.letters);
    this.map.draw(this.opening, state.map, state.homeless);
    this.wheel.draw(state.revision, state.map.coffee, state.map.brew ?? "");
    this.hold(this.inHand, false);
  }

  // --- what is in hand ---

  hold(shown, scroll = true) {
    if (shown?.kind === "mark") {
      const known = this.marks.get(shown.mark.id);
      shown = known ? { kind: "mark", ...known } : null;
    }
    const other = shown?.kind !== this.inHand?.kind || shown?.mark?.id !== this.inHand?.mark?.id;
    if (other) this.hand.changing = this.hand.housing = false;
    this.inHand = shown;
    if (shown?.kind === "mark") {
      const tab = this.groups.findIndex((g) => g.numbers.includes(shown.text));
      if (tab !== this.tab && scroll) {
        this.tab = tab;
        this.draw();
        this.transcript.show(shown.mark.id, true);
        return undefined;
      }
    }
    this.transcript.show(shown?.kind === "mark" ? shown.mark.id : null, scroll && shown?.kind === "mark");
    this.hand.draw(shown);
    return undefined;
  }

  take(id, focus = false) {
    const known = this.marks.get(id);
    if (!known) return;
    this.hold({ kind: "mark", ...known });
    if (focus) byId("hand").querySelector("button:not(:disabled)")?.focus();
  }

  words(chosen, focus = false) {
    this.hold({ kind: "words", ...chosen });
    if (focus) byId("hand").querySelector("input")?.focus();
  }

  from(text, start) {
    this.hold({ kind: "stretch", text, start, end: this.until(text, start), lane: null, value: null });
  }

  // Where "from here on" ends unless it is typed: where coffee or brew changes next, else with the text.
  until(text, start) {
    const { coffee, brew } = this.state.pages[text].lanes;
    const later = [...coffee, ...brew].map((run) => run[0]).filter((place) => place > start);
    return later.length ? Math.min(...later) : null;
  }

  when(text, place) {
    const times = this.opening.texts[text].times;
    if (times.length) {
      const exact = times.find(([p]) => p === place);
      return clock(exact ? exact[1] : this.sound.second(text, place));
    }
    return this.timeline.when(text, place);
  }

  // --- questions ---

  // The question after (by 1) or before (by -1) the one in hand, in their order; 0: the first that was not skipped.
  next(by) {
    const asks = this.state.asks;
    if (!asks.length) return this.hold(null);
    if (by === 0) {
      const first = asks.find((a) => !this.skipped.has(a.mark));
      return first ? this.take(first.mark) : this.hold(null);
    }
    const here = asks.findIndex((a) => a.mark === this.inHand?.mark?.id);
    const to = here < 0 ? 0 : (here + by + asks.length) % asks.length;
    return this.take(asks[to].mark);
  }

  skip() {
    this.skipped.add(this.inHand.mark.id);
    this.tell("Skipped: it comes again at the end.", "");
    this.next(0);
  }

  total() { return Math.max(this.most ?? 0, this.state.asks.length); }

  number(id) {
    const at = this.state.asks.findIndex((a) => a.mark === id);
    return this.total() - this.state.asks.length + at + 1;
  }

  // --- actions, one after the other ---

  act(given) {
    this.doing = this.doing.then(() => this.sent(given)).catch(() => {});
    return this.doing;
  }

  async sent(given) {
    const asked = this.state.asks.some((a) => a.mark === given.mark);
    const line = this.state.map.line.map((w) => w.print).join(", ");
    document.body.setAttribute("aria-busy", "true");
    try {
      const generation = this.state.generation;
      const { told, ...state } = await post("/act", { shown: this.shown.coffee, shown_brew: this.shown.brew, ...given });
      if (state.generation !== generation) await this.reload();
      else this.take_in(state);
      const after = this.state.map.line.map((w) => w.print).join(", ");
      this.tell(after === line ? told : `${told}. The line is now: ${after || "no word at quorum"}`, "good");
      this.forward(given, asked);
    } catch (problem) {
      this.tell(problem.message, "bad");
      if (problem.status === 409 || problem.status === 422) await this.fetch().catch(() => {});
    } finally {
      document.body.removeAttribute("aria-busy");
    }
  }

  // After an answer comes the next question; after anything else what was in hand stays there.
  forward(given, asked) {
    this.hand.changing = this.hand.housing = false;
    if (given.do === "stretch" || given.do === "undo" || given.do === "redo") {
      if (given.do === "stretch") this.next(0);
      return;
    }
    if (given.do === "add") {
      const page = this.state.pages[given.text];
      const made = page.marks.find((m) => m.added && m.start >= given.start && m.end <= given.end + 1 && m.start < given.end);
      if (made) this.take(made.id);
    } else if (asked && given.do !== "set") this.next(0);
    else if (given.mark && !this.marks.has(given.mark)) this.hold(null);
    else this.hold(this.inHand, false);
  }

  tell(words, kind) {
    const told = byId("told");
    told.hidden = false;
    told.className = `told ${kind}`;
    told.textContent = words;
  }

  async show(coffee, brew) {
    this.shown = { coffee, brew };
    await this.fetch().catch((problem) => this.tell(problem.message, "bad"));
  }

  // Whether another desk, `review` or an editor wrote meanwhile.
  async look() {
    if (document.hidden || document.body.hasAttribute("aria-busy")) return;
    try {
      const now = await get("/revision");
      if (document.body.hasAttribute("aria-busy")) return;
      if (now.generation !== this.state.generation) await this.reload();
      else if (now.revision !== this.state.revision) {
        await this.fetch();
        this.tell("The decisions were changed elsewhere; this is how they stand now.", "ask");
      }
      this.lost = false;
    } catch (problem) {
      if (!this.lost) this.tell(problem.message, "bad");
      this.lost = true;
    }
  }

  // --- sound ---

  play(text, place) {
    if (!this.sound.play(text, place)) this.tell(this.opening.audio ? "This text has no times." : "The session names no recording (audio: table.m4a).", "ask");
  }

  heard(text, place) {
    const root = byId("transcript");
    for (const w of root.querySelectorAll(".w.now")) w.classList.remove("now");
    if (place === null) return;
    const word = this.transcript.all().findLast((w) => +w.dataset.text === text && +w.dataset.start <= place);
    if (!word) return;
    word.classList.add("now");
    if (byId("follow").checked && !byId("audio").paused) word.scrollIntoView({ block: "nearest" });
  }

  glance(n, place) {
    const word = this.transcript.all().find((w) => +w.dataset.text === n && +w.dataset.start >= place);
    word?.scrollIntoView({ block: "center" });
  }

  playHere() {
    if (this.inHand?.kind === "mark") this.play(this.inHand.text, this.inHand.mark.start);
    else this.transcript.playHere();
  }
}

// --- keys ---

const KEYS = [
  ["1", "take it for that candidate (1, 2, 3)", null],
  ["A", "keep it as it stands", (d) => d.hand.keep()],
  ["R", "it is wrong: set it aside", (d) => d.hand.wrong()],
  ["C", "change it: type what it is", (d) => d.hand.change()],
  ["S", "skip the question", (d) => d.skip()],
  ["N", "next question", (d) => d.next(1), true],
  ["B", "question before", (d) => d.next(-1), true],
  [".", "next mark", (d) => d.take(d.transcript.neighbour(1)), true],
  [",", "mark before", (d) => d.take(d.transcript.neighbour(-1)), true],
  ["E", "the next answer holds for these words everywhere", (d) => d.hand.tickEverywhere()],
  ["I", "ask me no more of this word", (d) => d.hand.never()],
  ["H", "make it a house word", (d) => d.hand.house()],
  ["D", "add another finding in these words", (d) => d.hand.another()],
  ["O", "as it was read: take back what was decided of it", (d) => d.hand.forget()],
  ["G", "from here on it is another coffee, brew, moment or speaker", (d) => d.from(d.inHand.text, d.inHand.mark?.start ?? d.inHand.start), "words"],
  ["P", "hear it", (d) => d.playHere(), true],
  ["L", "go on or stop playing", (d) => d.sound.pause(), true],
  ["T", "go to the text (arrow keys, Enter)", () => byId("transcript").focus(), true],
  ["W", "go to what is in hand", () => byId("hand").querySelector("button:not(:disabled), input, select")?.focus(), true],
  ["V", "go to the wheel (arrow keys, Enter)", () => byId("wheel").querySelector("[tabindex='0']")?.focus(), true],
  ["M", "go to the timeline", () => { byId("times").open = true; byId("timeline").querySelector(".run")?.focus(); }, true],
  ["U", "undo (also Control Z)", (d) => d.act({ do: "undo" }), true],
  ["Y", "do it again (also Control Shift Z)", (d) => d.act({ do: "redo" }), true],
  ["?", "these keys", () => byId("help").showModal(), true],
];

function listen(desk) {
  byId("help-keys").replaceChildren(...KEYS.map(([key, told]) => el("tr", {}, el("th", { scope: "row" }, el("kbd", {}, key)), el("td", {}, told))));
  byId("keys").onclick = () => byId("help").showModal();
  const single = byId("single");
  try { single.checked = localStorage.getItem("desk-single") !== "off"; } catch { /* private window: on */ }
  single.onchange = () => { try { localStorage.setItem("desk-single", single.checked ? "on" : "off"); } catch { /* not kept */ } };
  document.addEventListener("keydown", (e) => {
    const typing = e.target.matches("input:not([type=checkbox]), textarea, select") || byId("help").open;
    const key = e.key.toLowerCase();
    if ((e.ctrlKey || e.metaKey) && !typing && (key === "z" || key === "y")) {
      desk.act({ do: key === "y" || e.shiftKey ? "redo" : "undo" });
      e.preventDefault();
      return;
    }
    if (e.key === "Escape" && !byId("help").open) {
      if (desk.hand.changing || desk.hand.housing) {
        desk.hand.changing = desk.hand.housing = false;
        desk.hand.draw(desk.hand.shown);
      } else if (typing) e.target.blur();
      else if (desk.inHand && desk.inHand.kind !== "mark") desk.next(0);
      return;
    }
    if (typing || e.ctrlKey || e.metaKey || e.altKey || !single.checked) return;
    const marked = desk.inHand?.kind === "mark";
    if (/^[1-9]$/.test(key)) {
      if (marked) desk.hand.candidate(+key - 1);
      return;
    }
    const found = KEYS.find(([name]) => name.toLowerCase() === key && name !== "1");
    if (!found) return;
    const words = desk.inHand?.kind === "words" && ["h", "g"].includes(key);
    if (found[3] !== true && !marked && !words) return;
    e.preventDefault();
    found[2](desk);
  });
}

const desk = new TheDesk();
listen(desk);
desk.open().catch((problem) => desk.tell(problem.message, "bad"));
