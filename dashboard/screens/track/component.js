// The track page: a grid of athletes and runs with big keys, minutes and effort at the end. Works without a line: every
// tap is kept in this browser at once and sent when there is one.
import { make, press } from "./parts.js";
import { doubtOf, faultOf } from "./faults.js";
import { Pad } from "./pad.js";
import { fillIn, Setup } from "./setup.js";
import { numberOf, Sheets } from "./sheets.js";

const QUIET_MS = 6_000; // after the last tap, then what waits is sent together
const LOOK_MS = 2_000;
const MINUTES = ["30", "45", "60", "75", "90", "105", "120"];
const EFFORTS = ["0", "1", "2", "3", "4", "5", "6", "7", "8", "9", "10"];

class Track {
  constructor(root, data) {
    this.root = root;
    this.words = data.words;
    this.sheets = new Sheets(data.who);
    this.pad = new Pad(data.words, (text) => this.typed(text), () => this.onward(), () => this.shut());
    this.pad.root.addEventListener("click", (event) => event.stopPropagation());
    this.view = "runs";
    this.at = null; // the cell under the pad
    this.lastTap = 0;
    this.body = make("div", { class: "body" });
    this.line = make("p", { class: "line", role: "status" });
    this.root.replaceChildren(this.body, this.pad.root, this.line);
    this.heard = (event) => { if (this.pad.key(event)) this.lastTap = Date.now(); };
    document.addEventListener("keydown", this.heard);
    this.seen = () => { this.sheets.load(); this.draw(); };
    window.addEventListener("storage", this.seen);
    this.goes = () => { if (document.visibilityState === "hidden") this.send(); };
    document.addEventListener("visibilitychange", this.goes);
    this.back = () => this.send();
    window.addEventListener("online", this.back);
    this.clock = setInterval(() => this.look(), LOOK_MS);
  }

  close() {
    document.removeEventListener("keydown", this.heard);
    window.removeEventListener("storage", this.seen);
    document.removeEventListener("visibilitychange", this.goes);
    window.removeEventListener("online", this.back);
    clearInterval(this.clock);
  }

  take(data) {
    this.data = data;
    this.words = data.words;
    const isNew = data.receipt ? this.sheets.confirm(data.receipt) : false;
    if (isNew || !this.isDrawn) this.draw();
  }

  // Sending

  look() {
    this.say();
    if (Date.now() - this.lastTap > QUIET_MS) this.send();
  }

  send() {
    if (!this.setTrigger || navigator.onLine === false) return;
    const parcel = this.sheets.parcel();
    if (parcel) { try { this.setTrigger("send", parcel); } catch { /* no line: it is sent again later */ } }
    this.say();
  }

  say() {
    const w = this.words, waits = this.sheets.all.reduce((sum, one) => sum + this.sheets.waiting(one), 0);
    const refused = this.sheets.all.reduce((sum, one) => sum + Object.keys(one.refused).length, 0);
    const latest = Math.max(0, ...this.sheets.all.map((one) => one.confirmed ?? 0));
    const problem = this.sheets.all.map((one) => one.problem).find(Boolean);
    const said = this.leftOut && !this.pad.isOpen ? [this.leftOut] : [];
    if (!this.sheets.isKept) said.push(w.keeps_nothing);
    if (refused) said.push(fillIn(w.refused, refused));
    if (problem && waits) said.push(problem);
    if (waits) said.push(fillIn(navigator.onLine === false ? w.no_line : w.waits, waits));
    else if (latest) said.push(fillIn(w.all_sent, new Date(latest).toLocaleTimeString([], { hour: "2-digit", minute: "2-digit" })));
    const text = said.join(" ");
    if (this.line.textContent !== text) this.line.textContent = text;
    this.line.classList.toggle("open", Boolean(refused || waits || !this.sheets.isKept || (this.leftOut && !this.pad.isOpen)));
  }

  // What is shown

