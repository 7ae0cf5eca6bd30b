"""Questions instead of guesses: asked with the answers they take, answered, remembered by layout, changed."""

import pytest

from pipelines import flow
from pipelines.errors import ThirdstepError
from pipelines.intake.answers import as_toml
from tests.flow.squad import ROSTER, write

pytestmark = pytest.mark.usefixtures("small_derived")

TIMES = "Name;Date;10m;20m;30m\n{name};03/04/2025;1,80;2,95;4,00\n"


def load(home, tmp_path, text, name="times", **given):
    [outcome] = flow.load(home, write(tmp_path / "in", **{name: text}), by="coach", derive_after=False, **given)
    return outcome


def asked(outcome):
    return {(q.ask, q.about): [answer for answer, _ in q.answers] for q in outcome.questions if q.holds_rows}


def fill(home):
    load(home, home.root.parent, ROSTER + "bea-lind,Bea Lind\n", "roster")


@pytest.fixture
def squad(home, filled_once):
    return filled_once(home, fill)


def test_a_date_that_can_be_read_two_ways_is_asked_and_not_guessed(squad, tmp_path):
    outcome = load(squad, tmp_path, TIMES.format(name="Ada Reed"))
    assert (outcome.stored, outcome.set_aside) == (0, 1)
    assert asked(outcome) == {("date_order", ""): ["day", "month"]}


def test_an_answer_is_remembered_for_the_next_file_with_the_same_headers(squad, tmp_path):
    first = load(squad, tmp_path, TIMES.format(name="Ada Reed"))
    [question] = [q for q in first.questions if q.ask == "date_order"]
    options = flow.LayoutOptions(layouts=flow.of_questions([(question, "day")]))
    assert load(squad, tmp_path, TIMES.format(name="Ada Reed"), options=options).stored == 1
    later = load(squad, tmp_path, TIMES.format(name="Bo Lind").replace("03/04", "05/06"), "next_week")
    assert (later.stored, later.set_aside) == (1, 0)
    assert [str(d) for d in flow.table(squad, "session")["session_date"].unique().sort()] == [
        "2025-04-03",
        "2025-06-05",
    ]


def test_a_remembered_answer_can_be_listed_changed_and_forgotten(squad, tmp_path):
    [question] = [q for q in load(squad, tmp_path, TIMES.format(name="Ada Reed")).questions if q.ask == "date_order"]
    for answer in ("day", "month"):
        options = flow.LayoutOptions(layouts=flow.of_questions([(question, answer)]))
        load(squad, tmp_path, TIMES.format(name="Ada Reed"), options=options)
    [told] = flow.list_answers(squad)
    assert (told["ask"], told["answer"], told["answered_by"]) == ("date_order", "month", "coach")
    flow.forget(squad, told["layout"], "date_order")
    assert flow.list_answers(squad) == []
    assert asked(load(squad, tmp_path, TIMES.format(name="Bo Lind"), "again")) == {("date_order", ""): ["day", "month"]}


def test_two_plausible_people_are_a_question_and_so_is_one(squad, tmp_path):
    text = TIMES.replace("03/04/2025", "2025-04-03")
    # by hand: 'B. Lind' is short for Bo Lind and for Bea Lind; 'A. Reed' for Ada Reed alone, and is asked all the same
    assert asked(load(squad, tmp_path, text.format(name="B. Lind"))) == {
        ("athletes", "B. Lind"): ["bea-lind", "bo-lind", "new", "nobody"]
    }
    one = asked(load(squad, tmp_path, text.format(name="A. Reed"), "other"))
    assert one[("athletes", "A. Reed")][0] == "ada-reed"


def test_who_a_name_is_is_answered_by_an_athlete_or_by_a_new_person(squad, tmp_path):
    text = TIMES.replace("03/04/2025", "2025-04-03")
    [layout] = {q.layout for q in load(squad, tmp_path, text.format(name="B. Lind")).questions if q.ask == "athletes"}
    options = flow.LayoutOptions(layouts={layout: {"athletes": {"B. Lind": "bo-lind", "Cy Fell": "new"}}})
    assert load(squad, tmp_path, text.format(name="B. Lind"), options=options).stored == 1
    assert load(squad, tmp_path, text.format(name="Cy Fell"), "other").stored == 1
    assert flow.table(squad, "rep")["athlete_id"].to_list() == ["bo-lind", "cy-fell"]
    assert "Cy Fell" in flow.table(squad, "athlete")["display_name"].to_list()


