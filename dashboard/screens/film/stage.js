// The picture of one film: the frame on a canvas, enlarged where one looks closely, with the marks drawn over it.
import { Decoder, drawTurned } from "./decoder.js";
import { readFilm } from "./frames.js";

const CLOSER = 4, LOUPE = 130, NEAR_PX = 14;

export class Stage {
  constructor(canvas) {
    this.canvas = canvas; // what is seen
    this.whole = document.createElement("canvas"); // the frame itself, as large as it was filmed
    this.scale = 1;
    this.centre = null;
    this.n = 0;
  }

  async open(file) {
    this.close();
    const film = await readFilm(file), decoder = new Decoder(film, file);
    await decoder.open();
    const first = await decoder.frame(0), isSide = film.rotation % 180 !== 0;
    this.film = film;
    this.decoder = decoder;
    [this.whole.width, this.whole.height] = isSide ? [...shownSize(first)].reverse() : shownSize(first);
    this.centre = { x: this.whole.width / 2, y: this.whole.height / 2 };
    this.scale = 1;
    this.fit();
    await this.show(0);
  }

  get isOpen() { return Boolean(this.decoder); }
  get last() { return this.film.shown.length - 1; }

  frameOf(n) {
    const shown = this.film.shown, before = shown[n - 1] ?? shown[n], after = n ? shown[n] : shown[1] ?? shown[0];
    return { n, t: shown[n].t, gap: after.t - before.t };
  }

  /** Frame whose time is nearest to t. */
  nearest(t) {
    const shown = this.film.shown;
    let low = 0, high = shown.length - 1;
    while (low < high) {
      const middle = (low + high) >> 1;
      if (shown[middle].t < t) low = middle + 1; else high = middle;
    }
    return low > 0 && t - shown[low - 1].t < shown[low].t - t ? low - 1 : low;
  }

  /** Show a frame; of several asked for while one is on its way, only the last is fetched. */
  show(n) {
    this.asked = Math.max(0, Math.min(this.last, n));
    this.busy ??= this.catchUp().finally(() => { this.busy = null; });
    return this.busy;
  }

  async catchUp() {
    for (let first = true; first || this.asked !== this.n; first = false) {
      const n = this.asked, decoder = this.decoder, picture = await decoder.frame(n);
      if (decoder !== this.decoder) return;
      drawTurned(this.whole, picture, this.film.rotation);
      this.n = n;
      this.draw();
    }
  }

  fit() {
    const box = this.canvas.parentElement.parentElement.getBoundingClientRect(), sharp = Math.min(globalThis.devicePixelRatio || 1, 2);
    const tallest = Math.max(240, globalThis.innerHeight * 0.52), shape = this.whole.height / (this.whole.width || 1);
    const wide = Math.max(200, Math.min(box.width || 800, tallest / shape));
    this.canvas.style.width = `${wide}px`;
    this.canvas.style.height = `${wide * shape}px`;
    this.canvas.width = Math.round(wide * sharp);
    this.canvas.height = Math.round(wide * shape * sharp);
  }

  get factor() { return (this.canvas.width / this.whole.width) * this.scale; }

  toScreen(point) {
    const f = this.factor;
    return { x: (point.x - this.centre.x) * f + this.canvas.width / 2, y: (point.y - this.centre.y) * f + this.canvas.height / 2 };
  }

  toFilm(event) {
    const box = this.canvas.getBoundingClientRect(), f = this.factor, sharp = this.canvas.width / box.width;
    const x = ((event.clientX - box.left) * sharp - this.canvas.width / 2) / f + this.centre.x;
    const y = ((event.clientY - box.top) * sharp - this.canvas.height / 2) / f + this.centre.y;
    return { x: Math.max(0, Math.min(this.whole.width, x)), y: Math.max(0, Math.min(this.whole.height, y)) };
  }

  closer(at) {
    this.scale = this.scale > 1 ? 1 : CLOSER;
    this.centre = this.scale > 1 && at ? { ...at } : { x: this.whole.width / 2, y: this.whole.height / 2 };
    this.draw();
  }

  isNear(one, other) {
    const a = this.toScreen(one), b = this.toScreen(other), sharp = this.canvas.width / (this.canvas.clientWidth || 1);
    return Math.hypot(a.x - b.x, a.y - b.y) < NEAR_PX * sharp;
  }

  draw() {
    if (!this.centre) return;
    const x = this.canvas.getContext("2d"), f = this.factor;
    x.setTransform(1, 0, 0, 1, 0, 0);
    x.fillStyle = "#14171a";
    x.fillRect(0, 0, this.canvas.width, this.canvas.height);
    x.imageSmoothingEnabled = this.scale === 1;
    x.setTransform(f, 0, 0, f, this.canvas.width / 2 - this.centre.x * f, this.canvas.height / 2 - this.centre.y * f);
    x.drawImage(this.whole, 0, 0);
    x.setTransform(1, 0, 0, 1, 0, 0);
    this.over?.(x);
  }

  /** A cross with a short word, dark and light so that it shows on any ground. */
  cross(x, point, word, isChosen = false) {
    const { x: at, y: up } = this.toScreen(point), arm = isChosen ? 13 : 8, sharp = this.canvas.width / (this.canvas.clientWidth || 1);
    for (const [colour, thick] of [["#14171a", 3.5], [isChosen ? "#FF9A62" : "#FFFFFF", 1.5]]) {
      x.strokeStyle = colour;
      x.lineWidth = thick * sharp;
      x.beginPath();
      x.moveTo(at - arm * sharp, up); x.lineTo(at + arm * sharp, up);
      x.moveTo(at, up - arm * sharp); x.lineTo(at, up + arm * sharp);
      x.stroke();
    }
    x.font = `${12 * sharp}px system-ui, sans-serif`;
    x.lineWidth = 3 * sharp;
    x.strokeStyle = "#14171a";
    x.strokeText(word, at + 10 * sharp, up - 6 * sharp);
    x.fillStyle = "#FFFFFF";
    x.fillText(word, at + 10 * sharp, up - 6 * sharp);
  }

  /** What lies under a finger, enlarged, in the corner that the finger leaves free. */
  loupe(x, at) {
    const sharp = this.canvas.width / (this.canvas.clientWidth || 1), size = LOUPE * sharp, span = size / (this.factor * 3);
    const left = this.toScreen(at).x < this.canvas.width / 2 ? this.canvas.width - size : 0;
    x.imageSmoothingEnabled = false;
    x.drawImage(this.whole, at.x - span / 2, at.y - span / 2, span, span, left, 0, size, size);
    x.strokeStyle = "#FFFFFF";
    x.lineWidth = sharp;
    x.strokeRect(left, 0, size, size);
    x.beginPath();
    x.moveTo(left + size / 2, 0); x.lineTo(left + size / 2, size);
    x.moveTo(left, size / 2); x.lineTo(left + size, size / 2);
    x.stroke();
  }

  close() {
    this.decoder?.close();
    this.decoder = null;
  }
}

/** Width and height of a frame or of its copy. */
function shownSize(picture) {
  return [picture.displayWidth ?? picture.width, picture.displayHeight ?? picture.height];
}
