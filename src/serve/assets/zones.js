// The zones: one row each with what the plant gives it through the day, as the server drew it, and
// who decides for all.

import { h, s, replace } from "./dom.js";
import { drawn } from "./overlay.js";
import { number } from "./words.js";

const DAY = 86400;

/** Shows the rows of all zones. */
export function zones(root, { day, zone, state, until }) {
  const owners = new Map();
  for (const group of day.groups) {
    for (const member of group.zones) owners.set(member, group);
  }
  const rows = day.zones.map((it, place) => row({ day, it, place, zone, state, group: owners.get(place), until }));
  replace(root, h("p", { class: "note" }, note(day)), h("ul", { class: "strips" }, rows));
}

function note(day) {
  const owner = day.groups.some((group) => group.owner !== null);
  return `Choose a zone to see its day.${owner
    ? " The zone that decides between heating and cooling for the others is underlined." : ""}`;
}

function row({ day, it, place, zone, state, group, until }) {
  const waiting = day.figures.find((figure) => figure.id === "starved" && figure.zone === place);
  const decides = group?.owner === place;
  const hidden = until !== undefined && until !== null;
  // What is still to come is not given away.
  const words = !hidden && waiting.value >= 0.05 ? `${number(waiting.value, "hours")} h waiting` : "";
  const choose = h("button", { type: "button", class: "zone", "data-keep": `zone-${it.id}`, "aria-pressed": String(place === zone),
    onclick: () => state.see({ zone: it.id }) },
  h("span", { class: decides ? "owner" : null }, it.label),
  decides ? h("span", { class: "hidden" }, ", decides for all") : null);
  const decide = h("span", { class: "decides" }, decides ? "decides" : "");
  return h("li", { class: place === zone ? "chosen" : null }, choose, ribbon(day, place, until),
    h("span", { class: "waits" }, words), decide);
}

function ribbon(day, place, until) {
  const svg = drawn(day.chart.ribbons[place]);
  svg.classList.add("drawing", "strip");
  svg.setAttribute("preserveAspectRatio", "none");
  if (until === undefined || until === null) return svg;
  // What is still to come is covered, and not told either.
  for (const told of svg.querySelectorAll("title, desc")) told.remove();
  svg.setAttribute("aria-hidden", "true");
  const { width, height } = svg.viewBox.baseVal;
  const x = Math.max(0, ((until - day.chart.from) / DAY) * width);
  svg.append(s("rect", { class: "curtain", x, y: 0, width, height }));
  return svg;
}
