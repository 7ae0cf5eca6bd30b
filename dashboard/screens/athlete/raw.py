"""What was measured, before any model: own bests by gate, single trials of jumps and force tests."""

import datetime as dt
from typing import Any

from dashboard import wording
from dashboard.parts import page
from dashboard.parts.figure import explain, finding, table
from dashboard.parts.marks import SCROLL, empty
from dashboard.reads import Opened
from schemas.html import html, join_html

Row = dict[str, Any]
RECENT_DAYS = 120  # raw bests of ways of starting and timing used since, the others in the rows behind
MOST_BESTS = 12
MOST_TRIALS = 8  # rows of each; older ones stand behind Strength and Spring


def raw_bests(opened: Opened, athlete_id: str, own: bool = False) -> None:
    """Show raw bests by gate beside the last day's, each way of starting and timing by itself."""
    rows = opened.rows("gate_best", {"athlete_id": athlete_id}, order_by=["-last_on", "distance_m"])
    if not rows:
        page.show(html('<div class="finding"><h2>{}</h2>{}</div>', wording.BESTS_TITLE, empty(wording.NO_BESTS)))
        return
    newest = max(row["last_on"] for row in rows)
    recent = [row for row in rows if row["last_on"] >= newest - dt.timedelta(days=RECENT_DAYS)]
    shown = sorted(recent, key=lambda row: (-row["days"], row["distance_m"]))[:MOST_BESTS]
    shown.sort(key=lambda row: (way_of(row), row["distance_m"]))
    finding(wording.BESTS_TITLE, wording.BESTS_CAPTION)
    written = {"distance_m": metres}
    columns = [(key, label, written.get(key, wording.cell)) for key, label in wording.BEST_COLUMNS]
    ways = dict.fromkeys(way_of(row) for row in shown)
    parts = [table([row for row in shown if way_of(row) == way], columns, wording.sentence_case(way)) for way in ways]
    more = html('<p class="soft">{}</p>', wording.BESTS_OLDER) if len(shown) < len(rows) else ""
    page.show(join_html(parts) + more)
    explain(
        opened,
        "bests",
        ("gate_best",),
        lambda: [("gate_best", rows)],
        worked=lambda: wording.worked_bests([(way_of(row), row) for row in shown]),
    )


def metres(distance_m: float) -> str:
    """Write a gate: 10 m."""
    return wording.number(distance_m, 0 if not distance_m % 1 else 1, "m")


def way_of(row: Row) -> str:
    """Say how a time was started and taken: three-point start, from the first gate, electronic."""
    far = wording.UNKNOWN_WAY if row["run_in"] == "unknown" else row["run_in"]
    run_in = "" if row["run_in"] == "none" else f" (run-in {far})"
    said = (
        wording.START_KINDS.get(row["start_kind"], f"start {wording.UNKNOWN_WAY}") + run_in,
        wording.CLOCKS.get(row["clock_start"], f"clock {wording.UNKNOWN_WAY}"),
        wording.TIMING.get(row["timing_kind"], f"timing {wording.UNKNOWN_WAY}"),
    )
    return ", ".join(said)


def trials(opened: Opened, athlete_id: str, own: bool = False) -> None:
    """Show jump and force trials as they were measured, the newest first: heights, lengths, times and newtons."""
    who = {"athlete_id": athlete_id}
    jumps = opened.rows("jump_test", who, order_by=["-tested_on", "test", "trial_no"])
    # A height worked out from the time in the air stands under Spring.
    jumps = [row for row in jumps if row.get("jump_length_m") is not None or row.get("jump_height_m") is not None][
        :MOST_TRIALS
    ]
    forces = opened.rows("force_test", who, order_by=["-tested_on", "test", "side", "trial_no"], limit=MOST_TRIALS)
    if not jumps and not forces:
        return
    finding(wording.TRIALS_TITLE, wording.TRIALS_CAPTION)
    parts = []
    for rows, columns in ((jumps, wording.JUMP_TRIAL_COLUMNS), (forces, wording.FORCE_TRIAL_COLUMNS)):
        filled = [(key, label, wording.cell) for key, label in columns if any(row.get(key) is not None for row in rows)]
        parts.append(table(rows, filled))
    page.show(join_html(parts))


def set_positions(opened: Opened, athlete_id: str, own: bool = False) -> None:
    """Show the set position of the last runs beside their first contact, speed after three steps and 10 m time."""
    who = {"athlete_id": athlete_id}
    rows = opened.rows("set_position", who, order_by=["-session_date", "-session_no", "-rep_no"], limit=MOST_TRIALS)
    if not rows:
        page.show(html('<div class="finding"><h2>{}</h2>{}</div>', wording.SET_TITLE, empty(wording.NO_SET)))
        return
    since = {**who, "session_date": (">=", rows[-1]["session_date"])}
    after: dict[tuple[Any, ...], Row] = {}
    for table_name in ("start_phase", "sprint_profile"):
        for row in opened.rows(table_name, since):
            after.setdefault(run_of(row), {}).update(row)
    told = [{**after.get(run_of(row), {}), **row} for row in rows]
    finding(wording.SET_TITLE, wording.SET_CAPTION)
    filled = [
        (key, label, wording.cell)
        for key, label in wording.SET_COLUMNS
        if any(row.get(key) is not None for row in told)
    ]
    page.show(html("{}{}</div>", SCROLL, table(told, filled)))
    explain(opened, "set", ("start_phase",), lambda: [("set_position", rows)], worked=lambda: wording.worked_set(told))


def impulse(opened: Opened, athlete_id: str, own: bool = False) -> None:
    """Show the forward impulse of each contact: of the last filmed day that has any, the run with the most."""
    rows = opened.rows("start_steps", {"athlete_id": athlete_id}, order_by=["-session_date", "-rep_no", "step_no"])
    last = next((row for row in rows if row.get("impulse_ns_per_kg") is not None), None)
    if last is None:
        return
    runs: dict[tuple[Any, ...], list[Row]] = {}
    for row in rows:
        if row["session_date"] == last["session_date"]:
            runs.setdefault(run_of(row), []).append(row)
    steps = max(runs.values(), key=lambda some: sum(row["impulse_ns_per_kg"] is not None for row in some))
    finding(wording.IMPULSE_TITLE, wording.impulse_caption(last["session_date"], steps[0]["rep_no"]))
    fine = {"impulse_ns_per_kg", "impulse_ns_per_kg_se"}
    columns = [(key, label, hundredths if key in fine else wording.cell) for key, label in wording.IMPULSE_COLUMNS]
    page.show(html("{}{}</div>", SCROLL, table(steps[:MOST_TRIALS], columns)))
    worked = lambda: wording.worked_impulse(steps)  # noqa: E731
    explain(opened, "impulse", ("start_steps",), lambda: [("start_steps", steps)], worked=worked)


def hundredths(value: float) -> str:
    """Write a number with two places."""
    return wording.number(value, 2)


def run_of(row: Row) -> tuple[Any, ...]:
    """Return the key of a run."""
    return row["athlete_id"], row["session_date"], row["session_no"], row["rep_no"]