  draw() {
    this.isDrawn = true;
    const sheet = this.sheets.current;
    const at = document.activeElement?.dataset?.cell;
    const left = this.body.querySelector(".grid")?.scrollLeft;
    this.root.classList.toggle("typing", this.pad.isOpen);
    if (!sheet) this.body.replaceChildren(...this.before());
    else this.body.replaceChildren(this.top(sheet), ...(this.view === "runs" && sheet.facts.timed === "yes" ? this.runs(sheet) : this.view === "setup" ? this.facts(sheet) : this.ends(sheet)));
    const grid = this.body.querySelector(".grid");
    if (grid) grid.scrollLeft = left ?? grid.scrollWidth;
    if (at) this.body.querySelector(`[data-cell="${CSS.escape(at)}"]`)?.focus({ preventScroll: true });
    this.say();
  }

  before() {
    const last = this.sheets.all[0] ?? null;
    this.setup ??= new Setup(this.data, last, (facts, people, first) => { this.setup = null; this.sheets.open(facts, people, first); this.view = facts.timed === "yes" ? "runs" : "ends"; this.draw(); });
    const kept = this.sheets.all.slice(0, 3).map((one) => make("li", {}, `${one.facts.day}: ${one.people.length} ${this.words.people}. `,
      press(this.words.reopen, "", () => { one.closed = false; this.setup = null; this.sheets.save(); this.view = one.facts.timed === "yes" ? "runs" : "ends"; this.draw(); }, { class: "plain" })));
    return [this.setup.root, kept.length ? make("div", { class: "kept" }, make("h2", {}, this.words.kept_here), make("ul", {}, ...kept)) : null].filter(Boolean);
  }

  top(sheet) {
    const w = this.words;
    const tab = (view, word) => press(word, "", () => { this.shut(); this.view = view; this.draw(); }, { "aria-pressed": String(this.view === view), "data-cell": `tab ${view}` });
    const tabs = [...(sheet.facts.timed === "yes" ? [tab("runs", w.runs)] : []), tab("ends", w.ends), tab("setup", w.set_up)];
    return make("div", { class: "top" }, make("div", { class: "keys tabs" }, ...tabs,
      press(w.undo, "", () => { const key = this.sheets.undo(sheet); this.touched(); if (key && this.pad.isOpen) this.shut(); this.draw(); }, { disabled: !sheet.steps.length, class: "undo" })));
  }

  lastRun(sheet) {
    const used = Object.keys(sheet.cells).filter((key) => key.startsWith("run ")).map((key) => Number(key.split(" ")[2]));
    return Math.max(sheet.firstRun - 1, ...used);
  }

  runs(sheet) {
    const w = this.words, from = sheet.firstRun, to = Math.max(this.lastRun(sheet) + 1, from + 2, Number(this.at?.split(" ")[2] ?? 0));
    const nos = Array.from({ length: to - from + 1 }, (_, n) => from + n);
    const head = make("tr", {}, make("th", { scope: "col" }, w.run), ...nos.map((no) => make("th", { scope: "col" }, String(no))));
    const rows = sheet.people.map((one) => make("tr", {}, make("th", { scope: "row" }, short(one.name, sheet.people)), ...nos.map((no) => make("td", {}, this.key(sheet, `run ${one.id} ${no}`, `${one.name}, ${w.run} ${no}`)))));
    return [make("p", { class: "soft said-once" }, this.saidOnce(sheet)), make("div", { class: "grid", tabindex: "0", role: "group", "aria-label": w.grid }, make("table", {}, make("thead", {}, head), make("tbody", {}, ...rows)))];
  }

  saidOnce(sheet) {
    const f = sheet.facts, label = (list, value) => (this.data.choices[list].find(([one]) => one === value) ?? [null, this.words.not_said])[1];
    return [f.day, label("start_kind", f.start), label("clock_start", f.clock), label("timing_kind", f.timing), `${f.gates.join(", ")} m`, label("resistance_kind", f.resistance)].join(" · ");
  }

