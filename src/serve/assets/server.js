// Requests to the server that handed out this page. Where it does not answer they wait until it does:
// what was entered stays, and the page says so.

import { h, find, replace, tell } from "./dom.js";

/** How often a server that is gone is looked for, ms. */
const LOOKS = 1500;

/** What went wrong, with the faults of the scenario where it has any. */
export class Trouble extends Error {
  constructor(message, faults, status) {
    super(message);
    this.faults = faults ?? [];
    this.status = status;
  }
}

/** What answers without a body mean. */
const BARE = {
  404: "This page was handed out by a server that has ended. Open the address that the new one printed; what stands behind # in this page's address brings everything along.",
  504: "This takes too long for a page; shorten the period, lengthen the step, or use setband run on the downloaded scenario.",
};

async function answer(response) {
  const text = await response.text();
  if (response.ok) return text;
  let body = {};
  try { body = JSON.parse(text); } catch { /* an answer without a body says enough by its status */ }
  const faults = body.faults ?? [];
  const message = response.status === 404 ? BARE[404] : body.message ?? faults[0]?.message ?? BARE[response.status];
  throw new Trouble(message ?? `The server answered ${response.status}.`, faults, response.status);
}

const pause = (time) => new Promise((done) => { setTimeout(done, time); });

let waiting = null;
/** Waits until the server answers again, and says so meanwhile. */
function back() {
  waiting ??= (async () => {
    const note = find("#lost");
    note.hidden = false;
    replace(note, h("span", {}, "The server does not answer. What you entered is kept, and the page goes on by itself once setband runs again."));
    for (;;) {
      await pause(LOOKS);
      try {
        await fetch("./icon.svg", { cache: "no-store" });
        break;
      } catch { /* not yet */ }
    }
    note.hidden = true;
    waiting = null;
    tell("The server answers again.");
  })();
  return waiting;
}

/** So often somebody who is told that too much is asked for tries again. */
const TRIES = 4;

async function request(path, options) {
  for (let tries = 1; ; tries += 1) {
    try {
      // Beside the page itself: its address holds the token.
      const response = await fetch(`.${path}`, options);
      if (response.status !== 503 || tries >= TRIES) return response;
      await pause(LOOKS / 2);
    } catch (error) {
      if (options?.signal?.aborted) throw error;
      await back();
    }
  }
}

export const get = async (path) => JSON.parse(await answer(await request(path)));

/** The answer to a question, as text; `signal` gives it up. */
export async function ask(path, body, signal) {
  const headers = { "Content-Type": "application/json" };
  return answer(await request(path, { method: "POST", headers, body: JSON.stringify(body), signal }));
}

export const askJson = async (path, body, signal) => JSON.parse(await ask(path, body, signal));
