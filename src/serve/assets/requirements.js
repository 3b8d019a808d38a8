// What the specification in the file asks, and how each requirement fares.

import { find, h, replace, tell } from "./dom.js";
import { askJson } from "./server.js";

const words = { holds: "holds", fails: "fails", cannot_be_shown: "cannot be shown" };

/** What was reviewed, as long as it is about the present state. */
export class Requirements {
  /** `about` says what is asked, and by which key it is known again. */
  constructor({ about, onTrouble }) {
    Object.assign(this, { about, onTrouble, reviewed: null });
    find("#requirements-ask").onclick = () => this.review();
  }

  show(count) {
    find("#requirements").hidden = count === 0;
    if (this.reviewed?.key !== this.about().key) this.reviewed = null;
    find("#requirements-ask").hidden = this.reviewed !== null;
    table(find("#requirements-shown"), this.reviewed?.answer ?? null);
  }

  async review() {
    const { key, asked } = this.about();
    tell("The requirements are being reviewed.");
    try {
      this.reviewed = { answer: await askJson("/api/requirements", asked), key };
    } catch (error) {
      this.onTrouble(error);
      return;
    }
    tell(this.reviewed.answer.answer);
    this.show(this.reviewed.answer.requirements.length);
    find("#requirements-title").focus();
  }
}

/** Shows a review; nothing where there is none. */
function table(node, review) {
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
