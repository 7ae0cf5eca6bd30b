"""What was given and not read is remembered until it is read, so that a quiet sheet is not taken for all clear."""

import datetime as dt
from pathlib import Path

import pytest

from pipelines import flow
from pipelines.entry.unread import remember_unread, unread_files
from pipelines.home.folder import Home
from pipelines.record.loading import Outcome
from schemas.intake import Question

NAMES = "Name,Date,10m,20m\nAna Berg,2026-03-03,1.85,3.10\nBea Lund,2026-03-03,1.90,3.20\n"
AT = dt.datetime(2026, 11, 30, 8, 0)


@pytest.fixture
def home(tmp_path: Path) -> Home:
    return Home(tmp_path)


def asked(ask: str, about: str, holds: bool) -> Question:
    return Question("abc", ask, about, "?", (), 1, holds_rows=holds)


def test_a_file_that_is_not_read_is_remembered_until_it_is(home: Home):
    remember_unread(home, [Outcome("injuries.xlsx", problem="no header names a value")], "coach", AT)
    assert [(one["file"], one["problem"]) for one in unread_files(home)] == [
        ("injuries.xlsx", "no header names a value")
    ]
    remember_unread(home, [Outcome("runs.csv", stored=3)], "coach", AT)
    assert len(unread_files(home)) == 1
    remember_unread(home, [Outcome("injuries.xlsx", stored=3)], "coach", AT)
    assert unread_files(home) == []


def test_what_waits_for_an_answer_is_told_apart_from_a_column_nobody_knows(home: Home):
    questions = [asked("athletes", "Ana", True), asked("columns", "Tirantez", False), asked("clock_start", "", False)]
    remember_unread(home, [Outcome("form.csv", questions=questions)], "coach", AT)
    [one] = unread_files(home)
    assert (one["holding"], one["columns"]) == (1, ["Tirantez"])


def test_a_broken_note_costs_no_page(home: Home):
    home.unread.write_text("{", encoding="utf-8")
    assert unread_files(home) == []


def test_only_trying_a_file_remembers_nothing_and_loading_it_does(home: Home):
    flow.load_files(home, [("runs.csv", NAMES.encode())], "coach", check_only=True)
    assert flow.unread_files(home) == []
    flow.load_files(home, [("runs.csv", NAMES.encode())], "coach", derive_after=False)
    [one] = flow.unread_files(home)  # nobody is on the roster yet, so the names are asked
    assert one["file"] == "runs.csv"
    assert one["holding"] >= 1
