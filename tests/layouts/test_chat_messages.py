"""Messages of a chat pasted as text: whose they are, their day, the minutes and effort they say. Trade words: common
practice, no source.
"""

import datetime as dt

import polars as pl
import pytest

from tests.intake import rows, take_in

SAID = "session_date", "duration_min", "effort_0_10"


@pytest.mark.parametrize(
    "stamp", ["[{}.11.26, 18:52] ", "{}.11.2026, 18:52 - ", "[{}.11.2026 18:52:07] ", "{}/11/2026 18:52 "]
)
def test_minutes_and_effort_of_messages_are_sessions(stamp):
    lines = [
        "Ana: done, 75 min, RPE 7. legs heavy", "Béa: 80 minutes, rpe: 5,5", "Ana: 90 min RPE 8/10 (windy)",
        "Cleo: comme Ana, 90 min et effort 6", "Cleo: 60 min, 5/10",
    ]  # fmt: skip
    text = "\n".join(stamp.format(day) + one for day, one in zip(("13", "13", "16", "16", "17"), lines, strict=True))
    told = take_in(text, "group.txt")
    assert sorted(rows(told, "session", "athlete_id", *SAID)) == [
        ("ana-berg", dt.date(2026, 11, 13), 75.0, 7.0), ("ana-berg", dt.date(2026, 11, 16), 90.0, 8.0),
        ("bea-lund", dt.date(2026, 11, 13), 80.0, 5.5), ("cleo-dahl-frost", dt.date(2026, 11, 16), 90.0, 6.0),
        ("cleo-dahl-frost", dt.date(2026, 11, 17), 60.0, 5.0),
    ]  # fmt: skip


def test_minutes_alone_an_effort_meant_for_later_of_two_and_strangers_are_no_sessions():
    text = (
        "[13.11.26, 18:52] Ana: 10 min late, sorry\n[13.11.26, 18:55] Béa: RPE 5 or was it RPE 6? 70 min\n"
        "[13.11.26, 18:59] Coach Kim: tomorrow 60 min RPE 4 for all\n[13.11.26, 19:02] Cleo: 65 min RPE 7\n"
        "[14.11.26, 19:02] Cleo: 40 min RPE 3\n"
    )
    told = take_in(text, "group.txt")
    assert rows(told, "session", "athlete_id", *SAID) == [
        ("cleo-dahl-frost", dt.date(2026, 11, 13), 65.0, 7.0), ("cleo-dahl-frost", dt.date(2026, 11, 14), 40.0, 3.0)
    ]  # fmt: skip
    [remark] = [one for one in told.questions if one.about == "What the line says"]
    assert "session.note" in [answer for answer, _ in remark.answers]
    assert told.set_aside["source_line"].unique().sort().to_list() == [1, 2, 3]  # of 4 and 5 nothing is left to wait


@pytest.mark.parametrize(
    "said", ["hier 75 min, RPE 7", "lundi: 75 min, RPE 7", "tomorrow 75 min RPE 7?", "Béa did 75 min, RPE 7",
             "12.11. 75 min RPE 7"],
)  # fmt: skip
def test_what_is_said_of_another_day_or_of_somebody_else_is_no_session_of_that_day(said):
    told = take_in(f"[13.11.26, 18:52] Ana: {said}\n[13.11.26, 19:02] Cleo: 65 min RPE 7\n", "group.txt")
    whose = [] if "session" not in told.accepted else rows(told, "session", "athlete_id")
    assert ("ana-berg",) not in whose


@pytest.mark.parametrize(
    ("said", "whose"),
    [
        ("Coach Kim: Ana 30 m from blocks 4.21", "Ana"), ("Béa: Ana: 30 m from blocks 4.21", "Ana"),
        ("Cleo: Vale 30 m from blocks: 4.21", "Vale"), ("Ana: 30 m from blocks 4.21", "Ana"),
        ("Ana: Blocks 30 m 4.21", "Ana"),
    ],
)  # fmt: skip
def test_a_time_in_a_message_is_of_whom_it_names_and_else_of_its_sender(said, whose):
    text = f"[13.11.26, 18:52] {said}\n[13.11.26, 19:02] Cleo: see you tomorrow\n[13.11.26, 19:04] Béa: ok thanks\n"
    told = take_in(text, "group.txt")
    known = {"Ana": [("ana-berg", 4.21)]}
    assert (rows(told, "split", "athlete_id", "elapsed_s") if "split" in told.accepted else []) == known.get(whose, [])
    assert (whose in {*told.set_aside["value"]}) == (whose not in known)


def test_a_message_between_others_that_speaks_of_an_effort_of_two_is_nobodys_time():
    text = "[13.11.26, 18:52] Cleo: Ana 4.21 and I RPE 7, 70 min\n[13.11.26, 19:02] Béa: ok\n"
    told = take_in(text, "group.txt")
    assert "split" not in told.accepted


@pytest.mark.parametrize(
    ("said", "taken"), [("4,4 e 4,5, na mão", "hand"), ("4,4 e 4,5 (manual)", "hand"), ("4,4 e 4,5 boa", "electronic")]
)
def test_how_a_time_was_taken_may_stand_behind_it_whatever_was_answered_of_the_others(said, taken):
    text = f"[13.11.26, 18:52] Bruno: Ana 30 m em pé {said}\n[13.11.26, 19:02] Cleo: até amanhã\n"
    told = take_in(text, "group.txt", timing_kind="electronic")
    assert set(rows(told, "rep", "athlete_id", "timing_kind")) == {("ana-berg", taken)}


@pytest.mark.parametrize("word", ["zwaarte", "inspanning", "esforço", "ansträngning", "PSE", "RPE"])
def test_an_effort_is_said_in_the_words_of_a_language_and_of_ten_where_it_says_so(word):
    text = f"[13.11.26, 18:52] Ana: 75 min, {word} 6/10\n[14.11.26, 18:52] Cleo: 80 min {word} 7/10\n"
    assert rows(take_in(text, "group.txt"), "session", "athlete_id", "duration_min", "effort_0_10") == [
        ("ana-berg", 75.0, 6.0), ("cleo-dahl-frost", 80.0, 7.0),
    ]  # fmt: skip


def test_a_message_of_today_is_its_sender_s_and_of_others_where_it_names_them():
    more = "[14.11.26, 18:52] Béa: 70 min, RPE 6/10\n"
    runs = f"[13.11.26, 18:52] Ana: today 30 m standing 4.05 by hand\n{more}"
    assert rows(take_in(runs, "group.txt"), "split", "athlete_id", "elapsed_s") == [("ana-berg", 4.05)]
    others = take_in(f"[13.11.26, 18:52] Ana: Today 30 m standing: Béa 4.0 and 3.9 / Cleo 4.1\n{more}", "group.txt")
    assert "ana-berg" not in {row.get("athlete_id") for row in others.accepted.get("split", pl.DataFrame()).to_dicts()}
