"""The weeks of the season: phase, planned amounts and the next race. Days counted by hand on a calendar."""

import datetime as dt
from typing import Any

import polars as pl

from pipelines.derived.load.season import season_week
from schemas.derived.season import SeasonWeek
from tests.derived.load.work_frames import record

SUNDAY = dt.date(2026, 11, 22)  # the day looked from
THIS, COMING = dt.date(2026, 11, 16), dt.date(2026, 11, 23)
RACE = dt.date(2026, 12, 12)  # a Saturday


def planned(on: dt.date, kind: str = "tempo", minutes: float | None = 60, **more: Any) -> dict[str, Any]:
    return {"planned_on": on, "plan_no": 1, "kind": kind, "planned_min": minutes, "fast_metres": 0.0} | more


def phase(first: dt.date, name: str, last: dt.date | None = None, **more: Any) -> dict[str, Any]:
    return {"from_on": first, "until_on": last, "phase": name} | more


def weeks(
    plans: list[dict[str, Any]], phases: list[dict[str, Any]] | None = None, as_of: dt.date = SUNDAY
) -> dict[dt.date, dict[str, Any]]:
    found = season_week(record("plan", *plans), record("season_phase", *(phases or [])), as_of=as_of)
    return {row["week_of"]: row for row in SeasonWeek.validate(found).to_dicts()}


def test_the_next_race_is_counted_in_weeks_from_each_week():
    found = weeks([planned(RACE, "race", note="Fenmouth: 60 m"), planned(dt.date(2027, 1, 16), "race")])
    assert [found[THIS + dt.timedelta(weeks=n)]["weeks_to_race"] for n in range(4)] == [3, 2, 1, 0]
    assert found[COMING]["race_on"] == RACE
    assert found[COMING]["race_words"] == "Fenmouth: 60 m"
    assert found[dt.date(2026, 12, 14)]["race_on"] == dt.date(2027, 1, 16)


def test_without_a_race_and_without_a_phase_nothing_is_said():
    row = weeks([planned(COMING)])[COMING]
    assert {row[name] for name in ("phase", "aim", "phase_week", "phase_weeks", "race_on", "weeks_to_race")} == {None}


def test_a_race_of_0_minutes_is_none_and_one_that_is_over_is_not_to_come():
    yesterday = dt.date(2026, 11, 21)
    assert weeks([planned(yesterday, "race"), planned(RACE, "race", 0)])[THIS]["race_on"] is None
    assert weeks([planned(yesterday, "race")], as_of=yesterday)[THIS]["weeks_to_race"] == 0
    assert weeks([planned(RACE, "race", None)])[THIS]["race_on"] == RACE  # nobody has said how long it lasts


def test_a_phase_has_its_weeks_and_ends_where_the_next_begins():
    found = weeks(
        [planned(COMING)],
        [
            phase(dt.date(2026, 10, 5), "special_preparation", dt.date(2026, 12, 31), aim="speed"),
            phase(dt.date(2026, 11, 30), "competition"),
        ],
    )
    # 5 Oct to 29 Nov are eight weeks; that of 16 Nov is the seventh.
    assert {name: found[THIS][name] for name in ("phase", "aim", "phase_week", "phase_weeks")} == {
        "phase": "special_preparation", "aim": "speed", "phase_week": 7, "phase_weeks": 8,
    }  # fmt: skip
    after = found[dt.date(2026, 11, 30)]
    assert (after["phase"], after["phase_week"], after["phase_weeks"]) == ("competition", 1, None)


def test_a_week_after_the_last_day_of_a_phase_lies_in_none_and_a_dropped_phase_counts_nowhere():
    ended = phase(dt.date(2026, 11, 2), "general_preparation", SUNDAY)
    dropped = phase(dt.date(2026, 11, 9), "transition", is_dropped=True)
    found = weeks([planned(COMING)], [ended, dropped])
    assert (found[THIS]["phase"], found[THIS]["phase_week"]) == ("general_preparation", 3)
    assert found[COMING]["phase"] is None


def test_what_is_planned_is_summed_and_unknown_where_a_session_does_not_say():
    two = [planned(COMING, fast_metres=40.0), planned(COMING + dt.timedelta(days=2), minutes=75, fast_metres=90.0)]
    row = weeks(two)[COMING]
    assert (row["sessions"], row["planned_min"], row["fast_metres"]) == (2, 135, 130)
    row = weeks([*two, planned(COMING + dt.timedelta(days=4), minutes=None, fast_metres=None)])[COMING]
    assert (row["sessions"], row["planned_min"], row["fast_metres"]) == (3, None, None)
    assert weeks([planned(COMING, minutes=0)])[COMING]["sessions"] == 0


def test_the_weeks_go_from_eight_back_to_the_last_that_is_said_at_most_26_ahead():
    found = weeks([planned(COMING), planned(THIS + dt.timedelta(weeks=40))], [phase(THIS, "transition")])
    assert min(found) == THIS - dt.timedelta(weeks=8)
    assert max(found) == COMING  # what lies further ahead is not of this view
    assert pl.Series(sorted(found)).diff().drop_nulls().unique().to_list() == [dt.timedelta(days=7)]
