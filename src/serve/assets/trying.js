// The room of a lesson, open to try things in: the page begins anew with it, and its address says so.

import { find, h, replace } from "./dom.js";
import { askJson } from "./server.js";
import { addressOf } from "./state.js";

/** Opens the room of a lesson. */
export function tryRoom({ lesson, text }) {
  location.hash = addressOf({ lesson, text });
}

/** The room of a lesson as a scenario, and a way back; nothing where the address names none. */
export async function roomOf(lesson) {
  if (lesson === null) return null;
  const { title, name, text, variants } = await askJson("/api/lesson", { id: lesson, step: 0, width: 480 });
  const back = h("button", { type: "button", class: "plain", id: "own-file", onclick: () => {
    history.pushState(null, "", location.pathname);
    location.reload();
  } }, "Go back to your own rooms");
  const note = find("#trying");
  replace(note, h("p", {}, `This is the room of the lesson \u201c${title}\u201d, yours to change. `,
    h("a", { href: `#lesson=${lesson}` }, "Back to the lesson"), back));
  note.setAttribute("tabindex", "-1");
  note.focus({ preventScroll: true });
  return { name, text, variants, lesson };
}
