// The worst night: how cold a room can become whatever is pressed, asked by a form and answered by what
// is proved, what was found, and a picture of the range.

import { h, replace } from "./dom.js";
import { framed } from "./overlay.js";
import { askJson } from "./server.js";

const HOURS = [["12", "12 hours"], ["24", "24 hours"], ["48", "48 hours"], ["72", "72 hours"]];
const OUTAGES = [["0", "not at all"], ["1", "for 1 hour"], ["2", "for 2 hours"], ["4", "for 4 hours"], ["8", "for 8 hours"]];

const options = (all, chosen) => all.map(([value, words]) => h("option", { value, selected: value === chosen }, words));

export class Night {
  /** `about` says what is asked about and by which key it is known, `onTrouble` hears what goes wrong. */
  constructor(root, { about, onTrouble, onTold }) {
    Object.assign(this, { about, onTrouble, onTold });
    this.known = null;       // the answer, and of which state
    const degrees = (id, words) => {
      const box = h("input", { type: "number", id, step: "any", class: "degrees" });
      return [box, h("span", { class: "box" }, h("label", { for: id }, words), box)];
    };
    const list = (id, words, all, chosen) => {
      const box = h("select", { id }, options(all, chosen));
      return [box, h("span", { class: "box" }, h("label", { for: id }, words), box)];
    };
    const [coldest, coldestBox] = degrees("night-coldest", "Outside never colder than");
    const [least, leastBox] = degrees("night-least", "Prove at least");
    const [hours, hoursBox] = list("night-hours", "Within", HOURS, "24");
    const [outage, outageBox] = list("night-outage", "The supply fails", OUTAGES, "0");
    Object.assign(this, { coldest, least, hours, outage });
    this.button = h("button", { type: "submit", id: "night-ask" }, "Bound it");
    this.shown = h("div", { id: "night-shown" });
    const form = h("form", { class: "row wrap" }, coldestBox, hoursBox, outageBox, leastBox, this.button);
    form.addEventListener("submit", (event) => { event.preventDefault(); this.ask(); });
    root.replaceChildren(
      h("p", { class: "note" }, "How cold and how warm the room can become, whatever anybody presses at any time at keys that no lock in force holds, in any weather, with any sun and gains. An empty field means the lowest of the scenario's weather, and nothing to be proved."),
      form, this.shown);
  }

  /** Shows the last answer as long as it is about the present state. */
  show() {
    if (this.known?.key !== this.about().key) this.known = null;
    if (!this.known) replace(this.shown);
  }

  async ask() {
    const { key, asked } = this.about();
    const number = (box) => (box.value.trim() === "" ? null : box.valueAsNumber);
    this.button.disabled = true;
    replace(this.shown, h("p", { class: "note", role: "status" }, "All nights are being gone through\u2026"));
    try {
      const told = await askJson("/api/night", { asked, coldest: number(this.coldest), at_least: number(this.least),
        hours: Number(this.hours.value), outage_hours: Number(this.outage.value) });
      this.known = { key, told };
    } catch (error) {
      replace(this.shown);
      this.onTrouble(error);
      return;
    } finally {
      this.button.disabled = false;
    }
    this.tell(this.known.told);
    this.onTold(this.known.told.lowest[0]);
  }

  tell({ lowest, highest, cautions, chart, holds }) {
    const [first, ...rest] = lowest;
    replace(this.shown,
      holds === null ? null : h("p", {}, h("strong", {}, holds ? "Proved." : "Not proved.")),
      h("p", { class: "night-first" }, h("strong", {}, first)),
      rest.map((it) => h("p", {}, it)), framed(chart, "How cold and how warm it can become"),
      highest.map((it) => h("p", {}, it)),
      h("ul", { class: "note" }, cautions.map((it) => h("li", {}, it))));
  }
}
