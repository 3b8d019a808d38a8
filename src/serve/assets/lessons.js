// Predict, then reveal: each step draws what is known, asks for one thing, and shows the day in
// which each choice comes true.

import { find, h, replace, tell } from "./dom.js";
import { Trouble, askJson, get } from "./server.js";
import { drawn } from "./overlay.js";
import { capital } from "./words.js";

/** A chart no wider than it was drawn, with its text alternative. */
const picture = (svg) => {
  const chart = drawn(svg);
  chart.classList.add("drawing");
  const box = h("div", { class: "chart" }, chart);
  box.style.maxWidth = `${chart.getAttribute("width")}px`;
  return box;
};

/** How wide a chart can be, px, with so much beside it where the window is so wide. */
const room = (root, from, beside) => {
  const wide = root.clientWidth || 900;
  return Math.round(Math.max(280, Math.min(1100, innerWidth >= from ? beside(wide) : wide)));
};
const premiseRoom = (root) => room(root, 1080, (wide) => wide - 480);
const answerRoom = (root, two) => room(root, two ? 1400 : Infinity, (wide) => wide / 2 - 16);

export class Lessons {
  /** `onTry` hears the room of a lesson that somebody wants to try things in. */
  constructor(root, { onTry }) {
    this.root = root;
    this.onTry = onTry;
    this.redraw = null;
    let resizing;
    addEventListener("resize", () => {
      clearTimeout(resizing);
      resizing = setTimeout(() => { if (this.redraw && !root.hidden) this.guarded(this.redraw); }, 200);
    });
  }

  /** Shows the list, or a lesson from its first step. */
  async open(id) {
    await this.guarded(() => (id === null ? this.list() : this.begin(id)));
  }

  /** Does something that asks the server; what goes wrong is said above what is shown. */
  async guarded(work) {
    const slow = setTimeout(() => this.root.setAttribute("aria-busy", "true"), 300);
    try {
      await work();
      find(".failed", this.root)?.remove();
    } catch (error) {
      if (!(error instanceof Trouble)) throw error;
      find(".failed", this.root)?.remove();
      this.root.prepend(h("div", { class: "remark error failed", role: "alert" }, error.message));
    } finally {
      clearTimeout(slow);
      this.root.removeAttribute("aria-busy");
    }
  }

  async list() {
    const all = await get("/api/lessons");
    this.redraw = null;
    const steps = (count) => `${count} questions`;
    replace(this.root, h("h1", { tabindex: -1 }, "Lessons: predict, then see"),
      h("p", {}, "Each shows a room and a day up to some time and asks what comes next. Every answer is simulated, the wrong ones as well: "
        + "you see in what room they would have been right. It takes five minutes, and the room stays open to try things in."),
      h("ol", { class: "lessons" }, all.map((it) => h("li", {},
        h("h2", {}, h("a", { href: `#lesson=${it.id}` }, it.title)), h("p", {}, it.teaches), h("p", { class: "note" }, steps(it.steps))))));
  }

  async begin(id) {
    this.id = id;
    this.results = [];
    await this.pose(0, false);
  }

  head() {
    const { title, step, of } = this.posed;
    return [h("p", {}, h("a", { href: "#lessons" }, "All lessons")), h("h1", { tabindex: -1 }, title),
      h("p", { class: "note", id: "lesson-place" }, `Question ${step + 1} of ${of}`)];
  }

  /** A step before it is answered. */
  async pose(step, focus = true) {
    const id = this.id;
    const posed = await askJson("/api/lesson", { id, step, width: premiseRoom(this.root) });
    if (id !== this.id) return;
    this.posed = posed;
    this.chosen = null;
    const { premise, premises, asks, question, chart, strips, choices, teaches } = posed;
    const answer = h("button", { type: "button", class: "main", id: "answer", onclick: () => this.answer() }, "That is my answer");
    const unknown = h("button", { type: "button", id: "unknown", onclick: () => this.answer(true) }, "I do not know: show it");
    this.told = h("p", { class: "note", role: "status" });
    const shown = h("div", {}, picture(chart), this.strips(strips));
    this.redraw = async () => {
      const again = await askJson("/api/lesson", { id, step, width: premiseRoom(this.root) });
      replace(shown, picture(again.chart), this.strips(again.strips));
    };
    replace(this.root, this.head(), step === 0 ? h("p", {}, teaches) : null,
      h("div", { class: "premises" },
        h("div", {}, h("h2", {}, "What is known"), h("p", {}, premise),
          h("dl", { class: "known" }, premises.map(([name, words]) => h("div", {}, h("dt", {}, name), h("dd", {}, words))))),
        shown),
      h("fieldset", { class: "question" },
        h("legend", { id: "question", tabindex: -1 }, asks ? `${asks} ` : "", question),
        choices.map((words, place) => h("label", { class: "check choice" }, h("input", { type: "radio", name: "choice", value: place,
          onchange: () => { this.chosen = place; this.told.textContent = ""; } }), capital(words)))),
      h("p", { class: "row wrap" }, answer, unknown), this.told);
    if (focus) find("#lesson-place", this.root).scrollIntoView({ block: "nearest" });
    if (focus) find("#question", this.root).focus({ preventScroll: true });
  }

