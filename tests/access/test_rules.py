"""Who reads which rows and columns, rule by rule, against a small board of every table's own columns.

What is hidden stands here a second time on purpose: a column that falls out of the rule is a column that leaks.
"""

import dataclasses
import datetime as dt

import duckdb
import polars as pl
import pytest

from dashboard.access import rules
from dashboard.access.rules import INJURY_COLUMNS, NotForThisViewer, as_text, columns_otherwise, quoted, rows_for
from dashboard.access.viewer import Viewer
from dashboard.wording import INJURY_HIDDEN
from schemas.age import is_minor
from schemas.derived.registry import DERIVED
from schemas.records import RECORDS

COLUMNS = {name: list(model.to_schema().columns) for name, model in {**RECORDS, **DERIVED}.items()}
HEAD = Viewer("Head coach", "head_coach")
STAFF = Viewer("Staff coach", "staff", event_groups=("hurdles",))
GRANTED = Viewer("Physio", "staff", event_groups=("hurdles",), may_read_injuries=True)
ADA = Viewer("Ada", "athlete", athlete_id="ada")
PARENT = Viewer("Parent", "guardian", athlete_id="ada")
EVERYBODY = (HEAD, STAFF, GRANTED, ADA, PARENT)
OPEN = (
    "method", "column_doc", "knowledge", "caveat", "setting", "board_info", "exercise", "drill", "seen", "run_error",
    "attention_rate", "attention_budget", "reference_value",
)  # fmt: skip
OF_COACHES = ("load", "squad_week", "readiness_noise", "start_shift", "week_template", "never_entered")
AS_WRITTEN = ("rejected", "mended", "marked")
OF_HEAD_COACH = ("entry_day", "flag_backtest", "flag_backtest_week")

# Null for staff without the grant, in every row.
HIDDEN = {
    "hamstring_flag": {"read_note_on"},
    "week_sheet": {"read_note_on", "is_coming_back"},
    "review_line": {"is_coming_back"},
    "injury": {"site", "side", "kind", "mechanism", "recurrence", "note"},
    "checkin": {"note"},
    "load_week": {"injury_week"},
    "return_step": {"site", "side", "work_done", "symptoms", "signed_by", "note"},
    "consent": {"given_by", "is_guardian", "note"},
    "return_ladder": {
        "site", "side", "highest_rung", "last_rung", "last_symptoms", "days_with_symptoms", "signed_rung", "signed_by",
    },
}  # fmt: skip
# In rows whose flag is true, or not known: the columns with words, and those that become null.
RESTING = {
    ("readiness_reason", "reads_injury"): ({"sentence"}, {"value", "evidence_on", "since_on"}),
    ("readiness_day", "reads_injury"): ({"strongest", "sentence"}, set()),
    ("hamstring_flag", "reads_injury"): ({"sentence"}, {"evidence_on", "since_on", "lapses_on", "reason"}),
    ("hamstring_flag", "level_reads_injury"): (set(), {"level_words"}),
    ("advice", "reads_injury"): ({"headline", "sentence", "own_headline", "own_sentence"}, {"stands", "waits"}),
    ("week_sheet", "work_reads_injury"): ({"focus_headline"}, set()),
    ("week_sheet", "training_reads_injury"): ({"training_reason"}, set()),
    ("week_sheet", "hamstring_reads_injury"): ({"hamstring_reason"}, {"hamstring_words"}),
    ("review_line", "training_reads_injury"): ({"training_reason"}, set()),
    ("review_line", "work_reads_injury"): ({"work_on_next"}, set()),
    ("review_line", "hamstring_reads_injury"): ({"hamstring_reason"}, {"hamstring_words"}),
    ("plan_caution", "reads_injury"): ({"words"}, set()),
    ("review_since", "reads_injury"): ({"changed"}, set()),
}


@pytest.fixture
def con() -> duckdb.DuckDBPyConnection:
    """A board with Ada, a hurdler under 18, and Bo, a jumper, and a row of each in every table asked for."""
    con = duckdb.connect()
    con.execute("create table athlete as select * from (values ('ada', 'hurdles', date '2008-11-23'),"
                "('bo', 'horizontal_jumps', date '2000-01-01')) t(athlete_id, event_group, birth_date)")  # fmt: skip
    con.execute("create table board_info as select 'as_of' as name, '2026-11-22' as value")
    return con


