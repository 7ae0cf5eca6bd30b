"""An invented board with the contract's columns, so that pages can be opened without running the pipeline.

Twenty-four invented athletes, 26 weeks, the same numbers every time. Run as a script to write a home folder:
``python -m tests.dashboard.make_board DIR``.
"""

import datetime as dt
import sys
from pathlib import Path

import duckdb
import numpy as np
import polars as pl

from pipelines.derived.hindsight.attention import attention_budget, attention_rate
from schemas.settings import SquadSettings
from tests.dashboard.invented import START, TODAY, WEEK, athletes, call_of
from tests.dashboard.invented_library import library_tables
from tests.dashboard.invented_tables import derived_tables
from tests.dashboard.invented_words import knowledge_tables

Frames = dict[str, pl.DataFrame]
SHA = "ab" * 32


def with_provenance(frame: pl.DataFrame, name: str, sheet: str | None = None) -> pl.DataFrame:
    """Add where each row came from, as the warehouse does."""
    return frame.with_columns(
        load_no=pl.lit(1, pl.Int64),
        source_sha256=pl.lit(SHA),
        source_name=pl.lit(name),
        source_sheet=pl.lit(sheet, pl.String),
        source_line=pl.int_range(2, frame.height + 2, dtype=pl.Int64),
        entered_at=pl.lit(dt.datetime(2026, 11, 22, 21, 40)),
    )


