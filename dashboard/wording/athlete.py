"""Words of the athlete pages."""

import datetime as dt

from dashboard.wording.forms import day, joined, long_day, number, number_word, sentence_case
from dashboard.wording.work import NO_END
from schemas.labels import CLOCKS, START_KINDS, STRENGTHS, TIMING

HOW_COMPUTED = "How this is computed"
NO_ROWS_BEHIND = "No row of the record stands behind this yet."
FROM_FILE = "From file, line"
AS_PICTURE = "The chart as a picture:"
FILE_GONE = "This file is no longer offered. Open the page again and take it from there."


def rows_behind(table: str) -> str:
    """Head the rows of the record that a figure rests on."""
    return f"Rows behind: {table.replace('_', ' ')}"


def strength(how: str | None, read: str | None) -> str:
    """Say how strong a source is and how far it was read."""
    said = STRENGTHS.get(how or "", how or "")
    return f"({said}; cited from {read})" if read else f"({said})"


TRAINING_TODAY, HAMSTRING_TITLE, START_TITLE = "Training today", "Hamstring", "Start"
DAY_OFF_TODAY, NOTHING_IN_ANSWERS = "Day off", "Nothing in your answers is unusual for you."
NOTHING_UNUSUAL = "Nothing unusual for this athlete."
NEVER_CHECKED_IN = "No check-in yet."
CANNOT_SAY, DATA_MISSING = "cannot say", "data are missing"


def quiet_families(names: list) -> str:
    """Name the families that say nothing: Quiet: history and capacity."""
    return f"Quiet: {joined(names)}."


