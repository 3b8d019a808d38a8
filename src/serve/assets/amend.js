// Settings that are moved: the server says what moves with them, or what stands against them.

import { askJson } from "./server.js";

/** Asks what comes of a move, one at a time; of moves that come faster the last one counts. */
export class Amender {
  /** `onTold` hears what came of a move: the key, sentences, and what stands against it. */
  constructor(state, onTold) {
    this.state = state;
    this.onTold = onTold;
    this.next = null;
    this.busy = null;
    this.base = null;
    this.turn = 0;
  }

  /** What is still asked for counts no longer: the state that it began with is left. */
  forget() {
    this.next = null;
    this.turn += 1;
  }

  /** Moves a setting; moves with the same `join` count from where the first of them began. */
  move(move, join = null) {
    if (join === null || join !== this.state.joining || this.base === null) this.base = this.state.now;
    this.next = { move, join, base: this.base };
    this.busy ??= this.work().finally(() => { this.busy = null; });
    return this.busy;
  }

  async work() {
    while (this.next) {
      const { move, join, base } = this.next;
      const turn = this.turn;
      this.next = null;
      const answer = await askJson("/api/amend", { asked: this.state.plain(base), ...move });
      if (this.next || turn !== this.turn) continue;
      this.onTold({ key: move.key, said: answer.said, against: answer.against, answered: move });
      if (!answer.against) this.state.change({ ...base, pin: this.state.now.pin, edits: answer.edits }, join);
    }
  }

  /** Takes one of the ways that were offered. */
  take(way) {
    this.onTold(null);
    this.state.change({ ...this.state.now, edits: way.edits });
  }
}
