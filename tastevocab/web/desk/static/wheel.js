// The drawn wheel: a press on an arc takes the words behind it in hand, one after the other.

import { el, fill, get } from "./dom.js";

const REST = 250; // ms: of answers that follow fast only the last is drawn
const DARK = matchMedia("(prefers-color-scheme: dark)");

export class Wheel {
  constructor(root, { take, lit }) {
    Object.assign(this, { root, take, lit });
    this.picked = "";
    this.at = -1;
    this.seen = "";
    DARK.addEventListener("change", () => this.colour());
  }

  // Drawn anew when anything was decided, or another coffee is shown.
  async draw(revision, coffee, brew) {
    const seen = JSON.stringify([revision, coffee, brew]);
    if (seen === this.seen) return;
    this.seen = seen;
    await new Promise((done) => setTimeout(done, REST));
    if (seen !== this.seen) return;
    const drawn = await get(`/wheel?${new URLSearchParams({ coffee, brew })}`).catch(() => null);
    if (!drawn || seen !== this.seen) return;
    this.drawn = drawn;
    const focus = this.root.contains(document.activeElement) ? document.activeElement.dataset.about : null;
    this.root.hidden = !drawn.svg;
    if (!drawn.svg) return;
    const parsed = new DOMParser().parseFromString(drawn.svg, "image/svg+xml").documentElement;
    this.svg = document.importNode(parsed, true);
    this.svg.setAttribute("role", "group");
    this.told = el("p", { class: "small quiet", role: "status" }, "Press a piece: the words behind it, one after the other.");
    fill(this.root, this.svg, this.told);
    this.colour();
    for (const [i, arc] of this.arcs().entries()) {
      arc.setAttribute("role", "button");
      arc.setAttribute("tabindex", i ? "-1" : "0");
      const people = +arc.dataset.of ? `, ${arc.dataset.people} of ${arc.dataset.of}` : "";
      arc.setAttribute("aria-label", arc.dataset.print + people);
    }
    this.svg.addEventListener("click", (e) => this.press(e.target.closest("[data-about]")?.dataset.about));
    this.svg.addEventListener("keydown", (e) => this.key(e));
    if (!(this.picked in drawn.arcs)) this.picked = "";
    this.light();
    if (focus) this.arcs().findLast((a) => a.dataset.about === focus)?.focus();
  }

  colour() {
    for (const [name, pair] of Object.entries(this.drawn?.colours ?? {})) this.svg.style.setProperty(name, pair[DARK.matches ? 1 : 0]);
  }

  arcs() { return [...this.svg.querySelectorAll("[data-ring]")]; }

  // The first word behind an arc; pressed again, the next.
  press(id) {
    const marks = id ? this.drawn.arcs[id] ?? [] : [];
    this.at = id === this.picked && marks.length ? (this.at + 1) % marks.length : 0;
    this.picked = marks.length ? id : "";
    this.light();
    if (!marks.length) return;
    const name = this.arcs().find((a) => a.dataset.about === id)?.dataset.print ?? "";
    this.told.textContent = `${name ? `${name}: ` : ""}${this.at + 1} of ${marks.length}${marks.length > 1 ? "; press again for the next." : "."}`;
    this.take(marks[this.at]);
  }

  light() {
    for (const part of this.svg.querySelectorAll("[data-ring]")) {
      const on = part.dataset.about === this.picked;
      part.classList.toggle("chosen", on);
      part.setAttribute("aria-pressed", String(on));
    }
    this.lit(this.picked ? this.drawn.arcs[this.picked] : []);
  }

  key(e) {
    const arc = e.target, every = this.arcs();
    if (!arc.dataset?.ring) return;
    const ring = every.filter((other) => other.dataset.ring === arc.dataset.ring), place = ring.indexOf(arc), here = every.indexOf(arc);
    const turn = (by) => ring[(place + by + ring.length) % ring.length];
    const go = {
      ArrowRight: () => turn(1), ArrowLeft: () => turn(-1), Home: () => ring[0], End: () => ring.at(-1),
      ArrowUp: () => every.slice(here + 1).find((other) => other.dataset.ring !== arc.dataset.ring),
      ArrowDown: () => every.slice(0, here).findLast((other) => other.dataset.ring !== arc.dataset.ring),
    }[e.key];
    if (e.key === "Enter" || e.key === " ") this.press(arc.dataset.about);
    else if (!go) return;
    e.preventDefault();
    const next = go?.();
    if (!next) return;
    arc.setAttribute("tabindex", "-1");
    next.setAttribute("tabindex", "0");
    next.focus();
  }
}
