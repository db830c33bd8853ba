// Elements without a template: text is text, never markup.

export function h(tag, given = {}, ...inside) {
  const made = document.createElement(tag);
  for (const [name, value] of Object.entries(given)) {
    if (value === false || value === null || value === undefined) continue;
    if (typeof value === "function") made.addEventListener(name, value);
    else if (name === "checked" || name === "value") made[name] = value;
    else made.setAttribute(name, value === true ? "" : value);
  }
  made.drawn = made.value; // until something else is typed
  made.append(...inside.flat(3).filter(one => one !== null && one !== undefined && one !== false));
  return made;
}

/** What `work` returns takes the place of what was inside; the focus stays on the element of the same id. */
export function shown(place, ...inside) {
  const focused = document.activeElement?.id;
  const isInside = focused && place.contains(document.activeElement);
  const opened = new Set([...place.querySelectorAll("details[open]")].map(one => one.id));
  place.replaceChildren(...inside.flat(3).filter(Boolean));
  for (const one of place.querySelectorAll("details")) one.open = opened.has(one.id);
  if (isInside) document.getElementById(focused)?.focus({preventScroll: true});
}

export const row = (label, ...matter) => h("section", {class: "row"}, h("h2", {}, label), h("div", {class: "matter"}, matter));
export const button = (id, words, pressed, kind = "btn second") => h("button", {id, type: "button", class: kind, click: pressed}, words);
