// Find the fault: the day, the keys and questions that cost points tell what is wrong in settings that
// are not shown.

import { h, find, replace, tell } from "./dom.js";
import { Trouble, askJson } from "./server.js";
import { Overlay, framed, shownBy } from "./overlay.js";
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
      const lot = crypto.getRandomValues(new Uint32Array(1))[0] % 10000;
      history.replaceState(null, "", `#fault=${lot}`);
      this.seed = lot;
    } else this.seed = seed;
    Object.assign(this, { day: null, presses: [], asked: [], wrong: 0, at: 12 * 3600, zone: 0, selected: null, chosen: null, over: false });
    this.build();
    await this.load();
  }

  build() {
    const chart = h("div", { class: "chart" });
    this.parts = { complaint: h("h2", { id: "complaint-said", tabindex: -1 }), zones: h("div"), chart, moment: h("div"), ledger: h("div", { class: "ledger" }),
      choices: h("div"), questions: h("div"), worth: h("p", { class: "note", id: "worth", role: "status" }),
      verdict: h("div", { id: "verdict-shown" }), trouble: h("div", { class: "remarks", role: "alert" }) };
    const { complaint, zones, moment, choices, questions, verdict, trouble, worth } = this.parts;
    const guess = h("button", { type: "button", class: "main", id: "guess", onclick: () => this.guess(this.chosen) }, "That is the fault");
    const giveUp = h("button", { type: "button", id: "give-up", onclick: () => this.guess(null, true) }, "Give up and see it");
    replace(this.root, h("h1", { tabindex: -1 }, "Find the fault"),
      h("p", {}, "One setting is wrong, and the settings are not shown. Look at the day, press keys at any time, ask, and say what it is. ",
        "A right answer is worth 10. A question takes 1 of it, a wrong answer 3, and each key after the third 1."),
      h("p", {}, h("a", { href: `#fault=${(this.seed + 1) % 10000}` }, "Another puzzle"), ` (this is number ${this.seed})`),
      complaint, trouble, zones, chart, moment, h("h2", {}, "Ask, for a point each"), questions,
      h("h2", { id: "fault-question", tabindex: -1 }, "What is the fault?"), worth, choices, h("p", { class: "row wrap" }, guess, giveUp), verdict,
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

  /** Asks the server; what goes wrong is said, and what was entered stays. */
  async ask(path, body) {
    try {
      const answer = await askJson(path, body);
      replace(this.parts.trouble);
      return answer;
    } catch (error) {
      if (!(error instanceof Trouble)) throw error;
      replace(this.parts.trouble, h("div", { class: "remark error" }, error.message));
      return null;
    }
  }

  async load() {
    const { seed, presses, asked } = this;
    const day = await this.ask("/api/puzzle", { seed, presses, asked, zone: this.day?.zones[this.zone]?.id ?? null, width: this.chart.wanted() });
    if (day === null || seed !== this.seed) return;
    this.day = day;
    this.parts.complaint.textContent = `What people noticed: ${day.complaint}`;
    if (this.parts.choices.childElementCount === 0) this.choices();
    this.questions();
    this.show();
  }

  choices() {
    replace(this.parts.choices, h("fieldset", { class: "question" }, h("legend", { class: "hidden" }, "What is the fault?"),
      this.day.choices.map(({ id, label }) => h("label", { class: "check choice" },
        h("input", { type: "radio", name: "fault", value: id, onchange: () => { this.chosen = id; } }), label))));
  }

  /** What can be asked, and what was found. */
  questions() {
    replace(this.parts.questions, h("ul", { class: "asking" }, this.day.questions.map(({ id, words, found }) => h("li", {},
      found === null ? h("button", { type: "button", "data-keep": `ask-${id}`, "data-ask": id, disabled: this.over, onclick: () => this.askFor(id) }, words)
        : [h("strong", { tabindex: -1, "data-keep": `ask-${id}` }, `${words}: `), found]))));
  }

  async askFor(id) {
    this.asked.push(id);
    await this.load();
    const { found } = this.day.questions.find((it) => it.id === id);
    if (found !== null) tell(`${found} ${this.parts.worth.textContent}`);
  }

  /** What a right answer would be worth now. */
  worth() {
    return Math.max(0, 10 - 3 * this.wrong - this.asked.length - Math.max(0, this.presses.length - 3));
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
    parts.worth.textContent = `A right answer is worth ${this.worth()} now.`;
    parts.worth.hidden = this.over;
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
      replace(this.parts.verdict, h("p", { role: "status" }, "Choose a fault first."));
      return;
    }
    const { seed, presses, asked, wrong } = this;
    const verdict = await this.ask("/api/puzzle/answer", { seed, guess, presses, asked: asked.length, wrong,
      zone: this.day.zones[this.zone].id, width: this.chart.wanted() });
    if (verdict === null || seed !== this.seed) return;
    if (!verdict.fault) this.notThat(verdict);
    else this.reveal(verdict);
  }

  /** What the guess would have shown, beside what is so. */
  notThat({ instead }) {
    this.wrong += 1;
    const head = h("h3", { tabindex: -1, id: "not-that" }, `Not that. Wrong answers so far: ${this.wrong}.`);
    replace(this.parts.verdict, head, instead ? [
      h("p", {}, h("strong", {}, `${instead.label}: then you would see this. `), instead.then),
      h("p", {}, h("strong", {}, "You see this. "), instead.now),
      h("figure", {}, h("figcaption", {}, `The day with the fault that you named: ${instead.label}`), framed(instead.chart, "The day with that fault")),
    ] : null);
    this.show();
    head.focus();
    tell(`Not that. ${instead ? `Then you would see this: ${instead.then} You see this: ${instead.now}` : ""}`);
  }

  reveal({ right, score, of, fault }) {
    this.over = true;
    for (const button of this.buttons) button.disabled = true;
    const words = right ? `Right: ${score} of ${of}` : `Given up: 0 of ${of}`;
    replace(this.parts.verdict, h("h3", { id: "fault-score", tabindex: -1 }, words), h("p", {}, h("strong", {}, `${fault.label}.`)),
      h("p", {}, fault.because), h("p", {}, "In words of the settings:"), h("ul", {}, fault.settings.map((line) => h("li", {}, line))),
      h("p", {}, h("a", { href: `#fault=${(this.seed + 1) % 10000}` }, "Another puzzle")));
    this.questions();
    this.show();
    find("#fault-score", this.root).focus();
    tell(`${words}. ${fault.label}. ${fault.because}`);
  }
}
