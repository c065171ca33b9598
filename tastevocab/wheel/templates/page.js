"use strict";
(() => {
  const one = (what, within) => (within || document).querySelector(what);
  const all = (what, within) => Array.from((within || document).querySelectorAll(what));
  const stage = one("#stage"), told = one("#told"), search = one("#search"), tip = one("#tip");
  const closer = one("#closer"), whole = one("#whole"), share = one("#share");
  const steps = all("input[name=step]");
  const still = matchMedia("(prefers-reduced-motion: reduce)");
  let at = Math.max(0, steps.findIndex((step) => step.checked));
  const maps = [], messages = [], pictures = [];
  maps[at] = one(".map");
  messages[at] = one(".message");
  let picked = "", near = "", asked = "";
  document.documentElement.classList.add("js");

  const plain = (text) => text.normalize("NFD").replace(/[\u0300-\u036f]/g, "").toLowerCase();
  const capital = (text) => text.slice(0, 1).toUpperCase() + text.slice(1);
  const made = (kind, said, name) => {
    const element = document.createElement(kind);
    if (said) element.textContent = said;
    if (name) element.className = name;
    return element;
  };
  const rows = (map) => all(".rows > li", maps[map === undefined ? at : map]);
  const row = (id, map) => rows(map).find((li) => li.dataset.id === id);
  const word = (id, map) => all(".word", messages[map === undefined ? at : map]).find((b) => b.dataset.id === id);
  const count = (li) => one(".count", li).textContent;
  const everyone = (li) => li.dataset.all || count(li);
  const label = (li) => one(".name", li).textContent;

  /* What belongs to a word: itself and all below it, or what a printed word counts. */
  function under(id) {
    const lit = new Set([id]);
    for (const li of rows()) if (lit.has(li.dataset.up)) lit.add(li.dataset.id);
    const printed = word(id);
    if (printed) for (const part of printed.dataset.over.split(" ")) lit.add(part);
    return lit;
  }
  function category(id) {
    let li = row(id) || (word(id) && row(word(id).dataset.over.split(" ")[0]));
    while (li && li.dataset.up && row(li.dataset.up)) li = row(li.dataset.up);
    return li ? li.dataset.id : "";
  }

  /* The wheel: of its two shapes the one that suits the screen stands on the stage. */
  const roomy = matchMedia("(min-width: 46rem)");
  const shape = (text) => {
    const holder = made("template");
    holder.innerHTML = text;
    return holder.content.firstElementChild;
  };
  pictures[at] = { wide: one("#wide") ? one("#wide").content.firstElementChild : one(".wheel", stage), narrow: one(".wheel", stage) };
  const shown = () => one(".wheel", stage);
  function put(size) {
    const kept = pictures[at];
    if (typeof kept[size] === "string") kept[size] = shape(kept[size]);
    if (shown() !== kept[size]) stage.replaceChildren(kept[size]);
    prepare(shown());
  }
  const fit = () => put(roomy.matches || !pictures[at].narrow ? "wide" : "narrow");
  const arcs = (wheel) => all("[data-ring]", wheel);
  function prepare(wheel) {
    if (wheel.dataset.whole) return;
    wheel.setAttribute("role", "group");
    wheel.dataset.whole = wheel.getAttribute("viewBox");
    arcs(wheel).forEach((arc, i) => {
      arc.setAttribute("role", "button");
      arc.setAttribute("tabindex", i ? "-1" : "0");
      const people = Number(arc.dataset.of) ? `, ${arc.dataset.people} of ${arc.dataset.of}` : "";
      arc.setAttribute("aria-label", capital(arc.dataset.print) + people);
    });
  }
  function light() {
    const lit = asked ? found() : picked ? under(picked) : null;
    for (const part of all("[data-about]", shown())) {
      part.classList.toggle("dim", Boolean(lit) && !lit.has(part.dataset.about));
      if (part.dataset.ring) {
        const chosen = part.dataset.about === picked;
        part.classList.toggle("chosen", chosen && !asked);
        part.setAttribute("aria-pressed", String(chosen));
      }
    }
    for (const li of rows()) li.classList.toggle("here", li.dataset.id === picked);
    for (const button of all(".word")) button.setAttribute("aria-pressed", String(button.dataset.id === picked));
  }
  function look(view, wheel) {
    const from = wheel.getAttribute("viewBox").split(" ").map(Number);
    if (still.matches) return wheel.setAttribute("viewBox", view.join(" "));
    const start = performance.now();
    const go = (now) => {
      const part = Math.min(1, (now - start) / 240), ease = part * (2 - part);
      wheel.setAttribute("viewBox", from.map((v, i) => v + (view[i] - v) * ease).join(" "));
      if (part < 1) requestAnimationFrame(go);
    };
    requestAnimationFrame(go);
  }
  function zoom(id) {
    near = id;
    const wheel = shown(), whole = wheel.dataset.whole.split(" ").map(Number);
    let view = whole;
    const parts = id ? all("[data-about]", wheel).filter((part) => under(id).has(part.dataset.about)) : [];
    const boxes = parts.map((part) => toWheel(part, wheel)).filter(Boolean);
    if (boxes.length) {
      const left = Math.min(...boxes.map((b) => b[0])) - 2, top = Math.min(...boxes.map((b) => b[1])) - 2;
      const wide = Math.max(...boxes.map((b) => b[2])) + 2 - left, high = Math.max(...boxes.map((b) => b[3])) + 2 - top;
      const scale = Math.max(wide / whole[2], high / whole[3]);
      const w = whole[2] * scale, h = whole[3] * scale;
      if (scale < 1) view = [left + (wide - w) / 2, top + (high - h) / 2, w, h];
    }
    look(view, wheel);
    offer();
  }
  function toWheel(part, wheel) {
    const box = part.getBoundingClientRect(), frame = wheel.getBoundingClientRect();
    if (!frame.width || !box.width) return null;
    const view = wheel.getAttribute("viewBox").split(" ").map(Number);
    const k = Math.max(view[2] / frame.width, view[3] / frame.height);
    const x = view[0] + view[2] / 2 - (frame.width * k) / 2, y = view[1] + view[3] / 2 - (frame.height * k) / 2;
    return [x + (box.left - frame.left) * k, y + (box.top - frame.top) * k, x + (box.right - frame.left) * k, y + (box.bottom - frame.top) * k];
  }

  /* The panel. */
  function quotes(ids) {
    const list = made("ul", "", "said"), seen = new Set();
    for (const id of ids) {
      for (const line of row(id) ? all(".said li", row(id)) : []) {
        if (seen.has(line.textContent)) continue;
        seen.add(line.textContent);
        const said = line.cloneNode(true);
        if (sound && said.dataset.at) said.prepend(hearing(line));
        list.append(said);
      }
    }
    return list;
  }
  /* The recording: from a second before the word on; the same button stops it. */
  const sound = one("#sound");
  let heard = null;
  function hearing(line) {
    const button = made("button", "Hear", "hear"), second = Math.max(0, Number(line.dataset.at) - 1);
    button.type = "button";
    button.setAttribute("aria-label", `Hear ${line.textContent}`);
    button.setAttribute("aria-pressed", "false");
    button.addEventListener("click", () => {
      const stop = heard === button && !sound.paused;
      hush();
      if (stop) return;
      heard = button;
      button.setAttribute("aria-pressed", "true");
      sound.currentTime = second;
      sound.play().catch((refused) => {
        if (refused.name === "AbortError") return;
        if (sound.error) missing();
        else one("#unheard").textContent = "This browser did not start it: use the player.";
        hush();
      });
    });
    return button;
  }
  function hush() {
    if (heard) heard.setAttribute("aria-pressed", "false");
    heard = null;
    sound.pause();
  }
  function missing() { one("#unheard").textContent = "The recording is not where this page looks for it."; }
  if (sound) {
    sound.addEventListener("ended", hush);
    sound.addEventListener("error", missing);
  }
  function tell() {
    if (sound && heard) hush();
    told.textContent = "";
    const li = picked && row(picked), printed = picked && word(picked);
    if (!li && !printed) {
      if (picked) told.append(made("p", `At this step: ${absent(picked, at)}.`, "facts"));
      else told.append(made("p", rows().length ? "Choose a piece of the wheel or a word: who found it, in which words, when." : "Nothing was found at this step.", "facts"));
      if (picked) turns();
      return offer();
    }
    const head = made("h2", capital(label(printed || li)) + " ");
    head.append(made("span", count(printed || li), "count"));
    told.append(head);
    if (li) told.append(made("p", one(".facts", li).textContent, "facts"));
    turns();
    const below = rows().filter((other) => other.dataset.up === picked);
    const parts = below.length ? below : printed ? printed.dataset.over.split(" ").filter((id) => id !== picked).map((id) => row(id)).filter(Boolean) : [];
    if (parts.length) {
      const list = made("ul", "", "below");
      for (const other of parts) {
        const item = made("li"), button = made("button", `${label(other)} ${count(other)}`);
        button.type = "button";
        button.addEventListener("click", () => pick(other.dataset.id));
        item.append(button);
        list.append(item);
      }
      told.append(list);
    }
    told.append(quotes(under(picked)));
    offer();
  }
  /* What a printed word counts may be there where it is not printed itself; a crowd's small words have no rows. */
  function absent(id, map) {
    if (messages.some((_, i) => word(id, i))) return "not printed";
    return rows(map).some((li) => li.dataset.fold) ? "few or nobody" : "nobody";
  }
  function turns() {
    if (steps.length < 2) return;
    const list = made("ul", "", "turns");
    maps.forEach((map, i) => {
      const here = word(picked, i) || row(picked, i);
      const item = made("li", `${one("h2", map).textContent}: ${here ? everyone(here) : absent(picked, i)}`, i === at ? "here" : "");
      list.append(item);
    });
    told.append(list);
  }
  function offer() {
    const group = picked && category(picked);
    closer.hidden = !group || near === group;
    whole.hidden = !near && !picked && !asked;
    share.hidden = !picked;
    one("#copied").textContent = "";
  }
  function pick(id, quiet) {
    picked = id === picked && !quiet ? "" : id;
    if (near && (!picked || !under(near).has(picked))) zoom("");
    light();
    tell();
    note();
  }
  function back() {
    search.value = "";
    sift();
    picked = "";
    zoom("");
    light();
    tell();
    note();
  }

  /* Search. */
  function found() {
    const fits = new Set();
    for (const li of rows()) if (plain(li.textContent).includes(asked)) fits.add(li.dataset.id);
    return fits;
  }
  function sift() {
    asked = plain(search.value.trim());
    const fits = found(), stands = new Set(fits);
    for (const li of rows().reverse()) if (stands.has(li.dataset.id)) stands.add(li.dataset.up);
    for (const li of rows()) li.hidden = Boolean(asked) && !stands.has(li.dataset.id);
    one("#found").textContent = asked ? (fits.size === 1 ? "1 word" : `${fits.size} words`) : "";
    light();
    offer();
  }

  /* Steps. */
  let unpacking = null;
  const unpacked = () => (unpacking ||= unpack());
  async function unpack() {
    const held = one("#further");
    if (!held || !window.DecompressionStream) return;
    const bytes = Uint8Array.from(atob(held.textContent), (c) => c.charCodeAt(0));
    const stream = new Blob([bytes]).stream().pipeThrough(new DecompressionStream("gzip"));
    const steps = JSON.parse(await new Response(stream).text());
    steps.forEach((further, i) => {
      if (!further) return;
      pictures[i] = { wide: further.wheels[0], narrow: further.wheels[1] };
      maps[i] = add(further.words, "#maps", i);
      messages[i] = add(further.message, "#messages", i);
    });
    held.remove();
    if (picked) tell();
  }
  function add(text, where, i) {
    const part = shape(text);
    part.hidden = i !== at;
    one(where).append(part);
    return part;
  }
  async function step(index) {
    if (!maps[index]) await unpacked();
    if (!maps[index]) { one("#copied").textContent = "This browser cannot unpack further steps."; return; }
    at = index;
    fit();
    for (const parts of [maps, messages, steps]) parts.forEach((part, i) => { if (part.type === "radio") part.checked = i === index; else part.hidden = i !== index; });
    zoom("");
    sift();
    tell();
    note();
  }

  /* The address says what is shown. */
  function note() {
    const said = new URLSearchParams();
    if (picked) said.set("word", picked);
    if (steps.length && picked) said.set("step", steps[at].dataset.name);
    const hash = said.toString().replace(/%2F/g, "/");
    try { history.replaceState(null, "", hash ? `#${hash}` : location.href.split("#")[0]); } catch (refused) { /* a page in a frame without an address */ }
  }
  async function open() {
    const said = new URLSearchParams(location.hash.slice(1));
    const index = steps.findIndex((input) => input.dataset.name === said.get("step"));
    const wanted = said.get("word") || "";
    if (index >= 0 && index !== at) await step(index);
    if (wanted) pick(wanted, true);
  }
  function copy() {
    const done = () => { one("#copied").textContent = "Copied."; };
    const byHand = () => {
      const field = made("textarea");
      field.value = location.href;
      document.body.append(field);
      field.select();
      const worked = document.execCommand("copy");
      field.remove();
      if (worked) done();
      else one("#copied").textContent = location.href;
      share.focus();
    };
    if (navigator.clipboard && isSecureContext) navigator.clipboard.writeText(location.href).then(done, byHand);
    else byHand();
  }

  /* Fingers, mice, keys. */
  const about = (target) => { const part = target.closest && target.closest("[data-about]"); return part ? part.dataset.about : ""; };
  function aimed(event) {
    if (about(event.target)) return about(event.target);
    for (const far of [8, 15, 22]) {
      for (let turn = 0; turn < 8; turn += 1) {
        const hit = document.elementFromPoint(event.clientX + far * Math.cos(turn * Math.PI / 4), event.clientY + far * Math.sin(turn * Math.PI / 4));
        if (hit && stage.contains(hit) && about(hit)) return about(hit);
      }
    }
    return "";
  }
  stage.addEventListener("click", (event) => { const id = aimed(event); if (id) pick(id); else if (picked || near) back(); });
  stage.addEventListener("pointermove", (event) => {
    const id = event.pointerType === "mouse" ? about(event.target) : "", li = id && row(id);
    tip.hidden = !li;
    if (!li) return;
    tip.textContent = `${capital(label(li))} ${count(li)}`;
    tip.style.left = `${Math.min(event.clientX + 14, innerWidth - 200)}px`;
    tip.style.top = `${event.clientY + 18}px`;
  });
  stage.addEventListener("pointerleave", () => { tip.hidden = true; });
  stage.addEventListener("keydown", (event) => {
    const arc = event.target, wheel = arc.closest(".wheel");
    if (!arc.dataset.ring) return;
    const every = arcs(wheel), ring = every.filter((other) => other.dataset.ring === arc.dataset.ring);
    const place = ring.indexOf(arc), turn = (by) => ring[(place + by + ring.length) % ring.length];
    const li = row(arc.dataset.about);
    const go = {
      ArrowRight: () => turn(1), ArrowLeft: () => turn(-1), Home: () => ring[0], End: () => ring[ring.length - 1],
      ArrowUp: () => every.slice(every.indexOf(arc) + 1).find((other) => other.dataset.ring !== arc.dataset.ring),
      ArrowDown: () => li && every.slice(0, every.indexOf(arc)).reverse().find((other) => other.dataset.about === li.dataset.up && other !== arc),
    }[event.key];
    if (event.key === "Enter" || event.key === " ") { event.preventDefault(); pick(arc.dataset.about); return; }
    const next = go && go();
    if (!go) return;
    event.preventDefault();
    if (!next) return;
    arc.setAttribute("tabindex", "-1");
    next.setAttribute("tabindex", "0");
    next.focus();
  });
  document.addEventListener("keydown", (event) => { if (event.key === "Escape" && (picked || near || asked)) back(); });
  one("#messages").addEventListener("click", (event) => { const button = event.target.closest(".word"); if (button) pick(button.dataset.id); });
  one("#maps").addEventListener("click", (event) => { const button = event.target.closest(".pick"); if (button) pick(button.parentNode.dataset.id); });
  for (const input of steps) input.addEventListener("change", () => step(Number(input.value)));
  search.addEventListener("input", sift);
  closer.addEventListener("click", () => { zoom(category(picked)); one("#panel").focus(); });
  whole.addEventListener("click", () => { back(); one("#panel").focus(); });
  share.addEventListener("click", copy);

  /* On paper the whole wheel stands, whatever was looked at. */
  let before = null;
  addEventListener("beforeprint", () => {
    before = { wheel: shown(), view: shown().getAttribute("viewBox") };
    put("wide");
    shown().setAttribute("viewBox", shown().dataset.whole);
    for (const li of rows()) li.hidden = false;
  });
  addEventListener("afterprint", () => {
    if (before) {
      stage.replaceChildren(before.wheel);
      shown().setAttribute("viewBox", before.view);
    }
    before = null;
    sift();
  });
  roomy.addEventListener("change", () => {
    if (before) return;
    fit();
    light();
    zoom(near);
  });
  addEventListener("hashchange", open);
  fit();
  tell();
  open();
  /* Further steps are unpacked when there is time for it. */
  requestAnimationFrame(() => (window.requestIdleCallback || ((later) => setTimeout(later, 200)))(unpacked));
})();
