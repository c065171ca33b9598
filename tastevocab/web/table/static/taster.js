// A taster's page. What is typed goes into the phone's own storage first, then to the table; what the table sends back
// is drawn from scratch each time, so that reopening, another tab or another phone show the same.
import { Line, Outbox, by, counted, el, fill, named, post, randomName, say, sentence, sure, timer } from "/static/net.js";

const main = by("main");
const base = `/seat/${main.dataset.seat}/`;
const prefix = `table/${main.dataset.table}/${main.dataset.seat}/`;
const at = { code: "", brew: "", moment: "", editing: null, bowl: 0 };
let view = null, skew = 0, net = "", rev = 0, said = 0;

const outbox = new Outbox(prefix, `${base}events`, (entry, why) => {
  if (why) refused(entry, why);
  draw();
});

// --- what is shown: the table's view, with what still waits laid over it ---

function notes() {
  const found = new Map(view.notes.map((note) => [`${note.note}${note.late ? "+" : ""}`, note]));
  for (const act of outbox.pending()) {
    if (act.kind !== "note") continue;
    const there = found.get(act.note);
    if (there && there.rev > act.rev) continue;
    if (!act.text) found.delete(act.note);
    else found.set(act.note, { ...act, marks: [], read: false, late: false, waits: true });
  }
  return [...found.values()].filter((note) => note.code === at.code && note.brew === at.brew);
}

function isClosed(code, brew) {
  const acts = outbox.pending().filter((act) => act.kind === "close" && act.code === code && act.brew === brew);
  if (acts.length) return acts.at(-1).closed;
  return view.closed.some(([c, b]) => c === code && b === brew);
}

function step(scale) {
  const same = (act) => act.code === at.code && act.brew === at.brew && act.moment === at.moment && act.scale === scale;
  const acts = outbox.pending().filter((act) => act.kind === "scale" && same(act));
  return acts.length ? acts.at(-1).step : view.marked.find(same)?.step || 0;
}

function put(kind, body) {
  rev = Math.max(rev, view.rev, ...outbox.pending().map((act) => act.rev || 0)) + 1;
  outbox.put(kind, { ...body, rev });
  draw();
}

// --- drawing ---

function draw() {
  if (!view) return status();
  choose();
  by("who").textContent = view.as ? `${view.name} ${view.as}` : view.name;
  by("as").textContent = view.as || view.name;
  by("days").textContent = view.keep_days;
  by("yours").hidden = view.gone;
  fill(by("codes"), ...view.codes.map((code) => el("li", {}, el("button", {
    type: "button", "data-key": code, "aria-current": code === at.code ? "true" : "false", onclick: () => go({ code }),
  }, code, isClosed(code, at.brew) ? el("span", {}, " ✓", el("span", { class: "unseen" }, " closed")) : ""))));
  by("brews-box").hidden = view.brews.length < 2;
  fill(by("brews"), ...view.brews.map((brew) => el("button", {
    type: "button", "data-key": brew, "aria-pressed": String(brew === at.brew), onclick: () => go({ brew }) }, brew)));
  fill(by("moments"), ...["dry", "aroma", "hot", "warm", "cool"].filter((m) => view.moments.includes(m)).map((moment) => el("button", {
    type: "button", "data-key": moment, "aria-pressed": String(moment === at.moment), onclick: () => { at.moment = at.moment === moment ? "" : moment; draw(); } }, moment)));
  drawCup();
  status();
  tick();
}

function choose() {
  if (!view.codes.includes(at.code)) at.code = recall("code") && view.codes.includes(recall("code")) ? recall("code") : view.codes[0];
  if (!view.brews.includes(at.brew)) at.brew = view.brews.includes(recall("brew")) ? recall("brew") : view.brews[0];
  const told = view.clock.moment;
  if (told && told !== at.told && !by("text").value) at.moment = told; // never under the pen of somebody who writes
  at.told = told;
}

function drawCup() {
  const closed = isClosed(at.code, at.brew), shown = view.shown.includes(at.brew);
  const name = view.names[at.code];
  by("cup-name").textContent = [name ? `${at.code}: ${name}` : `Cup ${at.code}`, at.brew].filter(Boolean).join(", ");
  const told = view.gone ? "You took your notes back." : view.ended ? "The table has ended."
    : shown ? "This round is shown. What you write now is kept, and counts as informed."
    : closed ? "You have closed this cup." : "";
  by("cup-told").textContent = told;
  by("cup-told").hidden = !told;
  const still = view.ended || view.gone || (closed && !shown);
  by("compose").hidden = still;
  by("scales-box").hidden = still || shown;
  by("bowl-box").hidden = still || !view.bowls;
  by("close-box").hidden = view.ended || view.gone || shown;
  by("close").textContent = closed ? "Open this cup again" : "Close this cup";
  by("close").className = closed ? "block" : "block main";
  drawNotes(still);
  drawScales();
  fill(by("bowls"), ...Array.from({ length: view.bowls }, (_, i) => i + 1).map((n) => el("button", {
    type: "button", "data-key": `bowl-${n}`, "aria-pressed": String(at.bowl === n), onclick: () => { at.bowl = at.bowl === n ? 0 : n; draw(); } }, String(n))));
  const results = view.results.filter((one) => one.code === at.code && one.brew === at.brew);
  fill(by("results"), ...results.flatMap((one) => [el("h3", {}, "What the table found"), ...counted(one)]));
}

