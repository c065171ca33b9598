// The timeline: lanes of coffee, brew, moment and speaker, whose borders are dragged, moved by keys or typed.

import { clock, el, fill } from "./dom.js";

const NAMES = { coffee: "Coffee", brew: "Brew", moment: "Moment", taster: "Speaker" };
const APART = 0.02; // borders nearer than this part of what is shown can be dragged once their stretch was pressed
const IDLE = 700; // ms without a key until a border moved by keys stays

export class Timeline {
  // `border({text, lane, border, start})` moves a border, `stretch({text, start, end, lane, value})` opens its form.
  constructor(root, { border, stretch, sound, go }) {
    Object.assign(this, { root, border, stretch, sound, go });
    this.zoom = 1;
    this.near = null;
  }

  draw(opening, state, numbers, letters) {
    Object.assign(this, { opening, state, numbers, letters });
    const focus = document.activeElement?.closest?.("#timeline") ? document.activeElement.dataset.key : null;
    const scroll = this.root.querySelector(".scroll")?.scrollLeft ?? 0;
    const shown = numbers.filter((n) => !opening.texts[n].rows && letters[n].length);
    fill(this.root,
      el("div", { class: "row" },
        el("button", { type: "button", onclick: () => this.zoomed(2), disabled: this.zoom >= 16 }, "Wider"),
        el("button", { type: "button", onclick: () => this.zoomed(0.5), disabled: this.zoom <= 1 }, "Narrower"),
        el("p", { class: "quiet small hint", id: "border-how" },
          "Drag a border, or move it by Tab and arrow keys (Enter: stay, Escape: back). Press a stretch to type its ends. ",
          "Undo takes either back.")),
      shown.length ? shown.map((n) => this.text(n)) : el("p", { class: "quiet" }, "Typed notes say themselves whose and of what they are."),
    );
    const box = this.root.querySelector(".scroll");
    if (box) box.scrollLeft = scroll;
    if (focus) this.root.querySelector(`[data-key="${CSS.escape(focus)}"]`)?.focus();
  }

  zoomed(by) {
    this.zoom = Math.min(Math.max(this.zoom * by, 1), 16);
    this.draw(this.opening, this.state, this.numbers, this.letters);
  }

  // Where a place lies, 0 to 1: by time where the text has times, else by letters.
  x(n, place) {
    const times = this.opening.texts[n].times, length = this.letters[n].length;
    if (!times.length) return place / length;
    const first = times[0][1], last = this.sound.second(n, length);
    return Math.min(Math.max((this.sound.second(n, place) - first) / Math.max(last - first, 0.001), 0), 1);
  }

  text(n) {
    const lanes = this.state.pages[n].lanes;
    const scale = el("div", { class: "lanes" });
    scale.style.width = `${100 * this.zoom}%`;
    scale.append(...Object.keys(NAMES).map((name) => this.lane(n, name, lanes[name])), this.ticks(n));
    const title = this.numbers.length > 1 ? this.opening.texts[n].about.join(", ") || this.opening.texts[n].name : null;
    return el("div", { class: "timeline" }, title && el("h3", {}, title), el("div", { class: "scroll", tabindex: "0", role: "group", "aria-label": "Timeline" }, scale));
  }

  ticks(n) {
    const times = this.opening.texts[n].times;
    if (!times.length) return "";
    const made = el("div", { class: "ticks", "aria-hidden": "true" });
    const first = times[0][1], last = this.sound.second(n, this.letters[n].length);
    const steps = [5, 10, 30, 60, 120, 300, 600, 1800].find((s) => (last - first) / s <= 8 * this.zoom) ?? 3600;
    for (let s = Math.ceil(first / steps) * steps; s < last; s += steps) {
      const x = (s - first) / (last - first);
      if (x > 0.96) continue;
      const tick = el("span", {}, clock(s));
      tick.style.left = `${100 * x}%`;
      made.append(tick);
    }
    return made;
  }

  lane(n, name, runs) {
    const values = this.values(name);
    const track = el("div", { class: "track" });
    for (const [start, end, value] of runs) {
      const left = this.x(n, start), right = this.x(n, end);
      const label = this.print(name, value);
      const at = this.when(n, start);
      const run = el("button", {
        type: "button", class: `run tone${value ? values.indexOf(value) % 6 : "-none"}`, data: { key: `${n}.${name}.${start}` }, tabindex: "-1",
        title: `${label}, from ${at}`, "aria-label": `${NAMES[name]}: ${label}, from ${at} to ${this.when(n, end)}`,
        onclick: () => { this.near = { n, name, start }; this.draw(this.opening, this.state, this.numbers, this.letters); this.stretch({ text: n, start, end, lane: name, value }); },
      }, el("span", {}, label));
      run.style.left = `${100 * left}%`;
      run.style.width = `${100 * Math.max(right - left, 0)}%`;
      track.append(run);
    }
    const pressed = this.near && this.near.n === n && this.near.name === name ? runs.find((r) => r[0] === this.near.start) : null;
    let last = -1;
    for (const [i, [start]] of runs.slice(1).entries()) {
      const x = this.x(n, start), own = pressed && (start === pressed[0] || start === pressed[1]);
      if (!own && x - last < APART / this.zoom) continue;
      track.append(this.handle(n, name, start, track, [runs[i][2], runs[i + 1][2]].map((value) => this.print(name, value))));
      last = x;
    }
    const first = track.querySelector(".run");
    if (first) first.tabIndex = 0;
    track.addEventListener("keydown", (e) => this.along(e, track));
    return el("div", { class: "lane", role: "group", "aria-label": NAMES[name] }, el("span", { class: "lane-name" }, NAMES[name]), track);
  }

