// The film page's desk: a film that stays on this device, marked frame by frame. Only marks are sent; what follows from
// them comes back worked out.
import { Beside } from "./beside.js";
import { fingerprintOf } from "./fingerprint.js";
import { rateOf } from "./frames.js";
import { Lane } from "./lane.js";
import { fill, make, press, table } from "./parts.js";
import { forgetPictures, keepPicture, patternSeen, picturesOf } from "./pictures.js";
import { Stage } from "./stage.js";
import { Waiting } from "./waiting.js";
import { EVENTS, POINTS_AT, Work } from "./work.js";

const KEYS = { d: "touchdown", o: "toeoff", m: "first_movement", p: "push", e: "set" };
const POINT_KEYS = { t: "toe", a: "ankle", k: "knee", h: "hip", s: "shoulder" };
const MOVES = { ArrowRight: 1, ArrowLeft: -1, ArrowUp: 10, ArrowDown: -10 };
const PLAY_MS = 60;

class Desk {
  constructor(root, data) {
    this.root = root;
    this.words = data.words;
    this.work = new Work();
    this.waiting = new Waiting(this, data.who);
    this.chosenStep = null; // step said by hand for the next event
    this.chosenPoint = null;
    this.mode = "events"; // or "lane"
    this.build();
    this.stage = new Stage(this.canvas);
    this.lane = new Lane(this);
    this.stage.over = (x) => this.drawMarks(x);
    this.beside = new Beside(this.words, () => ({ stage: this.stage, zero: this.zero(), factor: this.data.results?.speed?.factor ?? 1 }));
    this.besideBox.append(this.beside.root);
    this.sees = new ResizeObserver(() => { if (this.stage.isOpen) { this.stage.fit(); this.stage.draw(); } });
    this.sees.observe(this.view.parentElement);
  }

  build() {
    const w = this.words;
    this.input = make("input", { type: "file", accept: "video/*,.mp4,.mov,.m4v", onchange: () => this.input.files[0] && this.open(this.input.files[0]) });
    this.said = make("p", { class: "told", role: "status" });
    this.ask = make("div", { class: "ask" });
    this.canvas = make("canvas", { "aria-hidden": true, onpointerdown: (e) => this.pointDown(e), onpointermove: (e) => this.pointMove(e), onpointerup: (e) => this.pointUp(e), onpointercancel: () => { this.held = null; this.stage.draw(); } });
    this.view = make("div", { class: "view", tabindex: "0", role: "group", "aria-label": w.view, "aria-describedby": "film-prompt" }, this.canvas);
    this.frameLine = make("p", { class: "frame" });
    this.slide = make("input", { type: "range", min: 0, max: 0, value: 0, "aria-label": w.slide, oninput: () => this.go(Number(this.slide.value)) });
    const move = (by, word, key) => press(word, key, () => this.go(this.stage.n + by), { "aria-label": `${w.frames_by} ${by}` });
    this.moves = make("div", { class: "keys moves" }, move(-10, "−10", "↓"), move(-1, "−1", "←"), move(1, "+1", "→"), move(10, "+10", "↑"),
      press(w.play, "", () => this.play()), press(w.zoom, "Z", () => this.stage.closer(this.spot)));
    this.prompt = make("p", { class: "prompt", id: "film-prompt", "aria-live": "polite" });
    this.events = make("div", { class: "keys events" }, ...EVENTS.map((event) => (
      press(w.events[event], Object.keys(KEYS).find((key) => KEYS[key] === event).toUpperCase(), () => this.mark(event), { "data-event": event }))));
    this.steps = make("div", { class: "keys steps", role: "group", "aria-label": w.step }, ...[1, 2, 3, 4].map((step) => (
      press(String(step), "", () => { this.chosenStep = this.chosenStep === step ? null : step; this.redraw(); }, { "data-step": step, "aria-pressed": "false", "aria-label": `${w.step} ${step}` }))),
    press(w.foot, "F", () => this.turnFoot(), { "data-foot": true }));
    this.points = make("div", { class: "keys points" });
    this.laneBox = make("div", { class: "lane" });
    this.list = make("div", { class: "list" });
    this.results = make("div", { class: "results" });
    this.notes = make("div", { class: "notes", role: "status" });
    this.ends = make("div", { class: "keys ends" }, press(w.undo, "U", () => this.undo()), press(w.redo, "R", () => this.redo()),
      press(w.keep, "↵", () => this.keep(), { class: "main" }));
    this.besideBox = make("details", { class: "beside" }, make("summary", {}, w.beside));
    this.besideBox.ontoggle = () => this.beside.follow();
    this.privacy = make("p", { class: "soft" }, w.pictures_kept, " ", press(w.forget_pictures, "", () => { forgetPictures(); fill(this.said, w.forgotten, w.forgotten); }, { class: "plain" }));
    const left = make("div", { class: "left" }, this.view, this.frameLine, this.slide, this.moves, this.besideBox);
    const right = make("div", { class: "right" }, this.prompt, this.events, this.steps, this.points, this.ends, this.notes, this.list, this.laneBox);
    this.desk = make("div", { class: "desk" }, left, right, this.results);
    this.parts = [left, right]; // what stands only while a film is open; results of kept marks stand without one
    this.showParts(false);
    this.root.replaceChildren(make("label", { class: "pick" }, make("span", {}, w.choose), this.input), this.said, this.ask, this.waiting.root, this.desk, this.privacy);
    // Keys count wherever nothing else has the focus: a button that was just redrawn leaves it with nobody.
    this.heard = (event) => { if (event.target === document.body || this.root.contains(event.target)) this.key(event); };
    // They are taken before the framework hears them: its R runs the whole page anew, beside what our R sends, and with the
    // page drawn anew the film was closed now and then.
    globalThis.addEventListener("keydown", this.heard, true);
  }

