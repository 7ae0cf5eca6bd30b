// What the desk says of marks that stand in this browser only: of an earlier visit, or sent without an answer.
import { Hand } from "./hand.js";
import { fill, make, press } from "./parts.js";

const HEARD_MS = 6000; // until marks that were sent and not answered are spoken of
const MOST_TRIES = 3; // marks that go off to be kept for good are sent again; kept twice they are the same marks
const OF_A_FILM = ["marks", "points", "lane", "shifts", "capture"];

export class Waiting {
  constructor(desk, who) {
    this.desk = desk;
    this.hand = new Hand(who);
    this.offered = null; // marks of an earlier visit that never arrived, until they are taken up or thrown away
    this.keeping = null; // the number under which marks went off to be kept for good
    this.tries = 0;
    this.root = make("div", { class: "ask waits", role: "status" });
    this.isBackOnLine = () => { if (this.run && !this.offered && this.hand.of(this.run)) desk.send(); };
    globalThis.addEventListener("online", this.isBackOnLine);
  }

  get run() { return this.desk.data?.run; }

  /** A run was opened, or its marks were changed elsewhere. */
  open() { this.offered = this.run ? this.hand.of(this.run) : null; }

  heard(sent) { if (this.run && sent) this.hand.heard(this.run, sent); }

  /** Keep marks that are about to be sent, with the number they go under; those still offered are not overwritten. */
  keep(told) {
    clearTimeout(this.late);
    this.late = setTimeout(() => this.again(), HEARD_MS);
    return this.run && !this.offered ? { ...told, sent: this.hand.put(this.run, told) } : told;
  }

  /** The marks in hand go off to be kept for good: said until the server has them. */
  keepFor(told) {
    this.keeping = told.sent ?? null;
    this.draw();
    return told;
  }

  /** Nothing was heard of what was sent: what was to be kept is sent again, a few times; then it is said. */
  again() {
    const unheard = this.run ? this.hand.of(this.run) : null;
    if (unheard && unheard.sent === this.keeping && this.tries < MOST_TRIES) {
      this.tries += 1;
      this.desk.sendToKeep();
    } else this.draw();
  }

  takeUp() {
    const { work } = this.offered, desk = this.desk;
    this.offered = null;
    desk.work.change((now) => { for (const name of OF_A_FILM) now[name] = work[name]; });
    desk.known = work.film ?? desk.known;
    desk.changed();
  }

  throwAway() {
    this.offered = null;
    this.hand.drop(this.run);
    this.desk.redraw();
  }

  draw() {
    const w = this.desk.words, unheard = this.run ? this.hand.of(this.run) : null;
    if (this.offered) {
      const day = new Date(this.offered.sent).toLocaleString(undefined, { dateStyle: "medium", timeStyle: "short" });
      const said = w.unsent_before.replace("{day}", day).replace("{marks}", this.offered.work.marks.length);
      fill(this.root, said, make("p", {}, said), make("div", { class: "keys" }, press(w.take_up, "", () => this.takeUp()),
        press(w.throw_away, "", () => this.throwAway(), { class: "plain" })));
      return;
    }
    const isLate = unheard && Date.now() - unheard.sent >= HEARD_MS;
    const isKeeping = unheard && unheard.sent === this.keeping;
    const said = isLate ? w.unsent : isKeeping ? w.keeping : this.hand.isKept ? "" : w.not_kept_here;
    fill(this.root, said, said ? make("p", {}, said) : null);
  }

  close() {
    clearTimeout(this.late);
    globalThis.removeEventListener("online", this.isBackOnLine);
  }
}
