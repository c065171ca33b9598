// Small helpers of the desk: requests that tell what went wrong, buttons with their keys, choices.

import { el } from "./el.js";

export { el };

// Put children into an element, in place of what is there; what is empty or false is left out.
export function fill(root, ...children) {
  root.replaceChildren(...children.flat(Infinity).filter((c) => c !== null && c !== undefined && c !== false && c !== ""));
}

export const byId = (id) => document.getElementById(id);

export function clock(seconds) {
  if (seconds === null || seconds === undefined) return "";
  const whole = Math.floor(seconds), h = Math.floor(whole / 3600), m = Math.floor(whole / 60) % 60;
  const two = (n) => String(n).padStart(2, "0");
  return h ? `${h}:${two(m)}:${two(whole % 60)}` : `${m}:${two(whole % 60)}`;
}

async function answered(asked) {
  let answer;
  try {
    answer = await asked;
  } catch {
    throw new Error("The desk does not answer: is it still running?");
  }
  const value = await answer.json().catch(() => null);
  if (!answer.ok) {
    const problem = new Error(value?.why ?? `The desk answered ${answer.status}.`);
    problem.status = answer.status;
    throw problem;
  }
  return value;
}

export const get = (path) => answered(fetch(path));
export const post = (path, value) => answered(
  fetch(path, { method: "POST", headers: { "content-type": "application/json" }, body: JSON.stringify(value) }),
);

export function button(label, key, act, more = {}) {
  const keys = key ? el("kbd", { "aria-hidden": "true" }, key) : null;
  return el("button", { type: "button", "aria-keyshortcuts": key?.toLowerCase(), onclick: act, ...more }, label, keys);
}

// A select whose first choice may stand for "not said"; `act` gets the value chosen.
export function choice(label, id, options, value, act, first = null) {
  const known = options.some((o) => (o.id ?? o) === value);
  const made = el("select", { id, onchange: (e) => act(e.target.value) },
    first !== null && el("option", { value: "" }, first),
    value && !known && el("option", { value }, value),
    options.map((o) => el("option", { value: o.id ?? o }, o.name ?? o)));
  made.value = value ?? "";
  return el("div", { class: "choice" }, el("label", { for: id }, label), made);
}