  showParts(isOpen) { for (const part of this.parts) part.hidden = !isOpen; }

  // What the page hands over

  take(data) {
    const before = this.data?.run;
    this.data = data;
    const isOther = JSON.stringify(before ?? null) !== JSON.stringify(data.run ?? null);
    this.waiting.heard(data.heard);
    if (isOther || (data.marks_turn !== this.marksTurn)) {
      this.marksTurn = data.marks_turn;
      this.waiting.open();
      this.work.load(data.marks);
      this.lane.squares = null;
      this.known = data.marks?.film ?? null;
      if (this.stage.isOpen) this.send();
    }
    this.beside.known = data.films ?? {};
    this.redraw();
  }

  /** The marks in hand as they are sent. */
  told() { return this.waiting.keep({ ...this.work.now, run: this.data.run, film: this.film ?? this.known ?? null }); }
  send() { this.setState("work", this.told()); }

  changed() {
    this.send();
    this.redraw();
  }

  // The film

  async open(file) {
    const since = performance.now(), w = this.words;
    this.film = null;
    fill(this.said, "reading", w.reading);
    try {
      await this.stage.open(file);
    } catch (fault) {
      this.showParts(false);
      const sentence = (w.faults[fault.code] ?? w.faults.broken).replace("{}", fault.detail ?? "");
      fill(this.said, fault.code ?? String(fault), sentence);
      return;
    }
    const film = this.stage.film;
    this.showParts(true);
    this.stage.fit();
    this.stage.draw();
    this.slide.max = this.stage.last;
    this.film = {
      name: file.name, bytes: file.size, print: null, codec: film.codec, frames: film.shown.length, lost: film.lost,
      width: this.stage.whole.width, height: this.stage.whole.height, ...rateOf(film),
    };
    this.root.dataset.firstMs = Math.round(performance.now() - since);
    this.tellFilm();
    this.lane.squares = null;
    await this.go(this.work.now.marks[0]?.frame ?? 0);
    this.film.print = await fingerprintOf(file, () => this.film !== null).catch(() => null);
    if (this.known?.print && this.film.print && this.known.print !== this.film.print && this.work.now.marks.length) {
      fill(this.said, "other", w.other_film.replace("{}", this.known.name));
    }
    this.send();
    this.view.focus({ preventScroll: true });
  }

  tellFilm() {
    const { name, frames, container_rate_hz: rate, lost } = this.film, w = this.words;
    const memory = Math.round(this.stage.decoder.keptBytes / 2 ** 20);
    const said = w.opened.replace("{name}", name).replace("{frames}", frames).replace("{rate}", rate.toFixed(2)).replace("{memory}", memory);
    fill(this.said, said, said, lost ? ` ${w.lost.replace("{}", lost)}` : null);
  }