def record_tables(seed: int = 3) -> Frames:  # noqa: PLR0912 - one long recipe reads best in one piece
    """Return the record tables of the invented squad."""
    rng = np.random.default_rng(seed)
    people = athletes()
    out: Frames = {}
    out["athlete"] = with_provenance(people.drop("case"), "athletes.csv")
    checkins, sessions, reps, splits, steps, lifts, forces, jumps = ([] for _ in range(8))
    for person in people.iter_rows(named=True):
        aid, case = person["athlete_id"], person["case"]
        vmax, tau = 9.2 + rng.normal(0, 0.4), 1.12 + rng.normal(0, 0.04)
        jump = rng.normal(0.42, 0.04)
        for back in range(41, -1, -1):
            day = TODAY - dt.timedelta(days=back)
            if case == "silent" and back < 4:
                continue
            tight = 6 if case == "talk" and back < 3 else int(rng.integers(0, 2))
            sleep = 5.5 if case == "adapt" and back == 0 else round(float(rng.normal(7.8, 0.5)), 1)
            checkins.append(
                (
                    aid,
                    day,
                    sleep,
                    4,
                    int(rng.integers(3, 5)),
                    3,
                    4,
                    4,
                    tight,
                    int(rng.integers(0, 2)),
                    0,
                    None,
                    False,
                    "Felt it on the bend" if tight == 6 else None,
                )
            )
        for week in range(26):
            monday = START + dt.timedelta(weeks=week)
            kinds = ("acceleration", "strength", "top_speed", "tempo")
            for offset, kind in zip((0, 1, 3, 5), kinds, strict=True):
                day = monday + dt.timedelta(days=offset)
                minutes, effort = float(rng.integers(60, 95)), float(rng.integers(4, 8))
                if case == "spike" and week == 25:
                    minutes += 45
                sessions.append((aid, day, 1, kind, minutes, effort))
                if kind == "acceleration" and week >= 12:
                    for rep_no in (1, 2, 3):
                        gain = 0.0014 * (week - 12) if case in ("adapt", "improving") else 0.0
                        reps.append((aid, day, 1, rep_no, 30.0, "blocks", "first_movement", "electronic"))
                        noise = float(rng.normal(0, 0.012))
                        for metres in (5.0, 10.0, 20.0, 30.0):
                            seconds = metres / vmax + tau * (1 - np.exp(-metres / (vmax * tau) - 0.55)) * 0.98
                            splits.append((aid, day, 1, rep_no, metres, round(seconds * (1 - gain) + noise, 3)))
                        if week >= 20:
                            for step_no in range(1, 11):
                                contact = 0.112 + 0.083 * np.exp(-(step_no - 1) / 4) + float(rng.normal(0, 0.003))
                                if case == "adapt" and week == 25 and step_no == 1:
                                    contact -= 0.014
                                flight = 0.045 + 0.007 * step_no + float(rng.normal(0, 0.003))
                                length = 0.95 + 0.1 * step_no
                                steps.append(
                                    (
                                        aid,
                                        day,
                                        1,
                                        rep_no,
                                        step_no,
                                        "lr"[step_no % 2],
                                        round(contact, 4),
                                        round(flight, 4),
                                        round(length, 2),
                                    )
                                )
                if kind == "strength":
                    lifts.append((aid, day, 1, "back squat", 1, "both", 3, 110.0 + week))
                    lifts.append((aid, day, 1, "nordic", 1, "both", 5, 0.0))
            if week % 6 == 1:
                for side in ("l", "r"):
                    for trial in (1, 2):
                        force = 330 * (0.86 if case == "spike" and side == "r" else 1) + float(rng.normal(0, 8))
                        forces.append((aid, monday, "eccentric_hamstring", side, trial, round(force, 0)))
            if week % 2 == 1:
                for trial in (1, 2, 3):
                    height = jump * (0.94 if case == "adapt" and week == 25 else 1) + float(rng.normal(0, 0.008))
                    jumps.append(
                        (
                            aid,
                            monday + dt.timedelta(days=1),
                            "countermovement",
                            trial,
                            round(float(np.sqrt(8 * height / 9.80665)), 3),
                        )
                    )
    key = ["athlete_id", "session_date", "session_no"]
    spec: dict[str, tuple[list[str], list[tuple], str]] = {
        "checkin": (
            [
                "athlete_id",
                "checked_on",
                "sleep_h",
                "sleep_quality",
                "fatigue",
                "soreness",
                "stress",
                "mood",
                "hamstring_tightness_l",
                "hamstring_tightness_r",
                "pain",
                "pain_site",
                "ill",
                "note",
            ],
            checkins,
            "checkins.csv",
        ),
        "session": ([*key, "kind", "duration_min", "effort_0_10"], sessions, "sessions.csv"),
        "rep": ([*key, "rep_no", "distance_m", "start_kind", "clock_start", "timing_kind"], reps, "gates week 47.csv"),
        "split": ([*key, "rep_no", "distance_m", "elapsed_s"], splits, "gates week 47.csv"),
        "step": ([*key, "rep_no", "step_no", "side", "contact_s", "flight_s", "step_length_m"], steps, "steps.csv"),
        "lift_set": ([*key, "exercise", "set_no", "side", "reps", "load_kg"], lifts, "gym log week 47.xlsx"),
        "force_test": (["athlete_id", "tested_on", "test", "side", "trial_no", "peak_force_n"], forces, "force.csv"),
        "jump_test": (["athlete_id", "tested_on", "test", "trial_no", "flight_s"], jumps, "jumps.csv"),
    }
    for name, (columns, rows, source) in spec.items():
        out[name] = with_provenance(pl.DataFrame(rows, schema=columns, orient="row", infer_schema_length=None), source)
    out["injury"] = with_provenance(
        pl.DataFrame(
            [
                (
                    "caspian-wray",
                    dt.date(2026, 8, 20),
                    "hamstring",
                    "l",
                    "strain",
                    "sprinting",
                    True,
                    dt.date(2026, 10, 12),
                    False,
                    "Told only to the head coach",
                )
            ],
            schema=[
                "athlete_id",
                "onset_on",
                "site",
                "side",
                "kind",
                "mechanism",
                "stopped_training",
                "returned_on",
                "recurrence",
                "note",
            ],
            orient="row",
        ),
        "injuries.csv",
    )
    out["race_result"] = with_provenance(
        pl.DataFrame(
            [
                (a, dt.date(2026, 9, 5 + i), "60 m", "heat", 7.1 + 0.03 * i, 0.4, "electronic", i + 1)
                for i, a in enumerate(people["athlete_id"].head(6))
            ],
            schema=["athlete_id", "raced_on", "event", "round", "time_s", "wind_ms", "timing_kind", "place"],
            orient="row",
        ),
        "races.csv",
    )
    last = WEEK - dt.timedelta(weeks=1)
    out["decision"] = with_provenance(
        pl.DataFrame(
            [
                (
                    "teo-brandmere",
                    last,
                    "start_work",
                    "heavy sled twice",
                    None,
                    None,
                    "Head coach",
                    dt.datetime(2026, 11, 15, 9),
                ),
                (
                    "dilys-fernbank",
                    last,
                    "start_work",
                    "longer first push",
                    None,
                    None,
                    "Head coach",
                    dt.datetime(2026, 11, 15, 9, 5),
                ),
            ],
            schema=["athlete_id", "week_of", "topic", "call", "drill", "note", "decided_by", "decided_at"],
            orient="row",
        ),
        "hand entry",
    )
    out["plan"] = with_provenance(
        pl.DataFrame(
            [(a, TODAY + dt.timedelta(days=1), 1, "acceleration", 180.0, 70.0, 6.0) for a in people["athlete_id"]],
            schema=["athlete_id", "planned_on", "plan_no", "kind", "fast_metres", "planned_min", "planned_effort_0_10"],
            orient="row",
        ),
        "plan.csv",
    )
    return out | library_tables()


