// The settings of a zone or a group as controls, with what is worth knowing about each beside it.
//
// Controls are built once and then only updated, so that a slider that is being dragged, or a field
// that is being typed into, is left in peace.

import { h, replace } from "./dom.js";
import { trimmed } from "./words.js";

let counted = 0;
const fresh = (start) => `${start}-${counted += 1}`;

export class Settings {
  constructor(root, state) {
    this.root = root;
    this.state = state;
    this.built = "";
    this.controls = new Map();
  }

  /** Shows sections of fields; `remarks` are faults and findings with the place they are about. */
  show(sections, remarks, whose) {
    const shape = JSON.stringify([whose, sections.map(({ title, fields }) => [title,
      fields.map(({ path, kind, options, whole_list: whole }) => [path, kind, options, whole])])]);
    if (shape !== this.built) {
      this.built = shape;
      this.controls.clear();
      const made = sections.map(({ title, fields }) => h("section", { class: "section", "aria-label": title },
        h("h3", {}, title), fields.map((field) => this.build(field))));
      this.general = h("div", { class: "remarks" });
      replace(this.root, made, this.general);
    }
    const fields = sections.flatMap((section) => section.fields);
    for (const field of fields) this.controls.get(field.path)?.update(field);
    this.remark(fields, remarks);
  }

  /** Puts each remark beside the field that it is about, the rest below all. */
  remark(fields, remarks) {
    const rest = [];
    const beside = new Map(fields.map((field) => [field.path, []]));
    for (const it of remarks) {
      const near = fields.filter(({ path }) => it.path === path || it.path.startsWith(`${path}.`) || it.path.startsWith(`${path}[`)
        || path.startsWith(`${it.path}.`)).sort((one, other) => other.path.length - one.path.length)[0];
      (near ? beside.get(near.path) : rest).push(it);
    }
    for (const [path, list] of beside) replace(this.controls.get(path).remarks, list.map(remark));
    replace(this.general, rest.map(remark));
  }

  build(field) {
    const build = { number, minutes: number, span, choice, several, locks }[field.kind];
    const control = build(field, (value, join) => this.state.setValue(field.path, value, join), () => this.state.settle());
    const back = h("button", { type: "button", class: "plain back", onclick: () => this.state.clearValue(field.path) },
      "take back", h("span", { class: "hidden" }, `: ${field.label}`));
    const remarks = h("div", { class: "remarks", id: fresh("remarks") });
    const help = h("p", { class: "help", id: fresh("help") }, field.help);
    control.describe(`${help.id} ${remarks.id}`);
    this.controls.set(field.path, {
      remarks,
      update: (now) => {
        control.update(now);
        back.hidden = !this.state.isChanged(field.path);
      },
    });
    return h("div", { class: "field", "data-path": field.path }, control.nodes, help, back, remarks);
  }
}

function remark(it) {
  const severity = it.severity ?? "error";
  const word = { error: "Error", warning: "Warning", note: "Note" }[severity];
  return h("div", { class: `remark ${severity}` },
    h("p", {}, h("strong", {}, `${word}: `), it.message),
    it.remedy ? h("p", { class: "remedy" }, "Remedy: ", it.remedy) : null,
    it.source ? h("p", { class: "source" }, it.source) : null);
}

const isBusy = (input) => document.activeElement === input && input.matches("[data-typing]");