  async go(n) {
    if (!this.stage.isOpen) return;
    try {
      await this.stage.show(n);
    } catch (fault) {
      fill(this.said, fault.code, (this.words.faults[fault.code] ?? this.words.faults.broken).replace("{}", fault.detail ?? ""));
      return;
    }
    this.redraw();
    this.beside.follow();
  }

  async play() {
    this.playing = !this.playing;
    while (this.playing && this.stage.isOpen && this.stage.n < this.stage.last) {
      const began = performance.now();
      await this.go(this.stage.n + 1);
      await new Promise((done) => setTimeout(done, Math.max(0, PLAY_MS - (performance.now() - began))));
    }
    this.playing = false;
  }

  zero() {
    return this.work.markOf("first_movement", 0)?.t ?? null;
  }

  // Marking

  mark(event) {
    if (!this.stage.isOpen) return;
    const step = this.work.stepFor(event, this.chosenStep), frame = this.stage.frameOf(this.stage.n);
    this.chosenStep = null;
    this.mode = "events";
    this.work.mark(event, step, frame, step ? this.work.sideFor(step) : null);
    this.lane.look(frame.n);
    this.picture(event, step);
    this.changed();
  }

  picture(event, step) {
    const mark = this.work.markOf(event, step);
    if (!mark || mark.frame !== this.stage.n || !this.data.run) return;
    keepPicture(this.data.run, event, step, this.stage.whole, POINTS_AT[event].map((what) => this.work.pointOf(mark, what)).filter(Boolean));
  }

  target() {
    if (this.mode === "lane") return this.lane.target();
    const mark = this.work.at(this.stage.n)[0];
    if (!mark) return null;
    const what = this.chosenPoint && POINTS_AT[mark.event].includes(this.chosenPoint) ? this.chosenPoint : this.work.wanted(mark)[0];
    return what ? { mark, what } : null;
  }

  put(at) {
    const target = this.target();
    if (!target) return;
    if (target.line) {
      this.lane.put(target, at);
    } else {
      this.work.putPoint(target.mark, target.what, at);
      this.chosenPoint = null;
      if (!this.work.wanted(target.mark).length) this.picture(target.mark.event, target.mark.step);
    }
    this.changed();
  }

  // Pointing: press, move until the cross sits, let go

  pointDown(event) {
    if (!this.stage.isOpen || !this.target()) return;
    this.canvas.setPointerCapture(event.pointerId);
    this.held = this.stage.toFilm(event);
    this.finger = event.pointerType !== "mouse";
    this.stage.draw();
    this.view.focus({ preventScroll: true });
    event.preventDefault();
  }

  pointMove(event) {
    if (!this.stage.isOpen) return;
    this.spot = this.stage.toFilm(event);
    if (this.held) { this.held = this.spot; this.stage.draw(); }
  }

  pointUp(event) {
    if (!this.held) return;
    const at = this.stage.toFilm(event);
    this.held = null;
    this.spot = at;
    this.put(at);
  }

  // Keys

  key(event) {
    if (!this.stage.isOpen || event.target.matches("input, select, textarea") || event.ctrlKey || event.metaKey || event.altKey) return;
    const letter = event.key.length === 1 ? event.key.toLowerCase() : event.key;
    const isButton = event.target.matches("button, summary");
    if (MOVES[letter]) event.shiftKey ? this.moveSpot(letter) : this.go(this.stage.n + MOVES[letter]);
    else if (KEYS[letter]) this.mark(KEYS[letter]);
    else if (POINT_KEYS[letter]) { this.chosenPoint = POINT_KEYS[letter]; this.redraw(); }
    else if ("1234".includes(letter)) { this.chosenStep = Number(letter); this.redraw(); }
    else if (letter === "z") this.stage.closer(this.spot);
    else if (letter === "u") this.undo();
    else if (letter === "r") this.redo();
    else if (letter === "f") this.turnFoot();
    else if (letter === "l") { this.mode = this.mode === "lane" ? "events" : "lane"; this.redraw(); }
    else if (letter === "Enter" && !isButton) this.keep();
    else if (letter === " " && !isButton) this.put(this.spot ?? this.stage.centre);
    else return;
    event.preventDefault();
    event.stopImmediatePropagation();
  }