CONTACTS_TITLE = "First three contacts"
RHYTHM_TITLE = "Step frequency over distance"
ACCELERATION_TITLE = "The fastest start of late, as it was run"
AS_RUN_COLUMNS = (
    ("distance_m", "gate, m"),
    ("elapsed_s", "clock, s"),
    ("stretch_speed_mps", "since the gate before, m/s"),
)
BESIDE_TITLE = "Beside others"
BESIDE_CONTEXT = (
    "Figures of other squads, published by your federation. Context, not a target: they say nothing of how this "
    "athlete should be, and no call, flag or advice reads them."
)
TREND_KEY = (
    "Circles: typical time of a session. Line and blue band: level with 95 % interval. Pale band: what measurement "
    "noise and day-to-day spread alone would give. Dotted upright: the day it is compared with."
)
WORK_TITLE, WORK_TITLE_OWN = "Work on next", "This week’s work"
GOES_ON = ("go_on", "go_on_watching")  # advice that holds nothing back: the work stands first
WHY, WOULD_SHOW, EVIDENCE = "Why", "What would show it worked", "Evidence"
LOAD_TITLE, LOAD_UNIT = "Week load", "effort × min"
EXPOSURE_TITLE = "Fast running"
NO_EXPOSURE = "No timed fast run yet. Load splits of maximal runs: speed is judged against the athlete’s own best."
STRENGTH_TITLE, SPRING_TITLE = "Strength", "Spring"
STRENGTH_CAPTION = "Latest of each. A side difference counts only when it is beyond test noise."
SIDES_CAPTION = "Eccentric hamstring force, best of each test day, N."
RACES_TITLE, DECISIONS_TITLE = "Races", "Decisions"
PROFILE_COLUMNS = (
    ("splits_used", "splits"),
    ("rmse_s", "they lie off the curve by, s"),
    ("trust", "trust in the curve"),
    ("vmax_mps", "top speed of the curve, m/s"),
    ("t_10_s", "from movement to 10 m, s"),
    ("t_30_s", "to 30 m, s"),
    ("tau_s", "to 63 % of top speed, s"),
    ("pmax_w_per_kg", "most power, W/kg"),
)
PROFILE_COLUMNS_OWN = PROFILE_COLUMNS[3:6]
LIFT_COLUMNS = (
    ("item", "lift"),
    ("measured_on", "last"),
    ("e1rm_kg", "estimated best, kg"),
    ("formulas", "seven formulas, kg"),
    ("relative_kg_per_kg", "per kg of body"),
    ("allometric_kg", "scaled (mass^0.67)"),
    ("change_vs_best_percent", "against own best, %"),
)
LIFT_COLUMNS_OWN = tuple(
    one for one in LIFT_COLUMNS if one[0] not in ("formulas", "relative_kg_per_kg", "allometric_kg")
)
FORCE_COLUMNS = (
    ("item", "test"),
    ("side", "side"),
    ("measured_on", "last"),
    ("peak_force_n", "force, N"),
    ("force_n_per_kg", "N/kg"),
    ("change_vs_best_percent", "against own best, %"),
    ("p_drop", "probability of a drop"),
)
FORCE_COLUMNS_OWN = tuple(one for one in FORCE_COLUMNS if one[0] not in ("force_n_per_kg", "p_drop"))
DIFFERENCE_COLUMNS = (
    ("item", "test"),
    ("measured_on", "last"),
    ("difference_percent", "right against left, %"),
    ("difference_noise_percent", "test noise, %"),
    ("persistent_side", "weaker three tests running"),
)
SPRING_COLUMNS = (
    ("tested_on", "day"),
    ("test", "test"),
    ("jump_height_m", "height, m"),
    ("usual_height_m", "own usual, m"),
    ("change_percent", "change, %"),
    ("p_drop", "probability of a drop"),
    ("reactive_strength_mps", "height/contact, m/s"),
    ("flight_contact_ratio", "flight/contact"),
    ("hop_stiffness_n_per_m", "stiffness, N/m"),
    ("stiffness_n_per_m_per_kg", "stiffness, N/m/kg"),
)
SPRING_COLUMNS_OWN = SPRING_COLUMNS[:5]
RACE_COLUMNS = (
    ("raced_on", "day"),
    ("event", "event"),
    ("round", "round"),
    ("time_s", "time, s"),
    ("race_outcome", "outcome"),
    ("wind_ms", "wind, m/s"),
    ("timing_kind", "timing"),
    ("reaction_s", "reaction, s"),
    ("place", "place"),
)
RACE_COLUMNS_OWN = tuple(
    one for one in RACE_COLUMNS if one[0] in ("raced_on", "event", "round", "time_s", "wind_ms", "place")
)
DECISION_COLUMNS = (
    ("week_of", "week of"),
    ("topic", "on"),
    ("call", "decided"),
    ("note", "why"),
    ("decided_by", "by"),
)


def since(day_on: dt.date) -> str:
    """Say since when a reason holds."""
    return f"since {long_day(day_on)}"


def last_checkin(day_on: dt.date) -> str:
    """Say when the last check-in was."""
    return f"Last check-in {long_day(day_on)}."


def flag_basis(flag: dict) -> str:
    """Say since when a family speaks, until when, and how strong its evidence is."""
    parts = []
    if flag.get("since_on"):
        parts.append(f"since {day(flag['since_on'])}")
    if flag.get("lapses_on"):
        parts.append(f"until {day(flag['lapses_on'])}")
    elif flag.get("since_on"):
        parts.append(NO_END)
    parts.append(STRENGTHS.get(flag.get("strength") or "", flag.get("strength") or ""))
    return " · ".join(p for p in parts if p)


def noise_facts(progress: dict) -> str:
    """Say how much a change must be to count for this athlete."""
    parts = []
    if progress.get("typical_error") is not None:
        parts.append(f"typical error of one run {in_own_unit(progress, 'typical_error')}")
    if progress.get("swc") is not None:
        parts.append(f"smallest change worth having {in_own_unit(progress, 'swc')}")
    return sentence_case("; ".join(parts)) + "." if parts else ""


