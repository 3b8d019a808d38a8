// A time of the day: why the zone does what it does then, and keys to press.

import { h, replace } from "./dom.js";
import { clock } from "./words.js";
import { shownBy } from "./overlay.js";

const KEYS = [["warmer", "Warmer"], ["cooler", "Cooler"], ["mode", "Mode"], ["power", "Power"]];
let counted = 0;
const ROLES = ["occupant", "technician", "schedule"];

export class Moment {
  /** `onTime` hears the second that was chosen, `onPress` a key with who pressed it. */
  constructor(root, { onTime, onPress, onRemove }) {
    this.onTime = onTime;
    this.onRemove = onRemove;
    counted += 1;
    const [box, by, as] = ["time", "by", "as"].map((word) => `${word}-${counted}`);
    this.slider = h("input", { type: "range", min: 0, max: 1439, step: 1, "aria-label": "Time of day" });
    this.box = h("input", { type: "text", id: box, class: "clock", inputmode: "numeric", maxlength: 5, placeholder: "hh:mm", autocomplete: "off" });
    this.by = h("input", { type: "text", id: by, maxlength: 40, value: "visitor", autocomplete: "off" });
    this.role = h("select", { id: as }, ROLES.map((role) => h("option", { value: role }, role)));
    this.keys = KEYS.map(([press, words]) => h("button", { type: "button", "data-key": press,
      onclick: () => onPress({ press, by: this.by.value, role: this.role.value }) }, words));
    this.why = h("div", { class: "why" });
    this.pressed = h("div", { class: "pressed" });
    this.outcome = h("p", { class: "outcome-line", "aria-live": "polite" });
    this.slider.addEventListener("input", () => this.choose(this.slider.valueAsNumber));
    this.box.addEventListener("change", () => {
      const [, hour, minute] = /^(\d?\d)[:.]?(\d\d)$/.exec(this.box.value.trim()) ?? [];
      if (Number(hour) < 24 && Number(minute) < 60) this.choose(Number(hour) * 60 + Number(minute));
      else this.box.value = clock(this.slider.valueAsNumber * 60);
    });
    root.replaceChildren(
      h("div", { class: "row time-row" }, h("label", { for: box }, "Time"), this.box, this.slider),
      h("div", { class: "row wrap pad", role: "group", "aria-label": "Press a key at this time" },
        this.keys,
        h("span", { class: "box" }, h("label", { for: by }, "by"), this.by),
        h("span", { class: "box" }, h("label", { for: as }, "as"), this.role)),
      this.outcome, this.pressed, this.why);
  }

  choose(minute) {
    // The time that is typed is what clocks show; the first second at which they do.
    const shown = this.from + minute * 60;
    const ahead = this.clocks.map(([, by]) => shown - by).filter((at) => this.shown(at) === shown);
    this.onTime(Math.min(Math.max(this.from, Math.min(...ahead, shown)), this.from + 86340));
  }

  /** Shows the time, and the presses that were added on the page; `result` knows how one ended. */
  show({ at, from, clocks, presses, label, result }) {
    this.from = from;
    this.clocks = clocks;
    this.shown = shownBy(clocks);
    const minute = at === null ? 720 : Math.floor((this.shown(at) - from) / 60);
    this.slider.value = minute;
    this.slider.setAttribute("aria-valuetext", clock(minute * 60));
    if (document.activeElement !== this.box) this.box.value = clock(minute * 60);
    const ended = presses.map((press) => result?.(press) ?? "");
    const newest = ended.at(-1) ?? "";
    if (this.outcome.textContent !== newest) this.outcome.textContent = newest;
    const list = presses.map((press, place) => h("li", {},
      h("span", {}, `${clock(press.at % 86400)} ${press.by || press.role}: ${press.press}, ${label(press.zone)}. ${ended[place]} `),
      h("button", { type: "button", class: "plain", "data-keep": `press-${place}`, onclick: () => this.onRemove(place) },
        "take away", h("span", { class: "hidden" }, ` press ${place + 1}`))));
    replace(this.pressed, list.length > 0 ? [h("h3", {}, "Pressed on this page"), h("ul", {}, list)] : []);
  }

  /** Shows the chain of causes of a zone, or why there is none. */
  explain(zone, time) {
    if (!zone) {
      replace(this.why, h("p", { class: "note" }, "Choose a time on the chart or with the slider: the chain of causes appears here."));
      return;
    }
    replace(this.why, h("h3", {}, `At ${time} ${zone.answer}`),
      h("dl", { class: "chain" }, zone.chain.map(({ about, words }) => h("div", {}, h("dt", {}, about), h("dd", {}, words)))));
  }
}
