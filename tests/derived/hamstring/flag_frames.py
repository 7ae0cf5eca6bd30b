"""An athlete in whom everything is known and quiet, but for what a test of the flags gives."""

import datetime as dt
from typing import Any

import polars as pl

from pipelines.derived.hamstring.flag import hamstring_flag
from pipelines.derived.readiness.checkin_answers import checkin_answer
from schemas.caveats import all_caveats
from schemas.derived.hamstring import HamstringFlag
from schemas.knowledge import all_sources
from schemas.settings import SquadSettings
from tests.derived.common.review_frames import AS_OF, SETTINGS, athletes, day, frame, quiet_month

MONDAY = day(6)
INJURY = {"athlete_id": "ann", "onset_on": day(60), "site": "hamstring", "side": "l", "stopped_training": True}
TEST = {"athlete_id": "ann", "item": "eccentric_hamstring", "kind": "force", "measured_on": day(10)}
SIDES = [TEST | {"side": side, "p_fallen": 0.2, "own_change_percent": -1.0} for side in "lr"]
EVEN = [*SIDES, TEST | {"side": "both", "p_fallen": 0.1, "own_change_percent": -1.0, "lost_side": "r"}]
WORK = [{"athlete_id": "ann", "week_of": day(13), "last_eccentric_on": day(9)}]
FAST = {"athlete_id": "ann", "metres_90": 90.0, "expected_metres_90": 80.0, "above_z": 0.3}
WEEKS = [
    FAST | {"week_of": day(13), "metres_95": 60.0, "last_95_on": day(10)},
    FAST | {"week_of": MONDAY, "metres_95": 60.0, "last_95_on": day(3)},
]


def flag(
    checkins: list[dict[str, Any]] | None = None,
    injuries: list[dict[str, Any]] | None = None,
    tests: list[dict[str, Any]] | None = None,
    weeks: list[dict[str, Any]] | None = None,
    work: list[dict[str, Any]] | None = None,
    patterns: list[dict[str, Any]] | None = None,
    plans: list[dict[str, Any]] | None = None,
    sessions: list[dict[str, Any]] | None = None,
    athlete: pl.DataFrame | None = None,
    squad: SquadSettings = SETTINGS,
) -> pl.DataFrame:
    """Flags of an athlete in whom everything is known and quiet, but for what is given."""
    checkin = frame("checkin", *(quiet_month() if checkins is None else checkins))
    flags = hamstring_flag(
        checkin,
        checkin_answer(checkin, settings=squad, as_of=AS_OF),
        frame("injury", *(injuries or [])),
        frame("strength_state", *(EVEN if tests is None else tests)),
        frame("speed_exposure", *(WEEKS if weeks is None else weeks)),
        frame("work_week", *(WORK if work is None else work)),
        frame("start_pattern", *(patterns or [])),
        frame("plan", *(plans or [])),
        frame("session", *(sessions or [])),
        athletes("ann") if athlete is None else athlete,
        settings=squad,
        as_of=AS_OF,
    )
    HamstringFlag.validate(flags)
    assert flags.group_by("athlete_id", "day_on").agg(pl.col("level").n_unique())["level"].max() in (None, 1)
    assert set(flags["source"]) <= set(all_sources())
    assert set(flags["reason"].drop_nulls()) <= set(all_caveats())
    return flags


def family(flags: pl.DataFrame, name: str, on: dt.date = AS_OF) -> dict[str, Any]:
    return flags.filter((pl.col("family") == name) & (pl.col("day_on") == on)).row(0, named=True)


LOST = TEST | {"side": "l", "own_change_percent": -12.0}
