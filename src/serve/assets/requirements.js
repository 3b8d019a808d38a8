// What the specification in the file asks, and how each requirement fares.

import { h, replace } from "./dom.js";

const words = { holds: "holds", fails: "fails", cannot_be_shown: "cannot be shown" };

/** Shows a review; nothing where there is none. */
export function requirements(node, review) {
  if (review === null) {
    replace(node);
    return;
  }
  const heads = ["Requirement", "Asked", "Verdict", "By", "Where it fails"];
  const cell = (place, content) => h("td", { "data-name": heads[place].toLowerCase() }, content);
  const row = (it) => h("tr", {},
    h("th", { scope: "row" }, it.id),
    cell(1, it.asked),
    cell(2, it.verdict === "holds" ? words.holds : h("strong", {}, words[it.verdict])),
    cell(3, it.evidence),
    it.counter_example ? cell(4, it.counter_example) : h("td"));
  replace(node,
    h("p", {}, review.answer),
    h("div", { class: "ledger", tabindex: "0", role: "region", "aria-label": "What was asked" },
      h("table", {},
        h("thead", {}, h("tr", {}, heads.map((head) => h("th", { scope: "col" }, head)))),
        h("tbody", {}, review.requirements.map(row)))));
}
