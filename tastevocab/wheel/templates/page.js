"use strict";
(function () {
  const held = JSON.parse(document.getElementById("data").textContent);
  const wheel = document.getElementById("wheel");
  const whole = document.getElementById("whole");
  const search = document.getElementById("search");
  const found = document.getElementById("found");
  const maps = Array.from(document.querySelectorAll(".map"));
  const dark = window.matchMedia("(prefers-color-scheme: dark)");
  const still = window.matchMedia("(prefers-reduced-motion: reduce)");
  const print = window.matchMedia("print");
  let shown = 0;
  let level = held.root;

  function coloured(map) {
    const data = JSON.parse(JSON.stringify(map.data));
    const layout = JSON.parse(JSON.stringify(map.layout));
    if (dark.matches && !print.matches) {
      const night = map.dark;
      data[0].marker.colors = night.colours.fill;
      data[0].marker.line.color = night.colours.line;
      data[0].marker.pattern.fgcolor = night.colours.hatch;
      data[0].marker.pattern.bgcolor = night.colours.fill;
      data[0].textfont.color = night.colours.text;
      layout.paper_bgcolor = night.paper;
      layout.hoverlabel.bgcolor = night.paper;
      layout.hoverlabel.font.color = night.ink;
    }
    layout.uniformtext.minsize = wheel.clientWidth > 500 ? 12 : 9;
    data[0].level = level;
    return [data, layout];
  }

  function draw() {
    if (!window.Plotly) return;
    const [data, layout] = coloured(held.maps[shown]);
    window.Plotly.react(wheel, data, layout, { displayModeBar: false, responsive: true });
  }

  function rows() {
    return Array.from(maps[shown].querySelectorAll("tr[data-id]"));
  }

  function mark(id) {
    level = id;
    whole.disabled = id === held.root;
    for (const row of rows()) {
      const chosen = row.dataset.id === id;
      row.classList.toggle("chosen", chosen);
      row.querySelector(".pick").setAttribute("aria-pressed", String(chosen));
    }
  }

  function look(id) {
    mark(id);
    draw();
  }

  function plain(text) {
    return text.normalize("NFD").replace(/[\u0300-\u036f]/g, "").toLowerCase();
  }

  function sift() {
    const wanted = plain(search.value.trim());
    let count = 0;
    for (const map of maps) {
      let above = 0; // depth of the next row upwards that a found row hangs from
      for (const row of Array.from(map.querySelectorAll("tbody tr")).reverse()) {
        const depth = Number(row.dataset.depth || 0);
        const fits = !wanted || plain(row.textContent).includes(wanted);
        row.hidden = !fits && !(above && depth === above);
        if (!row.hidden) above = depth - 1;
        if (fits && !map.hidden && row.dataset.id) count += 1;
      }
    }
    found.textContent = wanted ? (count === 1 ? "1 row" : count + " rows") : "";
  }

  function choose(index) {
    shown = index;
    maps.forEach((map, i) => { map.hidden = i !== index; });
    look(held.root);
    sift();
  }

  for (const input of document.querySelectorAll("input[name=map]")) {
    input.addEventListener("change", () => choose(Number(input.value)));
  }
  for (const button of document.querySelectorAll(".pick")) {
    button.addEventListener("click", () => {
      const id = button.closest("tr").dataset.id;
      look(id === level ? held.root : id);
    });
  }
  search.addEventListener("input", sift);
  whole.addEventListener("click", () => look(held.root));
  dark.addEventListener("change", draw);
  print.addEventListener("change", draw);

  const opened = document.querySelector("input[name=map]:checked");
  choose(opened ? Number(opened.value) : 0);
  if (window.Plotly) {
    wheel.on("plotly_sunburstclick", (event) => {
      const point = event.points[0];
      const next = event.nextLevel === undefined ? point.id : event.nextLevel;
      mark(next || held.root);
      if (still.matches) {
        draw();
        return false;
      }
      return true;
    });
  }
})();
