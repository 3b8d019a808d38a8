// Requests to the server that handed out this page.

/** What went wrong, with the faults of the scenario where it has any. */
export class Trouble extends Error {
  constructor(message, faults) {
    super(message);
    this.faults = faults ?? [];
  }
}

/** What answers without a body mean. */
const BARE = {
  504: "This takes too long for a page; shorten the period, lengthen the step, or use setband run on the downloaded scenario.",
};

async function answer(response) {
  const text = await response.text();
  if (response.ok) return text;
  let body = {};
  try { body = JSON.parse(text); } catch { /* an answer without a body says enough by its status */ }
  const faults = body.faults ?? [];
  throw new Trouble(body.message ?? faults[0]?.message ?? BARE[response.status] ?? `The server answered ${response.status}.`, faults);
}

async function request(path, options) {
  try {
    // Beside the page itself: its address holds the token.
    return await fetch(`.${path}`, options);
  } catch {
    throw new Trouble("The server does not answer. Is setband still running?");
  }
}

export const get = async (path) => JSON.parse(await answer(await request(path)));

/** The answer to a question, as text. */
export async function ask(path, body) {
  const headers = { "Content-Type": "application/json" };
  return answer(await request(path, { method: "POST", headers, body: JSON.stringify(body) }));
}

export const askJson = async (path, body) => JSON.parse(await ask(path, body));
