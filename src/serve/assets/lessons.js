// Predict, then reveal: learners choose what they expect, the day plays press by press, and the
// ledger explains what was right.

import { find, h, replace, tell } from "./dom.js";
import { Trouble, askJson, get } from "./server.js";
import { Overlay } from "./overlay.js";
import { ledger, showRow } from "./ledger.js";
import { zones } from "./zones.js";
import { capital } from "./words.js";

const DAY = 86400;

export class Lessons {
  constructor(root) {
    this.root = root;
    this.id = null;
  }

  /** Shows the list, or a lesson. */
  async open(id) {
    try {
      if (id === null) await this.list();
      else await this.begin(id);
    } catch (error) {
      if (!(error instanceof Trouble)) throw error;
      replace(this.root, h("h1", {}, "Lessons"), h("div", { class: "remark error", role: "alert" }, error.message),
        h("p", {}, h("a", { href: "#lessons" }, "All lessons")));
    }
  }

  async list() {
    const all = await get("/api/lessons");
    replace(this.root, h("h1", {}, "Lessons: predict, then reveal"),
      h("p", {}, "Choose what you expect, then let the day play press by press. The simulation itself gives the answers."),
      h("ul", { class: "lessons" }, all.map(({ id, title, teaches }) => h("li", {},
        h("h2", {}, h("a", { href: `#lesson=${id}` }, title)), h("p", {}, teaches)))));
  }

  async begin(id) {
    this.id = id;
    this.lesson = await askJson("/api/lesson", { id });
    this.answers = this.lesson.questions.map(() => null);
    this.day = null;
    this.chart = null;
    this.zone = 0;
    this.selected = null;
    await this.load(0);
    this.steps = this.day.ledger.filter((row) => row.outcome !== "event").map((row) => row.at);
    this.steps = [...new Set(this.steps)];
    this.predict();
  }

  async load(day) {
    const { text, name } = this.lesson;
    const zone = this.day?.zones[this.zone]?.id ?? null;
    this.day = await askJson("/api/day", { text, name, day, zone, thresholds: true, width: this.chart?.wanted() ?? null });
  }

  head() {
    return [h("p", {}, h("a", { href: "#lessons" }, "All lessons")), h("h1", {}, this.lesson.title), h("p", {}, this.lesson.teaches)];
  }

  /** What do you expect? */
  predict() {
    const answer = h("p", { class: "note", role: "status" });
    const count = () => {
      const made = this.answers.filter((it) => it !== null).length;
      answer.textContent = `${made} of ${this.answers.length} answered`;
    };
    const questions = this.lesson.questions.map(({ text, choices }, place) => h("fieldset", { class: "question" },
      h("legend", {}, `${place + 1}. ${text}`),
      choices.map((words, choice) => h("label", { class: "check choice" }, h("input", { type: "radio", name: `question-${place}`,
        value: choice, onchange: () => { this.answers[place] = choice; count(); } }), capital(words)))));
    count();
    replace(this.root, this.head(), h("h2", {}, "What do you expect?"), questions,
      h("p", { class: "row wrap" }, h("button", { type: "button", class: "main", id: "play", onclick: () => this.play() }, "Play the day"), answer));
    find("h1", this.root).setAttribute("tabindex", "-1");
  }

  /** The day, press by press. */
  play() {
    this.step = 0;
    this.results = null;
    const chart = h("div", { class: "chart" });
    this.parts = {
      words: h("h2", { id: "played", tabindex: -1 }), zones: h("div"), chart, ledger: h("div", { class: "ledger" }), results: h("div"),
      next: h("button", { type: "button", class: "main", id: "next", onclick: () => this.next() }, "Next press"),
      end: h("button", { type: "button", id: "to-end", onclick: () => this.toEnd() }, "To the end"),
    };
    const { words, zones, next, end, results } = this.parts;
    replace(this.root, this.head(), words, h("p", { class: "row wrap" }, next, end), zones, chart, results,
      h("h2", {}, "Ledger"), this.parts.ledger);
    this.chart = new Overlay(chart, { onTime: () => {}, onMark: (row) => this.select(row), onWidth: () => this.turn(this.zone, true) });
    this.turn(0, true).then(() => words.focus());
  }

