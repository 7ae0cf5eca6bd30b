"""A file whose headers are a table's own column names always loads, whatever the table and wherever it comes from."""

import csv
import datetime as dt
from collections.abc import Callable
from pathlib import Path

import polars as pl
import pytest

from pipelines import flow
from pipelines.record import opening, warehouse
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


def as_workbook(name: str, path: Path) -> Path:
    pl.DataFrame([example_row(name)]).write_excel(path.with_suffix(".xlsx"))
    return path.with_suffix(".xlsx")


def as_text(name: str, path: Path) -> Path:
    pl.DataFrame([example_row(name)]).write_csv(path.with_suffix(".csv"))
    return path.with_suffix(".csv")


def as_filled_template(name: str, path: Path) -> Path:
    path.mkdir()
    template = flow.template(name, path, "csv")
    header = template.read_text(encoding="utf-8").strip().split(",")
    with template.open("a", encoding="utf-8", newline="") as file:
        csv.DictWriter(file, header, restval="").writerow(example_row(name))
    return template.rename(path.with_suffix(".csv"))


def fault_of(name: str, outcome: flow.Outcome, stored: pl.DataFrame) -> str:
    """Say what is wrong with how a table's own example was taken in; empty where nothing is."""
    if (outcome.rows_read, outcome.stored, outcome.set_aside) != (1, 1, 0):
        return f"{name}: {outcome.problem} {outcome.reasons} {outcome}"
    row = example_row(name)
    own = [pl.col(column) == typed(row[column], stored.schema[column]) for column in table_key(RECORDS[name])]
    found = stored.filter(*own)
    if len(found) != 1:
        return f"{name}: {len(found)} rows have the example's key"
    unknown = [column for column in row if found[column].item() is None]
    return f"{name}: not read: {unknown}" if unknown else ""


@pytest.mark.parametrize("write", [as_workbook, as_text, as_filled_template])
def test_the_examples_of_every_table_load_under_its_own_headers_from_every_kind_of_file(
    home: flow.Home, tmp_path: Path, write: Callable[[str, Path], Path]
):
    # one load of a file a table; the files' names say nothing of what they hold
    paths = {name: write(name, tmp_path / f"anything-{number}") for number, name in enumerate(RECORDS)}
    outcomes = {one.file: one for one in flow.load(home, list(paths.values()), by="test", derive_after=False)}
    with opening.record(home, to_look=True) as record:
        faults = [fault_of(name, outcomes[path.name], warehouse.table(record, name)) for name, path in paths.items()]
    assert [fault for fault in faults if fault] == []


def test_the_columns_that_must_be_filled_are_enough(home: flow.Home, tmp_path: Path):
    paths = [tmp_path / f"{name}.csv" for name in RECORDS]
    for path in paths:
        pl.DataFrame([example_row(path.stem, only_needed=True)]).write_csv(path)
    outcomes = flow.load(home, paths, by="test", derive_after=False)
    assert sorted(one.file for one in outcomes) == sorted(path.name for path in paths)
    assert [one.file for one in outcomes if one.problem] == []
    # a row that holds its key alone says nothing for most tables; it is named, never lost
    counted = {one.file: (one.rows_read, one.stored + one.unchanged + one.set_aside) for one in outcomes}
    assert {file: counts for file, counts in counted.items() if counts != (1, 1)} == {}


@pytest.mark.parametrize("ending", ["csv", "xlsx"])
def test_an_empty_template_says_that_it_is_empty(home: flow.Home, tmp_path: Path, ending: str):
    template = flow.template("split", tmp_path, ending)
    [outcome] = flow.load(home, [template], by="test", derive_after=False)
    assert outcome.problem != ""
    assert outcome.rows_read == 0