  /** The rooms of a house in small. */
  strips(strips) {
    if (strips.length === 0) return null;
    return h("ul", { class: "house" }, strips.map(({ label, decides, chart }) => {
      const svg = drawn(chart);
      svg.classList.add("drawing");
      svg.style.maxWidth = `${svg.getAttribute("width")}px`;
      return h("li", {}, h("span", {}, h("span", { class: decides ? "owner" : null }, label), decides ? " decides" : ""), svg);
    }));
  }

  async answer(unknown = false) {
    if (!unknown && this.chosen === null) {
      this.told.textContent = "Choose what you expect first.";
      return;
    }
    const chosen = unknown ? null : this.chosen;
    await this.guarded(async () => {
      const { step } = this.posed;
      const { id } = this;
      const result = await askJson("/api/lesson/score", { id, step, chosen, width: answerRoom(this.root, chosen !== null) });
      // Somebody may have gone on to another lesson while the server was away.
      if (id !== this.id || step !== this.posed.step) return;
      this.results[step] = result.right;
      this.reveal(result, chosen);
    });
  }

  reveal(result, chosen) {
    const { answer, right, because, learned } = result;
    const { step, of, asks, question } = this.posed;
    const verdict = right ? "Right" : chosen === null ? "What happens" : "Not so. What happens";
    const words = h("h2", { id: "verdict", tabindex: -1 }, `${verdict}: ${answer}`);
    this.others = h("div", { class: "others" });
    const last = step + 1 === of;
    const next = last ? null : h("button", { type: "button", class: "main", id: "next", onclick: () => this.guarded(() => this.pose(step + 1)) }, "Next question");
    replace(this.root, this.head(), h("p", { class: "asked" }, asks ? `${asks} ` : "", question), words,
      h("p", { class: right ? "because" : "because wrong" }, because), this.others, last ? this.end(learned, result.try_it) : h("p", {}, next));
    this.compare(result, chosen);
    words.focus();
    tell(`${words.textContent}. ${because}`);
  }

  /** The day as it is, and beside it the one in which another choice comes true. */
  compare(result, chosen) {
    const { beside, chart, conditions, strips } = result;
    const { choices, step } = this.posed;
    const sides = [h("figure", {}, h("figcaption", {}, h("strong", {}, "As it is: "), result.answer), picture(chart), this.strips(strips))];
    if (beside) {
      sides.push(h("figure", { id: "beside" }, h("figcaption", {},
        h("strong", {}, beside.place === chosen ? "Your answer: " : "Another answer: "), beside.answer,
        h("span", { class: "condition" }, ` It would come so ${beside.condition}.`)), picture(beside.chart)));
    }
    this.redraw = async () => {
      const width = answerRoom(this.root, Boolean(beside));
      this.compare(await askJson("/api/lesson/score", { id: this.id, step, chosen, beside: beside?.place ?? null, width }), chosen);
    };
    const show = async (place) => this.guarded(async () => {
      const { id } = this;
      const other = await askJson("/api/lesson/score", { id, step, chosen, beside: place, width: answerRoom(this.root, true) });
      if (id !== this.id || step !== this.posed.step) return;
      this.compare(other, chosen);
      tell(`${choices[place]}: it would come so ${conditions[place]}.`);
    });
    const list = conditions.map((condition, place) => condition && place !== beside?.place ? h("li", {},
      h("span", {}, h("strong", {}, capital(choices[place])), ` would come ${condition}. `),
      h("button", { type: "button", "data-keep": `other-${place}`, onclick: () => show(place) }, "Draw that day",
        h("span", { class: "hidden" }, `: ${choices[place]}`))) : null);
    replace(this.others, h("div", { class: beside ? "beside" : null }, sides), h("h3", {}, "The other answers"), h("ul", { class: "conditions" }, list));
  }

  /** What is to be remembered, and the room to try it in. */
  end(learned, tryIt) {
    const right = this.results.filter((it) => it).length;
    const { of, name, text, title } = this.posed;
    return h("section", { class: "learned", "aria-labelledby": "score" },
      h("h2", { id: "score" }, `${right} of ${of} as expected`), h("p", {}, learned), h("p", {}, h("strong", {}, "Try it: "), tryIt),
      h("p", { class: "row wrap" },
        h("button", { type: "button", class: "main", id: "try-it", onclick: () => this.onTry({ lesson: this.id, title, name, text }) }, "Try it here"),
        h("button", { type: "button", id: "again", onclick: () => this.guarded(() => this.begin(this.id)) }, "Begin again"),
        h("a", { href: "#lessons" }, "All lessons")));
  }
}
