// The headline numbers, and how far they are from a pinned state.

import { h, replace } from "./dom.js";
import { difference, figure } from "./words.js";

/** Shows the numbers of all zones together, each with its difference to the pinned ones, and of a
 *  longer period that of the shown day apart. */
export function figures(root, day) {
  const list = day.figures.filter((it) => it.zone === null);
  const sums = ["starved", "outside", "denied"];
  const several = day.zones.length > 1;
  replace(root, list.map((it) => {
    const that = day.overview?.of_day.find((other) => other.id === it.id);
    const then = day.pinned?.find((other) => other.id === it.id && other.zone === null);
    return h("div", { class: "figure", "data-figure": it.id },
      h("dt", {}, it.label, several && sums.includes(it.id) ? ", all rooms" : ""),
      h("dd", { class: "value" }, figure(it)),
      that ? h("dd", { class: "that-day" }, `in ${day.days} days; ${figure(that)} this day`) : null,
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