  /** Without a mouse: Shift and the arrows move the cross, Space sets the point. */
  moveSpot(letter) {
    const by = { ArrowRight: [1, 0], ArrowLeft: [-1, 0], ArrowUp: [0, -1], ArrowDown: [0, 1] }[letter];
    const from = this.spot ?? this.stage.centre, step = this.stage.scale > 1 ? 1 : 4;
    this.spot = { x: from.x + by[0] * step, y: from.y + by[1] * step };
    this.showSpot = true;
    this.stage.draw();
    this.showSpot = false;
  }

  undo() { if (this.work.undo()) this.changed(); }
  redo() { if (this.work.redo()) this.changed(); }
  turnFoot() {
    const first = this.work.now.marks.find((one) => one.step > 0);
    if (!first) return;
    const now = first.side ? (first.step % 2 === 1 ? first.side : first.side === "l" ? "r" : "l") : "r";
    this.work.setSide(now === "l" ? "r" : "l");
    this.changed();
  }

  keep() {
    this.waiting.tries = 0;
    this.sendToKeep();
  }

  sendToKeep() { this.setTrigger("keep", this.waiting.keepFor(this.told())); }

  // Drawing

  drawMarks(x) {
    const w = this.words;
    const isLaneShown = this.mode === "lane" || this.work.now.lane.marks.some((one) => one.frame === this.stage.n);
    if (isLaneShown) for (const one of this.work.now.lane.marks) this.stage.cross(x, one, `${one.along_m} m`, this.lane.isChosen(one));
    for (const one of this.work.now.points) if (one.frame === this.stage.n) this.stage.cross(x, one, w.points[one.what], one.what === this.chosenPoint);
    if (this.held) {
      this.stage.cross(x, this.held, "", true);
      if (this.finger || this.stage.scale === 1) this.stage.loupe(x, this.held);
    } else if (this.showSpot && this.spot) {
      this.stage.cross(x, this.spot, "", true);
      this.stage.loupe(x, this.spot);
    }
  }

  redraw() {
    this.drawAsk();
    this.waiting.draw();
    this.drawResults();
    if (!this.stage.isOpen) { this.privacy.hidden = false; return; }
    const w = this.words, n = this.stage.n, here = this.work.at(n);
    this.slide.value = n;
    this.root.dataset.n = n;
    const time = this.data.results?.speed?.factor && this.zero() !== null
      ? w.since.replace("{}", ((this.stage.frameOf(n).t - this.zero()) * this.data.results.speed.factor).toFixed(3)) : "";
    this.frameLine.textContent = `${w.frame} ${n} / ${this.stage.last}${time}${here.length ? ` · ${here.map((one) => this.nameOf(one)).join(", ")}` : ""}`;
    this.drawPrompt(here);
    for (const button of this.steps.querySelectorAll("[data-step]")) button.setAttribute("aria-pressed", String(Number(button.dataset.step) === this.chosenStep));
    const side = this.work.now.marks.find((one) => one.step === 1)?.side ?? this.work.sideFor(1);
    this.steps.querySelector("[data-foot]").firstChild.textContent = `${w.foot}: ${side ? w.sides[side] : w.foot_unknown}`;
    this.drawPoints(here[0]);
    this.drawList();
    this.lane.draw();
    this.stage.draw();
  }

  nameOf(mark) { return `${this.words.events[mark.event]}${mark.step ? ` ${mark.step}` : ""}`; }

  drawPrompt(here) {
    const w = this.words, target = this.target(), next = this.work.nextEvent();
    let said = next ? w.next_event.replace("{}", this.nameOf({ event: next[0], step: next[1] })) : w.all_marked;
    if (target?.line) said = w.click_lane.replace("{line}", w.lines[target.line]).replace("{along}", target.along);
    else if (target) said = w.click_point.replace("{}", w.points[target.what]);
    else if (here.length) said = next ? `${w.points_done} ${said}` : said;
    if (this.chosenStep) said = w.step_chosen.replace("{}", this.chosenStep);
    fill(this.prompt, said, said);
  }

