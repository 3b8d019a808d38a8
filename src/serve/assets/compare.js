// The pinned state and the present one on one axis, with what differs drawn and written.

import { fill, find, h, replace, tell } from "./dom.js";
import { framed } from "./overlay.js";
import { askJson } from "./server.js";
import { figure, number } from "./words.js";

/** Stands for the pinned state among what can be compared with. */
const PINNED = "*";

export class Comparison {
  /** `onDownload` hears what is to be downloaded. */
  constructor({ state, onDownload, onTrouble }) {
    Object.assign(this, { state, onDownload, onTrouble });
    this.forget();
    this.known = null;
    find("#against").onchange = (event) => {
      this.chosen = event.target.value;
      this.show(true);
    };
  }

  /** What was chosen counts no longer. */
  forget() {
    this.chosen = null;
  }

  /** With what the present state is compared: the pin, a variant as it is written, or the file. */
  against() {
    const { now, source } = this.state;
    if (this.chosen !== null && (this.chosen !== PINNED || now.pin)) return this.chosen;
    if (now.pin) return PINNED;
    return source.variants.length > 0 || now.edits.length + now.presses.length > 0 ? "" : null;
  }

  isPossible() {
    return this.against() !== null;
  }

  /** Shows both sides, asked for where they are looked at. */
  async show(on) {
    find("#compare-view").hidden = !on;
    if (!on) return;
    const { now, source } = this.state;
    const against = this.against();
    const variants = source.variants.map((name) => [name, `variant ${name.replaceAll("_", " ")}`]);
    fill(find("#against"), [...(now.pin ? [[PINNED, "the pinned state"]] : []), ["", "the file as it is written"], ...variants]);
    find("#against").value = against;
    const width = Math.round(find(".top").clientWidth);
    const asked = { asked: { ...this.state.plain(now), pin: now.pin }, variant: against === PINNED ? null : against, width };
    const key = JSON.stringify([this.state.key(), now.pin, against, width]);
    this.wanted = key;
    const draw = () => sidesOf(find("#compare-shown"), { sides: this.known?.key === key ? this.known.sides : null, onDownload: () => this.onDownload(asked) });
    draw();
    if (this.known?.key === key) return;
    try {
      this.known = { key, sides: await askJson("/api/compare", asked) };
    } catch (error) {
      this.onTrouble(error);
      return;
    }
    if (this.wanted !== key) return;
    draw();
    tell("Both states are compared.");
  }
}

/** Shows both sides; `sides` is the server's answer. */
function sidesOf(root, { sides, onDownload }) {
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
  const charts = [framed(sides.overlay, "Both on one axis"), framed(sides.differences, "What differs")];
  replace(root,
    h("table", { class: "sides" }, h("caption", { class: "hidden" }, "Figures side by side, all rooms together"),
      h("thead", {}, h("tr", {}, h("td", {}), h("th", { scope: "col" }, one), h("th", { scope: "col" }, other), h("th", { scope: "col" }, "difference"))),
      h("tbody", {}, all.map(row))),
    h("p", {}, h("button", { type: "button", id: "download-comparison", "data-keep": "download-comparison", onclick: onDownload }, "Download the comparison")),
    charts);
}
