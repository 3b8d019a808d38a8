// The headline numbers, and how far they are from a pinned state.

import { h, replace } from "./dom.js";
import { difference, figure } from "./words.js";

/** Shows the numbers of all zones together, each with its difference to the pinned ones. */
export function figures(root, day) {
  const list = day.figures.filter((it) => it.zone === null);
  replace(root, list.map((it) => {
    const then = day.pinned?.find((other) => other.id === it.id && other.zone === null);
    return h("div", { class: "figure", "data-figure": it.id },
      h("dt", {}, it.label),
      h("dd", { class: "value" }, figure(it)),
      then ? h("dd", { class: "difference" }, `${difference(it, then)} (${figure(then)})`) : null,
      then ? h("dd", { class: "bars", "aria-hidden": "true" }, bar(it.value, it.value, then.value, "now"),
        bar(then.value, it.value, then.value, "then")) : null);
  }));
}

function bar(value, one, other, kind) {
  const most = Math.max(one, other, 1e-9);
  const line = h("span", { class: `bar ${kind}` });
  line.style.width = `${Math.max(0, (value / most) * 100).toFixed(1)}%`;
  return line;
}
