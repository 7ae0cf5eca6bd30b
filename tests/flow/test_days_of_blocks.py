"""A day that is asked for one block of a sheet is that block's alone, and is not asked again for the same file."""

import datetime as dt

import pytest

from pipelines import flow
from pipelines.home.folder import Home
from tests.flow.squad import fill
from tests.flow.test_loaded_again import ROSTER, bring, other_than_its_sources, squad

pytestmark = pytest.mark.usefixtures("small_derived")  # what is held here is the record; the board is by the way
HALL = (
    "Winter hall,,\n,,\nName,10 m,30 m\nAda Reed,1.97,4.27\nBo Lind,1.80,3.88\n,,\n"
    "Thu 22 January 2026,,\nName,10 m,30 m\nAda Reed,1.93,4.19\nBo Lind,1.79,3.87\n"
)
FIRST, SECOND = dt.date(2026, 1, 13), dt.date(2026, 1, 22)


def load(home, text=HALL, name="hall.csv", told=None):
    [outcome] = flow.load_files(
        home, [(name, text.encode())], "coach", flow.LayoutOptions(layouts=told or {}), derive_after=False
    )
    return outcome


def asked(outcome):
    return [one for one in outcome.questions if one.ask == "days"]


def times(home):
    return set(flow.table(home, "split").select("athlete_id", "session_date", "distance_m", "elapsed_s").rows())


def answer(home):
    """Load the roster and the sheet, and answer what it asks; what was asked and came of it stays beside the home."""
    bring(home, {"roster.csv": ROSTER})
    [question] = asked(load(home))
    told[:] = question, load(home, told=flow.of_questions([(question, FIRST.isoformat())]))


told = []  # of the home that is copied


@pytest.fixture
def answered(tmp_path):
    return fill(Home(tmp_path / "home"), answer), *told


def test_the_question_quotes_the_title_and_the_first_cells_of_its_block(answered):
    _, question, _ = answered
    assert "'Winter hall'" in question.sentence
    assert "'Ada Reed', '1.97', '4.27'" in question.sentence
    assert question.about.startswith("hall.csv › row 4 (")


def test_the_answer_is_of_the_block_it_was_asked_for_and_no_other(answered):
    home, _, outcome = answered
    assert asked(outcome) == []
    assert {row for row in times(home) if row[0] == "ada-reed"} == {
        ("ada-reed", FIRST, 10.0, 1.97), ("ada-reed", FIRST, 30.0, 4.27),
        ("ada-reed", SECOND, 10.0, 1.93), ("ada-reed", SECOND, 30.0, 4.19),
    }  # fmt: skip


def test_it_is_remembered_listed_and_in_the_record_made_again(answered):
    home, question, _ = answered
    before = times(home)
    assert (question.about, FIRST.isoformat()) in {(one["about"], one["answer"]) for one in flow.list_answers(home)}
    assert asked(load(home)) == []
    assert times(home) == before
    assert other_than_its_sources(home) == []
    assert flow.rebuild(home) == []
    assert times(home) == before


def test_another_file_of_the_same_name_is_asked_anew(answered):
    home, question, _ = answered
    [again] = asked(load(home, HALL.replace("1.97", "1.95").replace("22 January", "29 January")))
    assert again.about != question.about


def test_an_answer_for_a_whole_sheet_leaves_blocks_alone_that_say_their_day(tmp_path):
    home = squad(tmp_path)
    [question] = asked(load(home))
    load(home, told={question.layout: {"days": {"hall.csv": FIRST.isoformat()}}})
    assert {row[1] for row in times(home)} == {FIRST, SECOND}


@pytest.mark.parametrize(("title", "choices"), [
    # 15 October 2025 was a Wednesday and 15 October 2026 is a Thursday (calendar; computed with datetime)
    ("Thu 15-10-2025", ["2025-10-15", "2026-10-15"]),
    ("do 15-10-2025", ["2025-10-15", "2026-10-15"]),
    ("Wed 15-10-2025", []),
    ("resultados do 15-10-2025", []),
])  # fmt: skip
def test_a_weekday_that_contradicts_its_date_is_asked_and_not_corrected(tmp_path, title, choices):
    outcome = load(squad(tmp_path), f"{title},,\nName,10 m,30 m\nAda Reed,1.97,4.27\nBo Lind,1.80,3.88\n")
    assert [answer for one in asked(outcome) for answer, _ in one.answers] == choices


@pytest.mark.parametrize("gates", ["10/20/30", "20 / 40 / 60", "5/10/20"])
def test_gates_around_strokes_in_the_title_of_a_tab_are_no_second_day(tmp_path, gates):
    text = HALL.replace("Winter hall,,\n,,\n", f"Winter hall - gates at {gates},,\n,,\nTue 13 January 2026,,\n")
    home = squad(tmp_path)
    assert asked(load(home, text)) == []
    assert {row[1] for row in times(home)} == {FIRST, SECOND}


def test_what_the_title_of_a_tab_says_of_start_and_clock_reaches_every_block_below(tmp_path):
    text = HALL.replace("Winter hall,,\n,,\n", "Winter hall - block starts - gun,,\n,,\nTue 13 January 2026,,\n")
    text += ",,\nThu 29 January 2026 - standing,,\nName,10 m,30 m\nAda Reed,2.03,4.29\nBo Lind,1.89,3.97\n"
    home = squad(tmp_path)
    load(home, text)
    said = set(flow.table(home, "rep").select("session_date", "start_kind", "clock_start").rows())
    assert said == {(FIRST, "blocks", "gun"), (SECOND, "blocks", "gun"), (dt.date(2026, 1, 29), "standing", "gun")}
    assert other_than_its_sources(home) == []


def test_a_title_right_above_the_first_block_is_that_block_s_alone(tmp_path):
    text = "Block starts,,\nName,10 m,30 m\nAda Reed,1.97,4.27\nBo Lind,1.80,3.88\n,,\n"
    text += "Group 2,,\nName,Run,10 m,30 m\nAda Reed,1,1.93,4.19\nBo Lind,1,1.79,3.87\n"
    home = squad(tmp_path)
    every = load(home, text)
    load(home, text, told=flow.of_questions([
        (one, day) for one, day in zip(asked(every), (FIRST.isoformat(), SECOND.isoformat()), strict=True)
    ]))  # fmt: skip
    said = set(flow.table(home, "rep").select("session_date", "start_kind").rows())
    assert said == {(FIRST, "blocks"), (SECOND, None)}
