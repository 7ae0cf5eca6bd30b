"""Who may write what, table by table. What is allowed stands here a second time on purpose."""

import dataclasses

import pytest

from schemas.records import RECORDS
from schemas.rights import (
    CELLS_OF_HEAD_COACH,
    CLAIMED,
    COLUMNS_OF_ATHLETE,
    COLUMNS_WITH_GRANT,
    FIRST_WRITER,
    MAY_COME_AGAIN,
    NAMES,
    SIGNATURES,
    Writer,
    claimed,
    is_name_of,
    may_write,
    why_not,
    writer_of,
)

MACHINE, HEAD = Writer("this machine"), Writer("Head coach", "head_coach")
STAFF, GRANTED = Writer("Coach", "staff"), Writer("Physio", "staff", reads_injuries=True)
ADA, PARENT = Writer("Ada", "athlete", "ada"), Writer("Parent", "guardian", "ada", reads_injuries=True)
OF_HEAD_COACH = {"athlete", "exercise", "consent", "review_line", "reference_value"}
WITH_GRANT = {"injury", "return_step"}


def written(writer: Writer) -> set[str]:
    return {table for table in RECORDS if may_write(writer, table)}


def test_each_role_writes_exactly_these_tables():
    assert written(MACHINE) == written(HEAD) == set(RECORDS)
    assert written(GRANTED) == set(RECORDS) - OF_HEAD_COACH
    assert written(STAFF) == set(RECORDS) - OF_HEAD_COACH - WITH_GRANT
    assert written(ADA) == {"checkin", "session", "consent"}  # what of each, and when: test_rights.py
    assert written(PARENT) == {"consent"}
    assert [one.writes_all for one in (MACHINE, HEAD, STAFF, GRANTED, ADA, PARENT)] == [True, True, *[False] * 4]


@pytest.mark.parametrize(
    ("writer", "table", "said"),
    [
        (STAFF, "injury", "Injury detail is written by the head coach and by staff who may read it"),
        (STAFF, "return_step", "Injury detail is written"),
        (STAFF, "athlete", "Who is on the roster"),
        (STAFF, "exercise", "An exercise’s family"),
        (GRANTED, "consent", "Consent is kept by the head coach, so nothing of the row is kept."),
        (GRANTED, "review_line", "A review is closed by the head coach, so nothing of the row is kept."),
        (STAFF, "reference_value", "Reference values are taken in by the head coach, so nothing of the row is kept."),
        (ADA, "injury", "This sign-in may not write such rows"),
        (ADA, "athlete", "This sign-in may not write such rows"),
        (STAFF, "not_there", "This sign-in may not write such rows"),
    ],
)
def test_a_refusal_says_why_and_what_to_do(writer: Writer, table: str, said: str):
    assert why_not(writer, table).startswith(said)
    assert "nothing of the row is kept" in why_not(writer, table)
    assert "head coach" in why_not(writer, table)


def test_who_brought_rows_comes_back_from_the_log_as_they_were():
    for writer in (MACHINE, HEAD, Writer("Coach", "staff", event_groups=("hurdles",)), GRANTED, ADA):
        assert writer_of(writer.told) == writer
    assert ADA.told == {"name": "Ada", "role": "athlete", "athlete_id": "ada"}
    assert writer_of({}) is None


def test_who_writes_cannot_be_changed_once_it_is_said():
    with pytest.raises(dataclasses.FrozenInstanceError):
        ADA.role = "machine"  # type: ignore[misc]


def test_a_name_is_own_whatever_its_case_and_spaces():
    assert is_name_of(STAFF, " coach ")
    assert not is_name_of(STAFF, "Coach 2")


def test_somebody_else_s_name_is_shown_as_claimed_once():
    once = claimed("Head coach", STAFF)
    assert once == "Head coach (claimed, loaded by Coach)"
    assert claimed(once, GRANTED) == "Head coach (claimed, loaded by Physio)"
    assert CLAIMED in once


def test_the_columns_with_names_are_columns_of_their_tables():
    assert NAMES == {
        "decision": "decided_by",
        "trial_lot": "drawn_by",
        "review_line": "closed_by",
        "return_step": "signed_by",
        "film": "marked_by",
        "drill": "proposed_by",
        "week_template": "saved_by",
    }
    assert all(column in RECORDS[table].to_schema().columns for table, column in NAMES.items())
    assert {"return_step"} == SIGNATURES
    assert {"drill", "week_template"} == FIRST_WRITER
    assert {(table, column) for table, told in CELLS_OF_HEAD_COACH.items() for column in told} == {("drill", "is_used")}


def test_what_may_come_again_and_what_single_columns_ask_for():
    assert {"athlete", "exercise"} == MAY_COME_AGAIN
    assert COLUMNS_WITH_GRANT == {"checkin": ("note",)}
    assert COLUMNS_OF_ATHLETE == {
        "session": ("athlete_id", "session_date", "session_no", "duration_min", "effort_0_10")
    }
    for table, columns in (*COLUMNS_WITH_GRANT.items(), *COLUMNS_OF_ATHLETE.items()):
        assert set(columns) <= set(RECORDS[table].to_schema().columns)
