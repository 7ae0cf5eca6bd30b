"""The words of Two starts."""

from collections.abc import Callable, Sequence
from typing import Any

from dashboard.wording import CLOCKS, START_KINDS, TIMING, day, full_day, number

# What a phone shows one of at a time; the first three only where there are two starts to set side by side.
PARTS = {
    "steps": "Step by step",
    "curves": "Speed, force",
    "patterns": "What is seen",
    "what_if": "Try a change",
    "trials": "Trials",
    "trend": "Trend, work",
    "squad": "The squad",
    "races": "Sled, races",
}
PARTS_WITHOUT_A_PAIR = {name: PARTS[name] for name in ("trials", "trend", "squad", "races")}
TWO_STARTS = "Two starts"
CHOOSE_NEXT = "Choose an athlete, then two of their starts."
KIND_LABEL, A_LABEL, B_LABEL = "Start, clock and timing", "Start A", "Start B"
NO_RUNS = "No start on record yet that could be looked at: load split times or step timings of two starts."
ONE_RUN = "Only one start of this kind is on record; two are needed to compare."
VERDICTS = {
    "differs": "differs",
    "within_error": "within error",
    "error_unknown": "error not known",
    "one_missing": "only in one",
}
MEASURES = {
    "contact_s": ("Contact", "ms", 1000.0),
    "flight_s": ("Flight after it", "ms", 1000.0),
    "step_length_m": ("Step length", "m", 1.0),
    "speed_mps": ("Speed over the step", "m/s", 1.0),
    "step_frequency_hz": ("Step frequency", "/s", 1.0),
}
WHOLE_RUN = "The whole run"
NUMBERS = "The numbers"
SIDE_BY_SIDE = "Step by step"
SIDE_CAPTION = (
    "Filled circles: A. Open squares: B. Bars: 95 % of measuring error, frame rate and the eye that marks the video "
    "together. ≠ marks a step in which the two differ by more than that. Two runs are not two states of an athlete: "
    "whether the start gets better, the trend below says."
)
COMPARE_METHOD = (
    "Difference = B − A; its error is √(error A² + error B²). A step is called different beyond 2.6 errors, since "
    "some fifty numbers are looked at at once and one in a hundred would pass by luck; a whole-run number beyond "
    "1.96. Times off video count half a frame of marking an event besides the frames themselves. Two runs are not "
    "two states of an athlete: how runs differ from one to the next comes on top, and the trend is the place for "
    "that."
)
SPEED_TITLE = "Speed over the run"
SPEED_CAPTION = (
    "Lines: fitted curve with 95 % band. Flat strokes: mean speed between two gates as timed. Below: how far each gate "
    "lies off its curve; above zero is later than the curve."
)
ERROR_PARTS = "The 10 m off the curve, 95 %."
PUSH_LATE = "From blocks the curve reads it about {} late in both: the push from the blocks is not in it."
OWN_LATE = "Your own gates at 10 m say that the curve reads such starts about {} {} there, in both alike."
FORCE_TITLE = "Push left at each speed"
FORCE_CAPTION = (
    "Forward push per kg, mean over a step, that the fitted curve leaves at a speed, with its 95 % band. From body "
    "mass, height and air too. The first and the last bar lie outside what was run."
)
NO_FORCE = "No force-velocity line for start {}: {}"
NO_CURVE = "Neither start has a curve: {}"
PATTERNS_TITLE = "Seen in these two starts"
NO_PATTERNS = "No pattern was seen in either start, measured or noted. Nothing seen is not the same as nothing there."
TRIALS_TITLE = "A trial of two ways: A against B over sessions"
TRIALS_LEDE = (
    "Two runs say little; a trial does more. Run both ways in each of several sessions, in an order drawn by lot or in "
    "turn, at full effort and timed alike."
)
TRIAL_COLUMNS = (
    ("tried", "trial"),
    ("difference", "B less A"),
    ("interval", "95 %"),
    ("chance", "by chance"),
    ("days", "days"),
    ("runs_a", "runs of A"),
    ("runs_b", "runs of B"),
    ("runs_left_out", "not counted"),
    ("runs_to_see", "runs of each to see it"),
)
LOT_COLUMNS = (("trial_session", "lots"), ("order", "runs, in order"))
LOTS_DRAW, LOTS_BUTTON, LOTS_UNDO = "Draw lots for a trial", "Draw and keep the lots", "Take the lots back"
LOTS_LEDE = (
    "The order of the runs is drawn by lot, in every session as many of A as of B, so that neither a good day nor a "
    "tired end of a session speaks for one of them. A is as before, B is what is tried. Full rest between runs, as "
    "many runs as are run at full effort in any session, no more."
)
LOTS_NAME, LOTS_LIKE = "What is tried (the same name on its runs)", "rear foot one hand back"
LOTS_SESSIONS, LOTS_RUNS = "Sessions", "Runs in each"
LOTS_KEPT = "The lots of ‘{}’ are drawn and kept."
LOTS_BACK = "The lots drawn last are taken back."
LOTS_ALONE = "On paper the lots alone"
LOTS_SAFE = (
    "A new position is learnt submaximally before its first trial; a run that hurts is the last one of the day, "
    "whatever the lot says."
)
LOTS_REFUSED = "Lots are drawn by the head coach and by staff, for athletes of their groups."
LOTS_NO_NAME = "Give the trial a name first: the same words go on its runs."
LOTS_THERE = (
    "‘{}’ has lots already: who draws until they like the lots has drawn none. Take them back, or name the trial "
    "otherwise."
)
NO_TRIALS = "No trial of two ways is on record."
NO_TRIALS_NEXT = (
    "Data, Type in, ‘trials of two starts’: for each run its day and number, one name for the trial, and a or b."
)
OVER_WEEKS = "As a change over weeks, without a trial:"
TRIALS_KEY = (
    "Within a day, day form is the same in both ways. The runs of each day are dealt to A and B anew in every way "
    "there is: ‘by chance’ is the share of them as far apart as what was run, and a difference is called one at 5 % "
    "or less. "
    "Faster to 10 m is not all: look at the steps too. A new position is learnt submaximally first."
)
TREND_TITLE = "The trend and the work beside it"
TREND_KEY = (
    "Circles: sessions. Line and band: level with 95 % interval. Thin bars below: weeks in which that work was done on "
    "two days or more. They went together; that does not show that one caused the other."
)
NO_BLOCKS = "No block of sled, eccentric, hip-flexor, ankle or jump work is on record for this time."
WENT_WITH = "Work that went with it: "
SQUAD_TITLE = "Against the squad"
SQUAD_CAPTION = (
    "Change of the 10 m time over twelve weeks, ms a week; left is faster. By name: nobody is ranked. Open: own "
    "line alone. Filled, with 95 % bar: own line drawn towards the squad’s, the more the fewer the days. Upright: the "
    "squad."
)
NO_SQUAD = "No line of the squad: {}"
FOLLOWED_TITLE = "Decided, and what followed"
NO_FOLLOWED = "Nothing has been decided on the start yet."
FOLLOWED_KEY = "± is 95 %. What followed a decision need not have come from it; other work went on beside it."
SLED_TITLE = "Sled"
NO_SLED = "No sled run on record yet. Time three loads and a free run on one surface, each to top speed."
SLED_GUIDE = (
    "Heavy sled starts are common practice, no source: about three steps at first, up to ten once those are sound, "
    "full rest between. Set the load by the athlete's own slow-down on your own surface: without a sled test no load "
    "can be given."
)
SLED_CAUTION = (
    "Build the load up over weeks and supervise. Heavy sleds cost some top speed in one trial of youths. Stop for "
    "back, groin or Achilles pain; it goes to a doctor or physio."
)
SLED_COLUMNS = (
    ("slow_down", "slower by"),
    ("load_kg", "load, kg"),
    ("low_kg", "from"),
    ("high_kg", "to"),
    ("share", "of body mass"),
    ("note", "tested"),
)
SLED_CLASSES = {"light": "light", "moderate": "moderate", "heavy": "heavy", "very_heavy": "very heavy"}
BEYOND_TESTED = "beyond any load tested"
WHAT_IF_TITLE = "What a change would be worth"
WHAT_IF_LEDE = (
    "A model’s answer for start {}, not a promise: a point mass run step by step from the athlete’s own contacts, "
    "flights and curve. What a change is worth depends on what else stays the same, so the answer is a range."
)
WHICH_STEP, ONE_STEP, WHOLE_CURVE = "Step", "Change one step", "Change the whole run"
CONTACT_CHANGE, FLIGHT_CHANGE, PUSH_CHANGE = "Contact, ms", "Flight before it, ms", "Force in the contact, N/kg"
VMAX_CHANGE, TAU_CHANGE, MASS_CHANGE = "Top speed, m/s", "Time constant, s", "Body mass, %"
MOVE_ONE = "Change one of the numbers to ask."
NO_WHAT_IF = "No answer for this start: {}"
CLOSURE_COLUMNS = (
    ("assumption", "if this stays"),
    ("change_3_s", "3 m, s"),
    ("change_5_s", "5 m, s"),
    ("change_10_s", "10 m, s"),
    ("speed_change_mps", "speed after 3 steps, m/s"),
)
RUN_COLUMNS = (("gate_m", "at, m"), ("low_s", "from, s"), ("high_s", "to, s"))
LEVERS = {
    "contact": ("contact", "ms", 1000.0),
    "flight": ("flight before it", "ms", 1000.0),
    "push": ("force", "N/kg", 1.0),
}
BELOW_IS_FASTER = "Below zero is faster. A gate is left out where the marked steps do not reach it."
WHAT_IF_METHOD = (
    "State at block exit, then per step a flight (air drag only) and a contact with one mean forward force; "
    "acceleration constant within each. The force of a contact is what takes the athlete’s curve from one step to "
    "the next, drag included. Assumed: no change of posture, touchdown distance or leg recovery; straight, level "
    "track, no wind. The state at block exit is that of the curve at 0.45 m; the flight before the first touchdown "
    "is not on record, the next one stands in for it. Source: Newton’s second law step by step; what is held the "
    "same in each row is ours (common practice)."
)
RACES_TITLE = "Races"
NO_RACES = "No race yet."
RACES_CAPTION = (
    "Corrected: the 100 m as it would be in still air at sea level, a model good to about 0.01 s within 2 m/s of wind; "
    "no other distance is corrected. Points: combined events, cut, not rounded."
)
RACE_COLUMNS = (
    ("raced_on", "day"),
    ("event", "event"),
    ("round", "round"),
    ("time_s", "time, s"),
    ("timing_kind", "timing"),
    ("wind_ms", "wind, m/s"),
    ("corrected_s", "corrected, s"),
    ("points", "points"),
    ("notes", "to mind"),
)
NUMBER_COLUMNS = (
    ("step", "step"),
    ("called", "measure"),
    ("a", "A"),
    ("a_error", "±"),
    ("b", "B"),
    ("b_error", "±"),
    ("difference", "B − A"),
    ("error", "±"),
    ("verdict", "apart?"),
)


