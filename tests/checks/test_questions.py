"""What a file leaves open is asked once, in a coach's words, with the answers that are taken; an answer is obeyed."""

import polars as pl
import pytest

from pipelines.checks import Checked, Known
from pipelines.checks.asking import people, short_unit
from pipelines.checks.told import metres_said
from tests.intake import AS_OF, reasons, rows, take_in

MASS = "Name,Date,Weight (kg)\n"
NOBODY = ("nobody", "nobody: a caption or somebody else; these rows stay out")
RUNS = "Name,Date,10m,20m\nAna Berg,2026-03-03,1.8,2.9\nBea Lund,2026-03-03,1.9,3.0\n"


def asked(checked: Checked) -> dict[tuple[str, str], tuple]:
    """Return each question by what it asks and about what: sentence, answers, rows."""
    return {(one.ask, one.about): (one.sentence, one.answers, one.rows) for one in checked.questions}


def roster(**names: str) -> Known:
    kept = {"athlete_id": [key.replace("_", "-") for key in names], "display_name": list(names.values())}
    return Known(pl.DataFrame(kept), AS_OF)


# --- who -------------------------------------------------------------------------------------------------------------


def test_a_name_of_nobody_is_asked_once_with_who_it_may_be_and_the_rows_it_holds():
    lines = "Zora Quill,2026-03-03,62\nZora Quill,2026-03-04,62\nAna Berk,2026-03-03,60\n"
    checked = take_in(MASS + lines)
    found = asked(checked)
    assert found["athletes", "Zora Quill"] == (
        "Who is 'Zora Quill'? Nobody on the roster has a name like it.",
        (("new", "a new person, kept as 'zora-quill'"), NOBODY), 2,
    )  # fmt: skip
    assert found["athletes", "Ana Berk"] == (
        "Who is 'Ana Berk'? The roster does not say for sure.",
        (("ana-berg", "Ana Berg, score 88 of 100"), ("new", "a new person, kept as 'ana-berk'"), NOBODY), 1,
    )  # fmt: skip
    assert reasons(checked, 4) == (
        "'Ana Berk' is not on the roster. The nearest names are Ana Berg (score 88). Row set aside. Say who it is, "
        "mend the name, or load the athlete first."
    )
    assert all(one.is_free and one.holds_rows for one in checked.questions)


def test_a_remark_among_names_is_nobody_and_is_not_asked():
    checked = take_in(MASS + "xyz?,2026-03-03,61\nAna Berg,2026-03-03,60\n")
    assert asked(checked) == {}
    assert reasons(checked, 2) == (
        "'xyz?' is hardly the name of a person and is taken for a remark: nobody is made of it. Row set aside. If "
        "somebody is meant, write the name."
    )
    assert rows(checked, "body_measure", "athlete_id", "body_mass_kg") == [("ana-berg", 60.0)]


@pytest.mark.parametrize(
    ("answer", "said", "still_asked"),
    [
        ("nobody", "'Zora Quill' was said to be nobody of the squad. Row set aside. Nothing to do.", False),
        ("gone", "'Zora Quill' was said to be 'gone', who is not on the roster. Row set aside. Answer it again.", True),
        ("bea-lund", "", False),
        ("new", "", False),
    ],
)
def test_who_a_name_was_said_to_be_is_obeyed(answer, said, still_asked):
    checked = take_in(MASS + "Zora Quill,2026-03-03,62\nQuill Zora,2026-03-04,63\n", athletes={"Zora Quill": answer})
    assert reasons(checked, 2) == said
    assert (("athletes", "Zora Quill") in asked(checked)) is still_asked
    who = {"bea-lund": "bea-lund", "new": "zora-quill"}.get(answer)
    if who:  # a name answered holds for it in any order of its words
        assert rows(checked, "body_measure", "athlete_id", "body_mass_kg") == [(who, 62.0), (who, 63.0)]
    if answer == "new":
        assert rows(checked, "athlete", "athlete_id", "display_name", "source_line") == [
            ("zora-quill", "Zora Quill", 2)
        ]


@pytest.mark.parametrize("taken", [1, 2, 3])
def test_a_new_person_gets_a_key_that_nobody_has(taken):
    others = {"zora_quill": "Other Body", "zora_quill_2": "Third Body", "zora_quill_3": "Fourth Body"}
    known = roster(x1="Quill Zora", **dict(list(others.items())[:taken]))
    checked = take_in(MASS + "Zora Quill,2026-03-03,62\n", known=known, athletes={"Zora Quill": "new"})
    assert rows(checked, "body_measure", "athlete_id") == [(f"zora-quill-{taken + 1}",)]


