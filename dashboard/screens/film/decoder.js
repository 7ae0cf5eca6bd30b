// One frame of a film by its number, exactly: decoded here from the bytes the table points to, a few frames kept around.
import { FilmFault } from "./boxes.js";
import { keepTrueKeys } from "./frames.js";

const KEPT_BYTES = 200 * 2 ** 20; // of decoded frames at most, so that a phone is not filled
const FEWEST_KEPT = 8, MOST_KEPT = 48;
const BYTES_A_PIXEL = 4; // of a frame copied out of the decoder
const AHEAD = 8; // pieces the decoder is given before it has answered
const STUCK_MS = 1500; // without a frame while the decoder has work: it is waiting for those that are held
const PATIENCE_MS = 8000;

export class Decoder {
  constructor(film, blob) {
    this.film = film;
    this.blob = blob;
    this.kept = Math.max(FEWEST_KEPT, Math.min(MOST_KEPT, Math.floor(KEPT_BYTES / (film.width * film.height * BYTES_A_PIXEL))));
    this.frames = new Map(); // number -> picture
    this.next = null; // place of the next piece to be decoded, null where decoding has to begin anew
    this.most = 0;
    this.aim = 0;
    this.copies = false; // whether frames are copied out of the decoder
    this.lastOut = 0; // when it last gave one
  }

  get keptBytes() {
    return this.kept * this.film.width * this.film.height * BYTES_A_PIXEL;
  }

  async open() {
    if (typeof VideoDecoder === "undefined") throw new FilmFault(globalThis.isSecureContext ? "old_browser" : "not_secure");
    const { codec, description, width, height } = this.film;
    this.config = { codec, description, codedWidth: width, codedHeight: height };
    const can = await VideoDecoder.isConfigSupported(this.config).catch(() => ({ supported: false }));
    if (!can.supported) throw new FilmFault("cannot_decode", codec);
    await keepTrueKeys(this.blob, this.film);
    this.byTime = new Map(this.film.samples.map((s) => [this.micros(s), s]));
  }

  micros(sample) {
    return Math.round((sample.pts * 1e6) / this.film.scale);
  }

  begin() {
    this.stop();
    this.trouble = null;
    this.shownTo = -Infinity;
    this.turn = (this.turn ?? 0) + 1;
    const turn = this.turn;
    this.decoder = new VideoDecoder({
      output: (frame) => this.take(frame, turn),
      error: (trouble) => { if (turn === this.turn) { this.trouble = trouble; this.wake?.(); } },
    });
    this.decoder.configure(this.config);
  }

  /** Keep a frame. Some phones stop decoding while a handful is held: there it is copied out and given back at once. */
  take(frame, turn) {
    const sample = this.byTime.get(frame.timestamp);
    if (turn !== this.turn || !sample) { frame.close(); return; }
    this.lastOut = performance.now();
    this.shownTo = Math.max(this.shownTo, sample.pts);
    if (sample.n === undefined || sample.n < this.least) { frame.close(); this.wake?.(); return; }
    if (!this.copies) { this.put(sample.n, frame); return; }
    createImageBitmap(frame).then((picture) => { frame.close(); this.put(sample.n, picture); }, (trouble) => {
      frame.close();
      this.trouble = trouble;
      this.wake?.();
    });
  }

  put(n, picture) {
    this.frames.get(n)?.close();
    this.frames.set(n, picture);
    this.tidy(this.aim);
    this.most = Math.max(this.most, this.frames.size);
    this.wake?.();
  }

  async pieces(from, to) {
    const some = this.film.samples.slice(from, to);
    const low = Math.min(...some.map((s) => s.at)), high = Math.max(...some.map((s) => s.at + s.size));
    const near = high - low <= 4 * some.reduce((sum, s) => sum + s.size, 0) + 65536;
    const block = near ? await this.blob.slice(low, high).arrayBuffer() : null;
    const out = [];
    for (const s of some) {
      const data = block ? new Uint8Array(block, s.at - low, s.size) : await this.blob.slice(s.at, s.at + s.size).arrayBuffer();
      out.push(new EncodedVideoChunk({ type: s.key ? "key" : "delta", timestamp: this.micros(s), data }));
    }
    return out;
  }

