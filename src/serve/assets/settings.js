// The settings of a room, of several or of an outdoor unit as controls, with what is worth knowing
// about each beside it: what moved with it, and what stands against it.
//
// Controls are built once and then only updated, so that a slider that is being dragged, or a field
// that is being typed into, is left in peace.

import { h, replace } from "./dom.js";
import { plain, trimmed } from "./words.js";

let counted = 0;
const fresh = (start) => `${start}-${counted += 1}`;

/** The forms of several rooms as one: each field with all its values. */
export function together(forms) {
  const fields = new Map();
  const sections = [];
  for (const form of forms) {
    for (const { title, fields: own } of form.sections) {
      let section = sections.find((it) => it.title === title);
      if (!section) sections.push(section = { title, fields: [] });
      for (const field of own) {
        const known = fields.get(field.key);
        if (known) {
          known.of.push(form.id);
          known.paths.push(field.path);
          known.values.push(field.value);
          if (field.min !== undefined) known.min = Math.min(known.min, field.min);
          if (field.max !== undefined) known.max = Math.max(known.max, field.max);
        } else {
          const first = { ...field, of: [form.id], paths: [field.path], values: [field.value] };
          fields.set(field.key, first);
          section.fields.push(first);
        }
      }
    }
  }
  return sections;
}

const alike = (values) => values.every((value) => JSON.stringify(value) === JSON.stringify(values[0]));

export class Settings {
  /** `move` hears what is moved and how moves are joined, `take` a way that is taken. */
  constructor(root, { state, move, take }) {
    this.root = root;
    Object.assign(this, { state, move, take });
    this.built = "";
    this.controls = new Map();
  }

  /** Shows sections of fields; `remarks` are faults and findings with the place they are about, `told`
   *  what came of the last move. */
  show({ sections, remarks, told }) {
    const shape = JSON.stringify(sections.map(({ title, fields }) => [title,
      fields.map(({ key, paths, kind, options }) => [key, paths, kind, options])]));
    if (shape !== this.built) {
      this.built = shape;
      this.controls.clear();
      const made = sections.map(({ title, fields }) => h("section", { class: "section", "aria-label": title },
        h("h3", {}, title), fields.map((field) => this.build(field))));
      this.general = h("div", { class: "remarks" });
      replace(this.root, made, this.general);
    }
    const fields = sections.flatMap((section) => section.fields);
    for (const field of fields) this.controls.get(field.key).update(field);
    for (const [key, control] of this.controls) this.tell(control, told?.key === key ? told : null);
    this.remark(fields, remarks);
  }

  /** What came of a move, beside its field. */
  tell({ told: root }, told) {
    if (root.shown === told) return;
    root.shown = told;
    if (!told) {
      replace(root);
      return;
    }
    const said = told.said.map((words) => h("p", {}, words));
    const ways = told.against?.ways.map((way, place) => h("p", {}, h("button", { type: "button", "data-keep": `way-${place}`,
      onclick: () => this.take(way) }, way.words)));
    replace(root, said.length + (ways?.length ?? 0) === 0 ? null : h("div", { class: told.against ? "told against" : "told" },
      told.against ? h("p", {}, h("strong", {}, "Not yet: "), told.against.why) : null, said, ways));
  }

  /** Puts each remark beside the field that it is about, the rest below all. */
  remark(fields, remarks) {
    const rest = [];
    const beside = new Map(fields.map((field) => [field.key, []]));
    for (const it of remarks) {
      const near = fields.flatMap(({ key, paths }) => paths.map((path) => ({ key, path })))
        .filter(({ path }) => it.path === path || it.path.startsWith(`${path}.`) || it.path.startsWith(`${path}[`)
          || path.startsWith(`${it.path}.`)).sort((one, other) => other.path.length - one.path.length)[0];
      (near ? beside.get(near.key) : rest).push(it);
    }
    for (const [key, list] of beside) replace(this.controls.get(key).remarks, list.map(remark));
    replace(this.general, rest.map(remark));
  }

  build(field) {
    const make = { number, minutes: number, span, choice, several, list, locks }[field.kind];
    const send = (more, join = null) => this.move({ key: field.key, of: current.of, ...more }, join);
    let current = field;
    const control = field.begins === undefined && !field.removable ? make(field, send) : optional(make(field, send), field, send);
    const back = h("button", { type: "button", class: "plain back", "data-keep": `back-${field.key}`, onclick: () => send({ value: null }) },
      "take back", h("span", { class: "hidden" }, `: ${field.label}`));
    const remarks = h("div", { class: "remarks", id: fresh("remarks") });
    const help = h("p", { class: "help", id: fresh("help") }, field.help);
    const mixed = h("p", { class: "mixed", id: fresh("mixed") });
    const told = h("div", { role: "status", id: fresh("told") });
    control.describe(`${mixed.id} ${help.id} ${told.id} ${remarks.id}`);
    this.controls.set(field.key, {
      remarks,
      told,
      update: (now) => {
        current = now;
        const same = alike(now.values);
        mixed.textContent = same ? "" : differing(now);
        control.update({ ...now, value: now.values.find((value) => value !== null) ?? null, same });
        back.hidden = !now.paths.some((path) => this.state.isChanged(path));
      },
    });
    const path = field.paths.length === 1 ? field.paths[0] : null;
    return h("div", { class: "field", "data-path": path, "data-key": field.key }, control.nodes, mixed, told, help, back, remarks);
  }
}