def in_own_unit(progress: dict, name: str, *, signed: bool = False) -> str:
    """Write a number of a measure as it is said of it: times in ms, the rest in its unit."""
    unit = progress.get("unit") or ""
    if unit == "s":
        return number(1000 * progress[name], 0, "ms", signed=signed)
    return number(progress[name], 2, unit, signed=signed)


def trend_title(word: str | None, own: bool) -> str:
    """Head the trend with its finding."""
    who = "Your start" if own else "The start"
    return {
        "improving": f"{who} is getting faster",
        "slipping": f"{who} has become slower",
        "holding": f"{who} is holding its level",
        "not_clear": f"{who}: cannot tell yet",
    }.get(word or "", who)


def trend_caption(series: str, progress: dict) -> str:
    """Say what is drawn and how sure the change is."""
    said = sentence_case(series) + "."
    if progress.get("change") is not None:
        low, high = (in_own_unit(progress, name, signed=True) for name in ("change_low", "change_high"))
        change = in_own_unit(progress, "change", signed=True)
        said += f" {change} in the last four weeks against the weeks up to {day(progress['reference_on'])}"
        said += f" (95 %: {low} to {high})."
    return said


def trend_alt(rows: list) -> str:
    """Read the trend out: first and last level."""
    known = [r for r in rows if r["level"] is not None]
    if not known:
        return ""
    return (
        f"From {number(known[0]['level'], 3)} on {day(known[0]['session_date'])} to "
        f"{number(known[-1]['level'], 3)} on {day(known[-1]['session_date'])}."
    )


def contacts_caption(last_on: dt.date, own: bool, on_paper: bool = False) -> str:
    """Say what the contacts are held against; on paper without colours."""
    filled = "Filled" if on_paper else "Blue"
    whose = "your own" if own else "own"
    return (
        f"Milliseconds. Grey: range of {whose} five best starts. {filled}: {long_day(last_on)}, the fastest "
        "start with its measuring error (95 %), no bar where that is not known; open circles: the others."
    )


def rhythm_caption(last_on: dt.date, rhythm: float | None, own: bool) -> str:
    """Say how near the rhythm at 10 m is to the best."""
    whose = "your" if own else "the athlete’s"
    said = f"Blue: fastest start of {long_day(last_on)}. Grey: the starts of the six weeks before."
    return f"{said} At 10 m {100 * rhythm:.0f} % of {whose} highest step frequency." if rhythm is not None else said


def acceleration_caption(rep: dict, own: bool) -> str:
    """Say which rep is drawn, how it was timed, and what is drawn."""
    kind = ", ".join(
        (
            START_KINDS.get(rep["start_kind"], rep["start_kind"] or "start unknown"),
            TIMING.get(rep["timing_kind"], rep["timing_kind"] or "timing unknown"),
            CLOCKS.get(rep["clock_start"], "clock unknown"),
        )
    )
    return (
        f"{long_day(rep['session_date'])}, rep {rep['rep_no']}, {kind}. Line: speed by the curve through the times, "
        "with its 95 % interval. Bars: mean speed between two gates as timed, with their 95 % error."
    )


def residual_caption(rows: list, rep: dict) -> str:
    """Say how far the gates lie off the curve, in ms and in stated timing noise."""
    worst = max(rows, key=lambda r: abs(r["residual_in_noise"]))
    said = (
        f"How far each gate lies off the curve. Band: twice the stated timing noise of "
        f"{number(1000 * worst['noise_s'], 0, 'ms')}. Furthest: {number(worst['distance_m'], 0, 'm')}, "
        f"{number(1000 * worst['residual_s'], 0, 'ms', signed=True)}, {number(abs(worst['residual_in_noise']), 1)} "
        "times the noise."
    )
    if rep["time_offset_s"]:
        said += f" The clock showed {number(rep['time_offset_s'], 2, 's')} when the body began to move."
    if not all(r["is_fitted"] for r in rows):
        said += " Open circles: gates past the fastest 10 m, not fitted."
    return said