def lots_title(name: str, tried: str) -> str:
    """Head the lots of one trial."""
    return f"Lots: {tried}, {name}"


def lots_line(lot: dict[str, Any]) -> str:
    """Say by whom and when lots were drawn, and from which seed."""
    who = f" by {lot['drawn_by']}" if lot["drawn_by"] else ""
    when = f" on {full_day(lot['drawn_on'])}" if lot["drawn_on"] else ""
    return f"Drawn{who}{when}, seed {lot['seed']}. A: as before. B: {lot['tried']}."


def error_line(who: str, profile: dict[str, Any]) -> str | None:
    """Write the parts of a run's error at 10 m (95 %); None where it has no curve there."""
    timing, zero = profile.get("t_10_timing_half_width_s"), profile.get("t_10_zero_half_width_s")
    if timing is None or zero is None:
        return None
    by_timing, by_zero = number(1000 * timing, 0, "ms"), number(1000 * zero, 0, "ms")
    return f"{who}: ± {by_timing} by the timing, ± {by_zero} by when the body started to move."


def late_line(profiles: Sequence[dict[str, Any]], sentence_of: Callable[[str], str]) -> str:
    """Say what the curve itself misses the 10 m by, or why that is not known; empty where no run has a curve there."""
    told = next((p for p in profiles if p.get("t_10_model_late_s") is not None), None)
    if told is None:
        reason = next((p["t_10_model_reason"] for p in profiles if p.get("t_10_model_reason")), None)
        return sentence_of(reason) if reason else ""
    late = told["t_10_model_late_s"]
    size = number(1000 * abs(late), 0, "ms")
    if told.get("t_10_model_by") == "own_gates":
        return OWN_LATE.format(size, "late" if late >= 0 else "early")
    return PUSH_LATE.format(size)