def test_of_two_with_one_name_the_key_is_asked_for():
    checked = take_in(MASS + "Lena Holm,2026-03-03,62\n", known=roster(a1="Lena Holm", a2="Lena Holm"))
    assert reasons(checked) == ("'Lena Holm' may be a1 or a2. Row set aside. Write the athlete_id instead of the name.")


def test_a_new_name_of_a_roster_so_near_to_one_that_is_there_is_asked():
    checked = take_in("Name,Sex\nAna Berk,f\nNew One,f\nR2D2x.,f\nAna Berg,f\n")
    assert rows(checked, "athlete", "athlete_id", "display_name", "sex") == [
        ("new-one", "New One", "f"), ("ana-berg", "Ana Berg", "f")
    ]  # fmt: skip
    assert list(asked(checked)) == [("athletes", "Ana Berk")]
    assert reasons(checked, 2).startswith(
        "'Ana Berk' may be Ana Berg (score 88), who is on the roster, or somebody new. Only this cell is set aside. "
        "Say who it is, or give a column athlete_id."
    )
    assert reasons(checked, 4).startswith("'R2D2x.' is hardly the name of a person")


# --- what holds for all runs -----------------------------------------------------------------------------------------

LEFT = ("unknown", "leave it unknown: it differs, or another file says it")


def test_what_a_sheet_does_not_say_of_its_runs_is_asked_and_holds_nothing_back():
    checked = take_in(RUNS)
    found = asked(checked)
    assert list(found) == [("start_kind", ""), ("clock_start", ""), ("timing_kind", ""), ("gate_offset", "")]
    assert found["start_kind", ""] == (
        "The sheet does not say how its runs start. Is it the same for all of them?",
        (("blocks", "blocks"), ("three_point", "three point"), ("standing", "standing"), ("falling", "falling"),
         ("rolling", "rolling"), LEFT), 2,
    )  # fmt: skip
    assert found["clock_start", ""][0] == (
        "The sheet does not say what starts the clock. Is it the same for all of them?"
    )
    assert found["clock_start", ""][1] == (
        ("gun", "gun"), ("first_movement", "first movement"), ("hand_release", "hand release"),
        ("first_gate", "first gate"), LEFT,
    )  # fmt: skip
    assert found["timing_kind", ""][0] == (
        "The sheet does not say how its times were taken. Is it the same for all of them?"
    )
    assert found["gate_offset", ""] == (
        "How far behind the first gate is the start line? It counts for runs whose clock starts at that gate.",
        (("0.3 m", "0.3 m"), ("0.5 m", "0.5 m"), ("1 m", "1 m"),
         ("unknown", "leave it unknown: it differs, another clock is used, or another file says it")), 2,
    )  # fmt: skip
    assert not any(one.holds_rows for one in checked.questions)
    assert [one.is_free for one in checked.questions] == [False, False, False, True]
    assert rows(checked, "split", "elapsed_s") == [(1.8,), (1.9,), (2.9,), (3.0,)]


def test_what_was_answered_for_all_runs_is_given_to_those_that_do_not_say():
    sheet = (
        "Name,Date,start kind,clock start,10m,20m\nAna Berg,2026-03-03,blocks,first_gate,1.8,2.9\n"
        "Bea Lund,2026-03-03,standing,,1.9,3.0\nCleo Dahl-Frost,2026-03-03,standing,gun,1.9,3.0\n"
    )
    checked = take_in(sheet, timing_kind="electronic", gate_offset="0,5", start_kind="unknown")
    assert rows(checked, "rep", "start_kind", "clock_start", "gate_offset_m", "timing_kind") == [
        ("blocks", "first_gate", 0.5, "electronic"),
        ("standing", None, None, "electronic"),
        ("standing", "gun", None, "electronic"),
    ]
    assert asked(checked) == {}
    # two runs may start at the first gate: the one that says so and the one that says nothing
    assert asked(take_in(sheet, timing_kind="unknown"))["gate_offset", ""][2] == 2
    answered = take_in(RUNS, start_kind="blocks", clock_start="gun", timing_kind="unknown")
    assert asked(answered) == {}
    assert rows(answered, "rep", "start_kind", "clock_start") == [("blocks", "gun")] * 2
    assert "timing_kind" not in answered.accepted["rep"].columns


@pytest.mark.parametrize(
    ("text", "metres"),
    [("0.3 m", 0.3), ("0,5", 0.5), (" 30 cm ", 0.3), ("3", 3.0), ("300cm", 3.0), ("3.1", None), ("301 cm", None),
     ("unknown", None), ("-1", None), ("1 mm", None)],
)  # fmt: skip
def test_a_line_behind_a_gate_is_up_to_three_metres_in_metres_or_centimetres(text, metres):
    assert metres_said(text) == metres


