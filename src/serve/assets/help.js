// What would help: changes that the server has tried, each with what it does; one click tries it,
// one undoes it.

import { h, replace, tell } from "./dom.js";
import { figure, number } from "./words.js";

/** Shows what helps; `help` is the server's answer, `tried` the remedy that is in force. */
export function remedies(root, { help, tried, waiting, onTry, onUndo }) {
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