/** What the rooms have where they have not the same. */
function differing({ values, of, unit, kind }) {
  const without = values.filter((value) => value === null).length;
  const rest = without > 0 ? ` ${without} of ${of.length} have none.` : "";
  const numbers = values.flat().filter(Number.isFinite);
  if (numbers.length === 0) return `Not the same in all ${of.length} rooms.${rest}`;
  const [low, high] = [Math.min(...numbers), Math.max(...numbers)].map(trimmed);
  return `${low === high ? low : `${low} to ${high}`} ${kind === "minutes" ? "min" : unit ?? ""} in ${of.length - without} rooms.${rest}`;
}

function remark(it) {
  const severity = it.severity ?? "error";
  const word = { error: "Error", warning: "Warning", note: "Note" }[severity];
  return h("div", { class: `remark ${severity}` },
    h("p", {}, h("strong", {}, `${word}: `), it.severity ? plain(it.message) : it.message),
    it.remedy && !it.severity ? h("p", { class: "remedy" }, "Remedy: ", it.remedy) : null,
    it.source ? h("p", { class: "source" }, it.source) : null);
}

/** Whether somebody is typing into a field, so that what stands there is not yet meant. */
const isBusy = (input) => document.activeElement === input && input.matches("[data-typing]");

/** A field for a number that is meant once it is left or Enter is pressed. */
function box(properties, take) {
  const input = h("input", { type: "number", inputmode: "decimal", step: "any", ...properties });
  const done = () => {
    if (!input.matches("[data-typing]")) return;
    input.removeAttribute("data-typing");
    if (Number.isFinite(input.valueAsNumber)) take(input.valueAsNumber);
    else input.put();
  };
  // Steps by arrow keys count at once, letters only when they are whole.
  input.addEventListener("input", (event) => {
    input.setAttribute("data-typing", "");
    if (event.inputType === undefined || event.inputType === "") done();
  });
  input.addEventListener("change", done);
  input.addEventListener("keydown", (event) => {
    if (event.key === "Enter") done();
    if (event.key !== "Escape") return;
    input.removeAttribute("data-typing");
    input.put();
  });
  input.put = (value = input.meant) => {
    input.meant = value;
    if (!isBusy(input)) input.value = value;
  };
  return input;
}

/** What there may be none of: a button adds it, another takes it away. The focus goes with what is shown. */
function optional(control, field, send) {
  let begins = field.begins;
  const add = h("button", { type: "button", class: "add", onclick: () => send({ value: begins }) });
  const remove = h("button", { type: "button", class: "plain remove", onclick: () => send({ value: "none" }) },
    "take away", h("span", { class: "hidden" }, `: ${field.label}`));
  const inner = h("div", { class: "inner" }, control.nodes);
  const title = h("p", { class: "absent" }, field.label, ": ", h("span", {}, "none"));
  const focusable = () => inner.querySelector("input:not([type=range]), select");
  return {
    nodes: [title, inner, h("div", { class: "row" }, add, remove)],
    describe: (ids) => { control.describe(ids); add.setAttribute("aria-describedby", ids); },
    update: (now) => {
      begins = now.begins ?? begins;
      const none = now.values.every((value) => value === null);
      const some = now.values.some((value) => value === null);
      const focused = [add, remove].includes(document.activeElement) ? document.activeElement : null;
      inner.hidden = none;
      title.hidden = !none;
      remove.hidden = none || !now.removable;
      add.hidden = !some || begins === undefined;
      replace(add, `Add ${none ? "" : "where there is none"}`.trim(), h("span", { class: "hidden" }, `: ${field.label}`));
      if (!none) control.update({ ...now, same: now.same && !some });
      if (focused?.hidden) (none ? add : focusable() ?? remove).focus({ preventScroll: true });
    },
  };
}

