"""An own usual 10 m time beside the quartiles of people alike: which runs count, who is alike, what is said."""

import datetime as dt

import polars as pl
import pytest

from pipelines.derived.start.beside_others import start_beside_others
from schemas.derived.beside_others import StartBesideOthers
from schemas.derived.sprint import SprintProfile
from schemas.records import RECORDS
from tests.derived.load.work_frames import record, schema_of

AS_OF = dt.date(2026, 11, 22)
KIND = {"start_kind": "blocks", "clock_start": "gun", "timing_kind": "electronic"}
NORM = {
    "quarter": "2026_q3", "question": "norm", "cell": "c", "age_band": "18 and 19", "sex": "f",
    "event_group": "short_sprints", "low": 1.9, "middle": 2.0, "high": 2.107, "squads_sd": 0.05, "people": 40,
    "squads": 5, **KIND,
}  # fmt: skip
COLUMNS = RECORDS["reference_value"].to_schema().columns


def run(no: int, seconds: float | None, back: int = 1, trust: str = "good", **of_rep: object) -> tuple[dict, dict]:
    key = {"session_date": AS_OF - dt.timedelta(days=back), "rep_no": no}
    return {**key, "athlete_id": "ann", "session_no": 1, "t_10_s": seconds, "trust": trust, **KIND}, {**key, **of_rep}


def beside(*runs: tuple[dict, dict], norm: dict = NORM, born: dt.date = dt.date(2008, 1, 1)) -> list[dict]:
    schema = schema_of(SprintProfile)
    profile = pl.DataFrame([{name: row.get(name) for name in schema} for row, _ in runs], schema=schema, orient="row")
    people = record("athlete", {"display_name": "Ann", "sex": "f", "event_group": "short_sprints", "birth_date": born})
    norms = record("reference_value", {name: value for name, value in norm.items() if name in COLUMNS})
    found = start_beside_others(profile, record("rep", *(rep for _, rep in runs)), people, norms, as_of=AS_OF)
    StartBesideOthers.validate(found)
    return found.to_dicts()


def test_the_middle_of_the_runs_of_a_year_stands_beside_the_quartiles():
    [row] = beside(run(1, 1.95), run(2, 2.01), run(3, 2.5))
    assert (row["own_s"], row["runs"]) == (2.01, 3)
    assert (row["low_s"], row["middle_s"], row["high_s"]) == (1.9, 2.0, 2.107)
    assert row["sentence"].startswith("10 m, ")
    assert "own usual 2.01 s (3 runs in a year)" in row["sentence"]
    assert "women and girls aged 18 and 19" in row["sentence"]
    assert row["sentence"].endswith(
        "a quarter are under 1.90 s, half under 2.00 s, three quarters under 2.11 s (2026, quarter 3)"
    )


@pytest.mark.parametrize(
    "other",
    [
        run(2, 1.0, trust="poor"), run(2, None), run(2, 1.0, back=364), run(2, 1.0, back=-1),
        run(2, 1.0, resistance_kind="sled"), run(2, 1.0, outcome="stopped"), run(2, 1.0, effort_percent=94.0),
    ],
)  # fmt: skip
def test_a_run_that_says_nothing_of_the_best_free_start_of_the_year_does_not_count(other):
    [row] = beside(run(1, 2.0), other)
    assert (row["own_s"], row["runs"]) == (2.0, 1)


@pytest.mark.parametrize(
    "other", [run(2, 1.0, trust="thin"), run(2, 1.0, back=363), run(2, 1.0, effort_percent=95.0), run(2, 1.0, back=0)]
)
def test_a_whole_run_of_thin_trust_or_at_the_ends_of_the_year_counts(other):
    [row] = beside(run(1, 2.0), other)
    assert (row["own_s"], row["runs"]) == (1.5, 2)


@pytest.mark.parametrize(
    "norm",
    [NORM | {"sex": "m"}, NORM | {"age_band": "20 to 22"}, NORM | {"event_group": "hurdles"},
     NORM | {"start_kind": "standing"}, NORM | {"clock_start": "first_gate"}, NORM | {"timing_kind": "video"},
     NORM | {"question": "typical_error"}],
)  # fmt: skip
def test_nobody_is_set_beside_people_or_runs_unlike(norm):
    assert beside(run(1, 2.0), norm=norm) == []


@pytest.mark.parametrize(("born", "is_alike"), [((2008, 11, 22), True), ((2008, 11, 23), False), ((2006, 11, 23), True),
                                                ((2006, 11, 22), False)])  # fmt: skip
def test_an_age_band_begins_on_the_birthday(born, is_alike):
    assert (beside(run(1, 2.0), born=dt.date(*born)) != []) is is_alike  # 18 and 19
