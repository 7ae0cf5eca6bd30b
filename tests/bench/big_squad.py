"""A big invented squad for the benches: the demo's athletes copied, over several years, so that its shape is real.

Each copy of an athlete has an id and a name of its own and times a little apart; each half-year before the demo's is
the demo's again, so that every athlete has as many sessions, runs, lifts and check-ins a week as the demo's have.
"""

import datetime as dt
from collections.abc import Collection, Mapping
from pathlib import Path

import numpy as np
import polars as pl

from pipelines import flow
from pipelines.board.entry_days import entry_days
from pipelines.home.settings import read_settings
from pipelines.record import opening, warehouse
from schemas.base import table_key
from schemas.phrase import phrase
from schemas.records import RECORDS
from schemas.settings import SquadSettings

ATHLETES, YEARS = 1000, 3
HALF_YEAR_WEEKS = 26
ONCE = ("athlete", "exercise", "decision", "review_line", "consent")  # not repeated half-year by half-year
SPREAD = 0.02  # SD between copies, as a share of a time


def demo_record(folder: Path) -> tuple[dict[str, pl.DataFrame], SquadSettings, dt.date]:
    """Build the demo in a folder and return its record, settings and day."""
    home = flow.find_home(folder)
    if not home.record.exists():
        flow.build_demo(home)
    with opening.record(home) as con:
        frames = {**warehouse.record_frames(con), "entry_day": entry_days(con)}
    settings = read_settings(home.settings)
    return frames, settings, opening.looking_from(settings)


def grow(
    record: Mapping[str, pl.DataFrame], athletes: int = ATHLETES, years: int = YEARS, once: Collection[str] = ONCE
) -> dict[str, pl.DataFrame]:
    """Return a record of so many athletes over so many years, in the order of the tables' keys."""
    own = record["athlete"].height
    copies = -(-athletes // own)
    pace = 1.0 + SPREAD * np.random.default_rng(20261125).standard_normal((copies, own))
    place = dict(zip(record["athlete"]["athlete_id"], range(own), strict=True))
    grown = {}
    for name, frame in record.items():
        if "athlete_id" not in frame.columns:
            grown[name] = frame
            continue
        halves = 1 if name in once else 2 * years
        parts = [
            _copy(_earlier(frame, half), copy, pace[copy], place) for copy in range(copies) for half in range(halves)
        ]
        # Rows that reach back over more than a half-year (heights) meet their own copies: the first of a key stays.
        key = table_key(RECORDS[name]) if name in RECORDS else frame.columns
        whole = (
            pl.concat(parts)
            .unique(key, keep="first", maintain_order=True)
            .sort([c for c, kind in frame.schema.items() if c == "athlete_id" or kind == pl.Date], maintain_order=True)
        )
        grown[name] = whole.select(frame.columns)
    keep = grown["athlete"].head(athletes)["athlete_id"].implode()
    return {
        name: frame.filter(pl.col("athlete_id").is_in(keep)) if "athlete_id" in frame.columns else frame
        for name, frame in grown.items()
    }


def _earlier(frame: pl.DataFrame, half: int) -> pl.DataFrame:
    back = dt.timedelta(weeks=HALF_YEAR_WEEKS * half)
    return frame.with_columns(pl.col(c) - back for c, kind in frame.schema.items() if kind in (pl.Date, pl.Datetime))


def _copy(frame: pl.DataFrame, copy: int, pace: np.ndarray, place: Mapping[str, int]) -> pl.DataFrame:
    slower = pl.col("athlete_id").replace_strict(place, return_dtype=pl.Int64).replace_strict(
        dict(enumerate(pace)), return_dtype=pl.Float64
    )  # fmt: skip
    changed = [(pl.col("elapsed_s") * slower).round(3).alias("elapsed_s")] if "elapsed_s" in frame.columns else []
    if "display_name" in frame.columns:
        changed.append(phrase("{} {}", "display_name", pl.lit(copy + 1)).alias("display_name"))
    return frame.with_columns(*changed).with_columns(athlete_id=phrase("{}-{}", "athlete_id", pl.lit(copy + 1)))


def build_home(folder: Path, record: Mapping[str, pl.DataFrame], settings_from: Path) -> flow.Home:
    """Load a record into a home of its own, table by table through the way in; nothing is derived yet."""
    home = flow.find_home(folder / "home")
    home.root.mkdir(parents=True)
    home.settings.write_bytes(settings_from.read_bytes())
    files = folder / "files"
    files.mkdir()
    for name, frame in record.items():
        if frame.height and name != "entry_day":
            frame.write_parquet(files / f"{name}.parquet")
    flow.load(home, [files], by="bench", derive_after=False)
    return home
