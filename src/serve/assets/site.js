// The site: complaints with their causes, and what its log says beside the settings.

import { h, replace, tell } from "./dom.js";
import { drawn } from "./overlay.js";
import { Trouble } from "./server.js";

export class Complaints {
  /** `ask` gets an answer for what was felt at the time that is looked at. */
  constructor(root, { ask, onTrouble }) {
    Object.assign(this, { ask, onTrouble });
    this.answer = h("div", { role: "status" });
    this.time = h("span", {});
    const button = (felt) => h("button", { type: "button", "data-felt": felt, onclick: () => this.complain(felt) }, `too ${felt}`);
    root.replaceChildren(h("p", { class: "row wrap" }, h("span", {}, "Somebody says that at ", this.time, " it was"), button("cold"), button("hot")), this.answer);
  }

  /** Shows the time that is looked at; an answer for another one goes. */
  show(key, time) {
    this.time.textContent = time;
    if (this.key !== key) replace(this.answer);
    this.key = key;
  }

  async complain(felt) {
    const { key } = this;
    try {
      const { answer, causes, is_logged: isLogged } = await this.ask(felt);
      if (key !== this.key) return;
      replace(this.answer, h("p", {}, h("strong", {}, answer)),
        h("ol", {}, causes.map((cause) => h("li", {}, cause.message, h("span", { class: "source" }, ` ${cause.reading}, since ${cause.since}.`)))),
        h("p", { class: "source" }, isLogged ? "From the log of the site." : "From the simulated day."));
      tell(answer);
    } catch (error) {
      if (!(error instanceof Trouble)) throw error;
      this.onTrouble(error);
    }
  }
}

/** Shows what the log says of a room, over the computed day. */
export function siteLog(root, { answer, findings, more, chart }) {
  const svg = chart ? drawn(chart) : null;
  svg?.classList.add("drawing");
  replace(root, h("p", {}, answer),
    svg ? h("div", { class: "chart", tabindex: "0", role: "group", "aria-label": "The measured day" }, svg)
      : h("p", { class: "note" }, "The log has nothing of this room."),
    h("ul", { class: "findings" }, findings.map((it) => h("li", {}, h("strong", {}, `${it.weight}, ${it.zone}: `), it.message,
      h("span", { class: "source" }, ` ${it.when}.`)))),
    more > 0 ? h("p", { class: "note" }, `${more} more in the audit.`) : null);
}
