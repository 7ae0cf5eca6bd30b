// Marks in hand, kept in this browser until the server has them: a line that breaks, or a page that is left, loses none.
import { runKey } from "./pictures.js";

const MOST_IN_HAND = 20;
const IN_HAND_MS = 30 * 86_400_000; // marks nobody came back to

export class Hand {
  constructor(who, storage = globalThis.localStorage, now = () => Date.now()) {
    this.place = `thirdstep-film ${who}`;
    this.storage = storage;
    this.now = now;
    this.isKept = true;
  }

  read() {
    let all = null;
    try { all = JSON.parse(this.storage.getItem(this.place)); } catch { /* none, or none of ours */ }
    if (typeof all !== "object" || all === null || Array.isArray(all)) return {};
    const old = this.now() - IN_HAND_MS;
    return Object.fromEntries(Object.entries(all).filter(([, one]) => one?.sent > old));
  }

  write(all) {
    const runs = Object.keys(all).sort((one, other) => all[other].sent - all[one].sent).slice(0, MOST_IN_HAND);
    try {
      this.storage.setItem(this.place, JSON.stringify(Object.fromEntries(runs.map((run) => [run, all[run]]))));
      this.isKept = true;
    } catch { this.isKept = false; } // no room, or a window that keeps nothing
  }

  /** Keep the marks of a run until they are heard of; return the number they are sent under, always a later one. */
  put(run, work) {
    const all = this.read(), key = runKey(run);
    const sent = Math.max(this.now(), (this.last ?? 0) + 1, (all[key]?.sent ?? 0) + 1);
    this.last = sent;
    all[key] = { sent, work };
    this.write(all);
    return sent;
  }

  /** The server has the marks sent under a number: those and earlier ones are not kept any longer. */
  heard(run, sent) {
    const all = this.read(), key = runKey(run);
    if (!all[key] || !(all[key].sent <= sent)) return;
    delete all[key];
    this.write(all);
  }

  drop(run) { this.heard(run, Infinity); }

  /** What waits of a run: { sent, work }, null where nothing does. */
  of(run) { return this.read()[runKey(run)] ?? null; }
}