/** A slider and a field for the same number. */
function number(field, set, settle) {
  const write = field.kind === "minutes" ? (value) => `${value} min` : (value) => value;
  const id = fresh("number");
  const unit = field.kind === "minutes" ? "min" : field.unit;
  const slider = h("input", { type: "range", "aria-label": `${field.label}, slider` });
  const box = h("input", { type: "number", id, inputmode: "decimal" });
  const range = h("span", { class: "range" });
  const take = (value, join) => { if (Number.isFinite(value)) set(write(value), join); };
  slider.addEventListener("input", () => take(slider.valueAsNumber, field.path));
  slider.addEventListener("change", settle);
  box.addEventListener("input", () => {
    box.setAttribute("data-typing", "");
    take(box.valueAsNumber, field.path);
  });
  box.addEventListener("change", settle);
  box.addEventListener("blur", () => box.removeAttribute("data-typing"));
  return {
    nodes: [h("label", { for: id }, field.label),
      h("div", { class: "row" }, slider, h("span", { class: "box" }, box, h("span", { class: "unit" }, unit)), range)],
    describe: (ids) => { box.setAttribute("aria-describedby", ids); slider.setAttribute("aria-describedby", ids); },
    update: (now) => {
      const value = Math.round(now.value * 1000) / 1000;
      for (const input of [slider, box]) {
        input.min = Math.min(now.min, value);
        input.max = Math.max(now.max, value);
        input.step = now.step;
      }
      if (document.activeElement !== slider || slider.valueAsNumber !== value) slider.value = value;
      if (!isBusy(box)) box.value = value;
      slider.setAttribute("aria-valuetext", `${value} ${unit}`);
      range.textContent = `${trimmed(now.min)} to ${trimmed(now.max)}`;
    },
  };
}

/** The lowest and the highest of something. */
function span(field, set, settle) {
  const ids = [fresh("low"), fresh("high")];
  const boxes = ids.map((id) => h("input", { type: "number", id, inputmode: "decimal" }));
  let written = field.value;
  boxes.forEach((box, place) => {
    box.addEventListener("input", () => {
      box.setAttribute("data-typing", "");
      if (!Number.isFinite(box.valueAsNumber)) return;
      written = written.map((value, at) => (at === place ? box.valueAsNumber : value));
      set(written, field.path);
    });
    box.addEventListener("change", settle);
    box.addEventListener("blur", () => box.removeAttribute("data-typing"));
  });
  const group = h("fieldset", {}, h("legend", {}, field.label), h("div", { class: "row" },
    ["lowest", "highest"].map((word, place) => h("span", { class: "box" },
      h("label", { for: ids[place] }, word), boxes[place], h("span", { class: "unit" }, field.unit)))));
  return {
    nodes: [group],
    describe: (described) => group.setAttribute("aria-describedby", described),
    update: (now) => {
      written = now.value;
      boxes.forEach((box, place) => {
        box.step = now.step;
        if (!isBusy(box)) box.value = now.value[place];
      });
    },
  };
}

function choice(field, set) {
  const id = fresh("choice");
  const list = h("select", { id, onchange: () => set(list.value) },
    field.options.map(([value, words]) => h("option", { value }, words)));
  return {
    nodes: [h("label", { for: id }, field.label), list],
    describe: (ids) => list.setAttribute("aria-describedby", ids),
    update: (now) => { list.value = now.value; },
  };
}

function boxes(options, onchange) {
  const inputs = options.map(([value]) => h("input", { type: "checkbox", value, onchange }));
  const labels = options.map(([, words], place) => h("label", { class: "check" }, inputs[place], words));
  const chosen = () => inputs.filter((input) => input.checked).map((input) => input.value);
  const choose = (values) => inputs.forEach((input) => { input.checked = values.includes(input.value); });
  return { labels, chosen, choose };
}

function several(field, set) {
  const list = boxes(field.options, () => set(list.chosen()));
  const group = h("fieldset", {}, h("legend", {}, field.label), h("div", { class: "row wrap" }, list.labels));
  return {
    nodes: [group],
    describe: (ids) => group.setAttribute("aria-describedby", ids),
    update: (now) => list.choose(now.value),
  };
}

/** Keys that are locked, and whether the lock is in force or only saved. */
function locks(field, set) {
  const write = () => {
    const value = { keys: list.chosen(), in_force: force.checked };
    set(field.whole_list ? [{ id: "main", primary: true, key_locks: value }] : value);
  };
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
