// Numbers and times as people read them.

const MINUS = "\u2212";

function three(value) {
  const size = Math.abs(value);
  if (size === 0) return "0";
  const digits = size >= 100 ? 0 : size >= 10 ? 1 : size >= 1 ? 2 : 3;
  return value.toFixed(digits);
}

/** One decimal as the server rounds: quarters, which lie between two, to the even one. */
const tenths = (value) => (value % 1 === 0.25 ? value - 0.01 : value).toFixed(1);

/** A figure without its unit. */
export function number(value, kind) {
  const text = kind === "count" ? String(Math.round(value))
    : kind === "hours" ? tenths(value)
    : kind === "money" ? value.toFixed(2)
    : three(value);
  return text.replace("-", MINUS);
}

/** A figure with its unit. */
export function figure(it) {
  const text = number(it.value, it.kind);
  return it.unit ? `${text} ${it.unit}` : text;
}

/** `3.1 less than pinned`; the same where nothing can be seen. */
export function difference(now, then) {
  const by = now.value - then.value;
  const text = number(Math.abs(by), now.kind);
  if (Number(text) === 0) return "as pinned";
  return `${text} ${by > 0 ? "more" : "less"} than pinned`;
}

/** `08:40` of a second of the run; midnight at the end of a day reads 24:00. */
export function clock(second, from = 0) {
  const minutes = Math.floor((second - from) / 60);
  const pad = (value) => String(value).padStart(2, "0");
  return `${pad(Math.floor(minutes / 60))}:${pad(minutes % 60)}`;
}

/** A temperature with at most one decimal and its degree sign. */
export const degrees = (value) => `${trimmed(value)}\u00b0`;

export const trimmed = (value) => String(Math.round(value * 10) / 10).replace("-", MINUS);

/** The outcome of a request in plain words. */
export function outcome(word) {
  return { no_effect: "no effect", pushed: "done, the other pushed", accepted: "done" }[word] ?? word;
}

export const capital = (text) => text.charAt(0).toUpperCase() + text.slice(1);

/** A message without the marks that name keys of a file. */
export const plain = (message) => message.replaceAll("`", "").replaceAll("_", " ");
