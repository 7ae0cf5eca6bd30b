// Elements of the page, made one way.

export function make(tag, more = {}, ...inside) {
  const element = document.createElement(tag);
  for (const [name, value] of Object.entries(more)) {
    if (value === undefined || value === null || value === false) continue;
    if (name.startsWith("on")) element[name] = value;
    else if (name === "class") element.className = value;
    else element.setAttribute(name, value === true ? "" : value);
  }
  element.append(...inside.filter((one) => one !== null && one !== undefined));
  return element;
}

/** A button of at least 44 px with its key beside its word. */
export function press(word, key, act, more = {}) {
  const shown = key ? [word, make("kbd", { "aria-hidden": true }, key)] : [word];
  return make("button", { type: "button", onclick: act, ...more }, ...shown);
}

/** Fill an element anew only where something changed, so that a screen reader is not told the same twice. */
export function fill(element, told, ...inside) {
  const said = JSON.stringify(told);
  if (element.dataset.told === said) return;
  element.dataset.told = said;
  element.replaceChildren(...inside.filter((one) => one !== null && one !== undefined));
}

export function table(told) {
  const head = make("tr", {}, ...told.head.map((text) => make("th", { scope: "col" }, text)));
  const rows = told.rows.map((row) => make("tr", {}, ...row.map((cell, place) => (
    make(place ? "td" : "th", { title: cell.why, scope: place ? undefined : "row", class: cell.why ? "missing" : undefined }, cell.text,
      cell.error ? make("small", {}, cell.error) : null)
  ))));
  return make("div", { class: "scroll", tabindex: "0", role: "group", "aria-label": told.title },
    make("table", {}, make("caption", {}, told.title), make("thead", {}, head), make("tbody", {}, ...rows)));
}
