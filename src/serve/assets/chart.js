// The day chart of one zone: temperature between its setpoints, what the plant gives, power; the
// same look as the charts that `setband run` writes. Hover reads it, a click sets the time.

import { h, s, replace } from "./dom.js";
import { clock, degrees, outcome, trimmed } from "./words.js";

const DAY = 86400;

/** Where things stand, from the width there is. */
function layout(width) {
  const narrow = width < 620;
  const left = narrow ? 42 : 56;
  const right = width - (narrow ? 72 : 150);
  const tall = Math.max(210, Math.min(460, (right - left) * 0.42));
  const top = 18;
  const lane = { top: top + tall + 4, bottom: top + tall + 28 };
  const ribbon = { top: lane.bottom + 2, bottom: lane.bottom + 28 };
  const power = { top: ribbon.bottom + 14, bottom: ribbon.bottom + 74 };
  return {
    width, narrow, left, right, temperature: { top, bottom: top + tall }, lane, ribbon, power,
    height: power.bottom + 26,
  };
}

const scale = (low, high, from, to) => (value) => from + ((value - low) / (high - low || 1)) * (to - from);

/** Round steps between two values. */
function ticks(low, high, most) {
  const steps = [0.1, 0.2, 0.5, 1, 2, 5, 10, 20, 50, 100];
  const step = steps.find((it) => (high - low) / it <= most) ?? 200;
  const list = [];
  for (let at = Math.ceil(low / step - 1e-9) * step; at <= high + 1e-9; at += step) {
    list.push(Math.round(at * 10) / 10);
  }
  return list;
}

function extent(lists) {
  let [low, high] = [Infinity, -Infinity];
  for (const list of lists) {
    for (const value of list) {
      if (value < low) low = value;
      if (value > high) high = value;
    }
  }
  return [low, high];
}

const path = (points) => points.map(([x, y], at) => `${at ? "L" : "M"}${x.toFixed(1)} ${y.toFixed(1)}`).join("");

/** A value that holds until the next, as corners. */
function corners(steps, end, x, y) {
  return steps.flatMap(([at, value], place) => {
    const until = steps[place + 1]?.[0] ?? end;
    return [[x(at), y(value)], [x(until), y(value)]];
  });
}

const valueAt = (steps, at) => steps.findLast(([from]) => from <= at)?.[1] ?? steps[0]?.[1];

export class Chart {
  /** `onTime` hears a second that was clicked, `onMark` the ledger row of a mark. */
  constructor(root, { onTime, onMark }) {
    this.root = root;
    this.onTime = onTime;
    this.onMark = onMark;
    this.readout = h("div", { class: "readout", "aria-hidden": "true", hidden: true });
    this.frame = h("div", { class: "frame" });
    root.replaceChildren(this.frame, this.readout);
    this.shown = null;
    new ResizeObserver(() => this.redraw()).observe(root);
  }

  /** Draws a day; `until` hides what comes later, `pinned` is another day to compare with. */
  show(shown) {
    this.shown = shown;
    this.draw();
  }

  redraw() {
    if (this.shown && Math.abs(this.root.clientWidth - this.width) > 1) this.draw();
  }

  draw() {
    const { day, zone } = this.shown;
    this.width = this.root.clientWidth || 800;
    const box = layout(this.width);
    const chart = day.chart;
    const lines = chart.zones[zone];
    this.box = box;
    this.x = scale(chart.from, chart.from + DAY, box.left, box.right);
    const svg = s("svg", {
      viewBox: `0 0 ${box.width} ${box.height}`, width: box.width, height: box.height,
      role: "group", "aria-label": this.describe(),
    });
    svg.append(...this.grid(day), ...this.temperature(day, lines),
      ...this.ribbon(lines), ...this.power(lines), ...this.timeWords(), this.curtain(), this.cursor(),
      this.ground(), ...this.marks(day));
    replace(this.frame, svg);
    this.svg = svg;
  }

