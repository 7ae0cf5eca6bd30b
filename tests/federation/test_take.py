"""What comes back to a squad: taken in as one load with where it came from, shown beside, read by no rule."""

import datetime as dt
import inspect
from pathlib import Path

import polars as pl
import pytest

from pipelines import flow
from pipelines.derived.registry import derivations
from pipelines.derived.start.beside_others import start_beside_others
from pipelines.entry.reference import read_reference
from pipelines.errors import SourceError, ThirdstepError
from schemas.derived.beside_others import StartBesideOthers
from schemas.records.reference import ReferenceValue
from schemas.rights import Writer

CELL = "18 and 19 / f / short_sprints / blocks / gun / electronic"
NORM = {
    "quarter": "2026_q4", "question": "norm", "cell": CELL, "age_band": "18 and 19", "sex": "f",
    "event_group": "short_sprints", "start_kind": "blocks", "clock_start": "gun", "timing_kind": "electronic",
    "low": 2.02, "middle": 2.05, "high": 2.1, "squads_sd": 0.03, "unit": "s", "people": 15, "squads": 8,
}  # fmt: skip
ERROR = {**dict.fromkeys(NORM), "quarter": "2026_q4", "question": "typical_error", "cell": "blocks", "middle": 0.008,
         "unit": "s", "people": 70, "squads": 8}  # fmt: skip


def table(*rows: dict) -> pl.DataFrame:
    return pl.DataFrame(rows, schema=ReferenceValue.to_schema().types, orient="row")


def file_of(folder: Path, *rows: dict, name: str = "reference-2026-q4.csv") -> Path:
    path = folder / name
    path.write_bytes(table(*rows).write_csv().encode())
    return path


def test_a_file_is_one_load_with_its_name_and_checksum_and_is_undone_whole(tmp_path: Path):
    home = flow.find_home(tmp_path / "home")
    path = file_of(tmp_path, NORM, ERROR)
    outcome = flow.take_reference(home, path, "coach")
    assert (outcome.stored, outcome.set_aside) == (2, 0)
    kept = flow.table(home, "reference_value")
    assert kept["note"].unique().to_list()[0].startswith("reference-2026-q4.csv, SHA-256 ")
    assert kept["middle"].to_list() == [2.05, 0.008]
    assert not flow.take_reference(home, path, "coach").stored  # the same again is nothing new
    flow.undo(home, outcome.load_no, "coach", derive_after=False)
    assert flow.table(home, "reference_value").is_empty()
    flow.redo(home, outcome.load_no, "coach", derive_after=False)
    assert flow.table(home, "reference_value").height == 2


def test_two_files_of_one_quarter_are_never_mixed(tmp_path: Path):
    home = flow.find_home(tmp_path / "home")
    flow.take_reference(home, file_of(tmp_path, NORM), "coach")
    with pytest.raises(ThirdstepError, match=r"2026_q4 are in already.*thirdstep undo 1"):
        flow.take_reference(home, file_of(tmp_path, {**NORM, "middle": 2.06}, name="again.csv"), "coach")
    next_one = file_of(tmp_path, {**NORM, "quarter": "2027_q1"}, name="next.csv")
    assert flow.take_reference(home, next_one, "coach").stored == 1


def test_only_the_head_coach_takes_figures_in(tmp_path: Path):
    home = flow.find_home(tmp_path / "home")
    staff = Writer("mo", "staff", event_groups=("short_sprints",))
    with pytest.raises(ThirdstepError):
        flow.take_reference(home, file_of(tmp_path, NORM), staff)
    assert flow.table(home, "reference_value").is_empty()


@pytest.mark.parametrize(
    ("rows", "says"),
    [
        ([{**NORM, "people": 9}], "line 2, column 'people': '9' cannot be"),
        ([NORM, {**ERROR, "squads": 2}], "line 3, column 'squads': '2' cannot be"),
        ([{**NORM, "middle": None}], "line 2, column 'middle': the value is missing"),
        ([{**NORM, "question": "threshold"}], "column 'question': 'threshold' cannot be"),
        ([{**NORM, "quarter": "2026"}], "column 'quarter': '2026' cannot be"),
        ([NORM, NORM], "says one cell twice"),
        ([NORM, {**ERROR, "quarter": "2026_q3"}], "holds several quarters"),
        ([], "holds no line"),
    ],
)
def test_a_value_that_cannot_be_is_named_with_line_and_column_and_nothing_is_stored(tmp_path: Path, rows, says):
    home = flow.find_home(tmp_path / "home")
    with pytest.raises(SourceError) as told:
        flow.take_reference(home, file_of(tmp_path, *rows), "coach")
    assert says in told.value.message
    assert not home.record.exists() or flow.table(home, "reference_value").is_empty()