  key(sheet, key, label) {
    const cell = this.sheets.cell(sheet, key), state = this.sheets.state(sheet, key), w = this.words;
    const value = cell?.value;
    const times = value ? Object.values(value.times ?? {}) : [];
    const shown = value ? (times.length ? times.at(-1) : w.outcomes[value.outcome] ?? "") : "";
    const more = times.length > 1 ? make("small", {}, times.slice(0, -1).join(" ")) : value?.load ? make("small", {}, `${value.load} kg`) : null;
    const said = `${label}: ${shown || w.empty}${state === "waits" ? `, ${w.waiting}` : state === "refused" ? `, ${w.not_kept}` : ""}`;
    return within(press("", "", () => this.go(key), { class: `cell ${state}${this.at === key ? " here" : ""}`, "data-cell": key, "aria-label": said }), shown, more, state === "refused" ? "!" : "");
  }

  facts(sheet) {
    const w = this.words;
    this.changing ??= new Setup(this.data, null, (facts) => { sheet.facts = { ...sheet.facts, ...facts }; this.sheets.save(); this.changing = null; this.view = facts.timed === "yes" ? "runs" : "ends"; this.draw(); }, sheet);
    const count = Object.keys(sheet.cells).filter((key) => key.startsWith("run ")).length;
    return [make("p", { class: "soft" }, w.from_now), this.changing.root,
      make("div", { class: "keys" }, count ? press(fillIn(w.all_anew, count), "", () => { const { facts } = this.changing; if (this.changing.missing().length) return; sheet.facts = { ...sheet.facts, ...facts, session: sheet.facts.session, day: sheet.facts.day }; this.sheets.againWithFacts(sheet); this.changing = null; this.touched(); this.view = "runs"; this.draw(); }) : null,
        press(w.finish, "", () => { this.changing = null; this.shut(); this.sheets.close(sheet); this.send(); this.draw(); }))];
  }

  // Minutes and effort

  ends(sheet) {
    const w = this.words, now = this.who(sheet);
    const list = sheet.people.map((one) => {
      const key = `end ${one.id}`, value = this.sheets.cell(sheet, key)?.value ?? {}, state = this.sheets.state(sheet, key);
      return make("tr", { class: one.id === now?.id ? "now" : "" }, make("th", { scope: "row" }, press(short(one.name, sheet.people), "", () => { this.shut(); this.turn = one.id; this.draw(); }, { class: "plain", "data-cell": `who ${one.id}` })),
        make("td", {}, press(value.minutes ? `${value.minutes} min` : w.minutes, "", () => this.go(key), { class: `cell ${value.minutes ? state : "empty"}${this.at === key ? " here" : ""}`, "data-cell": key, "aria-label": `${one.name}, ${w.minutes}: ${value.minutes ?? w.empty}` })),
        make("td", { class: `effort ${value.effort === undefined ? "empty" : state}` }, value.effort ?? "–", state === "refused" ? " !" : ""));
    });
    const all = make("fieldset", {}, make("legend", {}, w.minutes_all), make("div", { class: "keys" }, ...MINUTES.map((one) => press(one, "", () => this.minutesForAll(sheet, one), { "aria-pressed": String(sheet.minutes === one), "data-cell": `all ${one}` }))));
    const ask = now ? make("fieldset", { class: "ask" }, make("legend", {}, fillIn(w.effort_of, now.name)),
      make("div", { class: "keys eleven" }, ...EFFORTS.map((one) => press(one, "", () => this.effort(sheet, now.id, one), { "data-cell": `effort ${one}`, "aria-pressed": String(this.sheets.cell(sheet, `end ${now.id}`)?.value?.effort === one) }))),
      make("div", { class: "keys" }, press(w.not_there, "", () => this.skip(sheet, now.id), { class: "wide" })), make("p", { class: "soft" }, w.effort_words)) : make("p", { class: "note" }, w.all_asked);
    const why = Object.entries(sheet.refused).map(([id, one]) => { const key = Object.keys(sheet.cells).find((place) => sheet.cells[place].id === id); return key?.startsWith("end ") ? this.refusal(sheet, key, one) : null; });
    return [ask, all, ...why.filter(Boolean), make("table", { class: "ends" }, make("tbody", {}, ...list))];
  }

