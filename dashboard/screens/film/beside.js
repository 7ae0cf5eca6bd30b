// A second start beside the first, lined up at first movement: both show the same moment of the run.
import { Stage } from "./stage.js";
import { fingerprintOf } from "./fingerprint.js";
import { fill, make, press } from "./parts.js";

export class Beside {
  constructor(words, main) {
    this.words = words;
    this.main = main; // the first film: { stage, zero(), factor() }
    this.known = {}; // fingerprint -> { t, container_hz, capture_hz, label } of films that were marked before
    this.canvas = make("canvas", { "aria-label": words.beside });
    this.stage = new Stage(this.canvas);
    this.said = make("p", { class: "told", role: "status" });
    this.input = make("input", { type: "file", accept: "video/*,.mp4,.mov,.m4v", onchange: () => this.input.files[0] && this.open(this.input.files[0]) });
    this.zeroHere = press(words.zero_here, "", () => { this.zero = this.stage.frameOf(this.stage.n).t; this.tell(); });
    this.steps = make("div", { class: "keys" }, ...[[-10, "−10"], [-1, "−1"], [1, "+1"], [10, "+10"]].map(([by, word]) => (
      press(word, "", () => this.stage.show(this.stage.n + by), { "aria-label": `${words.beside} ${word}` })
    )), this.zeroHere);
    this.root = make("div", { class: "second" }, make("label", { class: "pick" }, words.beside_choose, this.input), this.said,
      make("div", { class: "view" }, this.canvas), this.steps);
    this.steps.hidden = true;
  }

  async open(file) {
    this.zero = null;
    this.factor = null;
    try {
      await this.stage.open(file);
    } catch (fault) {
      fill(this.said, fault.code, (this.words.faults[fault.code] ?? this.words.faults.broken).replace("{}", fault.detail ?? ""));
      return;
    }
    this.steps.hidden = false;
    this.tell();
    const print = await fingerprintOf(file), known = this.known[print];
    if (known) { this.zero = known.t; this.factor = known.container_hz / known.capture_hz; this.label = known.label; }
    this.tell();
    this.follow();
  }

  tell() {
    const told = this.zero === null ? this.words.beside_zero : this.words.beside_lined.replace("{}", this.label ?? "");
    fill(this.said, told, told);
    if (this.zero !== null) this.follow();
  }

  /** Show the moment that the first film shows. Where its speed is not known it is taken to be that of the first. */
  follow() {
    const { stage, zero, factor } = this.main();
    if (!this.stage.isOpen || !stage.isOpen || this.zero === null || zero === null) return;
    const since = (stage.frameOf(stage.n).t - zero) * factor;
    this.stage.show(this.stage.nearest(this.zero + since / (this.factor ?? factor)));
  }

  close() {
    this.stage.close();
  }
}