# --- what a column means ---------------------------------------------------------------------------------------------


def test_an_exercise_of_no_family_is_asked_and_the_answer_is_stored():
    lines = "Ana Berg,2026-03-03,Zercher walk,3x5 @ 100\nAna Berg,2026-03-04,Squat,5 @ 100\n"
    sheet = "Name,Date,Exercise,Sets x reps\n" + lines
    found = asked(take_in(sheet))
    sentence, answers, held = found["families", "zercher_walk"]
    assert (list(found), sentence, held) == (
        [("families", "zercher_walk")], "In which family does 'zercher walk' count?", 3,
    )  # fmt: skip
    assert not take_in(sheet).questions[0].holds_rows  # the sets are stored, whatever their family
    assert answers[2] == ("hamstring_eccentric", "hamstring eccentric")
    assert answers[-1] == ("unknown", "leave it unknown: its sets count in no family until then")
    told = take_in(sheet, families={"Zercher walk": "squat"})
    assert rows(told, "exercise", "exercise", "family", "source_line") == [("zercher_walk", "squat", 2)]
    left = take_in(sheet, families={"Zercher walk": "unknown"})
    assert asked(left) == {}
    assert "exercise" not in left.accepted


def test_days_that_can_be_read_two_ways_are_asked_with_both_readings():
    checked = take_in(MASS + "Ana Berg,03/04/2026,60\nBea Lund,05/06/2026,60\n")
    assert asked(checked)["date_order", ""] == (
        "Is '03/04/2026', '05/06/2026' written with the day first or the month first? No date here tells.",
        (("day", "the day first: 03/04/2026 is 3 April"), ("month", "the month first: 03/04/2026 is 4 March")), 2,
    )  # fmt: skip
    assert checked.accepted == {}
    month = take_in(MASS + "Ana Berg,03/04/2026,60\n", date_order="month")
    assert str(month.accepted["body_measure"]["measured_on"].item()) == "2026-03-04"


def test_days_without_a_year_are_asked_and_the_answer_is_obeyed():
    sheet = MASS + "Ana Berg,3 Mar,60\nBea Lund,5 Dec,60\n"
    assert asked(take_in(sheet))["year", ""] == (
        "Of which year are '3 Mar', '5 Dec'? Neither the column nor a title nor a name says it.",
        (("last", "the last time that day was, seen from the day the file is loaded (2026-11-20)"),
         ("2026", "this year"), ("2025", "the year before")), 2,
    )  # fmt: skip
    last = take_in(sheet, year="last")
    assert [str(one) for one in last.accepted["body_measure"]["measured_on"]] == ["2026-03-03", "2025-12-05"]
    before = take_in(sheet, year="2025")
    assert [str(one) for one in before.accepted["body_measure"]["measured_on"]] == ["2025-03-03", "2025-12-05"]


def test_times_that_fit_both_readings_wait_for_the_answer():
    checked = take_in("Name,Date,30m,80m\nAna Berg,2026-03-03,4.2,8.1\n")
    assert asked(checked)["split_times", ""] == (
        "Are the times since the start, or for each stretch? The data fit both.",
        (("cumulative", "time since the start"), ("segment", "time for each stretch, to be summed")), 1,
    )  # fmt: skip
    assert checked.accepted == {}
    assert "Answer which, or load again with --split-times cumulative or --split-times segment." in reasons(checked)
    summed = take_in("Name,Date,30m,80m\nAna Berg,2026-03-03,4.2,8.1\n", split_times="segment")
    assert rows(summed, "split", "elapsed_s") == [(4.2,), (12.3,)]  # 4.2 + 8.1
    assert summed.notes == ["The times are for each stretch; they were summed to times since the start."]


@pytest.mark.parametrize(
    ("header", "values", "short", "fitting", "said"),
    [
        ("Weight (kg)", (60000, 61000), "g", "gram", ("kg", "kilogram")),
        ("Height (m)", (170, 165), "cm", "centimeter", ("m", "meter")),
    ],
)
def test_a_unit_in_which_no_value_is_possible_is_asked(header, values, short, fitting, said):
    sheet = f"Name,Date,{header}\nAna Berg,2026-03-03,{values[0]}\nBea Lund,2026-03-03,{values[1]}\n"
    checked = take_in(sheet)
    assert asked(checked)["units", header] == (
        f"In which unit is '{header}' ({values[0]}, {values[1]})? The header says {said[0]}, and in {said[0]} its "
        "values are not possible.",
        ((short, fitting), (said[0], f"{said[1]}, as the header says; rows outside the range stay aside")), 2,
    )  # fmt: skip
    assert reasons(checked, 2) == (
        f"in {said[1]}, as the header says, its values are not possible; they would be in {fitting}. Only this cell is "
        "set aside. Say which unit it is, or mend the header."
    )
    answered = take_in(sheet, units={header: short})
    assert answered.set_aside.is_empty()


