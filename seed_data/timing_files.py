"""The timing folder: splits wide and long, in the spellings of whoever exported them; steps, set positions, notes."""

import datetime as dt
import unicodedata
from typing import Any

from seed_data import cases
from seed_data.runs import Run
from seed_data.sheets import Column, Row, SeedFile, Sheet
from seed_data.squad import BY_ID, WEEKS, week_number, week_start
from seed_data.starts import arms_and_head, notes_of, set_position, steps_of
from seed_data.wellness import body_mass_kg

C = Column
START_WORDS = {"blocks": "blocks", "standing": "standing", "three_point": "three point", "rolling": "flying"}
CLOCK_WORDS = {"gun": "gun", "first_movement": "first movement", "first_gate": "first gate"}
JUMPERS = "horizontal_jumps"


def run_row(run: Run) -> dict[str, Any]:
    """Return a run as the row of a sheet: its keys, its words and a value per gate."""
    row: dict[str, Any] = {
        name: getattr(run, name)
        for name in ("athlete_id", "session_date", "session_no", "rep_no", "distance_m", "start_kind", "clock_start",
                     "gate_offset_m", "reaction_s", "timing_kind", "wind_ms", "resistance_kind", "resistance_load_kg",
                     "effort_percent", "outcome")
    }  # fmt: skip
    row["name"] = BY_ID[run.athlete_id].display_name
    row["start"] = START_WORDS[run.start_kind]
    row["clock"] = CLOCK_WORDS[run.clock_start]
    for gate, time in run.splits.items():
        row[f"at {gate:g}"] = time
    return row


def gates(pattern: str, *metres: int, form: str = ".2f") -> list[Column]:
    """Return one column a gate, its heading in the sheet's own spelling: ``gates("t {} m (s)", 10, 20)``."""
    return [Column(pattern.format(at), f"at {at}", form) for at in metres]


def plain_name(row: Row) -> str:
    """Return the name without accents, as an old keyboard gives it."""
    letters = unicodedata.normalize("NFKD", row["name"].replace("Å", "A").replace("ö", "o"))
    return "".join(sign for sign in letters if not unicodedata.combining(sign))


def _between(rows: list[dict[str, Any]], first: str, last: str) -> list[dict[str, Any]]:
    low, high = dt.date.fromisoformat(first), dt.date.fromisoformat(last)
    return [row for row in rows if low <= row["session_date"] <= high]


def _by_day(rows: list[dict[str, Any]]) -> list[dict[str, Any]]:
    """Sort as a training day is written down: day, then athlete, then run."""
    return sorted(rows, key=lambda row: (row["session_date"], row["athlete_id"], row["rep_no"]))


def timing_files(runs: list[Run]) -> list[SeedFile]:
    """Return every sheet that holds times of runs."""
    of_jumpers = [run for run in runs if BY_ID[run.athlete_id].event_group == JUMPERS]
    others = [run for run in runs if BY_ID[run.athlete_id].event_group != JUMPERS]
    written = {sheet: _by_day([run_row(run) for run in others if run.sheet == sheet])
               for sheet in ("starts", "flying", "video", "hand", "sled")}  # fmt: skip
    return [
        *_starts(written["starts"]),
        *_flying(written["flying"]),
        *_special(written),
        _long(of_jumpers),
        _trial(runs),
    ]


