"""Who only looks gets the same rows without the libraries that compute, and the slow way where something is to do."""

import subprocess
import sys
from pathlib import Path

import duckdb
import pytest

from pipelines import flow
from pipelines.board.glance import glance
from pipelines.record import warehouse
from pipelines.record.looking import Rows
from schemas.derived.registry import DERIVED
from schemas.records import RECORDS

HEAVY = ("polars", "pandas", "pandera", "numpy", "pyarrow")
ASK = """
import sys
from pipelines.cli.main import main
try:
    main(["--home", sys.argv[1], *sys.argv[2:]])
except SystemExit as end:
    assert not end.code, end.code
print("imported:", *[name for name in {heavy} if name in sys.modules], file=sys.stderr)
""".replace("{heavy}", repr(HEAVY))


@pytest.mark.parametrize("name", [*RECORDS, *DERIVED, *warehouse.LOG_TABLES])
def test_rows_looked_at_are_those_of_the_table(few_home: flow.Home, name: str):
    found = glance(few_home, name)
    assert found is not None
    frame = flow.table(few_home, name)
    assert found == Rows.of(frame)


def test_only_the_first_rows_are_fetched_and_all_are_counted(few_home: flow.Home):
    found = flow.look(few_home, "checkin", most=3)
    assert len(found.values) == 3
    assert found.count == flow.table(few_home, "checkin").height


def test_rows_that_wait_are_looked_at(few_home: flow.Home):
    assert [*flow.look(few_home, "waiting").named()] == flow.rejected(few_home).to_dicts()


@pytest.mark.parametrize("asked", [["loads"], ["rejected"], ["table", "athlete"], ["table", "week_sheet", "--count"]])
def test_a_command_that_only_looks_imports_nothing_that_computes(few_home: flow.Home, asked: list[str]):
    said = subprocess.run(
        [sys.executable, "-c", ASK, str(few_home.root), *asked],
        capture_output=True, text=True, check=True, cwd=Path(__file__).parents[2],
    )  # fmt: skip
    assert said.stderr.strip() == "imported:"
    assert said.stdout.strip()


def test_what_is_to_be_put_right_first_goes_the_slow_way(own_few_home: flow.Home):
    assert glance(own_few_home, "load") is not None
    beside = own_few_home.record.with_name("record.duckdb.wal")
    beside.write_bytes(b"")
    assert glance(own_few_home, "load") is None
    beside.unlink()
    with duckdb.connect(str(own_few_home.record)) as con:
        con.execute("update info set value = '1' where name = 'last_event'")  # the log knows more
    assert glance(own_few_home, "load") is None
    assert glance(flow.find_home(own_few_home.root / "none"), "load") is None


def test_a_record_of_other_code_is_brought_up_to_date_before_it_is_looked_at(own_few_home: flow.Home):
    with duckdb.connect(str(own_few_home.record)) as con:
        con.execute("update info set value = 'another' where name = 'record_code'")
    assert glance(own_few_home, "load") is None
    assert flow.look(own_few_home, "load") == Rows.of(flow.loads(own_few_home))
    assert glance(own_few_home, "load") is not None


def test_a_table_with_newer_rows_beside_the_board_goes_the_slow_way(own_few_home: flow.Home):
    who = flow.table(own_few_home, "athlete")["athlete_id"][0]
    day = flow.settings(own_few_home).as_of
    row = {"athlete_id": who, "checked_on": day, "sleep_h": 5.5}
    flow.enter(own_few_home, "checkin", [row], "coach", derive_after=False)
    flow.follow(own_few_home)
    assert glance(own_few_home, "readiness_day") is None
    assert flow.look(own_few_home, "readiness_day") == Rows.of(flow.table(own_few_home, "readiness_day"))


def test_a_name_that_no_table_has_is_said(few_home: flow.Home):
    with pytest.raises(flow.ThirdstepError, match="no table 'nothing'"):
        flow.look(few_home, "nothing")
    with pytest.raises(flow.ThirdstepError, match="no table 'fingerprint'"):
        flow.look(few_home, "fingerprint")
