"""A record file of every earlier version is brought up to date when it is opened; any other is refused, unchanged."""

import duckdb
import pytest

from pipelines import flow
from pipelines.errors import ThirdstepError
from pipelines.record import migrations as migrating
from pipelines.record import warehouse
from tests.flow.squad import ROSTER, SESSIONS, SPLITS, load_roster, write

pytestmark = pytest.mark.usefixtures("small_derived")

# What turns a file of this version into one of an earlier: the steps of pipelines/record/migrations.py, backwards.
BACKWARDS = {
    1: ["alter table rejected drop column athlete_id", "drop table mended"],
    2: [
        f"alter table {version}{table} rename column {now} to {then}"
        for table, now, then in (
            ("session", "effort_0_10", "effort_cr10"),
            ("plan", "planned_effort_0_10", "planned_effort_cr10"),
        )
        for version in ("", "version_")
    ],
    3: [
        f'alter table {table} alter column "{column}" set data type bigint'
        for table in ("checkin", "version_checkin")
        for column in (
            "sleep_quality",
            "fatigue",
            "soreness",
            "stress",
            "mood",
            "hamstring_tightness_l",
            "hamstring_tightness_r",
            "pain",
        )
    ],
    4: [
        "update rejected set resolved_at = null, resolved_by_load = null where resolved_by_load in (select a.load_no "
        'from rejected a where a."column" = rejected."column" and a.source_line = rejected.source_line)'
    ],
}
EARLIER = range(migrating.FIRST_VERSION, migrating.SCHEMA_VERSION)


def fill(home):
    tmp_path = home.root.parent
    wrong = SPLITS.replace("2.95", "2.9O")
    flow.load(home, write(tmp_path / "in", roster=ROSTER, splits=wrong), by="coach", derive_after=False)
    flow.load(home, write(tmp_path / "2", s=SPLITS.replace("1.80", "1.84")), by="coach", derive_after=False)
    flow.undo(home, 3, by="coach", derive_after=False)


@pytest.fixture
def old(home, filled_once):
    """A home with rows, a row set aside and an undone load, to be made older."""
    return filled_once(home, fill)


def make_older(home, version):
    with duckdb.connect(str(home.record)) as con:
        for step in range(migrating.SCHEMA_VERSION - 1, version - 1, -1):
            for statement in BACKWARDS[step]:
                con.execute(statement)
        con.execute("update info set value = ? where name = 'schema_version'", [str(version)])


def test_every_earlier_version_has_a_file_to_test_with_and_the_steps_leave_none_out():
    assert sorted(BACKWARDS) == list(EARLIER)
    assert [step.to_version for step in migrating.STEPS] == [version + 1 for version in EARLIER]


@pytest.mark.parametrize("version", EARLIER)
def test_a_record_of_an_earlier_version_is_brought_up_to_date_and_holds_what_it_held(old, version):
    before = {name: flow.table(old, name) for name in ("athlete", "split", "load", "rejected")}
    make_older(old, version)
    for name, frame in before.items():
        assert flow.table(old, name).equals(frame, null_equal=True), name
    with duckdb.connect(str(old.record), read_only=True) as con:
        info = dict(con.execute("select * from info").fetchall())
    assert info["schema_version"] == str(migrating.SCHEMA_VERSION)
    flow.derive_board(old)
    assert not [said for said in flow.verify(old) if said[1]]
    flow.redo(old, 3, by="coach")
    assert flow.table(old, "split")["elapsed_s"].to_list() == [1.84, 2.95, 4.00]


