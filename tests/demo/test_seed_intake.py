"""The demo's folder through the way in: what is wrong on purpose is set aside, the rest is kept and comes out right."""

import csv
import io

import polars as pl
import pytest

from pipelines.checks import Checked, Known, check
from pipelines.layouts import LaidOut, lay_out
from pipelines.readers import read_tables
from seed_data import DEMO_SETTINGS, FILES, TRUTH
from seed_data.gym import JUMPS, jump_sets, lift_sets
from seed_data.runs import Run, timed_runs
from seed_data.weeks import Session, sessions
from seed_data.wellness import checkins

Place = tuple[str, str, int]


@pytest.fixture(scope="module")
def laid() -> dict[str, list[LaidOut]]:
    paths = sorted(FILES.iterdir(), key=lambda path: (path.name != "roster.csv", path.name))
    return {path.name: [lay_out(table) for table in read_tables(path.name, path.read_bytes())] for path in paths}


@pytest.fixture(scope="module")
def checked(laid: dict[str, list[LaidOut]]) -> dict[str, Checked]:
    known = Known(pl.DataFrame(schema={"athlete_id": pl.String, "display_name": pl.String}), DEMO_SETTINGS["as_of"])
    results: dict[str, Checked] = {}
    for name, tables in laid.items():
        results[name] = check(tables, known)
        if name == "roster.csv":
            known = Known(results[name].accepted["athlete"].select("athlete_id", "display_name"), known.as_of)
    return results


@pytest.fixture(scope="module")
def calendar() -> list[Session]:
    return sessions()


@pytest.fixture(scope="module")
def runs(calendar: list[Session]) -> list[Run]:
    return timed_runs(calendar)


@pytest.fixture(scope="module")
def planted() -> dict[Place, str]:
    rows = csv.DictReader(io.StringIO((TRUTH / "wrong_rows.csv").read_text(encoding="utf-8")))
    return {(row["file"], row["sheet"], int(row["line"])): row["kind"] for row in rows}


def set_aside(checked: dict[str, Checked]) -> dict[Place, dict[str, object]]:
    return {
        (name, row["source_sheet"] or "", row["source_line"]): row
        for name, result in checked.items()
        for row in result.set_aside.iter_rows(named=True)
    }


def accepted(checked: dict[str, Checked], table: str) -> pl.DataFrame:
    return pl.concat([one.accepted[table] for one in checked.values() if table in one.accepted], how="diagonal")


def sound(checked: dict[str, Checked], table: str) -> pl.DataFrame:
    """Rows of which nothing is set aside: of a row wrong on purpose the right cells are kept; the truth has none."""
    place = ["source_sheet", "source_line"]
    return pl.concat(
        [
            one.accepted[table].join(one.set_aside, on=place, how="anti", nulls_equal=True)
            for one in checked.values()
            if table in one.accepted
        ],
        how="diagonal",
    )


def test_every_row_wrong_on_purpose_is_set_aside(checked: dict[str, Checked], planted: dict[Place, str]):
    # An empty row is no row of the source: the readers pass over it, so it is neither read nor set aside.
    wrong = {place for place, kind in planted.items() if kind != "empty_row"}
    assert wrong <= set(set_aside(checked))


def test_no_row_with_a_time_is_set_aside_besides(checked: dict[str, Checked], planted: dict[Place, str]):
    others = {place: row for place, row in set_aside(checked).items() if place not in planted}
    # A false start has no time; whether the bare run is kept is the loader's rule, not the demo's.
    assert all("false_start" in str(row["row_json"]) for row in others.values())
    assert len(others) <= 3


def test_every_heading_of_the_demo_is_understood(laid: dict[str, list[LaidOut]]):
    assert {
        (name, table.sheet): table.ignored for name, tables in laid.items() for table in tables if table.ignored
    } == {}


def test_splits_come_out_as_the_simulator_wrote_them(checked: dict[str, Checked], runs: list[Run]):
    # ms, decimal commas, tabs, workbooks, wide and long: all of them give the same seconds.
    key = ["athlete_id", "session_date", "session_no", "rep_no", "distance_m"]
    wanted = pl.DataFrame(
        [
            (r.athlete_id, r.session_date, r.session_no, r.rep_no, at, time)
            for r in runs
            for at, time in r.splits.items()
        ],
        schema=[*key, "elapsed_s"],
        orient="row",
    ).with_columns(pl.col("session_no", "rep_no").cast(pl.Int64))
    got = sound(checked, "split").unique(key)
    assert got.height == wanted.height
    both = wanted.join(got, on=key, suffix="_got")
    assert both.height == wanted.height
    assert both.select((pl.col("elapsed_s") - pl.col("elapsed_s_got")).abs().max()).item() < 1e-9


def test_lifts_come_out_of_shorthand_and_decimal_commas(checked: dict[str, Checked], calendar: list[Session]):
    key = ["athlete_id", "session_date", "exercise", "set_no"]
    wanted = pl.DataFrame(lift_sets(calendar), infer_schema_length=None)
    jumps = [name for name, _, _ in JUMPS]
    got = sound(checked, "lift_set").filter(~pl.col("exercise").is_in(jumps)).unique(key)
    both = wanted.join(got, on=key, suffix="_got")
    assert both.height == wanted.height == got.height
    assert both.filter(pl.col("reps") != pl.col("reps_got")).height == 0
    assert both.filter(pl.col("load_kg").is_null() != pl.col("load_kg_got").is_null()).height == 0
    assert both.select((pl.col("load_kg") - pl.col("load_kg_got")).abs().max()).item() < 1e-9


def test_jump_sets_come_out_under_the_session_they_were_done_in(checked: dict[str, Checked], calendar: list[Session]):
    key = ["athlete_id", "session_date", "session_no", "exercise", "set_no"]
    wanted = pl.DataFrame(jump_sets(calendar), infer_schema_length=None)
    got = sound(checked, "lift_set").filter(pl.col("exercise").is_in([name for name, _, _ in JUMPS]))
    both = wanted.join(got, on=key, suffix="_got")
    assert both.height == wanted.height == got.height > 0
    assert both.filter(pl.col("reps") != pl.col("reps_got")).height == 0


def test_body_mass_in_pounds_comes_out_in_kilograms(checked: dict[str, Checked]):
    mass = accepted(checked, "body_measure").filter(pl.col("body_mass_kg").is_not_null())
    per_athlete = mass.group_by("athlete_id").agg(pl.col("body_mass_kg").max() / pl.col("body_mass_kg").min())
    assert per_athlete.height == 24
    # 160 lb left as kilograms would be 2.2 times the athlete's other readings; own readings stay within 8 %.
    assert per_athlete["body_mass_kg"].max() < 1.08  # type: ignore[operator]


def test_checkins_come_out_under_their_items(checked: dict[str, Checked], calendar: list[Session]):
    wanted = pl.DataFrame(checkins(calendar), infer_schema_length=None)
    got = sound(checked, "checkin")
    both = wanted.join(got, on=["athlete_id", "checked_on"], suffix="_got")
    assert both.height == wanted.height == got.height
    for item in ("sleep_h", "sleep_quality", "fatigue", "soreness", "hamstring_tightness_l", "pain", "ill"):
        assert both.filter(pl.col(item) != pl.col(f"{item}_got")).height == 0, item
        assert both[f"{item}_got"].null_count() == 0, item
