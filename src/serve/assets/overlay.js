// Pointer, keyboard and read-outs over the chart that the server drew, by the data that the drawing
// carries. Nothing of the day is drawn here.

import { h, s, replace } from "./dom.js";
import { clock, degrees, outcome } from "./words.js";

const DAY = 86400;

/** A drawing as it came from the server. */
export function drawn(text) {
  const svg = new DOMParser().parseFromString(text, "image/svg+xml").documentElement;
  return document.importNode(svg, true);
}

/** A drawing that scrolls in its frame where the window has become much narrower than it was drawn for. */
export function framed(text, label) {
  const svg = drawn(text);
  svg.classList.add("drawing");
  svg.style.minWidth = `${Math.min(560, Number(svg.getAttribute("width")))}px`;
  return h("div", { class: "chart scrolls", tabindex: "0", role: "group", "aria-label": label }, svg);
}

/** The value at a place of a list that only says where it changes. */
const valueAt = (list, place) => list.findLast(([from]) => from <= place)?.[1] ?? list[0]?.[1];

/** What clocks show at a second of standard time. */
export const shownBy = (clocks) => (at) => at + (clocks.findLast(([from]) => from <= at) ?? clocks[0])[1];

export const inDay = (at, day) => at >= day.chart.from && at < day.chart.from + DAY;

/** Whether something at this second has happened, where a day is played to some time. */
const has = (until) => (at) => until === undefined || until === null || at < until;

export class Overlay {
  /** `onTime` hears a second that was chosen, `onMark` the ledger row of a mark, `onWidth` that the
   *  chart has another width; `handles` are drawn over it where there are some. */
  constructor(root, { onTime, onMark, onWidth, handles }) {
    this.root = root;
    this.handles = handles ?? null;
    this.onTime = onTime;
    this.onMark = onMark;
    this.readout = h("p", { class: "readout", hidden: true });
    this.spoken = h("p", { class: "hidden", "aria-live": "polite" });
    this.frame = h("div", { class: "frame" });
    root.replaceChildren(this.frame, this.readout, this.spoken);
    this.svg = null;
    let waiting;
    new ResizeObserver(() => {
      clearTimeout(waiting);
      waiting = setTimeout(() => {
        if (this.asked && Math.abs(this.width() - this.asked) > 1) onWidth?.();
      }, 150);
    }).observe(root);
  }

  /** How wide a drawing may be, px. Remembers it as asked for. */
  wanted(width = this.width()) {
    this.asked = Math.round(width);
    return this.asked;
  }

  width() {
    return Math.round(this.root.clientWidth) || 900;
  }

  /** Shows a day; `until` hides what comes later, `at` is the chosen time. */
  show(shown) {
    this.shown = shown;
    const { chart } = shown.day;
    if (this.text !== chart.svg) {
      this.text = chart.svg;
      this.svg = drawn(chart.svg);
      this.svg.classList.add("drawing");
    }
    const data = this.svg.querySelector(".plot").dataset;
    this.plot = Object.fromEntries(Object.entries(data).map(([name, value]) => [name, name === "zone" ? value : Number(value)]));
    this.clock = (at) => {
      const second = shownBy(chart.clocks)(at) - chart.from;
      return second > DAY ? `${clock(second - DAY)} the next day` : clock(second);
    };
    const [width, height] = ["width", "height"].map((name) => this.svg.getAttribute(name));
    const over = s("svg", { class: "over", viewBox: `0 0 ${width} ${height}`, role: "group", "aria-label": this.describe() });
    const fields = shown.fields && this.handles ? this.handles.draw({ plot: this.plot, fields: shown.fields, svg: over }) : null;
    over.append(...[this.curtain(width, height), this.cursor(), this.ground(), ...this.marks(), fields].filter(Boolean));
    const { heat, cool } = chart.values.zones[0];
    this.svg.classList.toggle("one-value", JSON.stringify(heat) === JSON.stringify(cool));
    replace(this.frame, this.svg, over);
  }

  describe() {
    const { day, zone } = this.shown;
    return `Requests and times on the chart of ${day.zones[zone].label}, ${day.date}`;
  }

  x(at) {
    const { from, to, left, right } = this.plot;
    return left + ((at - from) / (to - from)) * (right - left);
  }

  /** Covers what has not happened yet. */
  curtain(width, height) {
    const { until } = this.shown;
    if (until === undefined || until === null) return s("g");
    // The lines that the next press moves at once stand under the edge of the curtain.
    const from = Math.min(Math.max(this.x(until) - 2, this.plot.left), Number(width));
    const top = this.plot.top - 4;
    return s("g", {},
      s("rect", { class: "curtain", x: from, y: top, width: width - from, height: Math.max(0, this.plot.end + 1 - top) }),
      s("rect", { class: "curtain", x: 0, y: 0, width, height: top }));
  }

  cursor() {
    const { at, day } = this.shown;
    if (at === null || at === undefined || !inDay(at, day)) return s("g");
    const { top, end, left, right } = this.plot;
    const x = this.x(at);
    const words = x > (left + right) / 2 ? { x: x - 4, "text-anchor": "end" } : { x: x + 4 };
    return s("g", { class: "cursor" }, s("line", { x1: x, x2: x, y1: top - 12, y2: end }),
      s("text", { ...words, y: top - 3 }, this.clock(at)));
  }

