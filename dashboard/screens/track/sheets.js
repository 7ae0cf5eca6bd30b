// What is entered at the track, kept in this browser until the server has confirmed it. No screen in here: cells, the
// entries that carry them, what waits to be sent and what came back.

const DAY_MS = 86_400_000;
const KEPT_DAYS = 3; // confirmed sheets stay so long, to look at; one with something unsent stays until it is sent
const AT_ONCE = 120; // entries of one sending
const WAIT_MS = 25_000; // until a sending without an answer is sent again

/** An id that nobody else makes: 16 random letters and digits. */
export function freshId() {
  const bytes = crypto.getRandomValues(new Uint8Array(16));
  return [...bytes].map((one) => "0123456789abcdefghijklmnopqrstuvwxyz"[one % 36]).join("");
}

/** A number as it may be typed, with a point: '1,74' is 1.74; '' where it is none. */
export function numberOf(text) {
  const plain = String(text ?? "").trim().replace(",", ".");
  return /^(\d+\.?\d*|\.\d+)$/.test(plain) ? String(Number(plain)) : "";
}

/** A time: its point has to be typed, so that 174 is never 1.74 or 174 by guessing. */
export function timeOf(text) {
  return /[.,]\d/.test(String(text ?? "")) ? numberOf(text) : "";
}

export class Sheets {
  constructor(who, storage = window.localStorage, now = () => Date.now()) {
    this.place = `thirdstep-track ${who}`;
    this.storage = storage;
    this.now = now;
    this.isKept = true;
    this.load();
  }

  load() {
    try { this.all = JSON.parse(this.storage.getItem(this.place) ?? "[]"); } catch { this.all = []; }
    if (!Array.isArray(this.all)) this.all = [];
    const old = this.now() - KEPT_DAYS * DAY_MS;
    this.all = this.all.filter((sheet) => this.waiting(sheet) || sheet.at > old);
  }

  save() {
    try { this.storage.setItem(this.place, JSON.stringify(this.all)); this.isKept = true; } catch { this.isKept = false; }
  }

  open(facts, people, firstRun) {
    const sheet = { id: freshId(), at: this.now(), facts, people, firstRun, cells: {}, sent: {}, refused: {}, outbox: [], back: [], steps: [], closed: false };
    this.all.unshift(sheet);
    this.save();
    return sheet;
  }

  get current() { return this.all.find((sheet) => !sheet.closed) ?? null; }

  close(sheet) { sheet.closed = true; this.save(); }

  /** How many entries of a sheet the server has not answered yet. */
  waiting(sheet) { return sheet.outbox.length + sheet.back.length; }

  /** The cell of a run ('run athlete 3') or of an athlete's session ('end athlete'). */
  cell(sheet, key) { return sheet.cells[key] ?? null; }

  /** Put a value into a cell, or null to empty it; one step of undo. */
  put(sheet, key, value) {
    const before = sheet.cells[key] ?? null;
    if (JSON.stringify(before?.value ?? null) === JSON.stringify(value)) return;
    sheet.steps = [...sheet.steps.slice(-199), { key, before }];
    if (value === null) this.takeOut(sheet, key); else this.enter(sheet, key, value, before);
    this.save();
  }

  enter(sheet, key, value, before, instead = false) {
    const id = freshId();
    const { table, row } = rowOf(sheet, key, value);
    sheet.cells[key] = { value, id, under: before ? [...(before.under ?? []), before.id] : [] };
    sheet.outbox.push({ id, place: key, table, row, instead });
    if (before) delete sheet.refused[before.id];
    const athlete = key.split(" ")[1];
    if (table === "rep" && !sheet.sent[athlete] && !sheet.cells[`end ${athlete}`]) {
      sheet.sent[athlete] = true; // what holds for the session, said once for each athlete who ran
      sheet.outbox.push({ id: freshId(), place: `facts ${athlete}`, table: "session", row: sessionRow(sheet, athlete), instead: false });
    }
  }

  takeOut(sheet, key) {
    const cell = sheet.cells[key];
    if (!cell) return;
    for (const id of [cell.id, ...(cell.under ?? [])]) this.forget(sheet, id);
    delete sheet.cells[key];
  }

  /** Let an entry be as if never made: out of what waits, or taken back where it may have arrived. */
  forget(sheet, id) {
    const waits = sheet.outbox.find((one) => one.id === id);
    sheet.outbox = sheet.outbox.filter((one) => one.id !== id);
    const refused = sheet.refused[id];
    delete sheet.refused[id];
    if ((waits && !waits.tried) || refused) return;
    sheet.back.push(id);
  }

