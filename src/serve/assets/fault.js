// Find the fault: the day and the keys tell what is wrong in settings that are not shown.

import { h, replace, tell } from "./dom.js";
import { Trouble, askJson } from "./server.js";
import { Overlay, shownBy } from "./overlay.js";
import { Moment } from "./moment.js";
import { ledger, showRow } from "./ledger.js";
import { zones } from "./zones.js";

export class FindTheFault {
  constructor(root) {
    this.root = root;
  }

  /** Begins the puzzle of a seed; without one it draws lots. */
  async open(seed) {
    if (seed === null) {
      const drawn = crypto.getRandomValues(new Uint32Array(1))[0] % 10000;
      history.replaceState(null, "", `#fault=${drawn}`);
      this.seed = drawn;
    } else this.seed = seed;
    Object.assign(this, { day: null, presses: [], wrong: 0, at: 12 * 3600, zone: 0, selected: null, chosen: null });
    this.build();
    await this.load();
  }

  build() {
    const chart = h("div", { class: "chart" });
    this.parts = { complaint: h("h2", {}), zones: h("div"), chart, moment: h("div"), ledger: h("div", { class: "ledger" }),
      choices: h("div"), verdict: h("div", { role: "status" }), trouble: h("div", { class: "remarks", role: "alert" }) };
    const { complaint, zones, moment, choices, verdict, trouble } = this.parts;
    const guess = h("button", { type: "button", class: "main", id: "guess", onclick: () => this.guess(this.chosen) }, "That is the fault");
    const giveUp = h("button", { type: "button", id: "give-up", onclick: () => this.guess(null, true) }, "Give up and see it");
    replace(this.root, h("h1", {}, "Find the fault"),
      h("p", {}, "One setting is wrong, and the settings are not shown. Look at the day, press keys at any time, and say what it is. ",
        "A right answer is worth 10; a wrong one before it takes 3 away, and each key after the third takes 1."),
      h("p", {}, h("a", { href: `#fault=${(this.seed + 1) % 10000}` }, "Another puzzle"), ` (this is number ${this.seed})`),
      complaint, trouble, zones, chart, moment,
      h("h2", {}, "What is the fault?"), choices, h("p", { class: "row wrap" }, guess, giveUp), verdict,
      h("h2", {}, "Ledger"), h("p", { class: "note" }, "Reasons are held back."), this.parts.ledger);
    this.chart = new Overlay(chart, { onTime: (at) => this.setTime(at), onMark: (row) => this.select(row), onWidth: () => this.load() });
    this.moment = new Moment(moment, {
      onTime: (at) => this.setTime(at),
      onPress: (press) => this.press(press),
      onRemove: (place) => { this.presses.splice(place, 1); this.load(); },
    });
    this.moment.why.hidden = true;
    this.buttons = [guess, giveUp];
  }

  async load() {
    try {
      this.day = await askJson("/api/puzzle", { seed: this.seed, presses: this.presses,
        zone: this.day?.zones[this.zone]?.id ?? null, width: this.chart.wanted() });
      replace(this.parts.trouble);
    } catch (error) {
      if (!(error instanceof Trouble)) throw error;
      replace(this.parts.trouble, h("div", { class: "remark error" }, error.message));
      return;
    }
    this.parts.complaint.textContent = `They say: \u201c${this.day.complaint}\u201d`;
    if (this.parts.choices.childElementCount === 0) this.choices();
    this.show();
  }

  choices() {
    replace(this.parts.choices, h("fieldset", { class: "question" }, h("legend", { class: "hidden" }, "What is the fault?"),
      this.day.choices.map(({ id, label }) => h("label", { class: "check choice" },
        h("input", { type: "radio", name: "fault", value: id, onchange: () => { this.chosen = id; } }), label))));
  }

  show() {
    const { day, zone, at, selected, parts } = this;
    if (day.zones.length > 1) {
      const see = ({ zone: id }) => { this.turn(day.zones.findIndex((it) => it.id === id)); };
      zones(parts.zones, { day, zone, still: true, state: { see } });
    }
    this.chart.show({ day, zone, at, selected });
    this.moment.show({ at, from: day.chart.from, clocks: day.chart.clocks, presses: this.presses, label: (id) => day.zones.find((it) => it.id === id)?.label ?? id });
    ledger(parts.ledger, { day, zone, all: true, selected, onRow: (row) => this.select(row) });
  }

  /** Turns to a zone, whose chart the server draws. */
  async turn(zone) {
    const other = zone !== this.zone;
    this.zone = zone;
    if (other) await this.load();
    else this.show();
  }

  setTime(at) {
    this.at = at;
    this.show();
  }

  async select(row) {
    this.selected = row;
    await this.turn(this.day.ledger[row].zone);
    showRow(this.parts.ledger, row);
  }

  press({ press, by, role }) {
    this.presses.push({ at: shownBy(this.day.chart.clocks)(this.at), zone: this.day.zones[this.zone].id, by, role, press });
    this.load();
  }

  async guess(guess, givenUp = false) {
    if (guess === null && !givenUp) {
      replace(this.parts.verdict, h("p", {}, "Choose a fault first."));
      return;
    }
    const verdict = await askJson("/api/puzzle/answer", { seed: this.seed, guess, presses: this.presses.length, wrong: this.wrong });
    if (!verdict.fault) {
      this.wrong += 1;
      replace(this.parts.verdict, h("p", {}, h("strong", {}, "Not that. "), `Wrong answers so far: ${this.wrong}.`));
      return;
    }
    for (const button of this.buttons) button.disabled = true;
    const { label, because, written } = verdict.fault;
    const words = verdict.right ? `Right: ${verdict.score} of ${verdict.of}` : `Given up: 0 of ${verdict.of}`;
    replace(this.parts.verdict, h("h3", { id: "fault-score" }, words), h("p", {}, `${label}.`), h("p", {}, because),
      h("p", {}, "In the settings it reads:"), h("ul", {}, written.map((line) => h("li", {}, h("code", {}, line)))));
    tell(words);
  }
}
