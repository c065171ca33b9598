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
  pictures[at] = stage.innerHTML;
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

  /* The wheel. */
  const wheels = () => all(".wheel", stage);
  const arcs = (wheel) => all("[data-ring]", wheel);
  const arcOf = (wheel, id) => arcs(wheel).filter((arc) => arc.dataset.about === id).pop();
  function prepare() {
    for (const wheel of wheels()) {
      if (wheels().length === 1) wheel.classList.add("only");
      wheel.setAttribute("role", "group");
      wheel.dataset.whole = wheel.getAttribute("viewBox");
      arcs(wheel).forEach((arc, i) => {
        arc.setAttribute("role", "button");
        arc.setAttribute("tabindex", i ? "-1" : "0");
        const people = Number(arc.dataset.of) ? `, ${arc.dataset.people} of ${arc.dataset.of}` : "";
        arc.setAttribute("aria-label", capital(arc.dataset.print) + people);
      });
    }
  }
  function light() {
    const lit = asked ? found() : picked ? under(picked) : null;
    for (const wheel of wheels()) {
      for (const part of all("[data-about]", wheel)) {
        part.classList.toggle("dim", Boolean(lit) && !lit.has(part.dataset.about));
        if (part.dataset.ring) {
          const chosen = part.dataset.about === picked;
          part.classList.toggle("chosen", chosen && !asked);
          part.setAttribute("aria-pressed", String(chosen));
        }
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
    const lit = id ? under(id) : null;
    for (const wheel of wheels()) {
      const whole = wheel.dataset.whole.split(" ").map(Number);
      let view = whole;
      const boxes = lit ? all("[data-about]", wheel).filter((part) => lit.has(part.dataset.about)).map((part) => part.getBBox ? toWheel(part, wheel) : null).filter(Boolean) : [];
      if (boxes.length) {
        const left = Math.min(...boxes.map((b) => b[0])) - 2, top = Math.min(...boxes.map((b) => b[1])) - 2;
        const wide = Math.max(...boxes.map((b) => b[2])) + 2 - left, high = Math.max(...boxes.map((b) => b[3])) + 2 - top;
        const scale = Math.max(wide / whole[2], high / whole[3]);
        const w = whole[2] * scale, h = whole[3] * scale;
        if (scale < 1) view = [left + (wide - w) / 2, top + (high - h) / 2, w, h];
      }
      look(view, wheel);
    }
    offer();
  }
  function toWheel(part, wheel) {
    const box = part.getBoundingClientRect(), shown = wheel.getBoundingClientRect();
    if (!shown.width || !box.width) return null;
    const view = wheel.getAttribute("viewBox").split(" ").map(Number);
    const k = Math.max(view[2] / shown.width, view[3] / shown.height);
    const x = view[0] + view[2] / 2 - (shown.width * k) / 2, y = view[1] + view[3] / 2 - (shown.height * k) / 2;
    return [x + (box.left - shown.left) * k, y + (box.top - shown.top) * k, x + (box.right - shown.left) * k, y + (box.bottom - shown.top) * k];
  }

  /* The panel. */
  function quotes(ids) {
    const list = made("ul", "", "said"), seen = new Set();
    for (const id of ids) {
      for (const line of row(id) ? all(".said li", row(id)) : []) {
        if (seen.has(line.textContent)) continue;
        seen.add(line.textContent);
        list.append(line.cloneNode(true));
      }
    }
    return list;
  }
  function tell() {
    told.textContent = "";
    const li = picked && row(picked), printed = picked && word(picked);
    if (!li && !printed) {
      if (picked) told.append(made("p", "Nobody found it at this step.", "facts"));
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
  function turns() {
    if (steps.length < 2) return;
    const list = made("ul", "", "turns");
    maps.forEach((map, i) => {
      const here = word(picked, i) || row(picked, i);
      const item = made("li", `${one("h2", map).textContent}: ${here ? count(here) : "nobody"}`, i === at ? "here" : "");
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
    const fits = found(), shown = new Set(fits);
    for (const li of rows().reverse()) if (shown.has(li.dataset.id)) shown.add(li.dataset.up);
    for (const li of rows()) li.hidden = Boolean(asked) && !shown.has(li.dataset.id);
    one("#found").textContent = asked ? (fits.size === 1 ? "1 word" : `${fits.size} words`) : "";
    light();
    offer();
  }

  /* Steps. */
  async function unpack() {
    const held = one("#further");
    if (!held || !window.DecompressionStream) return;
    const bytes = Uint8Array.from(atob(held.textContent), (c) => c.charCodeAt(0));
    const stream = new Blob([bytes]).stream().pipeThrough(new DecompressionStream("gzip"));
    JSON.parse(await new Response(stream).text()).forEach((further, i) => {
      if (!further) return;
      pictures[i] = further.wheels.join("");
      maps[i] = add(further.words, "#maps", i);
      messages[i] = add(further.message, "#messages", i);
    });
    held.remove();
  }
  function add(text, where, i) {
    const holder = made("template");
    holder.innerHTML = text;
    const part = holder.content.firstElementChild;
    part.hidden = i !== at;
    one(where).append(part);
    return part;
  }
  function step(index) {
    if (!maps[index]) { one("#copied").textContent = "This browser cannot unpack further steps."; return; }
    at = index;
    stage.innerHTML = pictures[index];
    for (const parts of [maps, messages, steps]) parts.forEach((part, i) => { if (part.type === "radio") part.checked = i === index; else part.hidden = i !== index; });
    near = "";
    prepare();
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
  function open() {
    const said = new URLSearchParams(location.hash.slice(1));
    const index = steps.findIndex((input) => input.dataset.name === said.get("step"));
    const wanted = said.get("word") || "";
    step(index < 0 ? at : index);
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
    before = wheels().map((wheel) => wheel.getAttribute("viewBox"));
    for (const wheel of wheels()) wheel.setAttribute("viewBox", wheel.dataset.whole);
    for (const li of rows()) li.hidden = false;
  });
  addEventListener("afterprint", () => {
    if (before) wheels().forEach((wheel, i) => wheel.setAttribute("viewBox", before[i]));
    before = null;
    sift();
  });
  addEventListener("hashchange", open);
  prepare();
  tell();
  unpack().then(open);
})();
