"""What people write beside their numbers, and a number that names no side."""

import pytest

from tests.intake import rows, take_in

FORM = """Timestamp,Your name,Sleep quality (1 = terrible 5 = great),{}
2026-01-13 07:42:10,Ana Berg,4,{}
2026-01-14 08:01:33,Béa Lünd,2,{}
"""


@pytest.mark.parametrize("header", ["Any pain or illness?", "Anything else we should know?", "Pain"])
def test_a_question_answered_in_sentences_is_a_remark(header):
    checked = take_in(FORM.format(header, "No", "left hamstring sore since Sunday"), "form.csv")
    assert checked.questions == []
    assert sorted(rows(checked, "checkin", "athlete_id", "sleep_quality", "note")) == [
        ("ana-berg", 4, "No"), ("bea-lund", 2, "left hamstring sore since Sunday"),
    ]  # fmt: skip
    assert "pain" not in checked.accepted["checkin"].columns


def test_a_rating_in_words_is_still_asked_for_its_number():
    checked = take_in(FORM.format("Pain", "a bit", "a lot"), "form.csv")
    assert {one.ask for one in checked.questions} == {"words"}


def test_numbers_of_pain_with_a_word_among_them_are_no_remark():
    checked = take_in(FORM.format("Pain (0 = none - 10 = worst)", "3", "hardly any pain now"), "form.csv")
    assert rows(checked, "checkin", "athlete_id", "pain") == [("ana-berg", 3), ("bea-lund", None)]


def test_how_it_went_is_a_remark_beside_the_session():
    log = "Date,Athlete,Session,Minutes,Effort,{}\n2026-01-13,Ana Berg,acceleration,75,7,felt sharp\n"
    log += "2026-01-13,Béa Lünd,acceleration,75,8,tight left hamstring on the last rep so we stopped\n"
    checked = take_in(log.format("How did it go?"), "log.csv")
    notes = {note for (note,) in rows(checked, "session", "note")}
    assert notes == {"felt sharp", "tight left hamstring on the last rep so we stopped"}
    assert {one.about for one in checked.questions} == {"Effort"}


def test_short_words_that_come_again_are_asked():
    log = "Date,Athlete,Session,Minutes,Effort,Zork\n"
    log += "".join(f"2026-01-{day},Ana Berg,acceleration,75,7,green bag\n" for day in (13, 14, 15))
    checked = take_in(log, "log.csv")
    assert "note" not in checked.accepted["session"].columns


TIGHT = "Hamstring tightness 0-10 (0 = none)"


def test_tightness_without_a_side_offers_both_and_is_kept_on_both():
    asked = take_in(FORM.format(TIGHT, "1", "6"), "form.csv")
    [question] = [one for one in asked.questions if one.about == TIGHT]
    assert question.answers[0][0] == "checkin.hamstring_tightness"
    told = take_in(FORM.format(TIGHT, "1", "6"), "form.csv", columns={TIGHT: "checkin.hamstring_tightness"})
    assert sorted(rows(told, "checkin", "athlete_id", "hamstring_tightness_l", "hamstring_tightness_r")) == [
        ("ana-berg", 1, 1), ("bea-lund", 6, 6),
    ]  # fmt: skip
    assert TIGHT not in {one.about for one in told.questions}


def test_tightness_said_to_be_of_the_left_is_of_the_left_alone():
    told = take_in(FORM.format(TIGHT, "1", "6"), "form.csv", columns={TIGHT: "checkin.hamstring_tightness_l"})
    assert sorted(rows(told, "checkin", "hamstring_tightness_l")) == [(1,), (6,)]
    assert "hamstring_tightness_r" not in told.accepted["checkin"].columns


def test_what_a_line_says_beyond_its_times_is_a_remark_beside_the_session():
    text = "Sun 18 Jan 2026 - flying 30s, gates\nAna Berg: 2.98, 2.95\nBéa Lünd - 2.86, 2.84, (pulled up)\n"
    checked = take_in(text, "fly.txt")
    assert sorted(rows(checked, "split", "athlete_id", "elapsed_s")) == [
        ("ana-berg", 2.95), ("ana-berg", 2.98), ("bea-lund", 2.84), ("bea-lund", 2.86),
    ]  # fmt: skip
    assert ("bea-lund", "pulled up") in rows(checked, "session", "athlete_id", "note")


def test_a_line_with_numbers_beyond_its_times_is_asked():
    text = "Sun 18 Jan 2026 - flying 30s, gates\nAna Berg: 2.98, 2.95\nBéa Lünd - 2.86 and 2.84 with 3 kg vest\n"
    checked = take_in(text, "fly.txt")
    assert "What the line says" in {one.about for one in checked.questions}


def test_runs_of_a_text_in_lines_have_numbers_of_ours_counted_through_the_day():
    text = "Fri 13/11/2026 blocks, hand\n- Ana Berg 30m 4.3, 4.2\n- Béa Lünd 30m 4.5\nAna Berg: flying 30m 3.35, 3.31\n"
    checked = take_in(text, "phone.txt")
    assert sorted(rows(checked, "rep", "athlete_id", "rep_no", "start_kind")) == [
        ("ana-berg", 1, "blocks"), ("ana-berg", 2, "blocks"), ("ana-berg", 3, "rolling"), ("ana-berg", 4, "rolling"),
        ("bea-lund", 1, "blocks"),
    ]  # fmt: skip
    assert set(checked.made_numbers) == {""}  # so that a file with runs of that day is a second set of runs


@pytest.mark.parametrize(("header", "words"), [("Sex", ("Man", "Woman")), ("Kön", ("Man", "Kvinna"))])
def test_a_word_that_means_by_hand_elsewhere_is_what_its_heading_says(header, words):
    """'man' is short for manual; below 'Timing' it says so, below 'Sex' nobody was timed."""
    roster = f"name,born,{header}\nAna Berg,2003-05-14,{words[1]}\nCleo Dahl-Frost,2004-05-14,{words[0]}\n"
    assert rows(take_in(roster, "roster.csv"), "athlete", "sex") == [("f",), ("m",)]
    run = take_in("date,athlete,timing,20 m\n2026-03-03,Ana Berg,man,3.1\n2026-03-03,Ana Berg,man,3.2\n", "runs.csv")
    assert set(rows(run, "rep", "timing_kind")) == {("hand",)}


@pytest.mark.parametrize(
    ("header", "fresh"),
    [("Stress (1 = lugn, 5 = jättestressad)", 5), ("Stress (1 = superentspannt, 5 = sehr gestresst)", 5),
     ("Stress (1 = jättestressad, 5 = lugn)", 1), ("Stress (1 = superb, 5 = superior)", None)],
)  # fmt: skip
def test_a_word_that_begins_with_very_says_the_same_end_as_without(header, fresh):
    checked = take_in(f'date,athlete,"{header}"\n2026-01-13,Ana Berg,1\n2026-01-14,Ana Berg,5\n', "form.csv")
    if fresh is None:
        assert {one.ask for one in checked.questions} == {"scales"}
    else:
        assert rows(checked, "checkin", "stress")[0] == (fresh,)