def test_a_new_person_is_never_made_in_silence(squad, tmp_path):
    before = flow.table(squad, "athlete").height
    load(squad, tmp_path, TIMES.replace("03/04/2025", "2025-04-03").format(name="Cy Fell"))
    assert flow.table(squad, "athlete").height == before


def test_a_name_of_a_roster_that_may_be_a_slip_is_asked(squad, tmp_path):
    outcome = load(squad, tmp_path, "Name;Sex\nAda Read;f\nCy Fell;m\n", "more")
    assert asked(outcome) == {("athletes", "Ada Read"): ["ada-reed", "new", "nobody"]}
    assert (outcome.stored, outcome.set_aside) == (1, 1)


def test_seconds_under_a_header_that_says_milliseconds_are_asked(squad, tmp_path):
    text = TIMES.replace("03/04/2025", "2025-04-03").replace("10m;20m;30m", "10m (ms);20m (ms);30m (ms)")
    outcome = load(squad, tmp_path, text.format(name="Ada Reed"))
    assert (outcome.stored, asked(outcome)) == (0, {("units", "elapsed_s"): ["s", "ms"]})
    options = flow.LayoutOptions(units={"elapsed_s": "s"})
    assert load(squad, tmp_path, text.format(name="Ada Reed"), options=options).stored == 1
    assert flow.table(squad, "split")["elapsed_s"].to_list() == [1.8, 2.95, 4.0]


def test_a_start_nobody_stated_stays_unknown_until_it_is_answered(squad, tmp_path):
    text = TIMES.replace("03/04/2025", "2025-04-03").format(name="Ada Reed")
    outcome = load(squad, tmp_path, text)
    assert outcome.stored == 1
    assert {q.ask for q in outcome.questions} == {"start_kind", "clock_start", "timing_kind", "gate_offset"}
    assert flow.table(squad, "rep")["start_kind"].to_list() == [None]
    again = load(squad, tmp_path, text, options=flow.LayoutOptions(start_kind="three_point"))
    assert again.stored == 1
    assert flow.table(squad, "rep")["start_kind"].to_list() == ["three_point"]


def test_the_unanswered_questions_are_printed_as_a_file_to_fill_in(squad, tmp_path):
    outcome = load(squad, tmp_path, TIMES.format(name="B. Lind"))
    text = as_toml(outcome.questions)
    assert "#   bo-lind: Bo Lind, score 95 of 100" in text
    filled = text.replace('date_order = ""', 'date_order = "day"')
    filled = filled.replace('athletes."B. Lind" = ""', 'athletes."B. Lind" = "bo-lind"')
    path = tmp_path / "answers.toml"
    path.write_text(filled, encoding="utf-8")
    assert load(squad, tmp_path, TIMES.format(name="B. Lind"), options=flow.read_answers(path)).stored == 1


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ('date_order = "year"', "day, month"),
        ('colour = "red"', "no question 'colour'"),
        ('[layout.abc]\nunits = {Zeit = "furlong"}', "furlong"),
        ("date_order = ", "cannot be read"),
        ('[layout.abc]\ncolumns = {What = "session.kind", Rest = "session.sleep_h"}', "'Rest' was said to be"),
    ],
)
def test_an_answer_that_is_none_is_refused_with_those_that_are(tmp_path, text, said):
    path = tmp_path / "answers.toml"
    path.write_text(text, encoding="utf-8")
    with pytest.raises(ThirdstepError, match=said):
        flow.read_answers(path)


def test_the_record_is_made_again_with_the_answers_it_was_loaded_with(squad, tmp_path):
    load(squad, tmp_path, TIMES.format(name="Ada Reed"), options=flow.LayoutOptions(date_order="day"))
    before = flow.table(squad, "split")
    assert flow.rebuild(squad) == []
    assert flow.table(squad, "split").equals(before)
