// The pinned state and the present one on one axis, with what differs drawn and written.

import { h, replace } from "./dom.js";
import { drawn } from "./overlay.js";
import { figure, number } from "./words.js";

/** Shows both sides; `sides` is the server's answer. */
export function compare(root, { sides, onDownload }) {
  if (!sides) {
    replace(root, h("p", { class: "note" }, "Both are being worked out\u2026"));
    return;
  }
  const { names: [one, other], before, after } = sides;
  const all = before.filter((it) => it.zone === null);
  const row = (then) => {
    const now = after.find((it) => it.id === then.id && it.zone === null);
    if (!now) return null;
    const by = now.value - then.value;
    const size = number(Math.abs(by), now.kind);
    const words = Number(size) === 0 ? "no difference" : `${size} ${by > 0 ? "more" : "less"}`;
    return h("tr", {}, h("th", { scope: "row" }, then.label), cell(one, figure(then)), cell(other, figure(now)), cell("difference", h("strong", {}, words)));
  };
  const cell = (name, content) => h("td", { "data-name": name }, content);
  const charts = ["overlay", "differences"].map((which) => {
    const svg = drawn(sides[which]);
    svg.classList.add("drawing");
    return h("div", { class: "chart", tabindex: "0", role: "group", "aria-label": which === "overlay" ? "Both on one axis" : "What differs" }, svg);
  });
  replace(root,
    h("table", { class: "sides" }, h("caption", { class: "hidden" }, "Figures side by side, all rooms together"),
      h("thead", {}, h("tr", {}, h("td", {}), h("th", { scope: "col" }, one), h("th", { scope: "col" }, other), h("th", { scope: "col" }, "difference"))),
      h("tbody", {}, all.map(row))),
    h("p", {}, h("button", { type: "button", id: "download-comparison", "data-keep": "download-comparison", onclick: onDownload }, "Download the comparison")),
    charts);
}