  describe() {
    const { day, zone } = this.shown;
    return `Day chart of ${day.zones[zone].label}, ${day.date}. ${day.headline}`;
  }

  hours() {
    const every = this.box.narrow ? 6 : 3;
    return Array.from({ length: 24 / every + 1 }, (_, at) => this.shown.day.chart.from + at * every * 3600);
  }

  grid(day) {
    const { box, x } = this;
    const lines = day.chart.zones[this.shown.zone];
    const marks = day.chart.marks.filter((mark) => mark.zone === this.shown.zone);
    const edges = [...lines.heat, ...lines.cool].map(([, value]) => value);
    const pinned = this.pinnedLines();
    const [low, high] = extent([lines.temperature, edges, lines.sensed ?? [],
      marks.map((mark) => mark.value).filter((value) => value !== null), pinned?.temperature ?? []]);
    const room = Math.max(0.5, (high - low) * 0.06);
    this.y = scale(low - room, high + room, box.temperature.bottom, box.temperature.top);
    const [coldest, warmest] = extent([day.chart.outdoor]);
    this.ownOutdoor = coldest < low - 2 || warmest > high + 2;
    const margin = Math.max(0.5, (warmest - coldest) * 0.06);
    this.outdoorY = this.ownOutdoor
      ? scale(coldest - margin, warmest + margin, box.temperature.bottom, box.temperature.top) : this.y;
    const out = this.hours().map((at) => s("line", { class: "grid", x1: x(at), x2: x(at),
      y1: box.temperature.top, y2: box.temperature.bottom }));
    const list = ticks(low - room, high + room, 8);
    list.forEach((value, place) => {
      const y = this.y(value);
      out.push(s("line", { class: "grid", x1: box.left, x2: box.right, y1: y, y2: y }));
      const sign = place === list.length - 1 ? `\u00b0${day.unit}` : "";
      out.push(s("text", { class: "tick", x: box.left - 6, y: y + 4, "text-anchor": "end" }, trimmed(value) + sign));
    });
    return out;
  }

  pinnedLines() {
    const { pinned, zone, day } = this.shown;
    const place = pinned?.zones.findIndex((it) => it.id === day.zones[zone].id) ?? -1;
    return place < 0 || pinned.day !== day.day ? null : pinned.chart.zones[place];
  }

  line(values, y) {
    const { from, point_s: step } = this.shown.day.chart;
    return path(values.map((value, at) => [this.x(from + at * step), y(value)]));
  }

  temperature(day, lines) {
    const end = day.chart.from + DAY;
    const heat = corners(lines.heat, end, this.x, this.y);
    const cool = corners(lines.cool, end, this.x, this.y);
    const out = [s("path", { class: "band", d: `${path(heat)}${path(cool.toReversed()).replace("M", "L")}Z` })];
    out.push(s("path", { class: "outdoor", d: this.line(day.chart.outdoor, this.outdoorY) }));
    const pinned = this.pinnedLines();
    if (pinned) {
      out.push(s("path", { class: "pinned", d: path(corners(pinned.heat, end, this.x, this.y)) }));
      out.push(s("path", { class: "pinned", d: path(corners(pinned.cool, end, this.x, this.y)) }));
      out.push(s("path", { class: "pinned air", d: this.line(pinned.temperature, this.y) }));
    }
    out.push(...this.thresholds(lines, end));
    out.push(s("path", { class: "heat-line", d: path(heat) }), s("path", { class: "cool-line", d: path(cool) }));
    if (lines.sensed) out.push(s("path", { class: "sensed", d: this.line(lines.sensed, this.y) }));
    out.push(s("path", { class: "air", d: this.line(lines.temperature, this.y) }));
    out.push(...this.endLabels(day, lines, pinned));
    return out;
  }