  /** What the pointer moves over and the arrow keys walk along. */
  ground() {
    const { left, right, top, end, from, to } = this.plot;
    const hair = s("line", { class: "hair", y1: top, y2: end, visibility: "hidden" });
    const ground = s("rect", { class: "ground", x: left, y: top, width: right - left, height: end - top,
      tabindex: 0, role: "slider", "data-keep": "ground", "aria-label": "Time on the chart",
      "aria-valuemin": 0, "aria-valuemax": 1439 });
    const place = (at) => {
      const minute = Math.floor((at - from) / 60);
      ground.setAttribute("aria-valuenow", minute);
      ground.setAttribute("aria-valuetext", this.words(at));
    };
    const present = this.shown.at ?? from + 12 * 3600;
    place(inDay(present, this.shown.day) ? present : from);
    const second = (event) => {
      const box = ground.getBoundingClientRect();
      const minutes = Math.floor(((event.clientX - box.left) / box.width) * ((to - from) / 60));
      return from + Math.min((to - from) / 60 - 1, Math.max(0, minutes)) * 60;
    };
    ground.addEventListener("pointermove", (event) => this.read(second(event), hair));
    ground.addEventListener("pointerleave", () => this.hide(hair));
    ground.addEventListener("blur", () => this.hide(hair));
    ground.addEventListener("click", (event) => this.onTime(second(event)));
    let at = present;
    ground.addEventListener("keydown", (event) => {
      const steps = { ArrowLeft: -600, ArrowDown: -600, ArrowRight: 600, ArrowUp: 600, PageDown: -3600, PageUp: 3600 };
      if (event.key in steps) at += steps[event.key];
      else if (event.key === "Home") at = from;
      else if (event.key === "End") at = to - 60;
      else if (event.key === "Enter" || event.key === " ") this.onTime(at);
      else return;
      event.preventDefault();
      at = Math.min(Math.max(at, from), to - 60);
      place(at);
      this.read(at, hair);
      this.spoken.textContent = this.words(at);
    });
    return s("g", {}, hair, ground);
  }

  hide(hair) {
    hair.setAttribute("visibility", "hidden");
    this.readout.hidden = true;
  }

  /** What is so at a time. */
  words(at) {
    if (!has(this.shown.until)(at)) return `${this.clock(at)}, still to come`;
    const { values } = this.shown.day.chart;
    const [zone] = values.zones;
    const place = Math.min(zone.air.length - 1, Math.max(0, Math.floor((at - this.plot.from) / values.every)));
    const tenths = (value) => degrees(value / 10);
    const differs = zone.sensed && zone.sensed[place] !== zone.air[place];
    const sensed = differs ? `, sensor ${tenths(zone.sensed[place])}` : "";
    return `${this.clock(at)} air ${tenths(zone.air[place])} between ${tenths(valueAt(zone.heat, place))} and `
      + `${tenths(valueAt(zone.cool, place))}${sensed}, outdoor ${tenths(zone.outdoor[place])}, `
      + `${values.states[valueAt(zone.state, place)]}`;
  }

  read(at, hair) {
    if (!has(this.shown.until)(at)) return;
    const x = this.x(at);
    hair.setAttribute("x1", x);
    hair.setAttribute("x2", x);
    hair.setAttribute("visibility", "visible");
    this.readout.textContent = this.words(at);
    this.readout.hidden = false;
    const wide = this.root.clientWidth;
    const half = this.readout.offsetWidth / 2;
    const middle = Math.min(Math.max((x / Number(this.svg.getAttribute("width"))) * wide, half), wide - half);
    this.readout.style.left = `${middle - half}px`;
  }

  /** A button over each request that is drawn. */
  marks() {
    const { day, until, selected } = this.shown;
    const places = new Map(day.ledger.map((row, place) => [row.place, place]));
    return [...this.svg.querySelectorAll(".request")].flatMap(({ dataset }) => {
      const place = places.get(Number(dataset.row));
      if (place === undefined || !has(until)(Number(dataset.at))) return [];
      return [this.mark(place, day.ledger[place], dataset, place === selected)];
    });
  }

  mark(place, row, { x, y }, selected) {
    const choose = () => this.onMark(place);
    const name = `${row.clock} ${row.by || row.role}: ${row.request}, ${outcome(row.outcome)}`;
    return s("g", {
      class: `mark ${row.outcome}${selected ? " selected" : ""}`, role: "button", tabindex: 0,
      "aria-label": name, "aria-pressed": String(selected), "data-keep": `mark-${place}`, "data-row": place,
      transform: `translate(${x} ${y})`,
      onclick: choose,
      onkeydown: (event) => {
        if (event.key === "Enter" || event.key === " ") {
          event.preventDefault();
          choose();
        }
      },
    }, s("title", {}, name), s("circle", { class: "reach", r: 22 }), s("circle", { class: "halo", r: 12 }));
  }
}