const SIGNS = { counted: "", asked: "unsure: is it so?", denied: "not there", aside: "set aside", unknown: "not known", fault: "a fault" };

function drawNotes(still) {
  const own = notes();
  by("notes-head").hidden = !own.length;
  fill(by("notes"), ...own.map((note) => el("li", { class: note.waits ? "waits" : "" },
    el("p", { class: "typed" }, note.text),
    el("p", { class: "small quiet" }, [note.moment, note.bowl ? `bowl ${note.bowl}` : "", note.late ? "informed" : "", note.waits ? "waits to be sent" : "kept"].filter(Boolean).join(" · ")),
    note.marks.length ? el("div", { class: "row tight", role: "group", "aria-label": "How it was read" }, ...note.marks.map((mark) => markButton(note, mark))) : null,
    note.read && !note.marks.length && !note.waits ? el("p", { class: "small quiet" }, "No flavour was read in it. The words are kept as they are.") : null,
    still || note.late ? null : el("div", { class: "row tight" },
      el("button", { type: "button", "data-key": `edit-${note.note}`, onclick: () => edit(note) }, "Change"),
      el("button", { type: "button", "data-key": `drop-${note.note}`, onclick: () => remove(note) }, "Remove")))));
}

function markButton(note, mark) {
  const sign = mark.verdict === "wrong" ? "taken back" : SIGNS[mark.state] || "";
  const words = mark.print && mark.print.toLowerCase() !== mark.words.toLowerCase() ? `${mark.words} → ${mark.print}` : mark.print || mark.words;
  return el("button", { type: "button", class: `mark ${mark.state}`, "data-key": `mark-${note.note}-${mark.start}-${mark.was}`, onclick: () => openMark(note, mark) },
    el("span", { class: "word" }, words), sign ? el("span", { class: "quiet" }, ` ${sign}`) : "");
}

function drawScales() {
  fill(by("scales"), ...view.scales.map((scale) => {
    const now = step(scale.id);
    return el("fieldset", { class: "scale" }, el("legend", {}, scale.print), el("div", { class: "steps" },
      ...scale.words.map((word, i) => el("button", { type: "button", "data-key": `${scale.id}-${i}`, "aria-pressed": String(now === i + 1),
        onclick: () => put("scale", { code: at.code, brew: at.brew, moment: at.moment, scale: scale.id, step: now === i + 1 ? 0 : i + 1 }) }, word))));
  }));
}

function status() {
  const waits = outbox.pending().length;
  const things = waits === 1 ? "1 thing waits" : `${waits} things wait`;
  const words = outbox.shut ? `${sentence(outbox.shut)} ${waits ? `${things} on this phone.` : ""}`
    : net === "shut" ? "This seat is open on another phone. Ask the leader for a link."
    : net === "lost" ? (waits ? `No connection: ${things} on this phone.` : "No connection: what you write is kept on this phone.")
    : waits ? `${things} to be sent.` : view?.gone ? "Nothing of yours is kept." : view ? "Everything is kept." : "opening …";
  const loose = outbox.stored ? "" : " This phone keeps nothing when the page is closed: stay on it until all is sent.";
  say(by("net"), words + loose, null);
  document.body.classList.toggle("offline", net === "lost" || Boolean(outbox.shut));
}

function tick() {
  if (view) say(by("timer"), timer(view, skew), null);
}

function tell(words, kind = "good") {
  clearTimeout(said);
  say(by("said"), words, kind);
  if (words && kind !== "bad") said = setTimeout(() => say(by("said"), ""), 6000);
}

// --- writing ---

function recall(name) {
  try { return localStorage.getItem(prefix + name) || ""; } catch { return ""; }
}

function remember(name, value) {
  try { value ? localStorage.setItem(prefix + name, value) : localStorage.removeItem(prefix + name); } catch { /* a draft only */ }
}

const draftName = (field) => `draft/${at.code}/${at.brew}/${field}`;

function go(to) {
  Object.assign(at, to, { editing: null, bowl: 0 });
  remember("code", at.code);
  remember("brew", at.brew);
  for (const field of ["text", "bowl-text"]) by(field).value = recall(draftName(field));
  draw();
}

for (const field of ["text", "bowl-text"]) {
  by(field).addEventListener("input", () => { if (!at.editing) remember(draftName(field), by(field).value); });
}

