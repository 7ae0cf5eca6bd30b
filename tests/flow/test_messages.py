"""What a load tells and asks: what is settled leaves the list, the same is said once, and every choice fits."""

import polars as pl
import pytest

from pipelines import flow
from pipelines.entry.report import waiting_lines
from pipelines.home.folder import Home
from pipelines.record.known import athlete_meant
from tests.intake import take_in

BY_DAYS = "Body weight in kg 2026,,,\nName,4 Apr,2 May,6 Jun\nAda,61.6,60.9,61.7\nBo,77.5,78.2,77.5\n"


def load(home, name, text, told=None):
    options = flow.LayoutOptions(layouts=told or {})
    [outcome] = flow.load_files(home, [(name, text.encode())], "coach", options, derive_after=False)
    return outcome


def test_rows_under_days_wait_no_more_once_it_is_answered_who_they_are(tmp_path):
    home = Home(tmp_path / "home")
    load(home, "roster.csv", "Name\nAda Reed\nAda Rose\nBo Lind\nBo Lane\n")
    assert load(home, "weights.csv", BY_DAYS).set_aside == 2  # lines; a first name of two people is asked
    assert flow.look(home, "waiting").count == 6
    load(home, "weights.csv", BY_DAYS, {"squad": {"athletes": {"Ada": "ada-reed", "Bo": "bo-lind"}}})
    assert flow.table(home, "body_measure").height == 6
    assert flow.look(home, "waiting").count == 0


def test_blocks_under_one_header_say_once_what_was_not_taken(tmp_path):
    block = "Name,10 m,30 m,colour\nAda Reed,1.96,4.26,red\nBo Lind,1.83,3.95,red\n"
    text = f"Tue 3 Feb 2026,,,\n{block},,,\nThu 12 Feb 2026,,,\n{block},,,\nThu 19 Feb 2026,,,\n{block}"
    notes = load(Home(tmp_path / "home"), "runs.csv", text).notes
    assert sum("nothing was taken from 'colour'" in note for note in notes) == 1


def test_the_list_of_what_waits_goes_by_file_and_counts_what_waits_for_one_reason():
    waiting = [
        {"reject_no": no, "load_no": 1, "source_name": name, "source_sheet": "", "source_line": no + 1,
         "column": "Name",
         "reason": f"'P{no}' is not on the roster. Row set aside."}
        for no, name in enumerate(["a.csv"] * 6 + ["b.csv"], 1)
    ]  # fmt: skip
    short = list(waiting_lines(waiting, every=False))
    assert [line for line in short if line.endswith("cells")] == ["a.csv: 6 cells", "b.csv: 1 cells"]
    assert "... and 3 more for this reason, 4 to 6; --all lists them" in short[4]
    assert len(short) == 1 + 3 + 1 + 1 + 1
    assert sum("not on the roster" in line for line in waiting_lines(waiting, every=True)) == 7


@pytest.mark.parametrize(("text", "meant"), [
    ("ada-reed", "ada-reed"), ("Ada Reed", "ada-reed"), ("reed ada", "ada-reed"), ("ADA RÉED", "ada-reed"),
    ("Bo Lind", "Bo Lind"), ("Nobody", "Nobody"),
])  # fmt: skip
def test_an_athlete_is_meant_by_key_or_by_name_where_one_alone_has_it(text, meant):
    people = pl.DataFrame(
        {"athlete_id": ["ada-reed", "bo-1", "bo-2"], "display_name": ["Ada Reed", "Bo Lind", "Bo Lind"]}
    )
    assert athlete_meant(people, text) == meant


def choices(text, about):
    asked = [one for one in take_in(text).questions if one.ask == "columns" and one.about == about]
    return [answer for one in asked for answer, _ in one.answers]


def test_times_in_seconds_are_not_offered_as_minutes_nor_numbers_as_words():
    sessions = "Name,Date,planned (s),shoes\nAna Berg,2026-03-03,3.1,4.2\nBea Lund,2026-03-03,3.2,4.1\n"
    assert not {"session.planned_min", "session.duration_min"} & set(choices(sessions, "planned (s)"))
    assert "session.footwear" not in choices(sessions, "shoes")


def test_a_column_of_names_may_be_said_to_be_whose_rows_they_are():
    diary = "Date,Zzv,Minutes,RPE (0-10)\n2026-03-03,Cas Vos,60,5\n2026-03-03,Dee Ray,60,5\n2026-03-04,Cas Vos,70,6\n"
    assert "athlete_id" in choices(diary, "Zzv")
