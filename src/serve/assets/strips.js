// The zones: one row each with what the plant gives it through the day, and who decides for all.

import { h, s, replace } from "./dom.js";
import { stretches } from "./chart.js";
import { number } from "./words.js";

const DAY = 86400;

/** Draws the rows of all zones; where they are `still`, nobody can be made to decide. */
export function strips(root, { day, zone, state, until, still }) {
  const owners = new Map();
  for (const group of day.groups) {
    for (const member of group.zones) owners.set(member, group);
  }
  const rows = day.zones.map((it, place) => row({ day, it, place, zone, state, group: owners.get(place), until, still }));
  replace(root, h("p", { class: "note" }, note(day, still)), h("ul", { class: "strips" }, rows));
}

function note(day, still) {
  const owner = day.groups.some((group) => group.owner !== null);
  return `Choose a zone to see its day${still ? "" : " and its settings"}.${owner
    ? " The zone that decides between heating and cooling for the others is underlined." : ""}`;
}

function row({ day, it, place, zone, state, group, until, still }) {
  const waiting = day.figures.find((figure) => figure.id === "starved" && figure.zone === place);
  const decides = group?.owner === place;
  // What is still to come is not given away.
  const words = until !== undefined && until !== null ? "" : waiting.value >= 0.05 ? `${number(waiting.value, "hours")} h waiting` : "";
  const choose = h("button", { type: "button", class: "zone", "data-keep": `zone-${it.id}`, "aria-pressed": String(place === zone),
    onclick: () => state.see({ zone: it.id }) },
  h("span", { class: decides ? "owner" : null }, it.label),
  decides ? h("span", { class: "hidden" }, ", decides for all") : null);
  const decide = group && group.owner !== null && !decides && !still
    ? h("button", { type: "button", class: "plain", "data-keep": `owner-${it.id}`,
      onclick: () => state.setValue(group.owner_path, it.id) }, "let it decide",
    h("span", { class: "hidden" }, `: ${it.label}`))
    : h("span", { class: "decides" }, decides ? "decides" : "");
  return h("li", { class: place === zone ? "chosen" : null }, choose, ribbon(day, place, until),
    h("span", { class: "waits" }, words), decide);
}

function ribbon(day, place, until) {
  const { from } = day.chart;
  const x = (at) => ((at - from) / DAY) * 1000;
  const svg = s("svg", { viewBox: "0 0 1000 24", preserveAspectRatio: "none", class: "strip", "aria-hidden": "true" },
    s("rect", { class: "idle", x: 0, y: 0, width: 1000, height: 24 }));
  const shared = day.chart.groups.find((group) => group.zones.includes(place));
  for (const [start, end, direction] of shared?.directions ?? []) {
    svg.append(s("rect", { class: `faint-${direction}`, x: x(start), y: 0, width: x(end) - x(start), height: 24 }));
  }
  svg.append(...stretches(day.chart.zones[place].states, x, 4, 16));
  if (until !== undefined && until !== null) {
    svg.append(s("rect", { class: "curtain", x: x(until), y: 0, width: 1000, height: 24 }));
  }
  return svg;
}