  drawPoints(mark) {
    const w = this.words, names = mark ? POINTS_AT[mark.event] : [];
    fill(this.points, [mark?.event, mark?.step, names.map((what) => Boolean(this.work.pointOf(mark, what))), this.chosenPoint], ...names.map((what) => (
      press(`${this.work.pointOf(mark, what) ? "✓ " : ""}${w.points[what]}`, Object.keys(POINT_KEYS).find((key) => POINT_KEYS[key] === what).toUpperCase(),
        () => { this.chosenPoint = what; this.redraw(); this.view.focus({ preventScroll: true }); }, { "aria-pressed": String(this.chosenPoint === what) }))));
  }

  drawList() {
    const w = this.words, times = this.data.results?.times ?? {}, marks = this.work.now.marks;
    fill(this.list, [marks, times, this.work.now.points.length], make("h3", {}, w.marked), marks.length ? null : make("p", { class: "soft" }, w.nothing_marked),
      make("ol", {}, ...marks.map((one) => make("li", {},
        press(this.nameOf(one), "", () => this.go(one.frame), { class: "plain" }), make("span", {}, times[`${one.event} ${one.step}`] ?? ""),
        make("span", { class: "soft" }, one.side ? w.sides[one.side] : ""),
        press("×", "", () => { this.work.drop(one.event, one.step); this.changed(); }, { class: "plain", "aria-label": `${w.take_out} ${this.nameOf(one)}` })))));
  }

  drawAsk() {
    const speed = this.data.results?.speed, w = this.words;
    const isOpen = this.stage.isOpen || this.known;
    fill(this.ask, [speed?.state, speed?.sentence, speed?.offers, Boolean(isOpen)], ...(speed && isOpen ? [make("p", {}, speed.sentence),
      speed.state === "known" || speed.state === "refused" ? (speed.known_by === "camera" || speed.state === "refused" ? null : press(w.change_rate, "", () => this.answerRate(null), { class: "plain" }))
        : make("div", { class: "keys" }, ...speed.offers.map((one) => press(speed.state === "confirm" ? w.yes.replace("{}", one.label) : one.label, "", () => this.answerRate(one.rate, speed.state))),
          make("label", { class: "other" }, w.other_rate, make("input", { inputmode: "decimal", size: 6, onchange: (e) => this.answerRate(Number(e.target.value.replace(",", ".")), "ask") })))] : []));
  }

  answerRate(rate, state) {
    this.work.change((now) => { now.capture = rate ? { rate_hz: rate, known_by: state === "confirm" ? "confirmed" : "asked" } : null; });
    this.changed();
  }

  drawResults() {
    const results = this.data.results;
    const pictures = this.data.run ? picturesOf(this.data.run) : {};
    fill(this.notes, results?.notes ?? [], ...(results?.notes ?? []).map((text) => make("p", { class: "fault" }, text)));
    fill(this.results, [results?.tables, results?.lines, results?.patterns, Object.keys(pictures).length], ...(results?.tables ?? []).map(table),
      ...(results?.lines ?? []).map((text) => make("p", { class: "soft" }, text)),
      results?.patterns?.length ? make("section", {}, make("h2", {}, this.words.patterns), make("ul", { class: "patterns" }, ...results.patterns.map((one) => patternSeen(one, pictures)))) : null);
  }

  close() {
    this.playing = false;
    this.film = null;
    globalThis.removeEventListener("keydown", this.heard, true);
    this.waiting.close();
    this.sees.disconnect();
    this.stage.close();
    this.beside.close();
  }
}

const desks = new WeakMap();

export default function (component) {
  const { parentElement, data, setStateValue, setTriggerValue } = component;
  let root = parentElement.querySelector(":scope > .film");
  if (!root) { root = document.createElement("div"); root.className = "film"; parentElement.append(root); }
  let desk = desks.get(root);
  if (!desk) { desk = new Desk(root, data); desks.set(root, desk); }
  desk.setState = setStateValue;
  desk.setTrigger = setTriggerValue;
  desk.take(data);
  return () => { desk.close(); desks.delete(root); root.remove(); };
}