def interval(low: float | None, high: float | None) -> str | None:
    """Write a range in ms; None where it is not known."""
    return (
        None if low is None or high is None else f"{number(low, 0, signed=True)} to {number(high, 0, signed=True)} ms"
    )


def kind_name(kind: tuple[str | None, str | None, str | None], runs: int) -> str:
    """Name a kind of start and how many runs of it there are."""
    start, clock, timing = kind
    words = (
        START_KINDS.get(start or "", "start not said"),
        CLOCKS.get(clock or "", "clock not said"),
        TIMING.get(timing or "", "timing not said"),
    )
    return f"{', '.join(words)} ({runs})"


def run_name(run: dict) -> str:
    """Name a run: 16 Nov 2026, run 2, 10 m in 1.924 s, with steps."""
    session = f", session {run['session_no']}" if run["session_no"] > 1 else ""
    time = f", 10 m in {number(run['t_10_s'], 3, 's')}" if run.get("t_10_s") is not None else ", no 10 m time"
    steps = ", with steps" if run["has_steps"] else ""
    return f"{full_day(run['session_date'])}{session}, run {run['rep_no']}{time}{steps}"


def short_run(run: dict) -> str:
    """Name a run shortly: 16 Nov, run 2."""
    return f"{day(run['session_date'])}, run {run['rep_no']}"


