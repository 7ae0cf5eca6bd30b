// What is said once for the whole group: day, who, start, clock, gates, surface, footwear. Nothing is chosen beforehand
// but the day, which is shown; 'not said' is an answer, and has to be given.
import { make, press } from "./parts.js";

const GATE_SETS = ["10", "10, 20", "10, 20, 30", "30", "5, 10, 20, 30"];

/** Distances of gates from what was typed, rising, each once; '10, 20' or '7,5; 15'. */
export function gatesOf(text) {
  const parts = String(text ?? "").includes(";") ? text.split(";") : String(text ?? "").split(/,\s+|\s+/);
  const found = parts.map((one) => Number(one.trim().replace(",", "."))).filter((one) => one > 0 && one <= 400);
  return [...new Set(found)].sort((a, b) => a - b).map(String);
}

export class Setup {
  constructor(data, last, onStart, sheet = null) {
    this.data = data;
    this.words = data.words;
    this.last = last;
    this.onStart = onStart;
    this.sheet = sheet; // the sheet whose facts are changed; null for a new one
    this.facts = sheet ? { ...sheet.facts } : { day: data.today };
    this.chosen = new Set(sheet ? sheet.people.map((one) => one.id) : []);
    this.root = make("div", { class: "setup" });
    this.draw();
  }

  draw() {
    const w = this.words, f = this.facts;
    const parts = [];
    if (!this.sheet && this.last && !f.start && !f.kind) parts.push(press(w.as_last, "", () => this.asLast(), { class: "wide" }));
    parts.push(this.box(w.day, make("input", { type: "date", value: f.day, "aria-label": w.day, max: this.data.today, disabled: Boolean(this.sheet), onchange: (e) => this.say("day", e.target.value) })));
    if (!this.sheet) parts.push(this.people());
    if (!this.sheet && this.clash().length) parts.push(this.sessions());
    parts.push(this.choice("kind", w.kind, this.data.choices.kind));
    parts.push(this.choice("timed", w.timed, [["yes", w.timed_yes], ["no", w.timed_no]]));
    if (f.timed === "yes") {
      parts.push(this.choice("start", w.start, this.data.choices.start_kind), this.choice("clock", w.clock, this.data.choices.clock_start),
        this.choice("timing", w.timing, this.data.choices.timing_kind), this.gates(), this.choice("resistance", w.resistance, this.data.choices.resistance_kind));
    }
    parts.push(this.choice("surface", w.surface, this.data.choices.surface), this.choice("footwear", w.footwear, this.data.choices.footwear));
    const missing = this.missing();
    parts.push(make("div", { class: "send" }, make("p", { class: "note", role: "status" }, missing.length ? `${w.still} ${missing.join(", ")}.` : ""),
      press(this.sheet ? w.change : w.begin, "", () => this.start(), { class: "main", disabled: missing.length > 0 })));
    const at = document.activeElement?.dataset?.at;
    this.root.replaceChildren(...parts);
    if (at) this.root.querySelector(`[data-at="${at}"]`)?.focus();
  }

  box(title, ...inside) { return make("fieldset", {}, make("legend", {}, title), ...inside); }

  choice(name, title, choices) {
    const keys = [...choices, ...(name === "timed" ? [] : [["not_said", this.words.not_said]])];
    return this.box(title, make("div", { class: "keys" }, ...keys.map(([value, label]) => (
      press(label, "", () => this.say(name, value), { "aria-pressed": String(this.facts[name] === value), "data-at": `${name} ${value}` })))));
  }

  gates() {
    const w = this.words, now = (this.facts.gates ?? []).join(", ");
    const own = make("input", { type: "text", inputmode: "decimal", value: GATE_SETS.includes(now) ? "" : now, "aria-label": w.gates_own, placeholder: w.gates_own, onchange: (e) => this.say("gates", gatesOf(e.target.value)) });
    return this.box(w.gates, make("div", { class: "keys" }, ...GATE_SETS.map((set) => press(set, "", () => this.say("gates", gatesOf(set)), { "aria-pressed": String(now === set), "data-at": `gates ${set}` })), own),
      this.facts.clock === "first_gate" ? make("p", { class: "soft" }, w.from_first_gate) : null);
  }