  /** Until when the day is shown; nothing is hidden at the end. */
  until() {
    return this.steps[this.step] ?? null;
  }

  async next() {
    this.step += 1;
    await this.turnTo(this.steps[this.step - 1]);
    const rows = this.day.ledger.filter((row) => row.at === this.steps[this.step - 1] && row.outcome !== "event");
    tell(rows.map((row) => `${row.clock} ${row.by}: ${row.request}, ${row.outcome.replace("_", " ")}. ${row.reason}`).join(" "));
    if (this.until() === null) await this.finish();
    this.show();
  }

  async toEnd() {
    this.step = this.steps.length;
    await this.turnTo(this.steps.at(-1) ?? 0);
    await this.finish();
    this.show();
  }

  async turnTo(at) {
    const day = Math.floor(at / DAY);
    const other = day !== this.day.day;
    if (other) await this.load(day);
    const row = this.day.ledger.find((it) => it.at === at && it.outcome !== "event");
    if (row && row.zone !== this.zone) {
      this.zone = row.zone;
      await this.load(day);
    }
  }

  /** Turns to a zone, whose chart the server draws. */
  async turn(zone, always = false) {
    const other = zone !== this.zone;
    this.zone = zone;
    if (other || always) await this.load(this.day.day);
    this.show();
  }

  async finish() {
    this.results = await askJson("/api/lesson/score", { id: this.id, answers: this.answers });
  }

  show() {
    const { day, zone, parts, selected } = this;
    const until = this.until();
    const last = this.steps[this.step - 1];
    const done = until === null;
    parts.words.textContent = done ? day.headline
      : last === undefined ? `${day.date}: the day up to the first press` : this.sentence(last);
    parts.next.hidden = done;
    parts.end.hidden = done;
    if (day.zones.length > 1) {
      const see = ({ zone: id }) => { this.turn(day.zones.findIndex((it) => it.id === id)); };
      zones(parts.zones, { day, zone, until, still: true, state: { see } });
    }
    this.chart.show({ day, zone, until, selected, at: null });
    ledger(parts.ledger, { day, zone, all: true, selected, until, onRow: (row) => this.select(row) });
    if (this.results && parts.results.childElementCount === 0) this.reveal();
  }

  sentence(at) {
    const rows = this.day.ledger.filter((row) => row.at === at && row.outcome !== "event");
    return rows.slice(0, 2).map((row) => `${row.clock}, ${row.by}: ${row.request}. ${capital(row.reason)}.`).join(" ");
  }

  async select(row) {
    this.selected = row;
    const it = this.day.ledger[row];
    const otherDay = Math.floor(it.at / DAY) !== this.day.day;
    if (otherDay) await this.load(Math.floor(it.at / DAY));
    await this.turn(it.zone);
    showRow(this.parts.ledger, row);
  }

  reveal() {
    const { score, of, results } = this.results;
    const list = results.map(({ right, answer, because, row }, place) => {
      const { text, choices } = this.lesson.questions[place];
      const chosen = this.answers[place];
      return h("li", { class: right ? "right" : "wrong" },
        h("p", {}, h("strong", {}, text)),
        h("p", {}, h("strong", {}, right ? "Right: " : "Not so: "), right ? answer
          : `${chosen === null ? "nothing was chosen" : `you chose \u201c${choices[chosen]}\u201d`}. Right is: \u201c${answer}\u201d.`),
        h("p", { class: "because" }, capital(because)),
        row === null ? null : h("button", { type: "button", class: "plain", onclick: () => this.select(row) }, "Show it in the ledger",
          h("span", { class: "hidden" }, `, question ${place + 1}`)));
    });
    const words = h("h2", { id: "score", tabindex: -1 }, `${score} of ${of} as expected`);
    replace(this.parts.results, words, h("ol", { class: "results" }, list),
      h("p", { class: "row wrap" }, h("button", { type: "button", onclick: () => this.begin(this.id) }, "Begin again")));
    words.focus();
    tell(`${score} of ${of} as expected.`);
  }
}