def side_alt(measure: str, rows: list[dict]) -> str:
    """Read a chart of steps out."""
    title, unit, scale = MEASURES[measure]
    said = [
        f"step {r['step_no']}: A {number(r['a'] * scale if r['a'] is not None else None, 2)}, "
        f"B {number(r['b'] * scale if r['b'] is not None else None, 2)}"
        f"{', differs' if r['verdict'] == 'differs' else ''}"
        for r in rows
    ]
    return f"{title}, {unit}, by step. {'; '.join(said)}."


def number_row(row: dict) -> dict[str, Any]:
    """Write one row of the comparison for the table behind it."""
    scale, places = (
        (1000.0, 1)
        if row["unit"] == "s" and row["measure"] not in ("t_5_s", "t_10_s", "t_30_s")
        else (1.0, row["places"])
    )
    unit = "ms" if scale > 1 else row["unit"]

    def put(name: str, signed: bool = False) -> str:
        value = row[name]
        return number(None if value is None else value * scale, places, signed=signed)

    return {
        "step": row.get("step_no"),
        "called": f"{row['called']}, {unit}",
        "a": put("a"),
        "a_error": put("a_reach"),
        "b": put("b"),
        "b_error": put("b_reach"),
        "difference": put("difference", signed=True) + (" ≠" if row["verdict"] == "differs" else ""),
        "error": put("difference_reach"),
        "verdict": VERDICTS[row["verdict"]],
    }


def blocks_sentence(blocks: list[dict]) -> str:
    """Say which work went with the trend."""
    return WENT_WITH + " ".join(b["sentence"] for b in blocks) if blocks else NO_BLOCKS


def sled_caption(line: dict) -> str:
    """Say what the line rests on."""
    heavy = SLED_CLASSES.get(line["heaviest_class"] or "", "")
    surface = (line["surface"] or "surface not recorded").replace("_", " ")
    said = f"{full_day(line['fitted_on'])}, {surface}, {line['loads']} loads"
    if line["tested_to_kg"] is not None:
        said += f" to {number(line['tested_to_kg'], 0, 'kg')}"
    if line["heaviest_slow_down_percent"] is not None:
        said += f", which slows by {number(line['heaviest_slow_down_percent'], 0, '%')}" + (
            f" ({heavy})" if heavy else ""
        )
    return said + ". A load holds for this surface, sled and rope only."


def sled_rows(line: dict) -> list[dict]:
    """Return a row per slow-down asked for."""
    rows = []
    for percent in (10, 25, 50):
        if line[f"load_{percent}_kg"] is None:
            continue
        share = line[f"load_{percent}_share"]
        notes = []
        if line[f"load_{percent}_is_beyond"]:
            notes.append(BEYOND_TESTED)
        elif percent == 50:  # a load never pulled is no target
            notes.append("greatest power")
        rows.append(
            {
                "slow_down": f"{percent} %",
                "load_kg": number(line[f"load_{percent}_kg"], 0),
                "low_kg": number(line[f"load_{percent}_low_kg"], 0),
                "high_kg": number(line[f"load_{percent}_high_kg"], 0),
                "share": number(None if share is None else 100 * share, 0, "%"),
                "note": "; ".join(notes),
            }
        )
    return rows


def gain_caption(lever: str, step: int, gate_m: float) -> str:
    """Head the curve of time gained."""
    what = {"contact": "contact of", "flight": "flight before", "push": "force in"}[lever]
    moved = f"when the {what} step {step} changes"
    return f"Time gained at {number(gate_m, 0, 'm')} {moved}. Band: all assumptions, pure delay left out."