def seen(con: duckdb.DuckDBPyConnection, viewer: Viewer, table: str, known: list[str], rows: pl.DataFrame) -> list:
    """Return the athletes whose rows of a table a viewer reads."""
    condition, values = rows_for(viewer, table, known)
    con.register("rows", rows)
    found = con.execute(f"select athlete_id from rows where {condition} order by 1", values).fetchall()
    return [who for (who,) in found]


BOTH = pl.DataFrame({"athlete_id": ["ada", "bo"], "tables": ["split", "split"], "event_group": ["hurdles", "x"]})


def test_the_tables_that_are_not_read_by_person_are_these():
    assert (set(OPEN), {*OF_COACHES, *AS_WRITTEN}) == (rules.OPEN_TABLES, rules.COACH_TABLES)
    assert (set(AS_WRITTEN), set(OF_HEAD_COACH)) == (rules.CELLS_AS_WRITTEN, rules.HEAD_COACH_TABLES)
    assert ({"consent"}, {"load"}) == (rules.PRIVATE_TABLES, rules.OWN_LOADS)


@pytest.mark.parametrize("table", OPEN)
def test_what_explains_the_rest_is_open_to_all(table: str):
    assert [rows_for(viewer, table, ["name"]) for viewer in EVERYBODY] == [("true", [])] * len(EVERYBODY)


@pytest.mark.parametrize("table", [*OF_COACHES, *AS_WRITTEN])
def test_what_is_of_coaches_is_not_for_athletes_and_guardians(table: str):
    for viewer in (ADA, PARENT):
        with pytest.raises(NotForThisViewer, match=f"'{table}' is for the head coach and staff$"):
            rows_for(viewer, table, ["athlete_id"])
    if table in OF_COACHES:
        # staff read of the loads their own; of every other table of coaches all
        own = ("loaded_by = ?", [STAFF.name]) if table == "load" else ("true", [])
        assert rows_for(STAFF, table, ["athlete_id"]) == own


@pytest.mark.parametrize("table", AS_WRITTEN)
def test_cells_as_written_are_of_own_groups_and_without_the_grant_of_no_health_file(con, table: str):
    files = ("split", "session, injury", "checkin", "return_step", "injury_notes")
    rows = pl.DataFrame([{"athlete_id": who, "tables": file} for file in files for who in ("ada", "bo", None)])
    # by hand: all files of Ada for the grant; without it 'split' and the table whose name only begins like 'injury'
    assert seen(con, GRANTED, table, ["athlete_id"], rows) == ["ada"] * 5
    assert seen(con, STAFF, table, ["athlete_id"], rows) == ["ada"] * 2
    assert len(seen(con, HEAD, table, ["athlete_id"], rows)) == 15


@pytest.mark.parametrize("table", OF_HEAD_COACH)
def test_what_judges_the_rules_is_for_the_head_coach_alone(table: str):
    assert rows_for(HEAD, table, ["athlete_id"]) == ("true", [])
    for viewer in (STAFF, GRANTED, ADA, PARENT):
        with pytest.raises(NotForThisViewer, match=f"'{table}' is for the head coach$"):
            rows_for(viewer, table, ["athlete_id"])


def test_consent_is_for_the_head_coach_and_the_person(con):
    assert seen(con, ADA, "consent", ["athlete_id"], BOTH) == ["ada"]
    assert seen(con, PARENT, "consent", ["athlete_id"], BOTH) == ["ada"]
    with pytest.raises(NotForThisViewer, match=r"'consent' is for the head coach$"):
        rows_for(Viewer("Nobody's", "athlete"), "consent", ["athlete_id"])


