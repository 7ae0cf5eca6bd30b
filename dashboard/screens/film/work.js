// The marks in hand: events, points and lane marks of one film, with every step back and forward again.

export const EVENTS = ["set", "first_movement", "push", "touchdown", "toeoff"];
export const LAST_STEP = 4;
/** What is clicked at which event, in this order. */
export const POINTS_AT = {
  set: ["ankle", "knee"], first_movement: ["ankle", "knee"], push: [],
  touchdown: ["toe", "ankle", "knee", "hip", "shoulder"], toeoff: ["ankle", "knee", "hip"],
};
const MOST_BACK = 200;
const empty = () => ({ marks: [], points: [], lane: { width_m: null, marks: [] }, shifts: [], capture: null });
const isSame = (one, other) => one.event === other.event && one.step === other.step;

export class Work {
  constructor() {
    this.now = empty();
    this.back = [];
    this.forth = [];
  }

  load(told) {
    this.now = { ...empty(), ...structuredClone(told ?? {}) };
    this.now.lane ??= empty().lane;
    this.back = [];
    this.forth = [];
  }

  change(how) {
    this.back.push(structuredClone(this.now));
    if (this.back.length > MOST_BACK) this.back.shift();
    this.forth = [];
    how(this.now);
  }

  undo() {
    if (!this.back.length) return false;
    this.forth.push(this.now);
    this.now = this.back.pop();
    return true;
  }

  redo() {
    if (!this.forth.length) return false;
    this.back.push(this.now);
    this.now = this.forth.pop();
    return true;
  }

  markOf(event, step) {
    return this.now.marks.find((one) => isSame(one, { event, step }));
  }

  /** Events marked in a frame; the one whose points are still to be clicked comes first. */
  at(frame) {
    const here = this.now.marks.filter((one) => one.frame === frame);
    return here.sort((one, other) => this.wanted(other).length - this.wanted(one).length);
  }

  wanted(mark) {
    return POINTS_AT[mark.event].filter((what) => !this.pointOf(mark, what));
  }

  pointOf(mark, what) {
    return this.now.points.find((one) => isSame(one, mark) && one.what === what);
  }

  /** The step an event at a time belongs to: the first one in which it is not marked yet and which it can follow. */
  stepFor(event, chosen) {
    if (event !== "touchdown" && event !== "toeoff") return 0;
    if (chosen) return chosen;
    for (let step = 1; step <= LAST_STEP; step++) if (!this.markOf(event, step)) return step;
    return LAST_STEP;
  }

  /** The next event that is not marked, in the order of a start. */
  nextEvent() {
    const order = [["set", 0], ["first_movement", 0], ["push", 0]];
    for (let step = 1; step <= LAST_STEP; step++) order.push(["touchdown", step], ["toeoff", step]);
    const last = order.reduce((at, [event, step], k) => (this.markOf(event, step) ? k : at), -1);
    return order.find(([event, step], k) => k > last && !this.markOf(event, step)) ?? null;
  }

  /** Mark an event here; one marked elsewhere before moves, and its points, which were of another frame, go. */
  mark(event, step, frame, side) {
    const before = this.markOf(event, step);
    this.change((now) => {
      now.marks = now.marks.filter((one) => !isSame(one, { event, step }));
      if (before && before.frame !== frame.n) now.points = now.points.filter((one) => !isSame(one, { event, step }));
      now.marks.push({ event, step, side, frame: frame.n, t: frame.t, gap: frame.gap });
      now.marks.sort((one, other) => one.frame - other.frame);
    });
  }

  drop(event, step) {
    this.change((now) => {
      now.marks = now.marks.filter((one) => !isSame(one, { event, step }));
      now.points = now.points.filter((one) => !isSame(one, { event, step }));
    });
  }

  putPoint(mark, what, at) {
    this.change((now) => {
      now.points = now.points.filter((one) => !(isSame(one, mark) && one.what === what));
      now.points.push({ event: mark.event, step: mark.step, what, frame: mark.frame, x: round(at.x), y: round(at.y) });
    });
  }

  putLane(line, along, at, frame, width) {
    this.change((now) => {
      now.lane.width_m = width;
      now.lane.marks = now.lane.marks.filter((one) => !(one.line === line && one.along_m === along));
      now.lane.marks.push({ line, along_m: along, frame, x: round(at.x), y: round(at.y) });
      now.shifts = [];
    });
  }

  setLane(lane) {
    this.change((now) => { now.lane = structuredClone(lane); now.shifts = []; });
  }

  /** The foot on the ground: the other one than in the step before or after; null while neither is known. */
  sideFor(step) {
    const near = this.now.marks.find((one) => one.step === step && one.side)
      ?? this.now.marks.find((one) => one.step > 0 && one.side);
    if (!near) return null;
    const other = near.side === "l" ? "r" : "l";
    return (near.step - step) % 2 === 0 ? near.side : other;
  }

  setSide(side) {
    this.change((now) => {
      for (const one of now.marks) if (one.step > 0) one.side = one.step % 2 === 1 ? side : side === "l" ? "r" : "l";
    });
  }
}

function round(number) {
  return Math.round(number * 100) / 100;
}