@pytest.mark.parametrize(
    ("content", "says"),
    [
        (b"Name;Time\nAnwen;2.05\n", "it has no column 'quarter'"),
        (b"", "is no table of reference values"),
        (b"\xff\xfe\x00\x01" * 9, "is no table of reference values"),
        (table(NORM).write_csv().replace("2.05", "about two").encode(), "'about two' is no number"),
    ],
    ids=["another table", "empty", "no text", "a word for a number"],
)
def test_a_file_that_is_none_is_said_to_be_none(content: bytes, says: str):
    with pytest.raises(SourceError) as told:
        read_reference("f.csv", content)
    assert says in told.value.message


def beside(reference: pl.DataFrame, **said: object) -> pl.DataFrame:
    """Return the table for one athlete of three runs, 2.00, 2.06 and 2.03 s."""
    key = {"athlete_id": "a", "session_date": said.get("on", dt.date(2026, 11, 18)), "session_no": 1}
    who = {"athlete_id": "a", "birth_date": dt.date(2008, 1, 15), "sex": "f", "event_group": "short_sprints"}
    profile = {"start_kind": "blocks", "clock_start": "gun", "timing_kind": "electronic", "trust": "good"}
    runs = [{**key, "rep_no": n, **profile, "t_10_s": t} for n, t in ((1, 2.00), (2, 2.06), (3, 2.03))]
    free = {"resistance_kind": None, "resistance_load_kg": None, "effort_percent": 100.0, "outcome": "completed"}
    reps = [{**key, "rep_no": n, **free} for n in (1, 2, 3)]
    kinds = {"resistance_kind": pl.String, "resistance_load_kg": pl.Float64}
    athlete = pl.DataFrame(
        [{**who, **{name: said[name] for name in who if name in said}}],
        schema_overrides={"birth_date": pl.Date, "sex": pl.String},
    )
    made = start_beside_others(
        pl.DataFrame(runs), pl.DataFrame(reps, schema_overrides=kinds), athlete, reference, as_of=dt.date(2026, 11, 22)
    )
    assert StartBesideOthers.to_schema().is_met_by(made)
    return made


def test_the_own_median_stands_beside_the_quartiles_of_people_like_them():
    [row] = beside(table(NORM, ERROR)).to_dicts()
    assert (row["own_s"], row["runs"], row["middle_s"]) == (2.03, 3, 2.05)
    assert "own usual 2.03 s (3 runs in a year)" in row["sentence"]
    assert "at least 15 women and girls aged 18 and 19" in row["sentence"]
    assert (
        "a quarter are under 2.02 s, half under 2.05 s, three quarters under 2.10 s (2026, quarter 4)"
        in row["sentence"]
    )


def test_only_the_newest_quarter_is_shown():
    rows = beside(table({**NORM, "quarter": "2026_q3", "middle": 1.9}, NORM))
    assert rows["middle_s"].to_list() == [2.05]


@pytest.mark.parametrize(
    "said",
    [{"sex": "m"}, {"event_group": "hurdles"}, {"birth_date": None}, {"sex": None}, {"on": dt.date(2025, 11, 20)}],
)
def test_nothing_is_shown_of_other_people_or_of_runs_of_long_ago(said):
    assert beside(table(NORM), **said).is_empty()


def test_nothing_taken_in_is_nothing_shown():
    assert beside(table()).is_empty()


def test_no_rule_reads_what_others_do():
    readers = {
        name
        for name, function in derivations().items()
        if {"reference_value", "start_beside_others"}
        & {p.removesuffix("_settled") for p in inspect.signature(function).parameters}
    }
    assert readers == {"start_beside_others"}