def test_split_times_in_a_unit_in_which_nobody_could_run_are_asked_once_for_all_gates():
    sheet = "Name,Date,10m (ms),20m (ms)\nAna Berg,2026-03-03,1.8,2.9\nBea Lund,2026-03-03,1.9,3.0\n"
    checked = take_in(sheet)
    assert asked(checked)["units", "elapsed_s"] == (
        "In which unit are the split times (1.8, 1.9, 2.9)? The header says ms, and in ms its values are not possible.",
        (("s", "second"), ("ms", "millisecond, as the header says; rows outside the range stay aside")), 2,
    )  # fmt: skip
    assert "read in milliseconds, as the header says, nobody could run so; in seconds it is a usual time." in reasons(
        checked, 2
    )
    seconds = take_in(sheet.replace("(ms)", "(s)").replace("1.8,2.9", "1800,2900").replace("1.9,3.0", "1900,3000"))
    assert asked(seconds)["units", "elapsed_s"][1] == (
        ("ms", "millisecond"), ("s", "second, as the header says; rows outside the range stay aside")
    )  # fmt: skip
    assert take_in(sheet, units={"elapsed_s": "s"}).set_aside.is_empty()


def test_a_film_counted_in_pictures_is_asked_how_many_a_second_it_has():
    sheet = "Name,Date,Step,Contact frame,Toe-off frame\nAna Berg,2026-03-03,1,100,140\n"
    sentence, answers, _ = asked(take_in(sheet))["frame_rate", ""]
    assert sentence == "How many pictures a second does the film have? Its times are counted in pictures."
    assert answers == (("240", "240 a second"), ("120", "120 a second"), ("60", "60 a second"), ("50", "50 a second"))
    told = take_in(sheet, frame_rate="240")
    assert rows(told, "step", "contact_s") == [(pytest.approx(40 / 240),)]


def test_people_are_counted():
    assert [people(number) for number in (0, 1, 2)] == ["0 people", "1 person", "2 people"]


@pytest.mark.parametrize("unit", ["second", "meter", "kilogram", "newton", "hertz", "centimeter", "pound", "frame"])
def test_a_unit_is_said_by_the_first_of_its_own_words(unit):
    short = {"second": "s", "meter": "m", "kilogram": "kg", "newton": "n", "hertz": "hz", "centimeter": "cm",
             "pound": "lb", "frame": "frames"}  # fmt: skip
    assert short_unit(unit) == short[unit]


@pytest.mark.parametrize(("clock", "runs"), [("gun", None), ("first gate", 2)])
def test_where_the_line_is_behind_the_first_gate_is_asked_of_runs_whose_clock_that_gate_starts(clock, runs):
    sheet = f"Name,Date,clock start,10m\nAna Berg,2026-03-03,{clock},1.8\nBea Lund,2026-03-03,{clock},1.9\n"
    assert asked(take_in(sheet)).get(("gate_offset", ""), (None,))[-1] == runs


def test_one_run_alone_is_asked_about_like_many_and_given_what_was_answered():
    sheet = "Name,Date,10m,20m\nAna Berg,2026-03-03,1.8,2.9\n"
    assert [one.ask for one in take_in(sheet).questions] == ["start_kind", "clock_start", "timing_kind", "gate_offset"]
    assert rows(take_in(sheet, start_kind="blocks"), "rep", "start_kind") == [("blocks",)]


@pytest.mark.parametrize(
    ("sheet", "name"),
    [("athlete_id,sex\nana-berg,f\n", "Ana Berg"), ("athlete_id,display_name\nana-berg,Ana Lund\n", "Ana Lund")],
)
def test_a_roster_of_keys_alone_keeps_the_names_that_are_known_and_one_with_names_gives_them(sheet, name):
    assert rows(take_in(sheet), "athlete", "athlete_id", "display_name") == [("ana-berg", name)]


@pytest.mark.parametrize("text", ["E. Quill", "Warm up 3"])
def test_a_line_of_a_roster_with_a_point_or_a_digit_makes_nobody_and_is_asked(text):
    checked = take_in(f"Name,Sex\n{text},f\nNew One,f\n")
    assert rows(checked, "athlete", "display_name") == [("New One",)]
    assert list(asked(checked)) == [("athletes", text)]
    assert reasons(checked, 2).startswith(f"'{text}' is hardly the name of a person. Only this cell is set aside. ")