  keyBefore(sample) {
    const all = this.film.samples;
    let key = sample.order;
    while (key > 0 && !all[key].key) key--;
    if (all[key].pts > sample.pts && key > 0) { // shown before its key: it leans on the group before as well
      key--;
      while (key > 0 && !all[key].key) key--;
    }
    return key;
  }

  /** The picture of frame n. Only one may be asked for at a time. */
  async frame(n) {
    this.isBack = n < this.aim;
    this.aim = n;
    if (this.frames.has(n)) return this.frames.get(n);
    const all = this.film.samples, sample = this.film.shown[n], key = this.keyBefore(sample);
    this.least = n - this.kept + 2;
    const goesOn = this.next !== null && this.decoder?.state === "configured" && this.next > key
      && this.next <= sample.order + 3 * AHEAD && this.shownTo < sample.pts;
    let at = goesOn ? this.next : key;
    if (!goesOn) this.begin();
    const since = performance.now();
    let idle = false;
    while (!this.frames.has(n)) {
      if (this.trouble) throw new FilmFault("cannot_decode", `${this.film.codec}, ${this.trouble.message}`);
      if (!this.copies && performance.now() - Math.max(since, this.lastOut) > STUCK_MS && this.decoder.decodeQueueSize) {
        this.copies = true; // it waits for the frames that are held
        for (const picture of this.frames.values()) picture.close();
        this.frames.clear();
        this.begin();
        at = key;
      }
      if (performance.now() - Math.max(since, this.lastOut) > PATIENCE_MS) throw new FilmFault("cannot_decode", `${this.film.codec}, frame ${n}`);
      if (at >= all.length) { // the end of the film: what the decoder still holds comes out
        await this.decoder.flush();
        this.next = null;
        await this.aMoment(400, n);
        if (!this.frames.has(n)) throw new FilmFault("cannot_decode", `${this.film.codec}, frame ${n}`);
        return this.frames.get(n);
      }
      if (this.decoder.decodeQueueSize < AHEAD && (at <= sample.order + 2 || idle)) {
        idle = false;
        const to = Math.min(all.length, at <= sample.order ? Math.max(at + 1, Math.min(sample.order + 1, at + 4 * AHEAD)) : at + 2);
        for (const piece of await this.pieces(at, to)) this.decoder.decode(piece);
        at = to;
      } else {
        idle = (await this.aMoment(4, n)) && this.decoder.decodeQueueSize === 0;
      }
    }
    this.next = at;
    return this.frames.get(n);
  }

  /** Wait until something comes out of the decoder; true where nothing did. */
  async aMoment(ms, n) {
    const until = performance.now() + ms;
    while (!this.frames.has(n)) {
      const left = until - performance.now();
      if (left <= 0) return true;
      const quiet = await new Promise((done) => { this.wake = () => done(false); setTimeout(() => done(true), left); });
      if (ms < 50) return quiet;
    }
    return false;
  }

  tidy(n) {
    const away = (one) => (one > n && this.isBack ? 4 * (one - n) : Math.abs(one - n)); // going back, those before count
    const far = [...this.frames.keys()].sort((one, other) => away(other) - away(one));
    while (this.frames.size > this.kept) {
      const gone = far.shift();
      this.frames.get(gone).close();
      this.frames.delete(gone);
    }
  }

  stop() {
    if (this.decoder && this.decoder.state !== "closed") this.decoder.close();
    this.next = null;
  }

  close() {
    this.turn = (this.turn ?? 0) + 1;
    this.stop();
    for (const picture of this.frames.values()) picture.close();
    this.frames.clear();
  }
}

/** Draw a picture turned as the film says, filling the canvas. */
export function drawTurned(canvas, picture, rotation) {
  const context = canvas.getContext("2d"), isSide = rotation % 180 !== 0;
  const [wide, high] = isSide ? [canvas.height, canvas.width] : [canvas.width, canvas.height];
  context.save();
  context.translate(canvas.width / 2, canvas.height / 2);
  context.rotate((rotation * Math.PI) / 180);
  context.drawImage(picture, -wide / 2, -high / 2, wide, high);
  context.restore();
}