  who(sheet) {
    const asked = this.turn && sheet.people.find((one) => one.id === this.turn);
    return asked || sheet.people.find((one) => this.sheets.cell(sheet, `end ${one.id}`)?.value?.effort === undefined && !(sheet.away ?? []).includes(one.id)) || null;
  }

  minutesForAll(sheet, minutes) {
    sheet.minutes = minutes; // goes with each effort; who has one already gets it now
    for (const one of sheet.people) {
      const cell = this.sheets.cell(sheet, `end ${one.id}`);
      if (cell && !cell.value.own) this.sheets.put(sheet, `end ${one.id}`, { ...cell.value, minutes });
    }
    this.sheets.save();
    this.touched();
    this.draw();
  }

  effort(sheet, id, effort) {
    const value = this.sheets.cell(sheet, `end ${id}`)?.value ?? {};
    sheet.away = (sheet.away ?? []).filter((one) => one !== id);
    this.sheets.put(sheet, `end ${id}`, { ...value, ...(value.minutes ? {} : { minutes: sheet.minutes }), effort });
    this.turn = null;
    this.touched();
    this.draw();
  }

  skip(sheet, id) {
    sheet.away = [...new Set([...(sheet.away ?? []), id])];
    this.turn = null;
    this.sheets.save();
    this.draw();
  }

  // The pad

  go(key) {
    this.leave();
    const sheet = this.sheets.current, w = this.words, [kind, id, run] = key.split(" ");
    const name = sheet.people.find((one) => one.id === id)?.name ?? "", value = this.sheets.cell(sheet, key)?.value ?? {};
    this.at = key;
    this.settled = new Set(); // what was asked about once
    this.said = this.leftOut ? { say: this.leftOut } : null;
    this.leftOut = "";
    this.draft = { ...value, times: { ...(value.times ?? {}) } };
    this.parts = kind === "end" ? ["minutes"] : [...(sheet.facts.resistance && !["none", "not_said"].includes(sheet.facts.resistance) ? ["load"] : []), ...sheet.facts.gates];
    if (kind === "run" && this.parts[0] === "load" && !this.draft.load) this.draft.load = this.loadBefore(sheet, id, Number(run)) ?? undefined;
    this.part = kind === "run" ? this.parts.find((one) => one !== "load" && !this.draft.times[one]) ?? sheet.facts.gates[0] : "minutes";
    if (this.parts[0] === "load" && !this.draft.load) this.part = "load";
    this.pad.head.textContent = kind === "end" ? `${name}, ${w.minutes}` : `${name}, ${w.run} ${run}`;
    this.pad.show(this.textOf(this.part));
    this.fillPad();
    this.draw();
    this.body.querySelector(`[data-cell="${CSS.escape(key)}"]`)?.scrollIntoView({ block: "nearest", inline: "nearest" });
  }

  /** The load the athlete pulled in an earlier run of the sheet: shown, and kept with this run once it has a time. */
  loadBefore(sheet, id, run) {
    for (let no = run - 1; no >= sheet.firstRun; no -= 1) { const load = this.sheets.cell(sheet, `run ${id} ${no}`)?.value?.load; if (load) return load; }
    return null;
  }

  textOf(part) { return part === "minutes" ? this.draft.minutes ?? "" : part === "load" ? this.draft.load ?? "" : this.draft.times[part] ?? ""; }