  people() {
    const groups = [...new Map(this.data.people.map((one) => [one.group, one.group_name])).entries()];
    const names = this.data.people.filter((one) => this.shown ? one.group === this.shown : true);
    return this.box(this.words.who, make("div", { class: "keys" }, ...groups.map(([group, name]) => (
      press(name, "", () => this.group(group), { "aria-pressed": String(this.isWhole(group)), "data-at": `group ${group}` })))),
    make("div", { class: "keys names" }, ...names.map((one) => (
      press(one.name, "", () => { this.chosen.has(one.id) ? this.chosen.delete(one.id) : this.chosen.add(one.id); this.draw(); }, { "aria-pressed": String(this.chosen.has(one.id)), "data-at": `who ${one.id}` })))));
  }

  isWhole(group) {
    const of = this.data.people.filter((one) => one.group === group);
    return of.length > 0 && of.every((one) => this.chosen.has(one.id));
  }

  group(group) {
    const isWhole = this.isWhole(group);
    for (const one of this.data.people) if (one.group === group) isWhole ? this.chosen.delete(one.id) : this.chosen.add(one.id);
    this.shown = null;
    this.draw();
  }

  /** Sessions of that day that somebody chosen has on record already: [session, last run]. */
  clash() {
    const day = this.data.on_record[this.facts.day] ?? {};
    const found = {};
    for (const id of this.chosen) for (const [no, last] of Object.entries(day[id] ?? {})) found[no] = Math.max(found[no] ?? 0, last);
    return Object.entries(found).sort();
  }

  sessions() {
    const w = this.words, found = this.clash(), next = Math.max(...found.map(([no]) => Number(no))) + 1;
    const key = (label, session, first) => press(label, "", () => { this.facts.session = String(session); this.firstRun = first; this.draw(); },
      { "aria-pressed": String(this.facts.session === String(session)), "data-at": `session ${session}` });
    return this.box(w.on_record, make("div", { class: "keys" }, ...found.map(([no, last]) => key(fillIn(w.go_on, no, last + 1), no, last + 1)), key(fillIn(w.another, next), next, 1)));
  }

  say(name, value) { this.facts[name] = value; this.draw(); }

  asLast() {
    const { day, session, ...rest } = this.last.facts;
    this.facts = { ...rest, day: this.facts.day };
    this.chosen = new Set(this.last.people.filter((one) => this.data.people.some((now) => now.id === one.id)).map((one) => one.id));
    this.draw();
  }

  missing() {
    const w = this.words, f = this.facts, lacks = [];
    if (!f.day) lacks.push(w.day);
    if (!this.sheet && !this.chosen.size) lacks.push(w.who);
    if (!this.sheet && this.clash().length && !f.session) lacks.push(w.on_record);
    for (const name of ["kind", "timed", "surface", "footwear"]) if (!f[name]) lacks.push(w[name]);
    if (f.timed === "yes") {
      for (const name of ["start", "clock", "timing", "resistance"]) if (!f[name]) lacks.push(w[name]);
      if (!(f.gates ?? []).length) lacks.push(w.gates);
    }
    return lacks.map((one) => one.toLowerCase());
  }

  start() {
    if (this.missing().length) return;
    const isClear = !this.clash().length;
    const facts = { ...this.facts, session: this.sheet ? this.facts.session : isClear ? "1" : this.facts.session };
    const people = this.data.people.filter((one) => this.chosen.has(one.id)).map(({ id, name }) => ({ id, name }));
    this.onStart(facts, people, isClear ? 1 : this.firstRun ?? 1);
  }
}

/** Fill {0}, {1} of a sentence. */
export function fillIn(sentence, ...values) { return values.reduce((said, value, place) => said.replaceAll(`{${place}}`, value), sentence); }
