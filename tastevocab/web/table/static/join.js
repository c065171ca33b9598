// The door: a code, a seat, consent.
import { by, el, fill, post, say, sentence } from "/static/net.js";

let code = "";

async function show() {
  try {
    const told = await post("/join", { code });
    say(by("said"), "");
    by("code-form").hidden = true;
    by("seat-form").hidden = false;
    by("session").textContent = told.date ? `${told.session}, ${told.date}` : told.session;
    by("days").textContent = told.keep_days;
    fill(by("seats"), ...told.seats.map(seat), told.guests ? choice("guest", "A guest", false) : null);
    by("seats").querySelector("input:not(:disabled)")?.focus();
  } catch (problem) {
    say(by("said"), sentence(problem.message), "bad");
    by("code").focus();
  }
}

const seat = (one) => choice(one.seat, one.name, one.taken);

function choice(value, name, taken) {
  const input = el("input", { type: "radio", name: "seat", value, id: `seat-${value}`, required: true, disabled: taken });
  return el("label", { class: "tick seat", for: `seat-${value}` }, input,
    el("span", {}, name, taken ? el("span", { class: "quiet small" }, " taken: on a new phone? Ask the leader for a link") : ""));
}

by("seats").addEventListener("change", (event) => { by("call").hidden = event.target.value !== "guest"; });

by("code-form").addEventListener("submit", (event) => {
  event.preventDefault();
  code = by("code").value;
  show();
});

by("seat-form").addEventListener("submit", async (event) => {
  event.preventDefault();
  const chosen = document.querySelector("input[name=seat]:checked");
  try {
    const told = await post("/sit", { code, seat: chosen.value, name: by("name").value, consent: by("consent").checked });
    remember(told.go);
    location.assign(told.go);
  } catch (problem) {
    say(by("said"), sentence(problem.message), "bad");
    scrollTo(0, 0);
    if (problem.status === 409) show();
  }
});

// Somebody who scans the code again on the same phone has a seat already.
const HOME = "table/home";

function remember(home) {
  try { localStorage.setItem(HOME, home); } catch { /* the seat's cookie is there all the same */ }
}

try {
  if (location.search === "?out") {
    localStorage.removeItem(HOME);
    say(by("said"), "This phone holds no seat here: join with the code, or ask the leader for a link.", "ask");
  }
  const home = localStorage.getItem(HOME);
  if (/^\/seat\/\w+\/$/.test(home || "")) {
    by("back").href = home;
    by("back-box").hidden = false;
  }
} catch { /* no storage */ }

if (/^#[A-Za-z]{6}$/.test(location.hash)) {
  by("code").value = code = location.hash.slice(1);
  show();
}
