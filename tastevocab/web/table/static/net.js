// What every page of the table shares: making elements, sending, and the line that brings news. No secure context is
// needed anywhere: the table runs on plain http in a local network.

import { el } from "/static/el.js";

export { el };

export const by = (id) => document.getElementById(id);

const drawn = new WeakMap();

/** Put `kids` into `box` if they differ from what stands there, so that focus and screen readers are left in peace. */
export function fill(box, ...kids) {
  const draft = el("div", {}, ...kids);
  if (draft.innerHTML === drawn.get(box)) return false;
  const held = document.activeElement && box.contains(document.activeElement) ? document.activeElement.dataset.key : "";
  drawn.set(box, draft.innerHTML);
  box.replaceChildren(...draft.childNodes);
  if (held) box.querySelector(`[data-key="${CSS.escape(held)}"]`)?.focus();
  return true;
}

/** A sentence of what went wrong. */
export const sentence = (words) => `${words.charAt(0).toUpperCase()}${words.slice(1)}.`;

/** Set words only where they change: a live region speaks each time. */
export function say(box, words, kind = "") {
  if (box.textContent !== words) box.textContent = words;
  if (kind !== null) box.className = box.className.replace(/\b(good|ask|bad)\b/g, "").trim() + (kind ? ` ${kind}` : "");
  box.hidden = box.classList.contains("told") && !words;
}

export class Answer extends Error {
  constructor(status, why) { super(why); this.status = status; }
}

/** Send JSON; gives the answer's. Throws Answer with the status, 0 where nobody was reached. */
export async function post(path, body, seconds = 10) {
  const stop = new AbortController();
  const timer = setTimeout(() => stop.abort(), seconds * 1000);
  try {
    const answer = await fetch(path, {
      method: "POST", headers: { "content-type": "application/json" }, body: JSON.stringify(body), signal: stop.signal,
      credentials: "same-origin", cache: "no-store",
    });
    const told = await answer.json().catch(() => ({}));
    if (!answer.ok) throw new Answer(answer.status, told.why || `refused (${answer.status})`);
    return told;
  } catch (problem) {
    throw problem instanceof Answer ? problem : new Answer(0, "the table's computer is not reached");
  } finally {
    clearTimeout(timer);
  }
}

export function randomName() {
  return Array.from(crypto.getRandomValues(new Uint8Array(16)), (b) => b.toString(16).padStart(2, "0")).join("");
}

const SILENT = 25000;

/** The line from the server. `onView(view, skew)` gets what this page may see whenever that changes (and after every
 *  reopening); `onNet(state)` hears "live", "lost" or "shut". Closed while nobody looks: it saves the battery. */
export class Line {
  constructor(base, onView, onNet) {
    Object.assign(this, { base, onView, onNet, source: null, heard: 0, wait: 1000, timer: 0, shut: false });
    document.addEventListener("visibilitychange", () => (document.hidden ? this.close() : this.open()));
    for (const name of ["online", "pageshow"]) addEventListener(name, () => this.open(true));
    addEventListener("offline", () => this.onNet("lost"));
    addEventListener("pagehide", () => this.close());
    setInterval(() => { if (this.source && Date.now() - this.heard > SILENT) this.open(true); }, 5000);
    this.open();
  }

  open(anew = false) {
    if (document.hidden || this.shut || (this.source && !anew)) return;
    this.close();
    this.heard = Date.now();
    const source = (this.source = new EventSource(`${this.base}live`));
    source.addEventListener("view", (event) => this.take(JSON.parse(event.data)));
    source.addEventListener("beat", () => this.alive());
    source.onerror = () => { if (source === this.source) this.lost(source); };
  }

  close() {
    clearTimeout(this.timer);
    this.source?.close();
    this.source = null;
  }

  alive() {
    this.heard = Date.now();
    this.wait = 1000;
    this.onNet("live");
  }

  take(told) {
    this.alive();
    this.onView(told.view, told.now - Date.now());
  }

  lost(source) {
    this.onNet("lost");
    if (source.readyState !== EventSource.CLOSED) return; // the browser tries again by itself
    this.source = null;
    this.timer = setTimeout(() => this.snapshot(), this.wait);
    this.wait = Math.min(this.wait * 2, 15000);
  }

  /** Ask once in the plain way: it says whether the table is away or this page is shut out. */
  async snapshot() {
    try {
      const answer = await fetch(`${this.base}view`, { cache: "no-store", credentials: "same-origin" });
      if ([401, 403].includes(answer.status)) {
        this.shut = true;
        this.onNet("shut");
        return;
      }
      if (answer.ok) this.take(await answer.json());
    } catch { /* still away */ }
    this.open();
  }
}

const MOST = 50;

/** What cannot be lost: acts wait in the phone's own storage until the server has named them as kept. Every act is an
 *  entry of its own, under this page's random name and a number, so that two tabs never write over each other. */
export class Outbox {
  constructor(prefix, path, tell) {
    Object.assign(this, { prefix: `${prefix}out/`, path, tell, client: randomName(), number: 0, loose: new Map() });
    Object.assign(this, { sending: false, again: false, wait: 1000, timer: 0, shut: "", stored: true, most: MOST });
    for (const name of ["online", "pageshow"]) addEventListener(name, () => this.soon());
    document.addEventListener("visibilitychange", () => { if (!document.hidden) this.soon(); });
    addEventListener("storage", (event) => { if (event.key?.startsWith(this.prefix)) this.tell(); });
    setInterval(() => { if (!document.hidden) this.flush(); }, 15000);
    this.soon();
  }