  fillPad() {
    const w = this.words, sheet = this.sheets.current, isRun = this.at.startsWith("run ");
    const label = (part) => (part === "minutes" ? w.minutes : part === "load" ? w.load : `${part} m`);
    this.pad.tabs.replaceChildren(...this.parts.map((part) => within(press("", "", () => this.turnTo(part), { "aria-pressed": String(part === this.part), "data-part": part }), label(part), make("b", {}, this.textOf(part) || "·"))));
    this.pad.say(this.said?.say ?? "", [...(this.said?.offers ?? []).map((text) => press(fillIn(w.it_is, text), "", () => { this.pad.put(text); this.onward(); }, { "data-offer": text })),
      this.said?.other ? press(fillIn(w.change_gate, label(this.said.other)), "", () => this.turnTo(this.said.other), { "data-other": this.said.other }) : null].filter(Boolean));
    this.pad.next.textContent = this.said?.isDoubt ? w.keep_it : w.next;
    const cell = this.sheets.cell(sheet, this.at), refused = cell && sheet.refused[cell.id];
    this.pad.extra.replaceChildren(...[refused ? this.refusal(sheet, this.at, refused) : null,
      isRun ? press(w.outcomes.stopped, "", () => this.ended("stopped"), { "aria-pressed": String(this.draft.outcome === "stopped") }) : null,
      isRun ? press(w.outcomes.false_start, "", () => this.ended("false_start"), { "aria-pressed": String(this.draft.outcome === "false_start") }) : null,
      cell ? press(w.clear, "", () => { this.sheets.put(sheet, this.at, null); this.touched(); this.at = null; this.pad.hide(); this.draw(); }) : null].filter(Boolean));
  }

  refusal(sheet, key, one) {
    const name = sheet.people.find((who) => who.id === key.split(" ")[1])?.name ?? "";
    return make("p", { class: "refusal" }, `${name}: ${one.why} `, one.isThere ? press(this.words.instead, "", () => { this.sheets.insist(sheet, key); this.touched(); this.draft = null; this.at = null; this.pad.hide(); this.draw(); }, { class: "plain" }) : null,
      one.isThere ? press(this.words.leave, "", () => { this.sheets.takeOut(sheet, key); this.sheets.save(); this.draft = null; this.at = null; this.pad.hide(); this.draw(); }, { class: "plain" }) : null);
  }

  typed(text) {
    if (this.part === "minutes") this.draft.minutes = text;
    else if (this.part === "load") this.draft.load = text;
    else this.draft.times[this.part] = text;
    this.lastTap = Date.now();
    this.said = null;
    this.fillPad();
  }

  turnTo(part) { this.part = part; this.said = null; this.pad.show(this.textOf(part)); this.fillPad(); }

  ended(outcome) { this.draft.outcome = this.draft.outcome === outcome ? undefined : outcome; this.fillPad(); }

  /** What keeps the draft from being kept: the part and the sentence; null where nothing does. */
  wrong() {
    const w = this.words, d = this.draft;
    for (const part of ["minutes", "load"]) if (d[part] && !numberOf(d[part])) return { part, say: fillIn(w.no_number, d[part]) };
    return faultOf(d.times ?? {}, w, this.data.limits, this.part);
  }

  /** What is odd about the time of a gate and was not asked yet. */
  doubt(gate) {
    const sheet = this.sheets.current, text = this.draft.times?.[gate], id = this.at.split(" ")[1], f = sheet.facts;
    if (!text || this.draft.outcome || this.settled.has(`${gate} ${text}`)) return null;
    const isFree = ["none", "not_said"].includes(f.resistance ?? "not_said"); // under a load times differ by the load
    const own = { now: [], before: isFree ? this.data.own_times?.[id]?.[`${f.start} ${f.clock} ${gate}`] ?? [] : [] }, others = [];
    for (const [key, cell] of Object.entries(sheet.cells)) {
      const time = key.startsWith("run ") && key !== this.at && !cell.value.outcome && cell.value.times?.[gate];
      if (time) (key.split(" ")[1] === id ? own.now : others).push(time);
    }
    const limits = isFree ? this.data.limits : { ...this.data.limits, unusual: Infinity };
    return doubtOf(text, gate, f.timing, own, others, this.words, limits);
  }

  /** Say what is wrong or odd where it stands; the next digit writes a new value. */
  point(found, isDoubt = false) {
    this.part = found.part;
    if (isDoubt) this.settled.add(`${found.part} ${this.textOf(found.part)}`);
    this.said = { ...found, isDoubt };
    this.pad.show(this.textOf(found.part));
    this.fillPad();
  }