  /** Take the last step back: what stood in the cell before stands there again. */
  undo(sheet) {
    const step = sheet.steps.pop();
    if (!step) return null;
    const cell = sheet.cells[step.key];
    if (step.before === null) this.takeOut(sheet, step.key);
    else if (cell && (cell.under ?? []).includes(step.before.id)) {
      this.forget(sheet, cell.id); // the entry beneath it was never taken out: it counts again
      sheet.cells[step.key] = step.before;
    } else this.enter(sheet, step.key, step.before.value, null);
    this.save();
    return step.key;
  }

  /** Send a refused entry once more, to stand in the place of what another source says. */
  insist(sheet, key) {
    const cell = sheet.cells[key];
    if (!cell) return;
    delete sheet.refused[cell.id];
    this.enter(sheet, key, cell.value, null, true);
    this.save();
  }

  /** Make every run's entry anew with the facts of now. */
  againWithFacts(sheet) {
    for (const [key, cell] of Object.entries(sheet.cells)) if (key.startsWith("run ")) this.enter(sheet, key, cell.value, cell);
    for (const athlete of Object.keys(sheet.sent)) sheet.outbox.push({ id: freshId(), place: `facts ${athlete}`, table: "session", row: sessionRow(sheet, athlete), instead: false });
    this.save();
  }

  /** What to send now: at most one entry of each place, so that no sending says two things of one run. */
  parcel() {
    const due = this.now() - WAIT_MS;
    for (const sheet of this.all) {
      if (!this.waiting(sheet)) continue;
      if (sheet.sending && sheet.sending > due) return null; // one at a time, in order
      const places = new Set();
      const entries = [];
      for (const one of sheet.outbox) {
        if (places.has(one.place)) continue;
        places.add(one.place);
        one.tried = true;
        entries.push({ id: one.id, table: one.table, row: one.row, instead: one.instead });
        if (entries.length >= AT_ONCE) break;
      }
      sheet.sending = this.now();
      this.save();
      return { sheet: sheet.id, entries, taken_back: sheet.back.slice(0, AT_ONCE), no: sheet.sending };
    }
    return null;
  }

  /** Take what the server answered. Only what it names goes out of what waits. */
  confirm(receipt) {
    const sheet = this.all.find((one) => one.id === receipt?.sheet);
    if (!sheet || (sheet.answered ?? 0) >= receipt.no) return false;
    sheet.answered = receipt.no;
    sheet.sending = null;
    sheet.problem = receipt.problem ?? "";
    const kept = new Set(receipt.kept ?? []);
    for (const one of receipt.refused ?? []) {
      const entry = sheet.outbox.find((waits) => waits.id === one.entry);
      // What holds for the session and stands there already in other words is left as it stands.
      if (entry && !entry.place.startsWith("facts ")) sheet.refused[one.entry] = { why: one.why, isThere: one.is_there };
      kept.add(one.entry);
    }
    const back = new Set(receipt.taken_back ?? []);
    sheet.outbox = sheet.outbox.filter((one) => !kept.has(one.id));
    sheet.back = sheet.back.filter((id) => !back.has(id));
    if (!sheet.problem) sheet.confirmed = this.now();
    this.save();
    return true;
  }

  state(sheet, key) {
    const cell = sheet.cells[key];
    if (!cell) return "empty";
    if (sheet.refused[cell.id]) return "refused";
    return sheet.outbox.some((one) => one.id === cell.id) ? "waits" : "kept";
  }
}

/** The record row of a cell, with what was said once for the session. */
export function rowOf(sheet, key, value) {
  const [kind, athlete, run] = key.split(" ");
  if (kind === "end") return { table: "session", row: { ...sessionRow(sheet, athlete), duration_min: value.minutes, effort_0_10: value.effort } };
  const f = sheet.facts;
  const row = { athlete_id: athlete, session_date: f.day, session_no: f.session, rep_no: run, start_kind: f.start, clock_start: f.clock, timing_kind: f.timing,
    resistance_kind: f.resistance, resistance_load_kg: value.load, outcome: value.outcome };
  for (const [gate, time] of Object.entries(value.times ?? {})) row[`${gate} m`] = time;
  return { table: "rep", row: said(row) };
}

function sessionRow(sheet, athlete) {
  const f = sheet.facts;
  return said({ athlete_id: athlete, session_date: f.day, session_no: f.session, kind: f.kind, surface: f.surface, footwear: f.footwear });
}

/** Only what was said: an empty or unknown answer is left out, never put as another. */
function said(row) {
  return Object.fromEntries(Object.entries(row).filter(([, value]) => value !== undefined && value !== null && value !== "" && value !== "not_said"));
}
