// What the user has changed, in one place: it can be undone, and the address holds it.
//
// Changes are kept apart from the scenario, as its file would have them: a variant, new values at
// places of the file, presses at times. Undo goes over these and the pin. What is only looked at
// (zone, day, time) stands in the address, too, and is not undone.

/** What is looked at before anybody chose: all rooms, and the worst day. */
const UNSEEN = { view: null, zone: null, day: null, at: null, worst: null };
const NOTHING = { variant: null, edits: [], presses: [] };
/** Under this name this window keeps a file's state while a lesson's room is tried. */
const ASIDE = "setband-aside";

export class State {
  constructor(onChange) {
    this.onChange = onChange;
    this.reset({ name: "", text: "", variants: [] });
  }

  /** Begins with a scenario. */
  reset(source) {
    this.source = source;
    this.now = { ...NOTHING, pin: null };
    this.look = { ...UNSEEN };
    this.past = [];
    this.future = [];
    this.joining = null;
  }

  /** Makes a change. Changes with the same `join` one after the other are undone together. */
  change(next, join = null) {
    if (JSON.stringify(next) === JSON.stringify(this.now)) return;
    if (join === null || join !== this.joining) this.past.push(this.now);
    this.joining = join;
    this.future = [];
    this.now = next;
    this.changed();
  }

  isChanged(path) {
    return this.now.edits.some((edit) => edit.path === path);
  }

  chooseVariant(variant) {
    this.change({ ...this.now, variant, edits: [] });
  }

  press(press) {
    this.change({ ...this.now, presses: [...this.now.presses, press] });
  }

  removePress(place) {
    this.change({ ...this.now, presses: this.now.presses.filter((_, at) => at !== place) });
  }

  pin() {
    const { variant, edits, presses } = this.now;
    this.change({ ...this.now, pin: { variant, edits, presses } });
  }

  unpin() {
    this.change({ ...this.now, pin: null });
  }

  undo() {
    if (this.past.length === 0) return false;
    this.future.push(this.now);
    this.now = this.past.pop();
    this.joining = null;
    this.changed();
    return true;
  }

  redo() {
    if (this.future.length === 0) return false;
    this.past.push(this.now);
    this.now = this.future.pop();
    this.joining = null;
    this.changed();
    return true;
  }

  see(look) {
    this.look = { ...this.look, ...look };
    this.changed();
  }

  changed() {
    this.write();
    this.onChange();
  }

  /** What the server is asked. */
  asked() {
    const { zone, day } = this.look;
    return { ...this.plain(this.now), day: day ?? 0, zone, pin: this.now.pin };
  }

  /** A state by itself, as the server is asked about it. */
  plain({ variant, edits, presses }) {
    const { text, name } = this.source;
    return { text, name, variant, edits, presses };
  }

  /** The state of settings and presses, whatever is looked at. */
  key() {
    const { variant, edits, presses } = this.now;
    return JSON.stringify([variant, edits, presses]);
  }

  /** Puts everything into the address. */
  write() {
    const nothing = JSON.stringify(this.now) === JSON.stringify({ ...NOTHING, pin: null });
    const { lesson } = this.source;
    if (nothing && !lesson && JSON.stringify(this.look) === JSON.stringify(UNSEEN)) {
      history.replaceState(null, "", location.pathname);
      return;
    }
    history.replaceState(null, "", addressOf({ lesson, text: this.source.text, now: this.now, look: this.look }));
    this.written = location.hash;
  }

  /** The lesson in whose room the address has something tried; the present one where it says nothing. */
  lessonInAddress() {
    const present = this.source.lesson ?? null;
    const hash = location.hash.slice(1);
    if (!hash) return present;
    try {
      const { lesson } = unpacked(hash);
      return typeof lesson === "string" ? lesson : null;
    } catch {
      return present;
    }
  }

  /** What a file keeps of the page. */
  kept() {
    return { now: this.now, look: this.look };
  }

  /** Goes on where a saved page ended. */
  goOn(kept) {
    if (kept) this.adopt(kept);
  }

  /** Puts this file's state aside, with what can be undone, until it is opened in this window again. */
  setAside() {
    if (this.source.lesson) return;
    const { now, look, past, future } = this;
    const all = { file: fingerprint(this.source.text), now, look, past, future };
    // Where a browser keeps nothing the page begins afresh afterwards.
    try { sessionStorage.setItem(ASIDE, JSON.stringify(all)); } catch { /* as said */ }
  }

  /** Takes up what was put aside of this file. */
  takeUp() {
    if (this.source.lesson) return;
    let all = null;
    try {
      all = JSON.parse(sessionStorage.getItem(ASIDE));
      sessionStorage.removeItem(ASIDE);
    } catch { /* there is nothing */ }
    const { file, past, future } = all ?? {};
    const are = (states) => Array.isArray(states) && states.every(isState);
    if (file !== fingerprint(this.source.text) || !are(past) || !are(future) || !this.adopt(all)) return;
    Object.assign(this, { past, future });
  }

  /** Takes over a state from elsewhere; false where it is none. */
  adopt(all) {
    if (!isState(all?.now) || typeof all.look !== "object" || all.look === null) return false;
    this.now = { ...NOTHING, pin: null, ...all.now };
    const whole = (value) => (Number.isInteger(value) ? value : null);
    const word = (value) => (typeof value === "string" ? value : null);
    const { view, zone, day, at, worst } = all.look;
    this.look = { view: word(view), zone: word(zone), day: whole(day), at: whole(at), worst: word(worst) };
    return true;
  }

  /** Takes everything out of the address. Says what was wrong with it, if anything. */
  read() {
    const hash = location.hash.slice(1);
    if (!hash || location.hash === this.written) return null;
    let all;
    try { all = unpacked(hash); } catch { return "The address is damaged; the page begins afresh."; }
    const before = this.now;
    if (!this.adopt(all)) return "The address is damaged; the page begins afresh.";
    if (JSON.stringify(before) !== JSON.stringify(this.now)) this.past.push(before);
    this.written = location.hash;
    return all.file === fingerprint(this.source.text) ? null
      : "This link was made with another scenario, or the file has changed since.";
  }
}

/** The address of a room: a file's, or a lesson's. */
export function addressOf({ lesson, text, now = { ...NOTHING, pin: null }, look = UNSEEN }) {
  const of = lesson ? { lesson } : {};
  return `#${packed({ file: fingerprint(text), ...of, now, look })}`;
}

function isState(now) {
  const one = (it) => it && Array.isArray(it.edits) && Array.isArray(it.presses);
  return one(now) && (!now.pin || one(now.pin));
}

function packed(value) {
  const bytes = new TextEncoder().encode(JSON.stringify(value));
  let text = "";
  for (const byte of bytes) text += String.fromCharCode(byte);
  return btoa(text).replaceAll("+", "-").replaceAll("/", "_").replaceAll("=", "");
}

function unpacked(text) {
  const plain = atob(text.replaceAll("-", "+").replaceAll("_", "/"));
  return JSON.parse(new TextDecoder().decode(Uint8Array.from(plain, (letter) => letter.charCodeAt(0))));
}

/** Tells texts apart (FNV-1a, 32 bits). */
function fingerprint(text) {
  let sum = 0x811c9dc5;
  for (let at = 0; at < text.length; at += 1) {
    sum = Math.imul(sum ^ text.charCodeAt(at), 0x01000193) >>> 0;
  }
  return sum.toString(16);
}