def _starts(rows: list[dict[str, Any]]) -> list[SeedFile]:
    june = _between(rows, "2026-05-25", "2026-06-30")
    for row in june:
        row["mass"] = body_mass_kg(row["athlete_id"], row["session_date"]) if row["session_date"].day % 7 == 1 else None
    files = [
        SeedFile("starts_2026-06.csv", (Sheet("", [
            C("Athlete", "name"), C("Date", "session_date"), C("Run", "rep_no"), C("Start", "start"),
            C("Clock", "clock"), C("Gate offset (m)", "gate_offset_m", ".1f"), C("Timing", "timing_kind"),
            C("RT (s)", "reaction_s", ".3f"), *gates("{}m", 10, 20, 30, 40), C("Body mass (kg)", "mass", ".1f"),
            C("Outcome", "outcome"),
        ], june),), delimiter=";"),
        SeedFile("starts_2026-07.csv", (Sheet("", [
            C("Name", "name"), C("Date", "session_date", "dmy"), C("Rep", "rep_no"), C("Start", "start"),
            C("Clock start", "clock"), C("Gate offset (m)", "gate_offset_m", ".1f"), C("Timing", "timing_kind"),
            C("Reaction (s)", "reaction_s", ".3f"), *gates("t {} m (s)", 10, 20, 30, 40), C("Outcome", "outcome"),
        ], _between(rows, "2026-07-01", "2026-07-31")),), delimiter=";", decimal=",", line_end="\r\n"),
        SeedFile("starts_2026-08.csv", (Sheet("", [
            C("Athlete", plain_name), C("Session date", "session_date", "dmy/"), C("Run no", "rep_no"),
            C("Start kind", "start_kind"), C("Clock start", "clock_start"),
            C("Gate offset (cm)", "gate_offset_m", "cm"),
            C("Timing", "timing_kind"), C("RT (ms)", "reaction_s", "ms"),
            *gates("{} m (ms)", 10, 20, 30, 40, form="ms"), C("Outcome", "outcome"),
        ], _between(rows, "2026-08-01", "2026-08-31")),)),
        SeedFile("starts_2026-09.tsv", (Sheet("", [
            C("athlete_id", "athlete_id"), C("session_date", "session_date"), C("session_no", "session_no"),
            C("rep_no", "rep_no"), C("start_kind", "start_kind"), C("clock_start", "clock_start"),
            C("gate_offset_m", "gate_offset_m"), C("timing_kind", "timing_kind"), C("reaction_s", "reaction_s"),
            C("outcome", "outcome"), *gates("{}m", 10, 20, 30, 40),
        ], _between(rows, "2026-09-01", "2026-09-27")),), delimiter="\t"),
    ]  # fmt: skip
    for week in range(week_number(dt.date(2026, 9, 28)), WEEKS):
        first = week_start(week)
        mine = _between(rows, first.isoformat(), (first + dt.timedelta(days=6)).isoformat())
        columns = [
            C("Athlete", "name"), C("Date", "session_date"), C("Run", "rep_no"), C("Distance (m)", "distance_m"),
            C("Start", "start"),
            C("Clock", "clock"), C("Gate offset (m)", "gate_offset_m", ".1f"), C("Timing", "timing_kind"),
            C("RT (s)", "reaction_s", ".3f"), *gates("{} m", 5, 10, 20, 30, 40), C("Outcome", "outcome"),
        ]  # fmt: skip
        files.append(SeedFile(f"starts_2026_w{first.isocalendar().week}.csv", (Sheet("", columns, mine),)))
    return files


def _flying(rows: list[dict[str, Any]]) -> list[SeedFile]:
    def columns(pattern: str) -> list[Column]:
        return [
            C("Athlete", "name"), C("Date", "session_date"), C("Run", "rep_no"), C("Start", "start"),
            C("Clock", "clock"), C("Timing", "timing_kind"), C("Wind (m/s)", "wind_ms", ".1f"),
            C("Effort (%)", "effort_percent", ".0f"), C("Distance (m)", "distance_m"),
            *gates(pattern, 10, 20, 30),
        ]  # fmt: skip

    blocks_too = [row for row in rows if row["start_kind"] == "rolling"]
    summer = _between(blocks_too, "2026-05-25", "2026-08-31")
    autumn = (("September October", "2026-09-01", "2026-10-31"), ("November", "2026-11-01", "2026-11-22"))
    titles = ("Flying 30 m", "30 m run-up, clock on the first gate, times from there")
    return [
        SeedFile("flying_2026_summer.csv", (Sheet("", columns("{}m"), summer),)),
        SeedFile("flying_2026_autumn.xlsx", tuple(
            Sheet(name, columns("{} m"), _between(blocks_too, first, last), titles) for name, first, last in autumn
        )),
    ]  # fmt: skip


