"""A file whose headers are a table's own column names always loads, whatever the table and wherever it comes from."""

import csv
import datetime as dt
from collections.abc import Callable
from pathlib import Path

import polars as pl
import pytest

from pipelines import flow
from schemas.base import table_key
from schemas.dictionary import column_docs
from schemas.records import RECORDS

ROSTER = "athlete_id,display_name\nmarit-oakhollow,Marit Oakhollow\n"


def example_row(name: str, *, only_needed: bool = False) -> dict[str, str]:
    """A row of the examples that the model itself gives for its columns."""
    docs = column_docs({name: RECORDS[name]}).filter(pl.col("example") != "")
    if only_needed:
        docs = docs.filter(~pl.col("nullable"))
    return dict(docs.select("column_name", "example").iter_rows())


def typed(text: str, dtype: pl.DataType) -> object:
    if dtype == pl.Date:
        return dt.date.fromisoformat(text)
    return float(text) if dtype.is_numeric() else text


def with_a_roster(home: flow.Home) -> None:
    roster = home.root.with_name("roster.csv")
    roster.write_text(ROSTER, encoding="utf-8")
    flow.load(home, [roster], by="test", derive_after=False)


@pytest.fixture
def home(tmp_path: Path, filled_once: Callable) -> flow.Home:
    return filled_once(flow.find_home(tmp_path / "home"), with_a_roster)


@pytest.mark.parametrize("name", RECORDS)
def test_the_examples_of_a_table_load_under_its_own_headers_from_every_kind_of_file(
    home: flow.Home, tmp_path: Path, name: str
):
    row = example_row(name)
    workbook, text = tmp_path / "anything.xlsx", tmp_path / "anything.csv"
    pl.DataFrame([row]).write_excel(workbook)
    pl.DataFrame([row]).write_csv(text)
    template = flow.template(name, tmp_path, "csv")
    header = template.read_text(encoding="utf-8").strip().split(",")
    with template.open("a", encoding="utf-8", newline="") as file:
        csv.DictWriter(file, header, restval="").writerow(row)

    key = table_key(RECORDS[name])
    for path in (workbook, text):
        [outcome] = flow.load(home, [path], by="test", derive_after=False)
        assert (outcome.rows_read, outcome.set_aside) == (1, 0), (path.name, outcome.reasons)
        stored = flow.table(home, name)
        mine = stored.filter(*(pl.col(column) == typed(row[column], stored.schema[column]) for column in key))
        assert len(mine) == 1
        unknown = [column for column in row if mine[column].item() is None]
        assert unknown == [], path.name
        flow.undo(home, outcome.load_no, by="test", derive_after=False)  # the next stores all of it by itself
    [outcome] = flow.load(home, [template], by="test", derive_after=False)
    assert (outcome.rows_read, outcome.stored, outcome.set_aside) == (1, 1, 0), outcome.reasons


@pytest.mark.parametrize("name", RECORDS)
def test_the_columns_that_must_be_filled_are_enough(home: flow.Home, tmp_path: Path, name: str):
    row = example_row(name, only_needed=True)
    path = tmp_path / f"{name}.csv"
    pl.DataFrame([row]).write_csv(path)
    [outcome] = flow.load(home, [path], by="test", derive_after=False)
    assert outcome.problem == ""
    # a row that holds its key alone says nothing for most tables; it is named, never lost
    assert outcome.rows_read == 1
    assert outcome.stored + outcome.unchanged + outcome.set_aside == 1


@pytest.mark.parametrize("ending", ["csv", "xlsx"])
def test_an_empty_template_says_that_it_is_empty(home: flow.Home, tmp_path: Path, ending: str):
    template = flow.template("split", tmp_path, ending)
    [outcome] = flow.load(home, [template], by="test", derive_after=False)
    assert outcome.problem != ""
    assert outcome.rows_read == 0
