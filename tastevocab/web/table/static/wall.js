// The big screen: how to join, how many have closed, and the counts of rounds that were shown.
import { Line, by, counted, el, fill, named, say, timer } from "/static/net.js";

let view = null, skew = 0;

function draw() {
  by("session").textContent = view.session;
  by("door").hidden = !view.code;
  if (view.code && by("code").textContent !== view.code) {
    by("qr").src = `/wall/qr.svg?${view.code}`;
    by("code").textContent = view.code;
  }
  by("address").textContent = view.address;
  say(by("told"), told(), null);
  fill(by("results"), ...view.results.map((one) => el("section", { class: "sheet" },
    el("h2", {}, one.name || one.label, one.brew ? el("span", { class: "quiet" }, ` ${one.brew}`) : ""),
    one.wheel ? el("img", { class: "wheel", src: `/wall/wheel?of=${encodeURIComponent(one.wheel)}&drawn=${one.drawn}`, alt: `Flavour wheel of ${one.name}` }) : null, ...counted(one))));
  document.body.classList.toggle("has-results", view.results.length > 0);
  tick();
}

function told() {
  if (view.ended) return "The table has ended. Thank you.";
  const waiting = view.brews.filter((brew) => !view.shown.includes(brew));
  if (!waiting.length) return view.revealed ? "" : "All rounds are shown. The coffees are not told yet.";
  if (!view.sitting) return "Nobody sits at the table yet.";
  return waiting.map((brew) => `${named(brew)}: ${view.sitting - view.open[brew]} of ${view.sitting} have closed`).join(" · ");
}

function tick() {
  if (view) say(by("timer"), timer(view, skew), null);
}

new Line("/wall/", (told, ahead) => { view = told; skew = ahead; draw(); },
  (net) => say(by("net"), net === "live" ? "" : net === "shut" ? "This wall was closed: open it again from the leader's page." : "The table is not reached. It is tried again.", null));
setInterval(() => { if (!document.hidden) tick(); }, 1000);
