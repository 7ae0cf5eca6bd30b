// Marks on the two lane lines: where they are clicked, taken over from another film, and whether the phone stood still.
import { fill, make, press } from "./parts.js";
import { shiftsIn, squaresOf } from "./steady.js";

const FEWEST = 4;

export class Lane {
  constructor(desk) {
    this.desk = desk;
    this.chosen = null; // a mark that is clicked once more
    this.squares = null; // what lies around each mark
  }

  get marks() { return this.desk.work.now.lane.marks; }

  distances() {
    const typed = this.distanceText ?? this.desk.data.distances;
    const told = typed.split(/[;\s]+|,\s+/).map((text) => Number(text.replace(",", ".")));
    return [...new Set(told.filter((one, place) => Number.isFinite(one) && typed.trim() && place < 12))];
  }

  width() {
    const usual = this.desk.data.lane_width_m;
    return Number(this.widthText ?? this.desk.work.now.lane.width_m ?? usual) || usual;
  }

  isChosen(mark) { return this.chosen?.line === mark.line && this.chosen?.along === mark.along_m; }

  /** The mark that is clicked next: line and distance; null where all are there. */
  target() {
    if (this.chosen) return this.chosen;
    for (const along of this.distances()) {
      for (const line of ["near", "far"]) {
        if (!this.marks.some((one) => one.line === line && one.along_m === along)) return { line, along };
      }
    }
    return null;
  }

  put(target, at) {
    const { desk } = this;
    desk.work.putLane(target.line, target.along, at, desk.stage.n, this.width());
    this.chosen = null;
    this.remember();
    if (!this.target()) desk.mode = "events";
  }

  remember() {
    const { stage } = this.desk;
    this.squares = stage.isOpen && this.marks.every((one) => one.frame === stage.n) ? squaresOf(stage.whole, this.marks) : this.squares;
  }

  /** The phone has not moved since another film: its lane marks are taken over and shown, to be looked at. */
  takeOver(lane) {
    const { desk } = this;
    desk.work.setLane({ ...lane, marks: lane.marks.map((one) => ({ ...one, frame: desk.stage.n })) });
    this.remember();
    fill(desk.said, `lane ${desk.stage.n}`, desk.words.lane_taken);
    desk.changed();
  }

  clear() {
    this.desk.work.setLane({ width_m: null, marks: [] });
    this.squares = null;
    this.desk.changed();
  }

  /** Look where the marks lie in this frame: a phone that was moved gives no lengths. */
  look(n) {
    const { work, stage } = this.desk;
    if (!this.squares || this.marks.length < FEWEST) return;
    const here = shiftsIn(stage.whole, this.squares, n);
    work.now.shifts = [...work.now.shifts.filter((one) => one.frame !== n), ...here];
  }

  draw() {
    const { desk } = this, w = desk.words, isOn = desk.mode === "lane", box = desk.laneBox;
    if (box.contains(document.activeElement) && document.activeElement.matches("input")) return;
    const told = [isOn, this.marks, this.distances(), this.width(), (desk.data.lanes ?? []).map((one) => one.label)];
    const field = (label, value, act) => make("label", {}, label,
      make("input", { value, inputmode: "decimal", onchange: (event) => { act(event.target.value); event.target.blur(); desk.redraw(); } }));
    fill(box, told, make("h3", {}, w.lane), make("p", { class: "soft" }, w.lane_help),
      make("div", { class: "fields" },
        field(w.lane_distances, this.distanceText ?? desk.data.distances, (text) => { this.distanceText = text; }),
        field(w.lane_width, String(this.width()), (text) => { this.widthText = text.replace(",", "."); })),
      make("div", { class: "keys" },
        press(isOn ? w.lane_done : w.lane_begin, "L", () => { desk.mode = isOn ? "events" : "lane"; desk.redraw(); }),
        ...(desk.data.lanes ?? []).map((one) => press(one.label, "", () => this.takeOver(one.lane))),
        this.marks.length ? press(w.lane_clear, "", () => this.clear()) : null),
      make("ul", { class: "laid" }, ...this.marks.map((one) => make("li", {}, press(`${w.lines[one.line]} ${one.along_m} m`, "", () => {
        desk.mode = "lane";
        this.chosen = { line: one.line, along: one.along_m };
        desk.go(one.frame);
      }, { class: "plain" })))));
  }
}
