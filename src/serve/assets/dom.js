// Elements in one call, and what is done with them again and again.

const SVG = "http://www.w3.org/2000/svg";

function made(node, properties, children) {
  for (const [name, value] of Object.entries(properties ?? {})) {
    if (value === null || value === undefined || value === false) continue;
    if (name.startsWith("on")) node.addEventListener(name.slice(2), value);
    else if (name === "value" || name === "checked") node[name] = value;
    else node.setAttribute(name, value === true ? "" : String(value));
  }
  for (const child of children.flat(3)) {
    if (child !== null && child !== undefined && child !== false) node.append(child);
  }
  return node;
}

/** An HTML element. */
export function h(tag, properties, ...children) {
  return made(document.createElement(tag), properties, children);
}

/** An SVG element. */
export function s(tag, properties, ...children) {
  return made(document.createElementNS(SVG, tag), properties, children);
}

/** Options of a list, made anew only where they are others. */
export function fill(list, options) {
  const shape = JSON.stringify(options);
  if (list.shape === shape) return;
  list.shape = shape;
  list.replaceChildren(...options.map(([value, words]) => h("option", { value }, words)));
}

export const find = (selector, root = document) => root.querySelector(selector);

/** Replaces what a node holds and gives the focus back to the same place, known by `data-keep`. */
export function replace(node, ...children) {
  const focused = document.activeElement;
  const keep = node.contains(focused) ? focused.getAttribute("data-keep") : null;
  node.replaceChildren(...children.flat(3).filter((child) => child));
  if (keep === null) return;
  const same = node.querySelector(`[data-keep="${CSS.escape(keep)}"]`);
  if (same) {
    same.focus();
    return;
  }
  // What had the focus is gone: whoever reads on begins where it stood.
  if (!node.hasAttribute("tabindex")) node.setAttribute("tabindex", "-1");
  node.focus({ preventScroll: true });
}

let telling;
/** Tells a screen reader, once things have settled. */
export function tell(text) {
  clearTimeout(telling);
  telling = setTimeout(() => { find("#said").textContent = text; }, 400);
}

/** Hands the browser a file. */
export function download(name, text, kind) {
  const address = URL.createObjectURL(new Blob([text], { type: kind }));
  const link = h("a", { href: address, download: name });
  document.body.append(link);
  link.click();
  link.remove();
  setTimeout(() => URL.revokeObjectURL(address), 10000);
}
