"""What is left open by several files of one club is asked once, and answered for each of them."""

import pytest

from pipelines import flow
from pipelines.intake.answers import as_toml, gathered, of_questions, read_answers
from pipelines.layouts.words.said import said_by
from schemas.intake import Question, fingerprint
from tests.flow.test_loaded_again import squad

CLOCKS = (("gun", "gun"), ("first_gate", "first gate"), ("unknown", "leave it unknown"))


def question(layout, source, rows, ask="clock_start", answers=CLOCKS, **more):
    return Question(layout, ask, more.pop("about", ""), "What starts the clock?", answers, rows, False,
                    ("Name", "10 m"), source, **more)  # fmt: skip


def test_the_clock_of_sister_files_is_one_question_with_all_their_rows():
    every = [question("a" * 12, "mai.csv", 30), question("b" * 12, "juni.csv", 70), question("c" * 12, "juli.csv", 5)]
    [one] = gathered(every)
    assert (one.layout, one.rows) == ("b" * 12, 105)
    assert {layout for layout, _, _ in one.also} == {"a" * 12, "c" * 12}
    assert "Asked once for 3 tables of juni.csv, mai.csv, juli.csv." in one.sentence


def test_how_a_run_starts_is_asked_table_by_table_since_it_differs():
    every = [question(letter * 12, f"{letter}.csv", 3, ask="start_kind") for letter in "ab"]
    assert len(gathered(every)) == 2


def test_one_answer_in_a_file_or_in_the_browser_holds_for_all_tables_it_names(tmp_path):
    [one] = gathered([question("a" * 12, "mai: 1.csv", 30), question("b" * 12, "juni.csv", 70)])
    written = as_toml([one]).replace('# clock_start = ""', 'clock_start = "first_gate"')
    (tmp_path / "answers.toml").write_text(written, encoding="utf-8")
    by_file = read_answers(tmp_path / "answers.toml").layouts
    by_hand = of_questions([(one, "first_gate")])
    for told in (by_file, by_hand):
        assert {name: own["clock_start"] for name, own in told.items()} == dict.fromkeys(
            ("a" * 12, "b" * 12), "first_gate"
        )
        assert told["a" * 12]["headers"].endswith("Name; 10 m")


def test_a_table_with_an_answer_of_its_own_keeps_it(tmp_path):
    [one] = gathered([question("a" * 12, "mai.csv", 30), question("b" * 12, "juni.csv", 70)])
    written = as_toml([one]).replace('# clock_start = ""', 'clock_start = "first_gate"')
    (tmp_path / "answers.toml").write_text(f'{written}\n[layout.{"a" * 12}]\nclock_start = "gun"\n', encoding="utf-8")
    told = read_answers(tmp_path / "answers.toml").layouts
    assert {name: own["clock_start"] for name, own in told.items()} == {"a" * 12: "gun", "b" * 12: "first_gate"}


def test_an_unanswered_question_says_nothing_of_any_table(tmp_path):
    [one] = gathered([question("a" * 12, "mai.csv", 30), question("b" * 12, "juni.csv", 70)])
    (tmp_path / "answers.toml").write_text(as_toml([one]), encoding="utf-8")
    assert not any("clock_start" in own for own in read_answers(tmp_path / "answers.toml").layouts.values())


def test_a_column_the_record_has_a_place_for_is_seen_at_once_and_one_it_has_none_for_may_wait():
    sleep = (("checkin.sleep_h", "sleep h of morning check-ins"), ("not_used", "nothing is taken from it"))
    other = (("other_measure", "kept as it is"), ("not_used", "nothing is taken from it"))
    assert question("a" * 12, "form.csv", 9, ask="columns", about="Schlaf?", answers=sleep).is_weighty
    assert not question("a" * 12, "form.csv", 9, ask="columns", about="Ruhepuls", answers=other).is_weighty


def test_a_sheet_that_speaks_of_timing_by_hand_is_asked_by_itself():
    ways = (("electronic", "electronic"), ("hand", "hand"))
    every = [question("a" * 12, "mai.csv", 30, ask="timing_kind", answers=ways),
             question("b" * 12, "juni.csv", 70, ask="timing_kind", answers=ways),
             question("c" * 12, "juli.csv", 5, ask="timing_kind", answers=ways,
                      cells=("60 m, gates or handgestopt?",))]  # fmt: skip
    [first, second] = gathered(every)
    assert ({layout for layout, _, _ in first.also} | {first.layout}, second.layout) == ({"a" * 12, "b" * 12}, "c" * 12)


@pytest.mark.parametrize(("title", "timed"), [
    ("60 m blok HANDGESTOPT (poorten stuk)", "hand"), ("tempo 150 m, hand", "hand"), ("30 m, poorten", "electronic"),
    ("30 m, hand off the pad", None), ("hand timed or gates", None),
])  # fmt: skip
def test_a_title_says_how_times_were_taken_and_not_what_was_broken(title, timed):
    said = said_by(title, "title")
    assert (said["timing_kind"].text if "timing_kind" in said else None) == timed


def test_where_hand_is_the_answer_marked_times_are_times(tmp_path):
    text = "Name,Date,60 m\nAda Reed,2026-06-16,7.2\nBo Lind,2026-06-16,7.3h\n"
    layout = fingerprint(["Name", "Date", "60 m"])
    home = squad(tmp_path)
    told = flow.LayoutOptions(layouts={layout: {"timing_kind": "hand"}})
    [outcome] = flow.load_files(home, [("june.csv", text.encode())], "coach", told, derive_after=False)
    assert outcome.set_aside == 0
    assert sorted(flow.table(home, "split")["elapsed_s"]) == [7.2, 7.3]
    assert set(flow.table(home, "rep")["timing_kind"]) == {"hand"}


def test_a_sheet_timed_by_hand_is_not_asked_where_its_gate_stands_nor_beside_others_for_its_clock(tmp_path):
    text = "June - 60 m by hand,,\nName,Date,60 m\nAda Reed,2026-06-16,7.2\nBo Lind,2026-06-16,7.3\n"
    [outcome] = flow.load_files(squad(tmp_path), [("june.csv", text.encode())], "coach", derive_after=False)
    asked = {one.ask: one for one in outcome.questions}
    assert "gate_offset" not in asked
    other = question("a" * 12, "mai.csv", 30)
    assert all(not one.also for one in gathered([asked["clock_start"], other]))