/** Words or numbers, one behind the other with commas between. */
function list(field, send) {
  const id = fresh("list");
  const input = h("input", { id, type: "text" });
  let meant = "";
  const put = () => { input.value = meant; input.removeAttribute("data-typing"); };
  const done = () => {
    if (!input.matches("[data-typing]")) return;
    input.removeAttribute("data-typing");
    send({ value: input.value.split(/[\s,;]+/).filter(Boolean) });
  };
  input.addEventListener("input", () => input.setAttribute("data-typing", ""));
  input.addEventListener("change", done);
  input.addEventListener("keydown", (event) => {
    if (event.key === "Enter") done();
    if (event.key === "Escape") put();
  });
  return {
    nodes: [h("label", { for: id }, field.label), input],
    describe: (ids) => input.setAttribute("aria-describedby", ids),
    update: (now) => {
      meant = now.same ? (now.value ?? []).join(", ") : "";
      if (!isBusy(input)) put();
    },
  };
}

/** A slider and a field for the same number. */
function number(field, send) {
  const id = fresh("number");
  const unit = field.kind === "minutes" ? "min" : field.unit;
  const slider = h("input", { type: "range", "aria-label": `${field.label}, slider` });
  const input = box({ id }, (value) => send({ value }));
  const range = h("span", { class: "range" });
  // Each movement has a number: answers that come after it was let go belong to it as well.
  let movements = 0;
  slider.addEventListener("input", () => send({ value: slider.valueAsNumber }, `${field.key}-${movements}`));
  slider.addEventListener("change", () => { movements += 1; });
  return {
    nodes: [h("label", { for: id }, field.label),
      h("div", { class: "row" }, slider, h("span", { class: "box" }, input, h("span", { class: "unit" }, unit)), range)],
    describe: (ids) => { input.setAttribute("aria-describedby", ids); slider.setAttribute("aria-describedby", ids); },
    update: (now) => {
      const value = Math.round(now.value * 1000) / 1000;
      slider.min = Math.min(now.min, value);
      slider.max = Math.max(now.max, value);
      slider.step = now.step;
      slider.value = value;
      input.step = now.step;
      input.put(now.same ? value : "");
      slider.setAttribute("aria-valuetext", now.same ? `${value} ${unit}` : "not the same in all rooms");
      range.textContent = `${trimmed(now.min)} to ${trimmed(now.max)}`;
    },
  };
}

/** The lowest and the highest of something. */
function span(field, send) {
  const ids = [fresh("low"), fresh("high")];
  const inputs = ids.map((id, end) => box({ id, "data-end": end }, (value) => send({ end, value })));
  const group = h("fieldset", {}, h("legend", {}, field.label), h("div", { class: "row wrap" },
    ["lowest", "highest"].map((word, place) => h("span", { class: "box" },
      h("label", { for: ids[place] }, word), inputs[place], h("span", { class: "unit" }, field.unit)))));
  return {
    nodes: [group],
    describe: (described) => group.setAttribute("aria-describedby", described),
    update: (now) => inputs.forEach((input, place) => {
      input.step = now.step;
      const own = now.values.map((value) => value[place]);
      input.put(alike(own) ? own[0] : "");
    }),
  };
}

function choice(field, send) {
  const id = fresh("choice");
  const list = h("select", { id, onchange: () => send({ value: list.value }) },
    field.options.map(([value, words]) => h("option", { value }, words)));
  return {
    nodes: [h("label", { for: id }, field.label), list],
    describe: (ids) => list.setAttribute("aria-describedby", ids),
    update: (now) => { list.value = now.same ? now.value : ""; },
  };
}

function boxes(options, onchange) {
  const inputs = options.map(([value]) => h("input", { type: "checkbox", value, onchange }));
  const labels = options.map(([, words], place) => h("label", { class: "check" }, inputs[place], words));
  const chosen = () => inputs.filter((input) => input.checked).map((input) => input.value);
  const choose = (values) => inputs.forEach((input) => { input.checked = values.includes(input.value); });
  return { labels, chosen, choose };
}

function several(field, send) {
  const list = boxes(field.options, () => send({ value: list.chosen() }));
  const group = h("fieldset", {}, h("legend", {}, field.label), h("div", { class: "row wrap" }, list.labels));
  return {
    nodes: [group],
    describe: (ids) => group.setAttribute("aria-describedby", ids),
    update: (now) => list.choose(now.value),
  };
}

/** Keys that are locked, and whether the lock is in force or only saved. */
function locks(field, send) {
  const write = () => send({ value: { keys: list.chosen(), in_force: force.checked } });
  const list = boxes(field.options, write);
  const force = h("input", { type: "checkbox", onchange: write });
  const group = h("fieldset", {}, h("legend", {}, field.label), h("div", { class: "row wrap" }, list.labels),
    h("label", { class: "check" }, force, "the lock is in force"));
  return {
    nodes: [group],
    describe: (ids) => group.setAttribute("aria-describedby", ids),
    update: (now) => {
      list.choose(now.value.keys);
      force.checked = now.value.in_force;
    },
  };
}