def test_ratings_of_effort_keep_their_values_under_the_new_name_and_old_sources_still_say_them(home, tmp_path):
    then = SESSIONS.replace("effort_0_10", "effort_cr10")
    flow.load(home, write(tmp_path / "in", roster=ROSTER, sessions=then), by="coach", derive_after=False)
    plan = {"athlete_id": "ada-reed", "planned_on": "2025-11-04", "plan_no": 1, "planned_effort_cr10": 5}
    flow.enter(home, "plan", [plan], "coach", derive_after=False)
    make_older(home, 2)
    assert flow.table(home, "session")["effort_0_10"].to_list() == [6.0, 4.0]
    assert flow.table(home, "plan")["planned_effort_0_10"].to_list() == [5.0]
    assert flow.rebuild(home) == []  # from the file and the typed row, both with the names of then
    assert flow.table(home, "session")["effort_0_10"].to_list() == [6.0, 4.0]
    assert flow.table(home, "plan")["planned_effort_0_10"].to_list() == [5.0]


def test_a_conflict_that_was_listed_at_each_load_is_listed_once(home, tmp_path):
    numbered = "name,date,run,10 m\nAda Reed,2026-02-03,1,{}\n"
    files = [(f"{name}.csv", numbered.format(time).encode()) for name, time in (("a", 1.96), ("b", 1.93))]
    third = ("c.csv", numbered.format(1.91).encode())
    load_roster(home)
    flow.load_files(home, files, "coach", derive_after=False)
    flow.load_files(home, [*files, third], "coach", derive_after=False)  # one side more: the sentence is another
    waits = flow.rejected(home)
    assert waits["source_name"].sort().to_list() == ["a.csv", "b.csv", "c.csv"]
    make_older(home, 4)
    with duckdb.connect(str(home.record), read_only=True) as con:
        assert con.execute("select count(*) from rejected where resolved_by_load is null").fetchall() == [(5,)]
    assert flow.rejected(home).equals(waits, null_equal=True)
    flow.derive_board(home)
    assert not [said for said in flow.verify(home) if said[1]]


def test_a_step_that_fails_leaves_the_file_as_it_was(old, monkeypatch):
    make_older(old, 1)

    def fail(con):
        con.execute("alter table load add column half varchar")
        raise ThirdstepError("in the middle")

    monkeypatch.setattr(migrating, "STEPS", (migrating.Step(2, "fails", fail),))
    with pytest.raises(ThirdstepError, match="in the middle"):
        flow.loads(old)
    with duckdb.connect(str(old.record), read_only=True) as con:
        assert dict(con.execute("select * from info").fetchall())["schema_version"] == "1"
        columns = con.execute("select column_name from information_schema.columns where table_name = 'load'").fetchall()
    assert ("half",) not in columns


@pytest.mark.parametrize(
    ("said", "sentence"),
    [("99", "newer thirdstep.*Nothing was changed.*rebuild"), ("0", "never was one"), ("x", "never was one")],
)
def test_a_record_of_another_version_is_refused_with_a_way_out_and_not_changed(old, said, sentence):
    make_older(old, migrating.SCHEMA_VERSION)
    with duckdb.connect(str(old.record)) as con:
        con.execute("update info set value = ? where name = 'schema_version'", [said])
    before = old.record.read_bytes()
    for _ in range(2):
        with pytest.raises(ThirdstepError, match=sentence):
            flow.loads(old)
    assert old.record.read_bytes() == before
    assert flow.rebuild(old) == []  # the way out it names
    assert flow.loads(old).height == 3


def test_a_database_of_something_else_is_refused_and_not_changed(home):
    home.prepare()
    with duckdb.connect(str(home.record)) as con:
        con.execute("create table bills (amount double)")
    with pytest.raises(ThirdstepError, match="database of something else"):
        flow.loads(home)
    with duckdb.connect(str(home.record), read_only=True) as con:
        assert con.execute("select table_name from information_schema.tables").fetchall() == [("bills",)]


def test_a_new_record_says_this_version(home, tmp_path):
    load_roster(home)
    with warehouse.connect(home.record) as con:
        assert con.execute("select value from info where name = 'schema_version'").fetchall() == [
            (str(migrating.SCHEMA_VERSION),)
        ]