  // Arrow keys go from stretch to stretch in a lane; Tab goes on to its borders.
  along(e, track) {
    if (!e.target.classList.contains("run") || !["ArrowLeft", "ArrowRight"].includes(e.key)) return;
    const runs = [...track.querySelectorAll(".run")];
    const next = runs[runs.indexOf(e.target) + (e.key === "ArrowRight" ? 1 : -1)];
    if (!next) return;
    e.target.tabIndex = -1;
    next.tabIndex = 0;
    next.focus();
    e.preventDefault();
    e.stopPropagation();
  }

  values(name) {
    if (name === "coffee") return this.opening.coffees.map((c) => c.id);
    return { brew: this.opening.brews, moment: this.opening.moments, taster: this.opening.tasters }[name];
  }

  print(name, value) {
    if (!value) return "not said";
    return name === "coffee" ? this.opening.coffees.find((c) => c.id === value)?.name ?? value : value;
  }

  when(n, place) {
    const times = this.opening.texts[n].times;
    if (times.length) return clock(this.sound.second(n, place));
    return `line ${this.letters[n].slice(0, place + 1).filter((c, i) => c === "\n" && i < place).length + 1}`;
  }

  // Where a border may stay: the beginnings of lines and of captions.
  stops(n) {
    const made = new Set(this.state.pages[n].lines.map((l) => l[0]));
    for (const [place] of this.opening.texts[n].times) made.add(place);
    made.add(this.letters[n].length);
    return [...made].sort((a, b) => a - b);
  }

  handle(n, name, border, track, [before, after]) {
    const stops = this.stops(n);
    let place = border, timer = null;
    const made = el("div", {
      class: "handle", role: "slider", tabindex: "0", "aria-valuemin": "0", "aria-valuemax": this.letters[n].length,
      "aria-label": `${NAMES[name]}: border between ${before} and ${after}`, "aria-describedby": "border-how", data: { key: `${n}.${name}.${border}.border` },
    });
    const put = (to) => {
      place = to;
      made.style.left = `${100 * this.x(n, to)}%`;
      made.setAttribute("aria-valuenow", to);
      made.setAttribute("aria-valuetext", this.when(n, to));
      made.dataset.at = this.when(n, to); // told beside it while it is moved
    };
    const stay = () => {
      clearTimeout(timer);
      timer = null; // a border that goes because it was moved loses the keys: it must not move twice
      if (place !== border) this.border({ text: n, lane: name, border, start: place });
    };
    put(border);
    made.addEventListener("keydown", (e) => {
      const here = stops.findLastIndex((s) => s <= place);
      const to = { ArrowRight: here + 1, ArrowLeft: stops[here] < place ? here : here - 1, PageDown: here + 10, PageUp: here - 10, Home: 0, End: stops.length - 1 }[e.key];
      if (e.key === "Enter") stay();
      else if (e.key === "Escape") { clearTimeout(timer); timer = null; put(border); }
      else if (to === undefined) return;
      else {
        put(stops[Math.min(Math.max(to, 0), stops.length - 1)]);
        clearTimeout(timer);
        timer = setTimeout(stay, IDLE);
      }
      e.preventDefault();
      e.stopPropagation();
    });
    made.addEventListener("blur", () => { if (timer) stay(); });
    made.addEventListener("pointerdown", (e) => {
      made.setPointerCapture(e.pointerId);
      made.classList.add("dragged");
      e.preventDefault();
      const box = track.getBoundingClientRect();
      const move = (m) => {
        const x = (m.clientX - box.left) / box.width;
        put(stops.reduce((a, b) => (Math.abs(this.x(n, b) - x) < Math.abs(this.x(n, a) - x) ? b : a)));
        this.go(n, place);
      };
      const up = () => {
        made.removeEventListener("pointermove", move);
        made.classList.remove("dragged");
        stay();
      };
      made.addEventListener("pointermove", move);
      made.addEventListener("pointerup", up, { once: true });
      made.addEventListener("pointercancel", () => { made.removeEventListener("pointermove", move); put(border); }, { once: true });
    });
    return made;
  }
}
