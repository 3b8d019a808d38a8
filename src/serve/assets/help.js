// What would help: changes that the server has tried, each with what it does; one click tries it,
// one undoes it.

import { find, h, replace, tell } from "./dom.js";
import { Trouble, askJson } from "./server.js";
import { figure, number } from "./words.js";

/** So long a page is left alone before it is asked what would help, ms. */
const ALONE = 600;

export class Help {
  /** `after` does something once the page has been shown, `onNews` hears that more is known. */
  constructor(root, { state, after, onUndo, onNews }) {
    this.root = root;
    Object.assign(this, { state, after, onUndo, onNews });
    this.known = null;       // what would help, and of which state
    this.tried = null;       // the remedy that is in force, and of which state
    this.asking = null;
  }

  /** Shows what would help, and asks for it once the page has been left alone for a moment. */
  show() {
    const key = this.state.key();
    const help = this.known?.key === key ? this.known.answer : null;
    const tried = this.tried?.key === key ? this.tried : null;
    remedies(this.root, { help, tried, waiting: true, onUndo: this.onUndo, onTry: (it) => this.take(it) });
    if (help || this.asking?.key === key) return;
    this.stop();
    const giveUp = new AbortController();
    this.asking = { key, giveUp, timer: setTimeout(() => this.ask(key, giveUp.signal), ALONE) };
  }

  async ask(key, signal) {
    try {
      this.known = { key, answer: await askJson("/api/help", this.state.plain(this.state.now), signal) };
    } catch (error) {
      if (signal.aborted) return;
      if (!(error instanceof Trouble)) throw error;
      const slow = "To try what would help takes longer than a page waits. A shorter period or a longer step lets it be tried.";
      replace(this.root, h("p", { class: "note" }, error.status === 504 ? slow : error.message));
      return;
    }
    if (key !== this.state.key()) return;
    this.show();
    this.onNews();
  }

  take(it) {
    this.state.change({ ...this.state.now, edits: it.edits });
    this.tried = { words: it.words, key: this.state.key() };
    this.after(() => {
      this.show();
      find("#undo-remedy")?.focus();
    });
  }

  /** Whether somebody or something else was found that decides better. */
  knowsBetterDecider() {
    return this.known?.key === this.state.key() && this.known.answer.remedies.some((it) => it.decides);
  }

  /** What would help is not worth asking for any more: nobody looks. */
  stop() {
    clearTimeout(this.asking?.timer);
    this.asking?.giveUp.abort();
    this.asking = null;
  }

  /** The same where the state is another one. */
  stopWhereOld() {
    if (this.asking && this.asking.key !== this.state.key()) this.stop();
  }
}

/** Shows what helps; `help` is the server's answer, `tried` the remedy that is in force. */
function remedies(root, { help, tried, waiting, onTry, onUndo }) {
  const present = tried ? h("div", { class: "tried" }, h("p", {}, h("strong", {}, "Tried: "), tried.words, ". ",
    h("button", { type: "button", id: "undo-remedy", "data-keep": "undo-remedy", onclick: onUndo }, "Undo it"))) : null;
  if (!help) {
    replace(root, present, h("p", { class: "note" }, waiting ? "Changes are being tried\u2026" : ""));
    return;
  }
  const none = `Of ${help.tried} changes that were tried none mends anything without making something else worse.`;
  replace(root, present,
    help.remedies.length === 0 ? h("p", { class: "note" }, none)
      : h("p", { class: "note" }, `Found among ${help.tried} changes that were simulated, what mends most first; none makes waiting, hours out of band or requests worse. All rooms together.`),
    h("ol", { class: "remedies" }, help.remedies.map((it, place) => h("li", {},
      h("p", {}, it.words),
      h("dl", { class: "effects" }, it.effects.filter(seen).map((effect) => h("div", { class: effect.after < effect.before ? "less" : "more" },
        h("dt", {}, effect.label), h("dd", {}, `${number(effect.before, effect.kind)} \u2192 ${figure({ ...effect, value: effect.after })}`)))),
      h("span", {}, h("button", { type: "button", "data-keep": `try-${place}`, class: "try", onclick: () => { onTry(it); tell(`Tried: ${it.words}.`); } },
        "Try it", h("span", { class: "hidden" }, `: ${it.words}`)))))));
}

/** Whether a difference can be seen in the digits that are shown. */
const seen = ({ before, after, kind }) => number(before, kind) !== number(after, kind);
