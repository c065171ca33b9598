// An element with attributes (on… are listeners, data a record) and children: words become text, never markup, and what
// is empty or false is left out.
export function el(tag, given = {}, ...children) {
  const made = document.createElement(tag);
  for (const [name, value] of Object.entries(given)) {
    if (value === null || value === undefined || value === false) continue;
    if (name.startsWith("on")) made.addEventListener(name.slice(2), value);
    else if (name === "data") Object.assign(made.dataset, value);
    else if (name === "class") made.className = value;
    else if (name === "value") made.value = value;
    else if (value === true) made.setAttribute(name, "");
    else made.setAttribute(name, value);
  }
  made.append(...children.flat(Infinity).filter((c) => c !== null && c !== undefined && c !== false));
  return made;
}