TRIED = "rear foot a hand further back"
TRIAL_DAYS = tuple(dt.date(2026, 10, 26) + dt.timedelta(weeks=n) for n in range(4))  # Mondays
TRIAL_ORDERS = ("abba", "baab", "abba", "baab")


def _trial(runs: list[Run]) -> SeedFile:
    """Return the trial of one of them: two ways to set the blocks, in turn on four Mondays. It changed nothing."""
    rows = [
        {"athlete_id": run.athlete_id, "session_date": run.session_date, "session_no": run.session_no,
         "rep_no": run.rep_no, "tried": TRIED, "way": TRIAL_ORDERS[TRIAL_DAYS.index(run.session_date)][run.rep_no - 1]}
        for run in runs
        if run.athlete_id == cases.SHIN_DROPS and run.session_date in TRIAL_DAYS and run.rep_no <= len(TRIAL_ORDERS[0])
    ]  # fmt: skip
    own = ("athlete_id", "session_date", "session_no", "rep_no", "tried", "way")
    return SeedFile("start_trials_2026.csv", (Sheet("", [C(name, name) for name in own], rows),))


def _special(rows: dict[str, list[dict[str, Any]]]) -> list[SeedFile]:
    keys = [C("Athlete", "name"), C("Date", "session_date"), C("Run", "rep_no"), C("Start", "start"),
            C("Clock", "clock"), C("Timing", "timing_kind")]  # fmt: skip
    return [
        SeedFile("video_starts_2026.csv", (Sheet("", [*keys, *gates("{} m (s)", 3, 5, 10, form=".3f")],
                                                 rows["video"]),), delimiter=";"),
        SeedFile("hand_times_2026_w41.csv", (Sheet("", [*keys, *gates("{}m", 30, 60, form=".1f")], rows["hand"]),)),
        SeedFile("sled_block_2026.csv", (Sheet("", [
            *keys, C("Surface", "surface"), C("Distance (m)", "distance_m"), C("Resistance", "resistance_kind"),
            C("Sled load (kg)", "resistance_load_kg", ".1f"),
            *gates("{} m", 5, 10, 15, 20),
        ], [{**row, "surface": "track"} for row in rows["sled"]]),)),
    ]  # fmt: skip


def _long(runs: list[Run]) -> SeedFile:
    """The jumps coach keeps one row per gate, in the columns of the record."""
    rows = []
    for run in runs:
        for gate, time in run.splits.items():
            rows.append({**run_row(run), "distance_m": gate, "elapsed_s": time})
    names = ("athlete_id", "session_date", "session_no", "rep_no", "distance_m", "elapsed_s", "start_kind",
             "clock_start", "gate_offset_m", "timing_kind", "effort_percent", "outcome")  # fmt: skip
    forms = {"elapsed_s": ".2f", "gate_offset_m": ".1f"}
    columns = [C(name, name, forms.get(name, "")) for name in names]
    return SeedFile("horizontal_jumps_splits.csv", (Sheet("", columns, rows),))


