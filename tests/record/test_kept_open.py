"""Between two openings of the record its file is closed and whole, and nothing of the first is there in the second."""

import subprocess
import sys
from pathlib import Path

import pytest

from pipelines.home.folder import Home
from pipelines.record import kept_open, opening, warehouse

COUNT = "import duckdb, sys; print(duckdb.connect(sys.argv[1]).execute('select count(*) from info').fetchall()[0][0])"


@pytest.fixture
def home(tmp_path: Path) -> Home:
    return Home(tmp_path / "o'home")  # a quote in its name


def spare() -> list[warehouse.Connection]:
    return list(kept_open._spare.values())


def test_another_process_opens_the_file_while_the_database_is_kept(home: Home):
    with opening.record(home) as con:
        con.execute("insert into info values ('told', 'yes')")
        count = con.execute("select count(*) from info").fetchall()[0][0]
    assert spare() == [con]
    assert not home.record.with_name("record.duckdb.wal").exists()
    told = subprocess.run(
        [sys.executable, "-c", COUNT, str(home.record)], capture_output=True, text=True, check=True, timeout=60
    )
    assert int(told.stdout) == count
    with opening.record(home) as again:
        assert again is con
        assert again.execute("select value from info where name = 'told'").fetchall() == [("yes",)]


@pytest.mark.parametrize(
    "left", ["create temp table left_over as select 1 as a", "create temp view left_over as select 1"]
)
def test_what_is_left_in_the_database_goes_with_it(home: Home, left: str):
    with opening.record(home) as con:
        con.execute(left)
    assert spare() == []
    with opening.record(home) as con:
        con.execute("create temp table left_over as select 2 as a")
        con.execute("drop table left_over")
    assert spare() == [con]


def test_what_fails_takes_the_database_along_and_leaves_the_record_as_it_was(home: Home):
    with opening.record(home):
        pass

    def stopped() -> None:
        with opening.record(home) as con, warehouse.transaction(con):
            con.execute("delete from info")
            raise RuntimeError("stopped")

    with pytest.raises(RuntimeError, match="stopped"):
        stopped()
    assert spare() == []
    with opening.record(home) as con:
        assert warehouse.last_event(con) == 0


def test_another_home_has_a_database_of_its_own(home: Home, tmp_path: Path):
    other = Home(tmp_path / "other")
    with opening.record(home) as con, opening.record(other) as beside:
        con.execute("insert into info values ('told', 'yes')")
        assert beside.execute("select value from info where name = 'told'").fetchall() == []
    assert len(spare()) == 1


ROW = "insert into load (load_no) values (1)"


@pytest.mark.parametrize(
    ("does", "is_kept"),
    [
        (["begin", ROW, "create temp table left_over as select 1", "rollback"], True),
        ([ROW], False),
        ([ROW, "delete from load"], False),
        (["update info set value = '7' where name = 'last_event'"], False),
        (["create table more (a int)"], False),
        (["create temp table left_over as select 1"], False),
        (["begin"], False),
    ],
)
def test_a_record_of_nothing_is_looked_at_again_where_nothing_was_put_into_it(
    home: Home, does: list[str], is_kept: bool
):
    with opening.record(home, to_look=True) as con:
        for one in does:
            con.execute(one)
    with opening.record(home, to_look=True) as again:
        assert (again is con) == is_kept
        assert again.execute("select count(*) from load").fetchall() == [(0,)]
        assert warehouse.last_event(again) == 0
    assert not home.root.exists()
