// A long period as a calendar: months as rows, each day marked by how its worst room fared.

import { h, replace } from "./dom.js";

const MONTHS = ["January", "February", "March", "April", "May", "June", "July", "August", "September", "October", "November", "December"];
const DAYS = ["Sunday", "Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday"];

/** The day on which the worst room fared worst. */
export const worstDay = (days) => days.reduce((most, it, at) => (it.value > days[most].value ? at : most), 0);

/** How bad a day is beside the worst one: none of it, little, some or much. */
const grade = (value, most) => (value <= 0.005 ? "none" : value < most / 3 ? "little" : value < (2 * most) / 3 ? "some" : "much");

/** Shows the days; `choose` hears the one that was chosen. */
export function calendar(root, { day, choose }) {
  const { days, choices, worst } = day.overview;
  if (days.length < 2) {
    replace(root);
    return;
  }
  const most = Math.max(...days.map((it) => it.value));
  const months = new Map();
  days.forEach((it, at) => {
    const month = it.date.slice(0, 7);
    if (!months.has(month)) months.set(month, []);
    months.get(month).push({ ...it, at });
  });
  const years = new Set([...months.keys()].map((month) => month.slice(0, 4))).size;
  const cell = (it) => {
    const number = Number(it.date.slice(8));
    const name = `${DAYS[it.weekday]} ${number} ${MONTHS[Number(it.date.slice(5, 7)) - 1]}: ${it.shown}`
      + `${it.value > 0.005 ? `, ${day.zones[it.zone].label}` : ""}`;
    const weekend = it.weekday % 6 === 0 ? " weekend" : "";
    return h("td", {}, h("button", { type: "button", class: `${grade(it.value, most)}${weekend}`, "aria-label": name, title: name,
      "data-keep": `day-${it.at}`, "data-day": it.at, tabindex: it.at === day.day ? 0 : -1, "aria-current": it.at === day.day ? "date" : null,
      onclick: () => choose(it.at) }, String(number)));
  };
  const rows = [...months].map(([month, list]) => {
    const gap = Number(list[0].date.slice(8)) - 1;
    const name = MONTHS[Number(month.slice(5)) - 1].slice(0, 3);
    return h("tr", {}, h("th", { scope: "row" }, years > 1 ? `${name} ${month.slice(0, 4)}` : name),
      gap > 0 ? h("td", { colspan: gap }) : null, list.map(cell),
      gap + list.length < 31 ? h("td", { colspan: 31 - gap - list.length }) : null);
  });
  const words = choices.find(([id]) => id === worst)[1];
  const counted = ["denied", "degrees"].includes(worst) ? "hours out of band" : words;
  const table = h("table", { class: "calendar", onkeydown: (event) => step(event, days.length) },
    h("caption", { class: "hidden" }, `Each day by its worst room, ${counted}; arrow keys go from day to day`),
    h("colgroup", {}, h("col", { class: years > 1 ? "dated" : "named" }), Array.from({ length: 31 }, () => h("col", {}))), h("tbody", {}, rows));
  replace(root, table, h("p", { class: "rows-key" }, `Each day by ${counted} of the room that fared worst then: plain for none, shaded for little, `
    + "shaded and underlined for some, dark for much. Dotted: weekends."));
}

/** Arrow keys go by days and weeks. */
function step(event, count) {
  const by = { ArrowLeft: -1, ArrowRight: 1, ArrowUp: -7, ArrowDown: 7, Home: -count, End: count }[event.key];
  const present = Number(event.target.dataset?.day);
  if (by === undefined || !Number.isInteger(present)) return;
  event.preventDefault();
  const next = Math.min(count - 1, Math.max(0, present + by));
  const button = event.currentTarget.querySelector(`[data-day="${next}"]`);
  event.target.tabIndex = -1;
  button.tabIndex = 0;
  button.focus();
}