def video_files(runs: list[Run]) -> list[SeedFile]:
    """Return the sheets read off video: steps long and wide, set positions, technique notes."""
    filmed = [run for run in runs if run.is_filmed and run.outcome == "completed"]
    split = dt.date(2026, 9, 1)
    long_rows: list[dict[str, Any]] = []
    wide_rows: list[dict[str, Any]] = []
    for run in filmed:
        steps = steps_of(run)
        young = BY_ID[run.athlete_id].squad == "under-20"
        if young and run.session_date >= split:
            wide: dict[str, Any] = {**run_row(run), "frame_rate_hz": steps[0].frame_rate_hz, "side": steps[0].side}
            for step in steps[:10]:
                wide[f"contact {step.step_no}"] = step.contact_s
                wide[f"flight {step.step_no}"] = step.flight_s
                wide[f"length {step.step_no}"] = step.step_length_m
            wide_rows.append(wide)
        else:
            long_rows.extend({**run_row(run), **vars(step)} for step in steps)
    names = ("athlete_id", "session_date", "session_no", "rep_no", "step_no", "side", "contact_s", "flight_s",
             "step_length_m", "shin_touchdown_deg", "shin_toeoff_deg", "knee_toeoff_deg", "frame_rate_hz")  # fmt: skip
    forms = {"contact_s": ".4f", "flight_s": ".4f", "step_length_m": ".2f"}
    free = [
        C("Athlete", "name"), C("Date", "session_date"), C("Run", "rep_no"), C("Step", "step_no"), C("Side", "side"),
        C("Contact (s)", "contact_s", ".4f"), C("Flight (s)", "flight_s", ".4f"),
        C("Step length (cm)", "step_length_m", "cm"), C("Shin touchdown (deg)", "shin_touchdown_deg"),
        C("Shin toe-off (deg)", "shin_toeoff_deg"), C("Knee toe-off (deg)", "knee_toeoff_deg"),
        C("Frame rate (Hz)", "frame_rate_hz"),
    ]  # fmt: skip
    wide_columns = [C("Athlete", "name"), C("Date", "session_date"), C("Run", "rep_no"),
                    C("Frame rate (Hz)", "frame_rate_hz")]  # fmt: skip
    for number in range(1, 11):
        wide_columns += [
            C(f"Contact {number} (ms)", f"contact {number}", "ms"),
            C(f"Flight {number} (ms)", f"flight {number}", "ms"),
            C(f"Length {number} (m)", f"length {number}", ".2f"),
        ]  # fmt: skip
    early = [row for row in long_rows if row["session_date"] < split]
    late = [row for row in long_rows if row["session_date"] >= split]
    return [
        SeedFile("steps_2026_summer.csv", (Sheet("", [C(n, n, forms.get(n, "")) for n in names], early),)),
        SeedFile("steps_2026_autumn.csv", (Sheet("", free, late),)),
        SeedFile("steps_under-20_autumn.csv", (Sheet("", wide_columns, wide_rows),), delimiter=";"),
        *_seen(filmed, runs),
    ]


def _seen(filmed: list[Run], runs: list[Run]) -> list[SeedFile]:
    blocks = [{**run_row(run), **set_position(run)} for run in filmed if run.start_kind == "blocks"]
    notes = [
        {**run_row(run), "item": item, "seen": seen, "note": note}
        for run in filmed
        for item, seen, note in notes_of(run)
    ] + [
        {**run_row(run), "item": item, "seen": seen, "note": None}
        for run in runs
        if run.athlete_id in cases.SLED and (run.is_filmed or run.resistance_load_kg)
        for item, seen in arms_and_head(run)
    ]
    keys = ("athlete_id", "session_date", "session_no", "rep_no")
    positions = [
        C("Athlete", "name"), C("Date", "session_date"), C("Run", "rep_no"),
        C("Front shin set (deg)", "front_shin_set_deg", ".1f"),
        C("Front shin push (deg)", "front_shin_push_deg", ".1f"),
        C("Front foot (cm)", "front_foot_m", "cm"), C("Rear foot (cm)", "rear_foot_m", "cm"),
        C("Front weight (%)", "front_weight_percent"),
    ]  # fmt: skip
    return [
        SeedFile("set_positions_2026.csv", (Sheet("", positions, blocks),), delimiter=";"),
        SeedFile("technique_notes_2026.csv", (Sheet("", [C(n, n) for n in (*keys, "item", "seen", "note")], notes),)),
    ]