def test_staff_read_of_consent_only_whether_their_athletes_may_be_filmed(con):
    for topic, read in (("video", ["ada"]), ("health", []), ("sharing", [])):
        rows = BOTH.with_columns(topic=pl.lit(topic))
        assert [seen(con, viewer, "consent", ["athlete_id"], rows) for viewer in (STAFF, GRANTED)] == [read, read]
    for viewer in (STAFF, GRANTED):
        hidden = columns_otherwise(viewer, "consent", COLUMNS["consent"])
        assert {name for name, instead in hidden.items() if instead == "null"} == {"given_by", "is_guardian", "note"}


def test_rows_of_people_are_read_by_group_by_person_and_by_the_guardian_of_a_minor(con):
    assert seen(con, HEAD, "split", ["athlete_id"], BOTH) == ["ada", "bo"]
    assert seen(con, STAFF, "split", ["athlete_id"], BOTH) == ["ada"]
    assert seen(con, ADA, "split", ["athlete_id"], BOTH) == ["ada"]
    assert seen(con, PARENT, "split", ["athlete_id"], BOTH) == ["ada"]
    assert seen(con, Viewer("Bo's parent", "guardian", athlete_id="bo"), "split", ["athlete_id"], BOTH) == []
    assert seen(con, Viewer("New", "staff"), "split", ["athlete_id"], BOTH) == []


def test_a_guardian_s_page_closes_on_the_eighteenth_birthday(con):
    con.execute("update board_info set value = '2026-11-23'")  # Ada was born on 23 November 2008
    assert seen(con, PARENT, "split", ["athlete_id"], BOTH) == []


def test_a_table_of_groups_is_read_by_own_groups_and_one_without_people_by_the_head_coach(con):
    assert seen(con, STAFF, "group_spread", ["event_group"], BOTH) == ["ada"]
    for viewer, known in ((ADA, ["event_group"]), (STAFF, ["name"]), (PARENT, [])):
        with pytest.raises(NotForThisViewer, match=r"'group_spread' is for the head coach$"):
            rows_for(viewer, "group_spread", known)


def test_a_sign_in_tied_to_nobody_reads_nobody():
    for role in ("athlete", "guardian"):
        with pytest.raises(NotForThisViewer, match=r"^this sign-in is tied to no athlete$"):
            rows_for(Viewer("Nobody's", role), "split", ["athlete_id"])


def test_injury_detail_is_null_for_staff_without_the_grant_in_exactly_these_columns():
    resting = {table: set() for table, _ in RESTING}
    for (table, _), (words, others) in RESTING.items():
        resting[table] |= words | others
    for table, known in COLUMNS.items():
        read = columns_otherwise(STAFF, table, known)
        assert set(read) == HIDDEN.get(table, set()) | resting.get(table, set()), table
        assert all(read[name] == "null" for name in HIDDEN.get(table, ())), table


def test_the_columns_of_injury_detail_are_these():
    assert {table: set(columns) for table, columns in {**INJURY_COLUMNS, **rules.NOT_FOR_STAFF}.items()} == HIDDEN


@pytest.mark.parametrize(
    ("day", "is_under_age"),
    [((2026, 11, 22), True), ((2026, 11, 23), False), ((2026, 12, 1), False), ((2025, 12, 1), True)],
)
def test_somebody_is_under_age_until_the_eighteenth_birthday(day: tuple[int, int, int], is_under_age: bool):
    assert is_minor(dt.date(2008, 11, 23), dt.date(*day)) is is_under_age
    assert not is_minor(None, dt.date(*day))


@pytest.mark.parametrize("table", ["split", *AS_WRITTEN, "load"])
@pytest.mark.parametrize("viewer", EVERYBODY)
def test_staff_read_of_a_file_s_name_its_ending_alone_but_where_the_rows_are_their_own(con, viewer: Viewer, table: str):
    names = ["gates of Bo Lind.csv", "typed: checkin", "no ending"]
    con.register("row", pl.DataFrame({"source_name": names}))
    read = columns_otherwise(viewer, table, ["source_name"]).get("source_name", "source_name")
    shown = [name for (name,) in con.execute(f"select {read} from row").fetchall()]
    hides = viewer.role == "staff" and table == "split"
    assert shown == ([".csv", "typed: checkin", ""] if hides else names)


