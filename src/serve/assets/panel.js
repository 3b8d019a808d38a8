// The settings beside the day: whose they are, what is said of them, and what comes of moving one.

import { fill, find, h, replace, tell } from "./dom.js";
import { Trouble } from "./server.js";
import { Amender } from "./amend.js";
import { Settings, together } from "./settings.js";

const ALL = "";
const TICKED = "*";

export class Panel {
  /** `look` gives the day, the place of the room that is looked at, and whether it is by itself;
   *  `isWorthSaying` hears a finding, `onTrouble` what went wrong. */
  constructor({ state, look, isWorthSaying, onTrouble }) {
    Object.assign(this, { look, isWorthSaying, onTrouble });
    this.told = null;        // what came of the last move
    this.scope = null;       // to whom changes go: a room, all, or those that are ticked; by the view where null
    this.ticked = new Set();
    this.amender = new Amender(state, (news) => {
      this.told = news;
      if (look().day) this.show();
      if (news?.said.length > 0 || news?.against) tell([...news.said, news.against?.why ?? ""].join(" "));
    });
    const moves = { state, move: (move, join) => this.move(move, join), take: (way) => this.amender.take(way) };
    this.zones = new Settings(find("#settings"), moves);
    this.groups = new Settings(find("#group-settings"), moves);
    find("#scope").onchange = (event) => {
      this.scope = event.target.value;
      this.told = null;
      this.show();
    };
  }

  /** What was said is about another room or state. */
  quiet() {
    this.told = null;
  }

  /** Another view: changes go to what it shows. */
  turn() {
    this.scope = null;
    this.told = null;
  }

  /** What is half typed, asked for or was said is about a state that is left now. */
  settle() {
    this.told = null;
    this.amender.forget();
    for (const input of document.querySelectorAll("[data-typing]")) input.removeAttribute("data-typing");
  }

  /** Moves a setting of all rooms that it goes to. */
  async move(move, join) {
    try {
      await this.amender.move(move, join);
    } catch (error) {
      this.onTrouble(error);
    }
  }

  /** The room to which changes go, or a word for several. */
  whose() {
    const { day, place, alone } = this.look();
    return this.scope ?? (alone ? day.zones[place].id : ALL);
  }

  /** The rooms to which changes go. */
  addressed(zones) {
    const whose = this.whose();
    if (whose === ALL) return zones;
    if (whose === TICKED) return zones.filter((it) => this.ticked.has(it.id));
    return zones.filter((it) => it.id === whose);
  }

  show(faults = []) {
    const { day, alone } = this.look();
    const { told } = this;
    const forms = this.addressed(day.zones);
    const remarks = [...faults, ...day.findings.filter(this.isWorthSaying)];
    const [only] = forms.length === 1 ? forms : [];
    const own = only ? remarks.filter((it) => it.path.startsWith(`zones.${only.id}.`) || it.path === `zones.${only.id}`) : [];
    this.showScope(day.zones, forms, only);
    this.zones.show({ sections: together(forms), remarks: own, told });
    // What a drag on the chart did is said under it, too.
    const words = told && alone ? [...told.said, told.against?.why ?? ""].join(" ").trim() : "";
    const under = find("#handle-told");
    if (under.textContent !== words) replace(under, words ? h("p", { class: "note" }, words) : null);
    const places = new Set(forms.map((form) => day.zones.indexOf(form)));
    const groups = day.groups.filter((it) => it.zones.some((member) => places.has(member)));
    const group = groups.length === 1 ? groups[0] : null;
    const common = remarks.filter((it) => !it.path.startsWith("zones."));
    this.groups.show({ sections: group ? ofGroup(group, day.zones) : [], remarks: common, told });
  }

  /** To whom changes go, and the boxes of those that are ticked. */
  showScope(zones, forms, only) {
    const several = zones.length > 1;
    find("#settings-title").textContent = !several ? "Settings" : only ? `Settings of ${only.label}`
      : forms.length === zones.length ? "Settings of all rooms" : `Settings of ${forms.length} rooms`;
    find("#scope-box").hidden = !several;
    fill(find("#scope"), [[ALL, `all ${zones.length} rooms`], [TICKED, "rooms that are ticked"], ...zones.map((it) => [it.id, it.label])]);
    find("#scope").value = this.whose();
    replace(find("#ticks"), this.scope !== TICKED ? null : zones.map((it) => h("label", { class: "check" },
      h("input", { type: "checkbox", checked: this.ticked.has(it.id), "data-keep": `tick-${it.id}`, onchange: (event) => {
        if (event.target.checked) this.ticked.add(it.id);
        else this.ticked.delete(it.id);
        this.show();
      } }), it.label)));
  }
}

/** The settings of an outdoor unit, with the zone that decides among them. */
function ofGroup(group, zones) {
  const fields = group.fields.map((field) => ({ ...field, of: [group.id], paths: [field.path], values: [field.value] }));
  if (group.owner !== null) {
    const options = group.zones.map((place) => [zones[place].id, zones[place].label]);
    const value = zones[group.owner].id;
    fields.splice(1, 0, { key: "owner", kind: "choice", label: "The room that decides", options, value, of: [group.id],
      help: "The others heat while it heats and cool while it cools.", paths: [group.owner_path], values: [value] });
  }
  return fields.length > 0 ? [{ title: group.label, fields }] : [];
}

/** What went wrong, as remarks: at most so many faults, each with its place. */
export function faultsOf(error) {
  if (error && !(error instanceof Trouble)) throw error;
  const list = error ? (error.faults.length > 0 ? error.faults : [{ message: error.message, path: "" }]) : [];
  return list.slice(0, 20).map((it) => h("div", { class: "remark error" },
    h("p", {}, h("strong", {}, "Error: "), it.message, it.path ? h("span", { class: "source" }, ` (${it.path})`) : null),
    it.remedy ? h("p", { class: "remedy" }, "Remedy: ", it.remedy) : null));
}
