"""Squads whose starts move along known paths, followed, for the tests of progress."""

import datetime as dt

import numpy as np
import polars as pl

from pipelines.derived.sprint.profile import sprint_profile
from pipelines.derived.start.noise import start_noise
from pipelines.derived.start.phase import start_phase, start_steps
from pipelines.derived.start.progress import start_progress
from pipelines.derived.start.shift import start_shift
from pipelines.derived.start.trend import start_trend
from schemas.derived.noise import StartNoise
from schemas.derived.progress import StartProgress, StartTrend
from schemas.derived.shift import StartShift
from schemas.settings import SquadSettings
from tests.derived.sprint.sprint_frames import no_noise
from tests.derived.start.start_frames import record

SETTINGS = SquadSettings()
START = dt.date(2026, 1, 5)
LATE = dt.timedelta(days=60)  # into the season
NO_STEPS = start_phase(
    record("rep"),
    record("step"),
    record("set_position"),
    record("technique_note"),
    start_steps(record("rep"), record("step")),
)


def squad(paths: np.ndarray, days: list[int], reps: int = 3, error: float = 0.015, seed: int = 0, **rep_says):
    """Runs with a gate at 10 m of a simulated squad: each athlete's level on each day, plus error per run."""
    rng = np.random.default_rng(seed)
    keys = [
        {
            "athlete_id": f"athlete-{a:02d}",
            "session_date": START + dt.timedelta(days=d),
            "session_no": 1,
            "rep_no": i + 1,
            "distance_m": 10.0,
            "elapsed_s": path[d] + error * rng.standard_normal(),
        }
        for a, path in enumerate(paths)
        for d in days
        for i in range(reps)
    ]
    says = {"start_kind": "blocks", "clock_start": "first_movement", "timing_kind": "electronic"} | rep_says
    return record("split", keys), record("rep", [{**row, **says} for row in keys])


def athletes(count: int) -> pl.DataFrame:
    return record("athlete", [{"athlete_id": f"athlete-{a:02d}", "display_name": "Ida Fell"} for a in range(count)])


def drifting(count: int, days: int, six_week_sd: float, seed: int) -> np.ndarray:
    rng = np.random.default_rng(seed)
    steps = six_week_sd / 42**0.5 * rng.standard_normal((count, days))
    return 2.0 + 0.06 * rng.standard_normal((count, 1)) + np.cumsum(steps, axis=1)


def settled(frame: pl.DataFrame, as_of: dt.date) -> pl.DataFrame:
    return frame.filter(pl.col("session_date") < as_of - dt.timedelta(days=as_of.weekday()))


def follow(
    split, rep, people, as_of: dt.date, phase: pl.DataFrame = NO_STEPS, session: pl.DataFrame | None = None
) -> tuple[pl.DataFrame, pl.DataFrame, pl.DataFrame]:
    """The series up to a day, the noise from the weeks before that day's, and the steps of everybody."""
    session = record("session") if session is None else session
    profile = sprint_profile(
        rep, split, session, record("body_measure"), record("athlete"), no_noise(), settings=SETTINGS
    )
    read = [settled(frame, as_of) for frame in (profile, phase, rep, split, session)]
    noise = StartNoise.validate(start_noise(*read, people, settings=SETTINGS))
    trend = StartTrend.validate(start_trend(profile, phase, rep, split, session, people, noise, as_of=as_of))
    return trend, noise, StartShift.validate(start_shift(settled(trend, as_of), noise))


def progress_of(split, rep, last: int, count: int, **more) -> pl.DataFrame:
    as_of = START + dt.timedelta(days=last)
    found = start_progress(*follow(split, rep, athletes(count), as_of, **more), settings=SETTINGS, as_of=as_of)
    return StartProgress.validate(found)
