// The leader: who is here and who has closed, moments, rounds, the reveal, the end. What was written is not shown here.
import { Line, by, el, fill, named, post, say, sentence, sure, timer } from "/static/net.js";

let view = null, skew = 0;

async function act(kind, more = {}) {
  try {
    const told = await post("/leader/act", { kind, ...more });
    say(by("said"), "");
    return told;
  } catch (problem) {
    if (problem.status === 409 && problem.message.includes("still open") && !more.force) {
      const count = problem.message.split(" ")[0];
      const yes = await sure("Close for all?", `${count} at the table have not closed their cups. What they write from now on counts as informed.`, "Close and go on");
      return yes ? act(kind, { ...more, force: true }) : null;
    }
    say(by("said"), sentence(problem.message), "bad");
    return null;
  }
}

function draw() {
  by("session").textContent = view.session;
  by("address").textContent = view.address;
  for (const id of ["come-in", "clock-box"]) by(id).hidden = view.ended;
  if (by("code").textContent !== view.code) {
    by("qr").src = `/leader/qr.svg?${view.code}`;
    by("code").textContent = view.code;
  }
  say(by("wrong"), view.wrong > 5 ? `${view.wrong} wrong codes in ten minutes. If nobody here mistypes, make a new code.` : "", "ask");
  fill(by("moments"), ...view.moments.map((moment) => el("button", {
    type: "button", "data-key": moment, "aria-pressed": String(view.clock.moment === moment), disabled: view.ended,
    onclick: () => act("moment", { moment, minutes: Number(by("minutes").value) || 0 }) }, moment)),
    el("button", { type: "button", "data-key": "stop", disabled: !view.clock.moment, onclick: () => act("moment", { moment: "", minutes: 0 }) }, "Stop the clock"));
  fill(by("rounds"), ...view.brews.map(round));
  by("reveal").disabled = view.revealed || view.ended;
  by("end").disabled = view.ended;
  fill(by("coffees"), ...view.coffees.map((name) => el("li", {}, name)));
  drawFiles();
  drawSeats();
  by("open-wall").disabled = false;
  tick();
}

function round(brew) {
  const shown = view.shown.includes(brew);
  const sitting = view.seats.filter((seat) => seat.taken && !seat.left && !seat.gone).length;
  const told = shown ? "shown" : `${sitting - view.open[brew]} of ${sitting} have closed`;
  return el("div", { class: "row spread" }, el("span", {}, brew || "The round", el("span", { class: "quiet" }, ` ${told}`)),
    el("button", { type: "button", "data-key": `show-${brew}`, disabled: shown || view.ended || !sitting, onclick: () => act("show", { brew }) }, "Show"));
}

function drawFiles() {
  const busy = view.busy ? el("p", { class: "told ask", role: "status" }, view.busy) : null;
  const list = view.files.length ? el("ul", {}, ...view.files.map((file) => el("li", {}, el("code", {}, file)))) : null;
  fill(by("files"), busy, list ? el("p", {}, "Written into ", el("code", {}, view.folder), ":") : null, list,
    list ? el("p", {}, `You have told everybody that this folder is deleted after ${view.keep_days} days.`) : null);
}

const STATES = [["gone", "took the notes back"], ["left", "has left"], ["here", "here"], ["taken", "page closed"]];

function drawSeats() {
  fill(by("seats-top"), el("th", { scope: "col" }, "Seat"), el("th", { scope: "col" }, "Is"),
    ...view.brews.map((brew) => el("th", { scope: "col" }, brew || "Closed")), el("th", { scope: "col" }, el("span", { class: "unseen" }, "Do")));
  fill(by("seats"), ...view.seats.map((seat) => el("tr", {},
    el("th", { scope: "row" }, seat.name || seat.seat, seat.as && seat.as !== seat.name ? el("span", { class: "quiet" }, ` ${seat.as}`) : ""),
    el("td", { class: "is" }, (STATES.find(([key]) => seat[key]) || ["", "free"])[1]),
    ...view.brews.map((brew) => el("td", { class: "count", "data-label": brew || "closed" }, seat.taken ? `${seat.closed[brew]}\u00a0of\u00a0${seat.of}${seat.closed[brew] === seat.of ? "\u00a0✓" : ""}` : "–")),
    el("td", {}, el("button", { type: "button", "data-key": `do-${seat.seat}`, "aria-label": `Do something at the seat of ${seat.name || seat.seat}`, onclick: () => openSeat(seat) }, "…")))));
  by("balance").textContent = view.balance;
  by("guests").textContent = view.guests.of ? `Guests: ${view.guests.taken} of ${view.guests.of} seats taken.` : "";
  by("late-form").hidden = !view.spare || view.ended;
}

function openSeat(seat) {
  const name = seat.name || seat.seat;
  by("seat-head").textContent = name;
  by("seat-link").hidden = true;
  const link = () => post("/leader/link", { seat: seat.seat }).catch((problem) => { say(by("said"), sentence(problem.message), "bad"); return null; });
  const acts = [
    el("button", { type: "button", onclick: async () => {
      const told = await link();
      if (!told) return;
      by("seat-qr").src = told.qr;
      by("seat-url").textContent = told.url;
      by("seat-link").hidden = false;
    } }, seat.taken ? "A new phone for this seat" : "Let this seat in by a link"),
    el("button", { type: "button", onclick: async () => {
      const told = await link();
      if (told) open(told.path, "_blank");
      by("seat-dialog").close();
    } }, `Type for ${name} here`),
    seat.taken && !seat.gone ? el("button", { type: "button", onclick: () => { act(seat.left ? "back" : "left", { seat: seat.seat }); by("seat-dialog").close(); } }, seat.left ? "Is back" : "Has left") : null,
    seat.taken ? el("button", { type: "button", class: "danger", onclick: async () => {
      by("seat-dialog").close();
      if (await sure(`Shut ${name} out?`, "Every phone of this seat is shut out until it gets a new link. What was kept stays.", "Shut out")) act("shut_out", { seat: seat.seat });
    } }, "Shut its phones out") : null,
  ];
  by("seat-acts").replaceChildren(...acts.filter(Boolean));
  by("seat-dialog").showModal();
}

function tick() {
  if (view) say(by("timer"), timer(view, skew), null);
}

by("seat-shut").onclick = () => by("seat-dialog").close();
by("new-code").onclick = () => act("code");
by("open-wall").onclick = async () => {
  const told = await post("/leader/link", { seat: "wall" }).catch(() => null);
  if (told) open(told.path, "_blank");
};
by("reveal").onclick = async () => {
  if (await sure("Reveal the coffees?", "All rounds close, and every phone shows the names. What is written from now on counts as informed.", "Reveal")) act("reveal");
};
by("end").onclick = async () => {
  if (await sure("End the table?", "Nothing more can be written. The session's files and the feature pack are made.", "End")) act("end");
};
by("late-form").addEventListener("submit", async (event) => {
  event.preventDefault();
  if (await act("late", { name: by("late").value })) by("late").value = "";
});

new Line("/leader/", (told, ahead) => { view = told; skew = ahead; draw(); },
  (net) => say(by("net"), net === "live" ? (view?.ended ? "The table has ended." : "The table is running.") : net === "shut" ? "Open this page anew by the link in the terminal." : "The table is not reached. It is tried again.", null));
setInterval(() => { if (!document.hidden) tick(); }, 1000);