  /** Leave the cell: what can be kept is kept, what cannot is left out, and both that and what is odd is said. */
  leave() {
    if (!this.at || !this.draft) return;
    const stood = this.sheets.cell(this.sheets.current, this.at)?.value ?? {}, w = this.words, out = [], back = new Set();
    const who = this.pad.head.textContent;
    for (let bad = this.wrong(); bad; bad = this.wrong()) {
      const home = bad.part in (this.draft.times ?? {}) ? this.draft.times : this.draft;
      const before = (home === this.draft ? stood : stood.times ?? {})[bad.part];
      out.push(`${home[bad.part]}${home === this.draft ? "" : ` (${bad.part} m)`}`);
      if (before && !back.has(bad.part)) home[bad.part] = before; else delete home[bad.part];
      back.add(bad.part);
    }
    const odd = Object.keys(this.draft.times ?? {}).map((gate) => this.doubt(gate)).find(Boolean);
    this.commit();
    this.leftOut = out.length ? fillIn(w.left_out, who, [...new Set(out)].join(", ")) : odd ? `${who}. ${odd.say} ${w.kept_so}` : "";
  }

  /** Put the draft into its cell; nothing in it is wrong any more. */
  commit() {
    const sheet = this.sheets.current, d = this.draft;
    const times = Object.fromEntries(Object.entries(d.times ?? {}).filter(([, text]) => text).map(([gate, text]) => [gate, text.replace(",", ".")]));
    if (this.at.startsWith("run ")) {
      if (Object.keys(times).length || d.outcome) this.sheets.put(sheet, this.at, { times, ...(d.outcome ? { outcome: d.outcome } : {}), ...(d.load ? { load: numberOf(d.load) } : {}) });
      else if (this.sheets.cell(sheet, this.at)) this.sheets.put(sheet, this.at, null);
    } else {
      const { times: _, ...rest } = d;
      if (d.minutes) this.sheets.put(sheet, this.at, { ...rest, minutes: numberOf(d.minutes), own: true });
    }
    this.touched();
  }

  onward() {
    const sheet = this.sheets.current, place = this.parts.indexOf(this.part), bad = this.wrong();
    if (bad) { this.point(bad); return; }
    const odd = this.at.startsWith("run ") && this.doubt(this.part);
    if (odd) { this.point(odd, true); return; }
    if (this.at.startsWith("run ") && place + 1 < this.parts.length && this.textOf(this.part) && !this.draft.outcome) {
      this.turnTo(this.parts[place + 1]);
      return;
    }
    const [kind, id, run] = this.at.split(" "), row = sheet.people.findIndex((one) => one.id === id), below = sheet.people[row + 1];
    this.commit();
    if (kind === "end") { below ? this.go(`end ${below.id}`) : this.shut(); return; }
    this.go(below ? `run ${below.id} ${run}` : `run ${sheet.people[0].id} ${Number(run) + 1}`);
  }

  shut() {
    this.leave();
    this.at = null;
    this.draft = null;
    this.pad.hide();
    this.draw();
  }

  touched() { this.lastTap = Date.now(); }
}

/** Put parts into an element and return it; empty ones are left out. */
function within(element, ...inside) { element.replaceChildren(...inside.filter((one) => one !== null && one !== undefined && one !== "")); return element; }

/** A first name, with the initial of the last where two share it. */
function short(name, people) {
  const [first, ...rest] = name.split(" ");
  const same = people.filter((one) => one.name.split(" ")[0] === first).length > 1;
  return same && rest.length ? `${first} ${rest.at(-1)[0]}.` : first;
}

const tracks = new WeakMap();

export default function (component) {
  const { parentElement, data, setTriggerValue } = component;
  let root = parentElement.querySelector(":scope > .track");
  if (!root) { root = document.createElement("div"); root.className = "track"; parentElement.append(root); }
  let track = tracks.get(root);
  if (!track) { track = new Track(root, data); tracks.set(root, track); }
  track.setTrigger = setTriggerValue;
  track.take(data);
  return () => { track.close(); tracks.delete(root); root.remove(); };
}