  put(kind, body) {
    const entry = { client: this.client, n: ++this.number, t: Date.now(), kind, ...body };
    const key = `${this.prefix}${entry.client}/${String(entry.n).padStart(9, "0")}`;
    try {
      localStorage.setItem(key, JSON.stringify(entry));
    } catch {
      this.stored = false; // full or forbidden: kept in this page alone, and the page says so
      this.loose.set(key, entry);
    }
    this.soon();
    return entry;
  }

  pending() {
    const found = new Map(this.loose);
    try {
      for (let i = 0; i < localStorage.length; i += 1) {
        const key = localStorage.key(i);
        if (key.startsWith(this.prefix)) found.set(key, JSON.parse(localStorage.getItem(key)));
      }
    } catch { /* no storage: what is loose is all there is */ }
    return [...found.entries()].sort(([a, x], [b, y]) => x.t - y.t || (a < b ? -1 : 1)).map(([key, entry]) => ({ key, ...entry }));
  }

  drop(key) {
    this.loose.delete(key);
    try { localStorage.removeItem(key); } catch { /* was loose */ }
  }

  soon() {
    clearTimeout(this.timer);
    this.timer = setTimeout(() => this.flush(), 0);
  }

  async flush() {
    if (this.sending) { this.again = true; return; }
    if (this.shut) return;
    this.sending = true;
    this.again = false;
    clearTimeout(this.timer);
    try {
      for (let left = this.pending(); left.length; left = this.pending()) await this.send(left);
      this.wait = 1000;
    } catch (problem) {
      if ([401, 403, 410].includes(problem.status)) this.shut = problem.message;
      else this.timer = setTimeout(() => this.flush(), this.wait);
      this.wait = Math.min(this.wait * 2, 15000);
    }
    this.sending = false;
    this.tell();
    if (this.again) this.soon();
  }

  /** Too much at once, or one in it that cannot be taken: send less; what is refused alone is given back. */
  smaller(problem, batch) {
    if (![400, 413].includes(problem.status)) throw problem;
    if (batch.length > 1) this.most = Math.max(1, Math.floor(batch.length / 2));
    else {
      this.drop(batch[0].key);
      this.tell(batch[0], problem.message);
    }
    return null;
  }

  async send(left) {
    const client = left[0].client;
    const batch = left.filter((entry) => entry.client === client).slice(0, this.most);
    const events = batch.map(({ key, client: _, t, ...act }) => ({ ...act, age: Math.max(0, (Date.now() - t) / 1000) }));
    const told = await post(this.path, { client, events }).catch((problem) => this.smaller(problem, batch));
    if (!told) return;
    this.most = MOST;
    const kept = new Set(told.kept);
    const refused = new Map(told.refused.map((one) => [one.n, one.why]));
    for (const entry of batch) {
      if (kept.has(entry.n)) this.drop(entry.key);
      else if (refused.has(entry.n)) { this.drop(entry.key); this.tell(entry, refused.get(entry.n)); }
      else throw new Answer(0, "not named: it is sent again");
    }
    this.tell();
  }
}

/** Minutes and seconds. */
export function clock(ms) {
  const s = Math.max(0, Math.floor(ms / 1000));
  return `${Math.floor(s / 60)}:${String(s % 60).padStart(2, "0")}`;
}

/** "hot, 2:13" or, where it has an end, "hot, 1:47 left". */
export function timer(view, skew) {
  const told = view.clock;
  if (!told.moment || view.ended) return "";
  const gone = Date.now() + skew - told.since;
  if (!told.minutes) return `${told.moment}, ${clock(gone)}`;
  const left = told.minutes * 60000 - gone;
  return left > 0 ? `${told.moment}, ${clock(left)} left` : `${told.moment}: time is up`;
}

export const named = (brew) => brew || "this round";

/** A list of words with how many people found each, as words and as a bar. */
export function counted(result) {
  const line = result.line.map((w) => `${w.print} (${w.people} of ${result.of})`).join(", ");
  return [
    result.hold.length ? el("p", { class: "told bad" }, `Hold and taste again: ${result.hold.join("; ")}`) : null,
    el("p", { class: "line" }, line || "No word that more than half stand behind."),
    el("ul", { class: "bars" }, ...result.words.map((w) => el("li", {},
      el("span", {}, w.print), el("meter", { min: 0, max: result.of, value: w.people, "aria-hidden": "true" }),
      el("span", { class: "count" }, `${w.people} of ${result.of}`)))),
  ];
}

/** Ask before what cannot be undone; gives true for yes. */
export function sure(head, text, yes = "Yes") {
  const box = by("sure");
  by("sure-head").textContent = head;
  by("sure-text").textContent = text;
  by("sure-yes").textContent = yes;
  return new Promise((done) => {
    const end = (answer) => { box.close(); done(answer); };
    by("sure-yes").onclick = () => end(true);
    by("sure-no").onclick = () => end(false);
    box.oncancel = () => done(false);
    box.showModal();
    by("sure-no").focus();
  });
}
