// Elements made one by one: what data say is text, never markup.

export function el(tag, settings = {}, ...children) {
  const made = document.createElement(tag);
  set(made, settings);
  made.append(...children.filter((child) => child !== null && child !== undefined && child !== ""));
  return made;
}

export function svg(tag, settings = {}, ...children) {
  const made = document.createElementNS("http://www.w3.org/2000/svg", tag);
  for (const [name, value] of Object.entries(settings)) made.setAttribute(name, value);
  made.append(...children);
  return made;
}

/** Names that begin with "on" are listeners; true and false put an attribute there or leave it out. */
export function set(element, settings) {
  for (const [name, value] of Object.entries(settings)) {
    if (name.startsWith("on")) element.addEventListener(name.slice(2), value);
    else if (value === true) element.setAttribute(name, "");
    else if (value !== false && value !== null) element.setAttribute(name, value);
  }
}

/** Written only where it differs, so that nothing is said or laid out twice. */
export function write(element, text) {
  if (element.textContent !== text) element.textContent = text;
}

let made = 0;

export function newId() {
  made += 1;
  return `e${made}`;
}
