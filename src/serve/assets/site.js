// The site: complaints with their causes, and what its log says beside the settings.

import { find, h, replace, tell } from "./dom.js";
import { framed } from "./overlay.js";
import { Trouble, askJson } from "./server.js";
import { clock } from "./words.js";

/** Noon of a day that begins at a time. */
const noon = (from) => from + 720 * 60;

export class Site {
  /** `look` gives the day and the place of the room that is looked at, `onTry` hears a change that is
   *  to be tried, `onTrouble` what went wrong. */
  constructor({ state, look, onTry, onTrouble }) {
    Object.assign(this, { state, look, onTrouble });
    this.logged = null;      // what the log says, and of which state
    this.complaints = new Complaints(find("#complaint"), { onTry, onTrouble, ask: (felt) => {
      const { day, place } = look();
      const at = state.look.at ?? noon(day.chart.from);
      return askJson("/api/complaint", { asked: { ...state.plain(state.now), zone: day.zones[place].id, at }, felt });
    } });
    this.replays = new Replays(find("#replay"), { ask: () => askJson("/api/replay", this.asked()), onTrouble,
      about: () => JSON.stringify([state.key(), look().place]) });
  }

  /** The room and the day that are looked at, as the server is asked about them. */
  asked() {
    const { day, place } = this.look();
    return { ...this.state.plain(this.state.now), day: day.day, zone: day.zones[place].id, width: Math.round(find(".top").clientWidth) };
  }

  /** What was measured beside what was computed, and who complained; `shown` gives what clocks show at a time. */
  async show(shown) {
    const { day, place } = this.look();
    const { width } = this.asked();
    const key = JSON.stringify([this.state.key(), place, day.day]);
    const { at } = this.state.look;
    this.complaints.show(JSON.stringify([key, at]), clock(shown(at ?? noon(day.chart.from)), day.chart.from));
    this.replays.show();
    find("#log").hidden = !day.has_log;
    const wide = `${key} ${width}`;
    if (!day.has_log || this.logged === wide) return;
    this.logged = wide;
    try {
      const answer = await askJson("/api/log", this.asked());
      if (this.logged === wide) siteLog(find("#log-shown"), answer);
    } catch (error) {
      this.logged = null;
      this.onTrouble(error);
    }
  }
}

class Complaints {
  /** `ask` gets an answer for what was felt at the time that is looked at; `onTry` hears a change that is to be tried. */
  constructor(root, { ask, onTry, onTrouble }) {
    Object.assign(this, { ask, onTry, onTrouble });
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
      const { answer, causes, remedies, tried, is_logged: isLogged } = await this.ask(felt);
      if (key !== this.key) return;
      replace(this.answer, h("p", {}, h("strong", {}, answer)),
        h("ol", {}, causes.map((cause) => h("li", {}, cause.message, h("span", { class: "source" }, ` ${cause.reading}, since ${cause.since}.`)))),
        helping(remedies, tried, this.onTry),
        h("p", { class: "source" }, isLogged ? "From the log of the site." : "From the simulated day."));
      tell(answer);
    } catch (error) {
      if (!(error instanceof Trouble)) throw error;
      this.onTrouble(error);
    }
  }
}

/** What would have helped, with a button for each. */
function helping(remedies, tried, onTry) {
  if (remedies.length === 0) return tried > 0 ? h("p", { class: "note" }, `None of ${tried} changes that were simulated would have helped.`) : null;
  return [h("p", {}, `Of ${tried} changes that were simulated these would have helped:`),
    h("ol", { class: "relief" }, remedies.map((it) => h("li", {}, it.words, h("span", { class: "source" }, ` ${it.does} `),
      h("button", { type: "button", class: "try", onclick: () => onTry(it) }, "Try it", h("span", { class: "hidden" }, `: ${it.words}`)))))];
}

/** The days of the log with the present settings, asked for by a button. */
class Replays {
  /** `about` tells states and rooms apart, also before they are shown. */
  constructor(root, { ask, about, onTrouble }) {
    Object.assign(this, { ask, about, onTrouble });
    this.answer = h("div", { role: "status" });
    root.replaceChildren(h("p", {}, h("button", { type: "button", id: "replay-ask", onclick: () => this.replay() },
      "Replay these days with the present settings")), this.answer);
  }

  /** Shows the state and the room that are looked at; an answer for others goes. */
  show() {
    const key = this.about();
    if (this.key !== key) replace(this.answer);
    this.key = key;
  }

  async replay() {
    const key = this.about();
    this.key = key;
    replace(this.answer, h("p", { class: "note" }, "The days are being replayed\u2026"));
    try {
      const replayed = await this.ask();
      if (key !== this.key) return;
      replace(this.answer, replayedDays(replayed));
      tell(replayed.told.at(-1) ?? replayed.answer);
    } catch (error) {
      if (!(error instanceof Trouble)) throw error;
      replace(this.answer);
      this.onTrouble(error);
    }
  }
}

function replayedDays({ answer, told, beside: { runs, rows }, draws, chart }) {
  const cell = (name, text) => h("td", { "data-name": name }, text || "\u2013");
  const last = runs.at(-1);
  return [h("p", {}, answer), told.map((words) => h("p", {}, words)),
    h("table", { class: "sides" }, h("caption", { class: "hidden" }, "Figures of this room, run by run"),
      h("thead", {}, h("tr", {}, h("td", {}), [...runs, `${last} less as logged`].map((name) => h("th", { scope: "col" }, name)))),
      h("tbody", {}, rows.map(({ label, values, difference }) => h("tr", {}, h("th", { scope: "row" }, label),
        values.map((value, place) => cell(runs[place], value)), cell(`${last} less as logged`, difference))))),
    h("p", { class: "note" }, draws > 0 ? `Intervals are those of ${draws} draws of what was fitted.`
      : "There are no intervals: nothing beside the file says how sure its rooms are. A fit to the log leaves that."),
    framed(chart, "Measured, as logged and with the present settings")];
}

/** Shows what the log says of a room, over the computed day. */
function siteLog(root, { answer, findings, more, chart }) {
  replace(root, h("p", {}, answer),
    chart ? framed(chart, "The measured day")
      : h("p", { class: "note" }, "The log has nothing of this room."),
    h("ul", { class: "findings" }, findings.map((it) => h("li", {}, h("strong", {}, `${it.weight}, ${it.zone}: `), it.message,
      h("span", { class: "source" }, ` ${it.when}.`)))),
    more > 0 ? h("p", { class: "note" }, `${more} more in the audit.`) : null);
}
