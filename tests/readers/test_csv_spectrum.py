"""The csv-spectrum suite (2.0.0, BSD-2-Clause): each text file comes out as its authors' JSON says."""

import json
from pathlib import Path

import pytest

from pipelines.readers import read_tables

SUITE = Path(__file__).parent / "csv_spectrum"
FILES = sorted(path.stem for path in SUITE.glob("*.csv"))
# Of this one the text file and the JSON hold different phone numbers.
AT_ODDS = "location_coordinates"


def test_the_suite_is_whole():
    assert len(FILES) == 12


@pytest.mark.parametrize("name", [name for name in FILES if name != AT_ODDS])
def test_a_file_of_the_suite_reads_as_its_authors_say(name: str):
    wanted = json.loads((SUITE / f"{name}.json").read_text(encoding="utf-8"))
    [table] = read_tables(f"{name}.csv", (SUITE / f"{name}.csv").read_bytes())
    got = [
        {head: row[f"c{place}"] or "" for place, head in enumerate(table.header)}
        for row in table.rows.iter_rows(named=True)
    ]
    told = json.dumps(got, ensure_ascii=False).replace("\\r\\n", "\\n")
    said = json.dumps(wanted, ensure_ascii=False).replace("\\r\\n", "\\n")
    assert json.loads(told) == json.loads(said)


def test_the_file_of_the_suite_that_is_at_odds_with_itself_is_still_read_whole():
    [table] = read_tables(f"{AT_ODDS}.csv", (SUITE / f"{AT_ODDS}.csv").read_bytes())
    assert table.rows["c1"].to_list() == ["37\ufffd36'37.8\"N 121\ufffd2'17.9\"W"]