  /** Where calls start, past the setpoints. */
  thresholds(lines, end) {
    const { day, zone, thresholds } = this.shown;
    const fields = day.zones[zone].sections.flatMap((section) => section.fields);
    const start = fields.find((field) => field.path.endsWith(".call_start"));
    if (!thresholds || !start) return [];
    const shifted = (steps, by) => corners(steps.map(([at, value]) => [at, value + by]), end, this.x, this.y);
    return [s("path", { class: "threshold heat-edge", d: path(shifted(lines.heat, -start.value)) }),
      s("path", { class: "threshold cool-edge", d: path(shifted(lines.cool, start.value)) })];
  }

  /** Names at the ends of lines, moved apart where they would meet. */
  endLabels(day, lines, pinned) {
    const { box } = this;
    const last = (list) => list[list.length - 1];
    const short = box.narrow;
    const labels = [
      { y: this.y(last(lines.heat)[1]), text: `${short ? "heat" : "heat setpoint"} ${degrees(last(lines.heat)[1])}`, kind: "heat-word" },
      { y: this.y(last(lines.cool)[1]), text: `${short ? "cool" : "cool setpoint"} ${degrees(last(lines.cool)[1])}`, kind: "cool-word" },
      { y: this.y(last(lines.temperature)), text: `${short ? "air" : "room air"} ${degrees(last(lines.temperature))}`, kind: "air-word" },
      { y: this.outdoorY(last(day.chart.outdoor)), text: `${short ? "out" : "outdoor"} ${degrees(last(day.chart.outdoor))}`, kind: "quiet" },
    ];
    if (pinned) {
      labels.push({ y: this.y(last(pinned.temperature)), text: `${short ? "pin" : "pinned air"} ${degrees(last(pinned.temperature))}`, kind: "pinned-word" });
    }
    labels.sort((one, other) => one.y - other.y);
    const gap = 15;
    labels.forEach((label) => { label.at = label.y; });
    for (let turn = 0; turn < 30; turn += 1) {
      for (let place = 1; place < labels.length; place += 1) {
        const lack = labels[place - 1].at + gap - labels[place].at;
        if (lack > 0.01) {
          labels[place - 1].at -= lack / 2;
          labels[place].at += lack / 2;
        }
      }
      for (const label of labels) {
        label.at = Math.min(Math.max(label.at, box.temperature.top), box.temperature.bottom + 6);
      }
    }
    return labels.flatMap(({ y, at, text, kind }) => [
      s("line", { class: "leader", x1: box.right + 1, y1: y, x2: box.right + (short ? 4 : 12), y2: at }),
      s("text", { class: `end ${kind}`, x: box.right + (short ? 5 : 15), y: at + 4 }, text),
    ]);
  }

  ribbon(lines) {
    const { box, x } = this;
    const { top, bottom } = box.ribbon;
    const tall = bottom - top;
    const out = [s("rect", { class: "idle", x: box.left, y: top, width: box.right - box.left, height: tall })];
    out.push(...stretches(lines.states, x, top, tall));
    const { day, zone } = this.shown;
    for (const row of day.ledger) {
      if (row.zone === zone && row.request === "changeover" && inDay(row.at, day)) {
        out.push(s("line", { class: "tick-through", x1: x(row.at), x2: x(row.at), y1: top - 4, y2: bottom + 4 }));
      }
    }
    const count = day.figures.find((it) => it.id === "changeovers" && it.zone === zone);
    const words = box.narrow ? `${count.value}\u00d7` : `${count.value} changeover${count.value === 1 ? "" : "s"}`;
    // What is still to come is not given away.
    if (this.shown.until === undefined || this.shown.until === null) out.push(s("text", { class: "end strong", x: box.right + (box.narrow ? 5 : 15), y: top + 18 }, words));
    return out;
  }