by("compose").addEventListener("submit", (event) => {
  event.preventDefault();
  const text = by("text").value.trim();
  if (!text) return tell("Nothing is written yet. A blank is an answer too: close the cup.", "ask");
  const old = at.editing;
  put("note", { note: old ? old.note : randomName(), code: at.code, brew: at.brew, moment: at.moment, bowl: old ? old.bowl : 0, text });
  by("text").value = "";
  at.editing = null;
  remember(draftName("text"), "");
  by("text").focus();
});

by("bowl-form").addEventListener("submit", (event) => {
  event.preventDefault();
  const text = by("bowl-text").value.trim();
  if (!text || !at.bowl) return tell(text ? "Which bowl is it?" : "How is it off? Say it in your own words.", "ask");
  put("note", { note: randomName(), code: at.code, brew: at.brew, moment: at.moment, bowl: at.bowl, text });
  by("bowl-text").value = "";
  remember(draftName("bowl-text"), "");
  at.bowl = 0;
  draw();
  tell("The fault is noted. If it may harm: do not swallow, tell the leader now.");
});

function edit(note) {
  at.editing = note;
  at.moment = note.moment;
  by("text").value = note.text;
  draw();
  by("text").focus();
}

async function remove(note) {
  if (await sure("Remove this note?", note.text, "Remove")) {
    put("note", { note: note.note, code: note.code, brew: note.brew, moment: note.moment, bowl: note.bowl, text: "" });
  }
}

function refused(entry, why) {
  if (entry.kind === "note" && entry.text && !by("text").value) by("text").value = entry.text;
  tell(`Not kept: ${why}.${entry.kind === "note" ? " Your words are back in the field." : ""}`, "bad");
}

by("close").addEventListener("click", async () => {
  const closed = !isClosed(at.code, at.brew);
  if (closed && by("text").value.trim()) return tell("Your last note is not kept yet. Keep it, or empty the field.", "ask");
  put("close", { code: at.code, brew: at.brew, closed });
  const next = view.codes.find((code) => !isClosed(code, at.brew));
  if (closed && next) go({ code: next });
  if (closed) tell(next ? `Closed. Next is ${next}.` : "All your cups of this round are closed. Thank you.");
});

by("withdraw").addEventListener("click", async () => {
  if (!(await sure("Take all your notes back?", "They are wiped from the table and count for nothing. Nobody can bring them back.", "Take them back"))) return;
  try {
    for (const act of outbox.pending()) outbox.drop(act.key);
    await post(`${base}withdraw`, { really: true });
    tell("All your notes are taken back.");
  } catch (problem) {
    tell(`Not yet: ${problem.message}.`, "bad");
  }
});

// --- putting a reading right ---

function openMark(note, mark) {
  const decide = (verdict, descriptor = "") => {
    by("mark").close();
    const { words, start, end, was } = mark;
    put("mark", { note: note.note, words, start, end, was, verdict, ...(descriptor ? { descriptor } : {}) });
  };
  by("mark-head").textContent = `“${mark.words}”`;
  by("mark-how").textContent = mark.state === "unknown" ? "This word is not in the vocabulary." : [`read as ${mark.print}`, SIGNS[mark.state], mark.how].filter(Boolean).join(", ");
  by("mark-verdicts").replaceChildren(...[
    mark.state !== "unknown" ? el("button", { type: "button", onclick: () => decide("keep") }, mark.state === "aside" ? "It does count" : "That is right") : null,
    mark.state !== "aside" && mark.state !== "unknown" ? el("button", { type: "button", onclick: () => decide("wrong") }, "I did not mean that") : null,
  ].filter(Boolean));
  by("mark-find").value = "";
  by("mark-found").replaceChildren();
  by("mark-hint").textContent = "Type two letters of a flavour.";
  by("mark").decide = decide;
  by("mark").showModal();
}

let asked = 0;
by("mark-find").addEventListener("input", () => {
  clearTimeout(asked);
  asked = setTimeout(search, 250);
});

async function search() {
  const words = by("mark-find").value.trim();
  if (words.length < 2) return by("mark-found").replaceChildren();
  try {
    const { found } = await post(`${base}find`, { words }, 20);
    if (words !== by("mark-find").value.trim()) return undefined;
    by("mark-hint").textContent = found.length ? "" : "Nothing is called like that. The words stay as you typed them.";
    return by("mark-found").replaceChildren(...found.map((one) => el("li", {}, el("button", { type: "button", class: "block", onclick: () => by("mark").decide("change", one.descriptor) },
      one.as ? `${one.print} (${one.as})` : one.print, el("span", { class: "quiet small" }, ` ${one.home}`)))));
  } catch (problem) {
    by("mark-hint").textContent = sentence(problem.message);
    return undefined;
  }
}

by("mark-shut").onclick = () => by("mark").close();

// --- the line ---

new Line(base, (told, ahead) => {
  const first = !view;
  view = told;
  skew = ahead;
  if (first) { choose(); go({}); }
  draw();
}, (state) => {
  if (state === "live" && net !== "live") outbox.soon();
  net = state;
  status();
});
setInterval(() => { if (!document.hidden) tick(); }, 1000);
