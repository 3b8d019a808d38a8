// Handles at the left edge of a room's chart: setpoints, limits and the deadband are dragged, or moved
// with arrow keys. What else moves with them the server says; nothing is decided here.

import { s } from "./dom.js";
import { trimmed } from "./words.js";

/** How far apart handles of different kinds stand, px. */
const APART = 30;

/** On narrower plots only the setpoints have room, px. */
const ROOM_FOR_ALL = 360;

/** Key presses that are so far apart are no longer one movement, ms. */
const PAUSE = 1200;

/** What can be dragged: the field, which end of it, its name, its colour and its column. */
const KINDS = [
  { key: "controls.heat", name: "Heat setpoint", side: "heat", column: 0 },
  { key: "controls.cool", name: "Cool setpoint", side: "cool", column: 1 },
  { key: "controls.min_deadband", name: "Minimum deadband", side: "gap", column: 2 },
  { key: "controls.limits.heat", end: 0, name: "Lowest heat setpoint", side: "heat", column: 3 },
  { key: "controls.limits.heat", end: 1, name: "Highest heat setpoint", side: "heat", column: 3 },
  { key: "controls.limits.cool", end: 0, name: "Lowest cool setpoint", side: "cool", column: 4 },
  { key: "controls.limits.cool", end: 1, name: "Highest cool setpoint", side: "cool", column: 4 },
];

export class Handles {
  /** `onMove` hears a field, an end, a value, and what is one movement. */
  constructor({ onMove }) {
    this.onMove = onMove;
    this.drag = null;
    this.drags = 0;
    addEventListener("pointermove", (event) => this.dragged(event));
    for (const name of ["pointerup", "pointercancel"]) addEventListener(name, () => { this.drag = null; });
  }

  /** The handles over a plot; `fields` are the settings of the room. */
  draw({ plot, fields, svg }) {
    Object.assign(this, { plot, svg });
    const of = (key) => fields.find((field) => field.key === key);
    this.heat = of("controls.heat")?.value;
    const all = plot.right - plot.left >= ROOM_FOR_ALL;
    const made = KINDS.filter((kind) => all || kind.column < 2).flatMap((kind) => {
      const field = of(kind.key);
      if (!field) return [];
      const value = kind.end === undefined ? field.value : field.value[kind.end];
      return [this.handle(kind, field, value)];
    });
    return s("g", { class: "handles", role: "group", "aria-label": "Settings at the start of the day, to be dragged" }, all ? this.spans(of) : null, made);
  }

  y(value) {
    const { low, high, top, bottom } = this.plot;
    return Math.min(bottom, Math.max(top, bottom + ((value - low) / (high - low)) * (top - bottom)));
  }

  x(column) {
    return this.plot.left + 16 + column * APART;
  }

  /** Lines between both ends of limits, and from heat to heat and the deadband. */
  spans(of) {
    const line = (column, from, to, side) => s("line", { class: `span ${side}`, x1: this.x(column), x2: this.x(column), y1: this.y(from), y2: this.y(to) });
    const [heat, cool] = ["controls.limits.heat", "controls.limits.cool"].map((key) => of(key)?.value);
    const gap = of("controls.min_deadband")?.value;
    return [heat ? line(3, ...heat, "heat") : null, cool ? line(4, ...cool, "cool") : null,
      gap !== undefined && this.heat !== undefined ? line(2, this.heat, this.heat + gap, "gap") : null];
  }

  handle(kind, field, value) {
    const at = kind.side === "gap" ? this.heat + value : value;
    const words = `${trimmed(value)} ${field.unit}`;
    const beyond = at > this.plot.high || at < this.plot.low;
    const node = s("g", { class: `handle ${kind.side}${kind.column > 1 ? " small" : ""}${beyond ? " beyond" : ""}`, role: "slider", tabindex: 0,
      "aria-label": kind.name, "aria-orientation": "vertical", "aria-valuenow": value, "aria-valuemin": field.min, "aria-valuemax": field.max,
      "aria-valuetext": words, "data-keep": `handle-${kind.key}-${kind.end ?? 0}`, "data-handle": `${kind.key}${kind.end === undefined ? "" : `-${kind.end}`}`,
      transform: `translate(${this.x(kind.column)} ${this.y(at)})`,
      onpointerdown: (event) => this.take(event, kind, field, value),
      onkeydown: (event) => this.keyed(event, kind, field, value) },
    s("title", {}, `${kind.name} ${words}`),
    s("rect", { class: "reach", x: -14, y: -12, width: 28, height: 24 }),
    shape(kind, beyond ? Math.sign(at - this.plot.high) || -1 : 0));
    return node;
  }

  take(event, kind, field, value) {
    event.preventDefault();
    event.currentTarget.focus();
    // Each drag has a number: answers that come after it was let go belong to it as well.
    this.drags += 1;
    this.drag = { kind, field, value, from: event.clientY };
  }

  dragged(event) {
    if (!this.drag) return;
    const { kind, field, value, from } = this.drag;
    const box = this.svg.getBoundingClientRect();
    const { low, high, top, bottom } = this.plot;
    const degrees = ((from - event.clientY) / box.height) * this.svg.viewBox.baseVal.height * ((high - low) / (bottom - top));
    const to = Math.round((value + degrees) / field.step) * field.step;
    const held = kind.side === "gap" ? Math.max(0, to) : to;
    if (held === this.drag.sent) return;
    this.drag.sent = held;
    this.onMove({ key: kind.key, end: kind.end, value: held }, `drag-${this.drags}`);
  }

  keyed(event, kind, field, value) {
    const by = { ArrowUp: 1, ArrowRight: 1, ArrowDown: -1, ArrowLeft: -1, PageUp: 4, PageDown: -4 }[event.key];
    if (by === undefined) return;
    event.preventDefault();
    // Keys that come faster than answers go on from what was asked for last.
    const id = `${kind.key} ${kind.end}`;
    const from = this.ahead?.id === id && event.timeStamp - this.ahead.when < PAUSE ? this.ahead.to : value;
    const to = Math.round((from + by * field.step) / field.step) * field.step;
    this.ahead = { id, to, when: event.timeStamp };
    this.onMove({ key: kind.key, end: kind.end, value: kind.side === "gap" ? Math.max(0, to) : to }, `keys-${kind.key}`);
  }
}

/** A setpoint is a tab, a limit a bracket, the deadband a bar; beyond the scale an arrow points there. */
function shape({ column, end }, beyond) {
  if (beyond !== 0) return s("path", { d: beyond > 0 ? "M-6 4 L0 -5 L6 4 Z" : "M-6 -4 L0 5 L6 -4 Z" });
  if (column < 2) return s("rect", { x: -11, y: -5, width: 22, height: 10, rx: 5 });
  if (column === 2) return s("path", { d: "M-9 -2 H9 V2 H-9 Z" });
  return s("path", { d: end === 0 ? "M-8 -4 V3 H8 V-4 H5 V0 H-5 V-4 Z" : "M-8 4 V-3 H8 V4 H5 V0 H-5 V4 Z" });
}