  power(lines) {
    const { box, x } = this;
    const { from, point_s: step } = this.shown.day.chart;
    const most = Math.max(0.1, ...lines.power_kw);
    const y = scale(0, most * 1.05, box.power.bottom, box.power.top);
    const points = lines.power_kw.flatMap((value, at) => [[x(from + at * step), y(value)], [x(from + (at + 1) * step), y(value)]]);
    const area = `${path([[box.left, box.power.bottom], ...points, [box.right, box.power.bottom]])}Z`;
    const top = ticks(0, most, 2).at(-1);
    const out = [s("path", { class: "power", d: area }),
      s("line", { class: "axis", x1: box.left, x2: box.right, y1: box.power.bottom, y2: box.power.bottom })];
    if (top > 0) {
      out.push(s("text", { class: "tick", x: box.left - 6, y: y(top) + 4, "text-anchor": "end" }, trimmed(top) + (box.narrow ? "" : " kW")));
    }
    const used = lines.kwh.toPrecision(3);
    out.push(s("text", { class: "end strong", x: box.right + (box.narrow ? 5 : 15), y: box.power.bottom - 22 }, `${used} kWh`));
    return out;
  }

  timeWords() {
    const { box, x } = this;
    return this.hours().map((at) => s("text", { class: "tick", x: x(at), y: box.power.bottom + 18, "text-anchor": "middle" },
      clock(at, this.shown.day.chart.from)));
  }

  /** Covers what has not happened yet. */
  curtain() {
    const { until } = this.shown;
    if (until === undefined || until === null) return s("g");
    const { box, x } = this;
    // The lines that the next press moves at once stand under the edge of the curtain.
    const from = Math.min(Math.max(x(until) - 2, box.left), box.right);
    return s("rect", { class: "curtain", x: from, y: 0, width: box.width - from, height: box.power.bottom + 1 });
  }

  cursor() {
    const { at, day } = this.shown;
    if (at === null || at === undefined || !inDay(at, day)) return s("g");
    const { box, x } = this;
    const words = x(at) > (box.left + box.right) / 2 ? { x: x(at) - 4, "text-anchor": "end" } : { x: x(at) + 4 };
    return s("g", { class: "cursor" },
      s("line", { x1: x(at), x2: x(at), y1: 4, y2: box.power.bottom }),
      s("text", { ...words, y: 13 }, clock(at, day.chart.from)));
  }

  /** What the pointer moves over. */
  ground() {
    const { box } = this;
    const hair = s("line", { class: "hair", y1: box.temperature.top, y2: box.power.bottom, visibility: "hidden" });
    const ground = s("rect", { class: "ground", x: box.left, y: 0, width: box.right - box.left, height: box.power.bottom });
    const second = (event) => {
      const part = (event.clientX - ground.getBoundingClientRect().left) / (box.right - box.left);
      const { from } = this.shown.day.chart;
      return from + Math.min(1439, Math.max(0, Math.floor(part * 1440))) * 60;
    };
    ground.addEventListener("pointermove", (event) => this.read(second(event), hair));
    ground.addEventListener("pointerleave", () => {
      hair.setAttribute("visibility", "hidden");
      this.readout.hidden = true;
    });
    ground.addEventListener("click", (event) => this.onTime(second(event)));
    return s("g", {}, hair, ground);
  }

  /** Shows what is so at the pointer. */
  read(at, hair) {
    const { day, zone, until } = this.shown;
    if (until !== undefined && until !== null && at >= until) return;
    const { box, x } = this;
    const lines = day.chart.zones[zone];
    const place = Math.floor((at - day.chart.from) / day.chart.point_s);
    hair.setAttribute("x1", x(at));
    hair.setAttribute("x2", x(at));
    hair.setAttribute("visibility", "visible");
    const state = lines.states.find(([from, to]) => from <= at && at < to)?.[2] ?? "";
    this.readout.replaceChildren(
      h("strong", {}, clock(at, day.chart.from)), ` air ${degrees(lines.temperature[place])}`,
      ` between ${degrees(valueAt(lines.heat, at))} and ${degrees(valueAt(lines.cool, at))}`,
      lines.sensed ? `, sensor ${degrees(lines.sensed[place])}` : "",
      `, outdoor ${degrees(day.chart.outdoor[place])}, ${state}`);
    this.readout.hidden = false;
    const half = this.readout.offsetWidth / 2;
    const middle = Math.min(Math.max(x(at), half), box.width - half);
    this.readout.style.left = `${middle - half}px`;
  }

