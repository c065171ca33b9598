// A field that searches the vocabulary as one types; chosen by arrow keys and Enter, or by pressing.

import { el, get } from "./dom.js";

const NO = /^(?:no|not|kein|sin)\s+/i;

// `chosen({descriptor | attribute, level, present})` hears what was chosen; "no plum" is plum denied.
export function searchField(id, label, chosen, extra = []) {
  let hits = [], at = -1, asked = 0;
  const list = el("ul", { id: `${id}-list`, role: "listbox", class: "hits", "aria-label": label, hidden: true });
  const field = el("input", {
    id, type: "text", role: "combobox", autocomplete: "off", autocapitalize: "none", spellcheck: "false", "aria-expanded": "false",
    "aria-controls": `${id}-list`, "aria-autocomplete": "list", placeholder: "type: plum, no plum, acidity high …",
  });
  const take = (hit) => {
    if (hit.descriptor) chosen({ descriptor: hit.descriptor, present: !NO.test(field.value) });
    else chosen({ attribute: hit.attribute, level: hit.level });
  };
  const paint = () => {
    list.replaceChildren(...hits.map((h, n) => el("li", {
      id: `${id}-${n}`, role: "option", "aria-selected": String(n === at), onmousedown: (e) => e.preventDefault(), onclick: () => take(h),
    }, el("strong", {}, h.print), h.descriptor && h.named ? ` (${h.named}) ` : " ", el("span", { class: "quiet small" }, h.fault ? `${h.where}, fault` : h.where))));
    list.hidden = !hits.length;
    field.setAttribute("aria-expanded", String(hits.length > 0));
    if (at >= 0) {
      field.setAttribute("aria-activedescendant", `${id}-${at}`);
      list.children[at]?.scrollIntoView({ block: "nearest" });
    } else field.removeAttribute("aria-activedescendant");
  };
  const search = async () => {
    const number = ++asked, typed = field.value.replace(NO, "").trim();
    const found = typed ? await get(`/find?q=${encodeURIComponent(typed)}`).catch(() => []) : [];
    if (number !== asked) return;
    hits = found;
    at = hits.length ? 0 : -1;
    paint();
  };
  let running = Promise.resolve();
  field.addEventListener("input", () => { running = search(); });
  field.addEventListener("keydown", async (e) => {
    if (e.key === "ArrowDown" || e.key === "ArrowUp") {
      at = Math.min(Math.max(at + (e.key === "ArrowDown" ? 1 : -1), 0), hits.length - 1);
      paint();
    } else if (e.key === "Enter") {
      e.preventDefault();
      await running; // Enter may be faster than the answer
      if (hits[at]) take(hits[at]);
    } else if (e.key === "Escape" && hits.length) {
      hits = [];
      at = -1;
      paint();
    } else return;
    e.preventDefault();
    e.stopPropagation();
  });
  return { root: el("div", { class: "search" }, el("label", { for: id }, label), field, list, extra), field };
}