@pytest.mark.parametrize("viewer", [HEAD, GRANTED, ADA])
def test_who_may_read_injuries_reads_every_column_as_it_stands(viewer: Viewer):
    others = {table for table, known in COLUMNS.items() if columns_otherwise(viewer, table, known)}
    assert others == ({"consent"} if viewer is GRANTED else set())


def test_a_guardian_reads_no_free_text_note_and_everything_else():
    noted = {table for table, known in COLUMNS.items() if "note" in known}
    assert {"checkin", "injury", "return_step"} < noted
    for table, known in COLUMNS.items():
        assert columns_otherwise(PARENT, table, known) == ({"note": "null"} if table in noted else {})


def test_staff_without_the_grant_read_notes_that_are_not_of_health():
    assert columns_otherwise(STAFF, "session", ["note"]) == {}


@pytest.mark.parametrize(("key", "hidden"), RESTING.items(), ids=["-".join(key) for key in RESTING])
@pytest.mark.parametrize(("flag", "hides"), [(True, True), (False, False), (None, True)])
def test_words_that_rest_on_an_injury_are_hidden_row_by_row_and_where_the_row_does_not_say(
    con, key: tuple[str, str], hidden: tuple[set[str], set[str]], flag: bool | None, hides: bool
):
    table, flag_column = key
    words, others = hidden
    read = columns_otherwise(STAFF, table, COLUMNS[table])
    row = pl.DataFrame({name: ["as it stands"] for name in COLUMNS[table]}).with_columns(
        pl.lit(False).alias(name) for name in COLUMNS[table] if name.endswith("reads_injury")
    )
    con.register("row", row.with_columns(pl.lit(flag, pl.Boolean).alias(flag_column)))
    for name in words | others:
        instead = con.execute(f"select {read[name]} from row").fetchall()[0][0]
        assert instead == ("as it stands" if not hides else INJURY_HIDDEN if name in words else None), name


def test_words_are_hidden_in_every_row_where_a_table_has_no_flag(con):
    con.register("row", pl.DataFrame({"sentence": ["week 6 since return"], "strongest": ["back"]}))
    read = columns_otherwise(STAFF, "readiness_day", ["sentence", "strongest"])
    assert con.execute(f"select {read['sentence']} from row").fetchall() == [(INJURY_HIDDEN,)]


def test_a_name_is_quoted_so_that_it_stays_a_name():
    assert quoted('a"b') == '"a""b"'
    name = 'x" or 1=1 --'
    assert duckdb.sql(f"select 1 as {quoted(name)}").columns == [name]


def test_words_are_quoted_so_that_they_stay_words():
    words = "of Bo's') or true --"
    assert duckdb.sql(f"select {as_text(words)}").fetchall() == [(words,)]


@pytest.mark.parametrize(
    ("viewer", "coach", "tied", "own", "injuries"),
    [
        (HEAD, True, False, False, True),
        (STAFF, True, False, False, False),
        (GRANTED, True, False, False, True),
        (ADA, False, True, True, True),
        (PARENT, False, True, False, True),
        (Viewer("Nobody's", "athlete", may_read_injuries=True), False, False, True, False),
        (Viewer("Nobody's", "guardian", may_read_injuries=True), False, False, False, False),
        (Viewer("Staff tied", "staff", athlete_id="ada"), True, False, False, False),
    ],
)
def test_what_each_role_may_is_said_by_role_grant_and_tie(viewer, coach, tied, own, injuries):
    said = (viewer.is_coach, viewer.is_tied, viewer.is_own, viewer.reads_injuries)
    assert said == (coach, tied, own, injuries)


def test_who_looks_cannot_be_changed_after_the_sign_in():
    with pytest.raises(dataclasses.FrozenInstanceError):
        ADA.role = "head_coach"  # type: ignore[misc]


def test_nobody_is_fresh_unless_it_is_said_and_being_fresh_makes_nobody_another_person():
    assert not STAFF.is_fresh
    assert dataclasses.replace(STAFF, is_fresh=True) == STAFF
    assert dataclasses.replace(STAFF, may_read_injuries=True) != STAFF


def test_the_board_looks_from_a_day_for_guardians(con):
    con.execute("delete from board_info")
    assert seen(con, PARENT, "split", ["athlete_id"], BOTH) == []
