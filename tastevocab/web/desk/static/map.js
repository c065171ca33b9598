// The map and the line beside the text: who stands behind which word, and where they said it.

import { choice, clock, el, fill } from "./dom.js";

export class FlavourMap {
  constructor(root, { take, show }) {
    Object.assign(this, { root, take, show });
    this.open = new Set();
    this.before = null;
  }

  // `homeless`: how many findings count for nobody, because it is not said whose or of what they are.
  draw(opening, map, homeless) {
    const focus = document.activeElement?.id;
    const title = opening.coffees.find((c) => c.id === map.coffee)?.name ?? map.coffee;
    const line = map.line.map((w) => w.print).join(", ");
    const changed = this.before && this.before.coffee === map.coffee && this.before.brew === map.brew && this.before.line !== line;
    this.before = { coffee: map.coffee, brew: map.brew, line };
    fill(this.root,
      el("h2", { id: "map-title" }, opening.coffees.length > 1 ? "The line" : `The line of ${title}`),
      el("div", { class: "row pick" },
        opening.coffees.length > 1 && choice("Coffee", "map-coffee", opening.coffees, map.coffee, (v) => this.show(v, "")),
        map.brews.length > 1 && choice("Brew", "map-brew", map.brews, map.brew, (v) => this.show(map.coffee, v), "all brews")),
      el("p", { class: `line-words${changed ? " changed" : ""}` }, line || "no word at quorum yet"),
      !line && el("p", { class: "quiet small" }, map.verdict),
      map.faults.length > 0 && el("p", { class: "told bad" }, "Hold and re-taste: ",
        map.faults.map((f) => `${f.print}, ${f.people} of ${map.tasters}`).join("; ")),
      homeless > 0 && el("p", { class: "told ask small" }, `${homeless} finding${homeless === 1 ? " counts" : "s count"} for nobody: `,
        "it is not said who speaks, or of which coffee. Say so in the timeline."),
      map.words.length > 0 && this.words(map),
      map.qualities.length > 0 && el("p", { class: "small" }, map.qualities.map((q) => `${q.print}: ${q.words}`).join(" · ")),
      map.claims.length > 0 && el("details", { class: "small" }, el("summary", {}, "The roaster's words"),
        el("ul", {}, map.claims.map((c) => el("li", {}, c.wording)))),
      map.notices.length > 0 && el("p", { class: "quiet small" }, map.notices.join(" ")),
    );
    if (focus?.startsWith("map-")) document.getElementById(focus)?.focus();
  }

  words(map) {
    const made = el("details", { class: "who-found", open: this.wide ?? matchMedia("(min-width: 62rem)").matches },
      el("summary", {}, "Who found what"), el("ul", { class: "found" }, map.words.map((w) => this.word(w, map))));
    made.addEventListener("toggle", () => { this.wide = made.open; });
    return made;
  }

  word(w, map) {
    const most = map.tasters;
    const on = map.line.some((l) => l.descriptor === w.descriptor);
    const dots = most <= 12 ? "●".repeat(w.people) + "○".repeat(Math.max(most - w.people, 0)) : "";
    const made = el("details", { class: `found-word${on ? " on-line" : ""}` },
      el("summary", {},
        el("span", { class: "name" }, w.print, w.broad && el("span", { class: "quiet small" }, " broad")),
        el("span", { class: "dots", "aria-hidden": "true" }, dots),
        el("span", { class: "count" }, `${w.people} of ${most}`, w.denials > 0 && `, ${w.denials} said no`)),
      el("ul", { class: "heard" }, w.heard.map((h) => el("li", {}, el("button",
        { type: "button", class: "plain", onclick: () => this.take(h.mark), disabled: !h.mark },
        `${h.taster}${h.at === null ? "" : `, ${clock(h.at)}`}: “${h.words}”`)))));
    made.open = this.open.has(w.descriptor);
    made.addEventListener("toggle", () => this.open[made.open ? "add" : "delete"](w.descriptor));
    return el("li", {}, made);
  }
}
