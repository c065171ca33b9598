"use strict";
(() => {
  document.documentElement.classList.add("js");
  const said = document.getElementById("copied");
  for (const button of document.querySelectorAll("button[data-copy]")) {
    button.addEventListener("click", async () => {
      const text = document.getElementById(button.dataset.copy).innerText.trim();
      let done = false;
      try { await navigator.clipboard.writeText(text); done = true; } catch (refused) {
        const field = document.createElement("textarea");
        field.value = text;
        document.body.append(field);
        field.select();
        done = document.execCommand("copy");
        field.remove();
        button.focus();
      }
      said.textContent = done ? `Copied: ${button.getAttribute("aria-label").replace("Copy ", "")}.` : "Copying is refused here: select the text.";
    });
  }
  let opened = [];
  addEventListener("beforeprint", () => {
    opened = Array.from(document.querySelectorAll("details:not([open])"));
    for (const part of opened) part.open = true;
  });
  addEventListener("afterprint", () => { for (const part of opened) part.open = false; });
})();
