// All rooms, the worst first: a row each, as the server drew it, with one figure.

import { find, h, replace } from "./dom.js";
import { drawn } from "./overlay.js";

/** How much room there is for rows of all rooms. */
export function sizeOfRows() {
  const root = find("#rows");
  const wide = root.clientWidth || find(".top").clientWidth || 800;
  const narrow = innerWidth <= 700;
  // Their names and figures stand beside them, the axis over them and what they mean under them.
  const beside = narrow ? 0 : Math.min(176, wide * 0.3) + 90 + 20;
  const top = Math.max(root.getBoundingClientRect().top + scrollY, 200);
  return { width: Math.max(160, Math.round(wide - beside)), height: narrow ? 2000 : Math.max(0, Math.round(innerHeight - top - 62)) };
}

/** Shows the rows; `choose` hears the zone of a row that was chosen. */
export function rows(root, { day, choose }) {
  const { overview } = day;
  const { height } = overview;
  const owners = new Set(day.groups.filter((group) => group.owner !== null).map((group) => group.owner));
  const several = overview.fares_that_day.length > 0;
  const words = overview.choices.find(([id]) => id === overview.worst)[1];
  const list = h("ul", { class: height < 26 ? "zone-rows dense" : "zone-rows" }, overview.order.map((place) => {
    const { id, label } = day.zones[place];
    const svg = drawn(overview.rows[place]);
    svg.classList.add("drawing");
    svg.addEventListener("click", () => choose(id));
    return h("li", { "data-zone": id },
      h("button", { type: "button", class: "zone", "data-keep": `zone-${id}`, onclick: () => choose(id) },
        h("span", { class: owners.has(place) ? "owner" : null }, label),
        owners.has(place) ? h("span", { class: "hidden" }, ", decides for all") : null),
      svg,
      h("span", { class: "value" }, overview.fares[place], h("span", { class: "hidden" }, ` ${words}`),
        several ? h("span", { class: "that-day" }, `${overview.fares_that_day[place]} this day`) : null));
  }));
  list.style.setProperty("--row", `${height}px`);
  const axis = drawn(overview.axis);
  axis.classList.add("drawing");
  axis.setAttribute("aria-hidden", "true");
  replace(root,
    h("div", { class: "over-rows" }, h("span", {}, "Worst first"), axis, h("span", { class: "head-figure" }, several ? `${words}, all days` : words)),
    list, key(day));
}

/** What may stand in the way of a room from outside: its layer in the drawing, and its words. */
const HELD = [["no-heating", "no heating allowed"], ["no-cooling", "no cooling allowed"], ["open-window", "window open"]];

/** What the marks of a row mean. */
function key(day) {
  const owner = day.groups.some((group) => group.owner !== null);
  const swatch = (kind, words) => [h("span", { class: `swatch ${kind}` }), words];
  return h("p", { class: "rows-key" }, swatch("air", "air"), swatch("band", "between its setpoints"), swatch("comfort", "comfort band"),
    swatch("starved", "starved"), swatch("outside", "out of band"),
    HELD.filter(([kind]) => day.overview.rows.some((row) => row.includes(`class="${kind}"`))).map(([kind, words]) => swatch(kind, words)), owner ? [". The room that decides is ", h("span", { class: "owner" }, "underlined"), "."] : null);
}
