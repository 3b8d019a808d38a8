// The ledger: every request and event with its reason. A row and its mark on the chart lead to
// each other.

import { h, replace, find } from "./dom.js";
import { outcome, trimmed } from "./words.js";

/** So many rows are shown at once; the rest is asked for. */
const FEW = 60;

/** Shows the rows; `onRow` hears a row whose time was chosen. */
export function ledger(root, { day, zone, all, selected, onRow, until }) {
  const many = day.zones.length > 1;
  const rows = day.ledger.map((row, place) => ({ row, place }))
    .filter(({ row }) => (all || row.zone === zone) && (until === undefined || until === null || row.at < until));
  // Of many those of the shown day, then the first ones.
  const ofDay = rows.filter(({ row }) => Math.floor(row.at / 86400) === day.day);
  const near = rows.length > FEW && ofDay.length > 0 ? ofDay : rows;
  const shown = root.whole === (day.key ?? day) ? rows : near.slice(0, FEW);
  if (selected !== null && !shown.some(({ place }) => place === selected)) {
    const chosen = rows.find(({ place }) => place === selected);
    if (chosen) shown.push(chosen);
  }
  const reasons = day.ledger.some((row) => row.reason !== "");
  const head = ["Time", many && all ? "Zone" : null, "Who", "Asked", "Outcome", "Heat", "Cool", reasons ? "Why" : null].filter(Boolean);
  const body = shown.map(({ row, place }) => line(row, place, { many: many && all, selected, onRow, reasons }));
  const table = h("table", { role: "table" },
    h("caption", { class: "hidden" }, "Ledger of requests and events"),
    h("thead", { role: "rowgroup" }, h("tr", { role: "row" }, head.map((word) => h("th", { scope: "col", role: "columnheader" }, word)))),
    h("tbody", { role: "rowgroup" }, body));
  const more = day.ledger_rows - day.ledger.length;
  const rest = rows.length - shown.length;
  const button = rest > 0 ? h("button", { type: "button", "data-keep": "ledger-rest", onclick: () => {
    root.whole = day.key ?? day;
    ledger(root, { day, zone, all, selected, onRow, until });
  } }, `Show ${rest} more rows`) : null;
  replace(root, rows.length > 0 ? table : h("p", { class: "note" }, "Nothing was asked, and nothing happened."),
    button,
    more > 0 ? h("p", { class: "note" }, `${more} more rows, of other days, are not shown; setband run writes them all.`) : null);
}

function line(row, place, { many, selected, onRow, reasons }) {
  const chosen = place === selected;
  const cell = (name, ...content) => h("td", { role: "cell", "data-name": name }, ...content);
  const time = h("button", { type: "button", class: "plain time", "data-keep": `row-${place}`, "aria-pressed": String(chosen),
    onclick: () => onRow(place) }, row.clock);
  return h("tr", { role: "row", class: `${row.outcome}${chosen ? " selected" : ""}`, "data-row": place,
    "aria-current": chosen ? "true" : null },
  cell("Time", time), many ? cell("Zone", row.zone_label) : null,
  cell("Who", row.by || (row.outcome === "event" ? "\u2013" : row.role)), cell("Asked", row.request),
  cell("Outcome", h("span", { class: "outcome" }, outcome(row.outcome))),
  cell("Heat", moved(row.heat)), cell("Cool", moved(row.cool)), reasons ? cell("Why", row.reason) : null);
}

function moved([before, after]) {
  return before === after ? trimmed(after) : h("strong", {}, `${trimmed(before)} \u2192 ${trimmed(after)}`);
}

/** Brings a row into view. */
export function showRow(root, place) {
  const row = find(`tr[data-row="${place}"]`, root);
  row?.scrollIntoView({ block: "nearest" });
}