  marks(day) {
    const { zone, until, selected } = this.shown;
    const list = day.chart.marks.filter((mark) => mark.zone === zone
      && (until === undefined || until === null || mark.at < until));
    const links = list.filter((mark) => mark.pushed_to !== null).flatMap((mark) => [
      s("line", { class: "link", x1: this.x(mark.at), x2: this.x(mark.at), y1: this.y(mark.value), y2: this.y(mark.pushed_to) }),
      s("circle", { class: "link-end", cx: this.x(mark.at), cy: this.y(mark.pushed_to), r: 3 }),
    ]);
    const symbols = list.map((mark) => this.mark(mark, day.ledger[mark.row], mark.row === selected));
    return [...links, ...symbols];
  }

  mark(mark, row, selected) {
    const { box } = this;
    const px = this.x(mark.at);
    const py = mark.value === null ? (box.lane.top + box.lane.bottom) / 2 : this.y(mark.value);
    const choose = () => this.onMark(mark.row);
    const name = `${row.clock} ${row.by || row.role}: ${row.request}, ${outcome(row.outcome)}`;
    const group = s("g", {
      class: `mark ${mark.side ?? "other"} ${mark.outcome}${selected ? " selected" : ""}`, role: "button", tabindex: 0,
      "aria-label": name, "aria-pressed": String(selected), "data-keep": `mark-${mark.row}`, "data-row": mark.row,
      transform: `translate(${px.toFixed(1)} ${py.toFixed(1)})`,
      onclick: choose,
      onkeydown: (event) => {
        if (event.key === "Enter" || event.key === " ") {
          event.preventDefault();
          choose();
        }
      },
    });
    group.append(s("title", {}, name), s("circle", { class: "reach", r: 22 }), s("circle", { class: "halo", r: 12 }),
      s("path", { class: "clear", d: SHAPES[mark.way] }), s("path", { class: "shape", d: SHAPES[mark.way] }));
    if (mark.outcome === "limited") group.append(s("path", { class: "half", d: HALVES[mark.way] }));
    if (mark.outcome === "refused" || mark.outcome === "no_effect") {
      group.append(s("line", { class: "bar", x1: -12, x2: 12, y1: 0, y2: 0 }));
    }
    return group;
  }
}

const SHAPES = { up: "M0 -8L7 6H-7Z", down: "M0 8L7 -6H-7Z", level: "M0 -7L7 0L0 7L-7 0Z" };
const HALVES = { up: "M0 -8V6H-7Z", down: "M0 8V-6H-7Z", level: "M0 -7V7L-7 0Z" };

export const inDay = (at, day) => at >= day.chart.from && at < day.chart.from + DAY;

/** The stretches of a ribbon: heating solid, cooling hatched, waiting outlined, nobody there a line. */
export function stretches(states, x, top, tall) {
  return states.flatMap(([from, to, word]) => {
    const width = Math.max(0.8, x(to) - x(from));
    const place = { x: x(from).toFixed(1), width: width.toFixed(1) };
    const middle = top + tall / 2;
    switch (word) {
      case "heating": return [s("rect", { class: "heating", ...place, y: top, height: tall })];
      case "cooling": return [
        s("rect", { class: "cooling-ground", ...place, y: top, height: tall }),
        s("rect", { class: "cooling", ...place, y: top, height: tall, fill: "url(#hatch)" })];
      case "starved": case "waiting":
        return [s("rect", { class: "waiting", ...place, y: top + 1, height: tall - 2 })];
      case "off": return [s("rect", { class: "off", ...place, y: top, height: tall })];
      case "nobody there": return [s("line", { class: "away", x1: x(from), x2: x(to), y1: middle, y2: middle })];
      default: return [];
    }
  });
}