def loads_and_rejected() -> Frames:
    """Return the list of loads and the rows that were set aside."""
    return {
        "load": pl.DataFrame(
            [
                (
                    1,
                    dt.datetime(2026, 11, 22, 21, 40),
                    "Head coach",
                    "gym log week 47.xlsx",
                    SHA,
                    96,
                    84,
                    0,
                    0,
                    12,
                    "done",
                ),
                (
                    2,
                    dt.datetime(2026, 11, 22, 21, 41),
                    "Head coach",
                    "gates week 47.csv",
                    SHA,
                    288,
                    288,
                    0,
                    0,
                    0,
                    "done",
                ),
            ],
            schema=[
                "load_no",
                "loaded_at",
                "loaded_by",
                "source_name",
                "source_sha256",
                "rows_read",
                "stored",
                "unchanged",
                "replaced",
                "set_aside",
                "state",
            ],
            orient="row",
        ),
        "rejected": pl.DataFrame(
            [
                (
                    1,
                    "gym log week 47.xlsx",
                    "week 47",
                    9 + i,
                    "load_kg",
                    "1O5",
                    "the load is not a number. Row set aside. Type the load in digits and load the file again.",
                    '{"athlete":"Teo Brandmere","exercise":"back squat","load":"1O5"}',
                    "teo-brandmere",
                    "session, lift_set",
                    i + 1,
                )
                for i in range(12)
            ],
            schema=[
                "load_no",
                "source_name",
                "source_sheet",
                "source_line",
                "column",
                "value",
                "reason",
                "row_json",
                "athlete_id",
                "tables",
                "reject_no",
            ],
            orient="row",
        ),
    }


def board_tables() -> Frames:
    """Return every table of the invented board."""
    simulated = {
        "attention_rate": attention_rate(settings=SquadSettings()),
        "attention_budget": attention_budget(settings=SquadSettings()),
    }
    return {**record_tables(), **derived_tables(), **simulated, **loads_and_rejected(), **knowledge_tables()}


def write_board(home: Path, tables: Frames, build: str = "000001") -> Path:
    """Write the tables as a board file of a home folder and point the pointer at it."""
    folder = home / "board"
    folder.mkdir(parents=True, exist_ok=True)
    path = folder / f"board-{build}.duckdb"
    path.unlink(missing_ok=True)
    with duckdb.connect(str(path)) as con:
        for name, frame in tables.items():
            con.register("frame", frame)
            con.execute(f'create table "{name}" as select * from frame')
            con.unregister("frame")
    (folder / "current").write_text(path.name, encoding="utf-8")
    return path


def empty_tables() -> Frames:
    """Return the same tables without a row, as a new home has them."""
    kept = knowledge_tables()
    return {**{name: frame.clear() for name, frame in board_tables().items()}, **kept}


__all__ = ["board_tables", "call_of", "empty_tables", "write_board"]

if __name__ == "__main__":
    print(write_board(Path(sys.argv[1]), board_tables()))