def stretch_alt(from_m: float, to_m: float, speed_mps: float) -> str:
    """Read one stretch of a run out."""
    return f"{number(from_m, 0)} to {number(to_m, 0, 'm')}: {number(speed_mps, 2, 'm/s')}."


def patterns_title(last_on: dt.date) -> str:
    """Head the patterns with their day."""
    return f"Seen on {long_day(last_on)}"


def load_title(last: dict, over: bool) -> str:
    """Head the load with its finding."""
    if last["load_au"] is None:
        return "This week’s load is not known in full"
    low = last["own_low_au"]
    if over:
        return "This week’s load is above the usual range"
    if low is not None and last["load_au"] < low:
        return "This week’s load is below the usual range"
    return "This week’s load is inside the usual range" if low is not None else "Week load"


def load_caption(last: dict) -> str:
    """Say the last week in numbers, and what is not known of it."""
    if last["load_au"] is None:
        return (
            f"{last['days_known']} of 7 days known, at least {number(last['load_known_au'], 0)}. Log the other days, "
            "rest days as 0 min. Open bars: weeks not known in full."
        )
    said = f"Effort (0-10) × minutes, {number(last['load_au'], 0)} this week"
    if last["change_percent"] is not None:
        said += f", {number(last['change_percent'], 0, '%', signed=True)} on the week before"
    if last["own_low_au"] is not None and last["own_high_au"] is not None:
        said += f". Band: own range {number(last['own_low_au'], 0)} to {number(last['own_high_au'], 0)}"
    return said + ". A description, not a threshold."


def exposure_title(last: dict) -> str:
    """Head fast running with the days since the last near-maximal run."""
    gap = last["gap_95_days"]
    return (
        EXPOSURE_TITLE if gap is None else f"{gap} day{'s' if gap != 1 else ''} since a run at 95 % of own best speed"
    )


def exposure_caption(last: dict) -> str:
    """Say the fast metres of the week."""
    said = "Metres at 95 % or more, a week"
    if last["timing_kind"]:
        said += f", {TIMING.get(last['timing_kind'], last['timing_kind'])}"
    if last["metres_95"] is not None:
        said += f"; {number(last['metres_95'], 0, 'm')} this week"
    if last["unclassified_efforts"]:
        runs = last["unclassified_efforts"]
        said += f"; {runs} run{'s' if runs != 1 else ''} could not be classed"
    return said + ". Band: usual."


def spring_caption(last: dict) -> str:
    """Say the last jump against the own usual."""
    if last["jump_height_m"] is None or last["usual_height_m"] is None:
        return "Too few test days for an own usual: jump on three more days."
    return (
        f"{long_day(last['tested_on'])}: {number(100 * last['jump_height_m'], 1, 'cm')}, own usual "
        f"{number(100 * last['usual_height_m'], 1, 'cm')}."
    )


ATHLETES, TODAY, MY_START, MY_WORK = "Athletes", "Today", "My start", "My work"
CHOOSE_ATHLETE = "Choose an athlete"
CHOOSE_NEXT = "Choose an athlete here, or open one from the week’s sheet."
NO_ATHLETE_TIED = "This sign-in is tied to no athlete. Ask your coach to tie it to you."


def why_label(reasons: int, *, own: bool = True) -> str:
    """Offer the reasons behind the athlete's call, to the athlete or to a guardian."""
    if not reasons:
        return "Why?"
    whose = "your answers" if own else "the answers"
    return f"Why? {sentence_case(number_word(reasons))} reason{'s' if reasons != 1 else ''}, from {whose}"


MARKS_OF_FILM = "Marked off film, open the marks:"
TYPED_STEPS, MARK_FILM = "These step times were typed or loaded; no marks of a film stand behind them.", "Mark a film"


def film_run(on: dt.date, rep_no: int) -> str:
    """Name a filmed run shortly: 16 Nov, run 2."""
    return f"{day(on)}, run {rep_no}"
