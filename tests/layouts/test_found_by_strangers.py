"""What coaches' folders brought up that nobody had thought of: each cause once, in other words than theirs."""

import csv
import datetime as dt
import io

import openpyxl
import polars as pl
import pytest

from pipelines.checks import Known
from pipelines.errors import NotUnderstood
from tests.intake import AS_OF, reasons, rows, take_in

PEOPLE = pl.DataFrame(
    {
        "athlete_id": ["ana-berg-holm", "bea-lund-moe", "cleo-dahl-frost"],
        "display_name": ["Ana Berg Holm", "Bea Lund Moe", "Cleo Dahl-Frost"],
        "event_group": ["short_sprints", "hurdles", "short_sprints"],
    }
)  # fmt: skip
KNOWN = Known(PEOPLE, AS_OF)


def book(**sheets):
    """Return a workbook with a sheet for each name, rows as they are given."""
    made = openpyxl.Workbook()
    made.remove(made.active)  # type: ignore[arg-type]
    for name, lines in sheets.items():
        sheet = made.create_sheet(name.replace("_", " "))
        for line in lines:
            sheet.append(line)
    content = io.BytesIO()
    made.save(content)
    return content.getvalue()


# --- a missed digit --------------------------------------------------------------------------------------------------


def test_a_stretch_far_slower_than_its_neighbours_is_set_aside_with_what_is_counted_on_from_it():
    text = (
        "Name;Datum;0-5 m;5-10 m;10-20 m\nAna Berg Holm;3.11.2026;1,15;7,8;1,32\n"
        "Bea Lund Moe;3.11.2026;1,15;0,78;1,32\n"
    )
    checked = take_in(text, known=KNOWN)
    assert rows(checked, "split", "athlete_id", "distance_m", "elapsed_s") == [
        ("ana-berg-holm", 5.0, 1.15), ("bea-lund-moe", 5.0, 1.15), ("bea-lund-moe", 10.0, 1.93),
        ("bea-lund-moe", 20.0, 3.25),
    ]  # fmt: skip
    assert "5 to 10 m in 7.80 s is 0.6 m/s" in reasons(checked, 2)


@pytest.mark.parametrize("times", ["1,15;1,93;3,25;4,46", "1,75;2,75;4,35;5,85", "2,05;3,10;4,75;6,40"])
def test_runs_as_people_run_them_are_never_called_a_slip(times):  # block, slow with the gun, a child by hand
    text = f"Name;Datum;5 m;10 m;20 m;30 m\nAna Berg Holm;3.11.2026;{times}\nBea Lund Moe;3.11.2026;{times}\n"
    checked = take_in(text, known=KNOWN)
    assert (checked.accepted["split"].height, checked.set_aside.height) == (8, 0)


def test_a_force_that_no_leg_has_is_set_aside():
    text = "Datum;Name;Nordics L (N);Nordics R (N)\n3.11.2026;Ana Berg Holm;309;2980\n4.11.2026;Bea Lund Moe;300;310\n"
    checked = take_in(text, known=KNOWN)
    assert checked.accepted["force_test"].height == 3
    assert "no leg has 2980" in reasons(checked, 2)


# --- pictures of a film ----------------------------------------------------------------------------------------------

STEPS = (
    "Datum;Name;Lauf;Schritt;Kontakt (Bilder);Flug (Bilder)\n3.11.2026;Ana Berg Holm;1;1;48;12\n"
    "3.11.2026;Ana Berg Holm;1;2;44;14\n"
)


@pytest.mark.parametrize(
    ("text", "answer"), [(f"Startschritte, gefilmt mit 240 Bilder/s\n\n{STEPS}", None), (STEPS, "240")]
)
def test_counts_of_pictures_are_divided_by_the_rate_that_is_said_or_answered(text, answer):
    checked = take_in(text, "Schritte.csv", KNOWN, frame_rate=answer)
    assert rows(checked, "step", "contact_s", "flight_s") == [
        (0.2, 0.05),
        (pytest.approx(44 / 240), pytest.approx(14 / 240)),
    ]


def test_counts_of_pictures_without_a_rate_are_asked_and_never_taken_for_milliseconds():
    checked = take_in(STEPS, "Schritte.csv", KNOWN)
    assert "step" not in checked.accepted
    assert "frame_rate" in {one.ask for one in checked.questions}


# --- what is no race, no roster --------------------------------------------------------------------------------------


@pytest.mark.parametrize("header", ["Geb.", "F. nac.", "Date naiss.", "Qwertz"])
def test_birthdays_are_never_races_whatever_stands_over_them(header):
    text = (
        f"Name;{header};Disziplin;Größe (cm)\nAna Berg Holm;14.3.2002;100;168\nBea Lund Moe;23.7.2001;100 Hürden;172\n"
        "Cleo Dahl-Frost;25.6.2009;200;165\n"
    )
    checked = take_in(text, "Liste.csv", KNOWN)
    assert "race_result" not in checked.accepted
    born = checked.accepted["athlete"]["birth_date"].to_list()
    assert born == [dt.date(2002, 3, 14), dt.date(2001, 7, 23), dt.date(2009, 6, 25)]


def test_first_and_last_name_in_one_column_are_a_name():
    text = (
        "Dato;Stevne;Øvelse;Etternavn, fornavn;Tid\n3.10.2026;Høststevne;100 m;Berg Holm, Ana;12,09\n"
        "4.10.2026;Høststevne;100 m;Lund Moe, Bea;12,3\n"
    )
    checked = take_in(text, "Resultater.csv", KNOWN)
    assert rows(checked, "race_result", "athlete_id", "time_s") == [("ana-berg-holm", 12.09), ("bea-lund-moe", 12.3)]


# --- sides and places on the body ------------------------------------------------------------------------------------


@pytest.mark.parametrize("sides", [("izdo", "dcho"), ("Lks", "Rts"), ("gauche", "droite"), ("venstre", "høyre")])
def test_sides_are_read_as_they_are_shortened(sides):
    text = "Exzentrische Kraft Beinbeuger in N\nDatum;Name;{} (N);{} (N)\n3.11.2026;Ana Berg Holm;309;298\n".format(
        *sides
    )
    assert rows(take_in(text, "Kraft.csv", KNOWN), "force_test", "side", "peak_force_n") == [("l", 309.0), ("r", 298.0)]


def test_a_column_of_places_on_the_body_is_known_by_its_cells():
    text = (
        "Name;Datum;Wozu;Links/Rechts;Was\nAna Berg Holm;10.2.2026;Wade;links;Zerrung\n"
        "Bea Lund Moe;28.4.2026;Leiste;rechts;überlastet\nCleo Dahl-Frost;2.7.2026;Rücken;links;steif\n"
    )
    checked = take_in(text, "Liste.csv", KNOWN)
    assert rows(checked, "injury", "site", "side") == [("calf", "l"), ("adductor", "r"), ("back", "l")]


# --- plans and tabs --------------------------------------------------------------------------------------------------

WEEK = (
    "Programme du 16/11/2026 au 22/11/2026\nGroupe;Lundi;Mardi;Jeudi\nSprint;muscu;départs 6x30;repos\n"
    "Haies;muscu;haies x8;repos\n"
)


def test_a_plan_of_groups_by_weekdays_is_a_row_for_each_day_and_member():
    checked = take_in(WEEK, "Plan.csv", KNOWN, who="groups")
    made = checked.accepted["plan"].sort("planned_on", "athlete_id")
    assert made["planned_on"].unique().sort().to_list() == [dt.date(2026, 11, day) for day in (16, 17, 19)]
    assert made.filter(pl.col("planned_on") == dt.date(2026, 11, 17)).select("athlete_id", "source_line").rows() == [
        ("ana-berg-holm", 3), ("bea-lund-moe", 4), ("cleo-dahl-frost", 3),
    ]  # fmt: skip


def test_a_plan_by_weekdays_asks_once_whose_rows_they_are():
    checked = take_in(WEEK.replace("Haies", "Mouettes"), "Plan.csv", KNOWN)
    assert sorted(one.ask for one in checked.questions if one.holds_rows) == ["groups", "who"]


def test_a_tab_named_by_a_first_name_is_that_athlete_s_or_asked():
    lines = [
        ["Date", "Exercise", "Sets"],
        ["2026-11-03", "Back squat", "3x5 @ 90"],
        ["2026-11-05", "Back squat", "60 kg 4x4"],
    ]
    checked = take_in(book(Ana=lines, Chip=lines, Gym=lines), "gym.xlsx", KNOWN)
    assert set(checked.accepted["lift_set"]["athlete_id"]) == {"ana-berg-holm"}
    assert {one.about for one in checked.questions if one.ask == "athletes"} == {"Chip"}
    [asked] = [one for one in checked.questions if one.ask == "who"]
    assert (asked.sheet, [answer for answer, _ in asked.answers]) == ("Gym", ["name"])
    loads = (
        checked.accepted["lift_set"]
        .group_by("session_date")
        .agg(pl.len(), pl.col("load_kg").first())
        .sort("session_date")
    )
    assert loads.rows() == [(dt.date(2026, 11, 3), 3, 90.0), (dt.date(2026, 11, 5), 4, 60.0)]


def test_columns_below_a_test_s_name_are_its_trials_and_days_stand_once():
    lines = [
        ["", "", "CMJ (cm)", "", "Standing long jump (m)", ""], ["Date", "Name", 1, 2, 1, 2],
        [dt.datetime(2026, 11, 3), "Ana Berg Holm", 35.9, 36.2, 2.16, 2.32],
        [None, "Bea Lund Moe", 36.9, 36.7, 2.33, 2.19],
        [None, "Cleo Dahl-Frost", 34.1, 35.0, 2.01, 2.1],
    ]  # fmt: skip
    made = take_in(book(Jumps=lines), "jumps.xlsx", KNOWN).accepted["jump_test"]
    assert made.height == 12
    assert set(made["tested_on"]) == {dt.date(2026, 11, 3)}
    long = made.filter(pl.col("test") == "standing_long_jump", pl.col("athlete_id") == "ana-berg-holm").sort("trial_no")
    assert long["jump_length_m"].to_list() == [2.16, 2.32]


@pytest.mark.parametrize("runs", [("1ª", "2ª"), ("1.", "2."), ("1st", "2nd"), ("1er", "2e")])
def test_columns_that_count_runs_are_runs_over_the_distance_of_their_row(runs):
    cells = "3.11.2026;Ana Berg Holm;120 m;14,7;14,9''\n4.11.2026;Bea Lund Moe;80 m;10,2;10,4\n"
    text = "Date;Name;Dist.;{};{}\n".format(*runs) + cells.replace("''", '"')
    made = rows(take_in(text, "reps.csv", KNOWN), "split", "athlete_id", "rep_no", "distance_m", "elapsed_s")
    assert sorted(made) == [
        ("ana-berg-holm", 1, 120.0, 14.7), ("ana-berg-holm", 2, 120.0, 14.9), ("bea-lund-moe", 1, 80.0, 10.2),
        ("bea-lund-moe", 2, 80.0, 10.4),
    ]  # fmt: skip


# --- names -----------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("name", ["Ana", "Ana Berg", "ANA BERG", "Ana B.", "Berg Holm"])
def test_a_part_of_one_full_name_is_that_person(name):
    text = f"Date;Name;Minutes;RPE (0-10)\n3.11.2026;{name};40;5\n4.11.2026;Bea Lund Moe;45;6\n"
    assert rows(take_in(text, "log.csv", KNOWN), "session", "athlete_id")[0] == ("ana-berg-holm",)


def test_a_caption_in_a_column_of_names_may_be_nobody_and_is_asked_no_more():
    text = "Date;Name;Minutes;RPE (0-10)\n3.11.2026;Visitor Group;40;5\n4.11.2026;Bea Lund Moe;45;6\n"
    checked = take_in(text, "log.csv", KNOWN, athletes={"Visitor Group": "nobody"})
    assert checked.questions == []
    assert reasons(checked, 2).endswith("Nothing to do.")


def test_what_a_column_was_said_to_be_holds_also_where_its_cells_are_odd():
    text = "Date;Name;Set A;Set B;Way\n3.11.2026;Ana Berg Holm;14,7;14,9;120\n4.11.2026;Bea Lund Moe;14,1;14,4;120\n"
    said = {"Set A": "split.elapsed_s", "Set B": "split.elapsed_s", "Way": "rep.distance_m"}
    made = rows(take_in(text, "x.csv", KNOWN, columns=said), "split", "rep_no", "distance_m", "elapsed_s")
    assert sorted(made) == [(1, 120.0, 14.1), (1, 120.0, 14.7), (2, 120.0, 14.4), (2, 120.0, 14.9)]


def test_an_answer_that_has_no_place_in_its_sheet_is_told_and_not_silently_left():
    text = "Date;Name;Minutes;RPE (0-10);Sexx\n3.11.2026;Ana Berg Holm;40;5;f\n4.11.2026;Bea Lund Moe;45;6;f\n"
    [asked] = take_in(text, "log.csv", KNOWN, columns={"Sexx": "athlete.sex"}).questions
    assert "was said to be sex" in asked.sentence


def test_a_roster_of_own_column_names_is_one_table_even_where_its_keys_look_like_headings():
    text = "athlete_id,display_name\n" + "".join(f"demo-athlete-{n},Demo-Athlete-{n}\n" for n in range(12))
    checked = take_in(text, "roster.csv", Known(PEOPLE.head(0), AS_OF))
    assert (checked.rows_read, checked.accepted["athlete"].height, checked.set_aside.height) == (12, 12, 0)


def test_what_rows_of_one_key_say_differently_names_the_lines_of_that_key_alone():
    text = "Date;Name;Minutes;RPE (0-10)\n" + "".join(
        f"{day}.11.2026;Ana Berg Holm;{minutes};5\n" for day, minutes in ((3, 40), (3, 45), (4, 50), (5, 60), (5, 70))
    )
    checked = take_in(text, "log.csv", KNOWN)
    assert rows(checked, "session", "duration_min") == [(None,), (50.0,), (None,)]
    assert "line 2 says 40, line 3 says 45." in reasons(checked, 2)
    assert "line 5 says 60, line 6 says 70." in reasons(checked, 6)


# --- a footnote is nobody --------------------------------------------------------------------------------------------

FOOTNOTE = "Times as of 8/31/26. h = hand"


@pytest.mark.parametrize("header", ["Last,First,DOB,M/F", "Name,Squad,DOB,M/F"])
def test_a_footnote_under_a_roster_makes_nobody_and_is_told(header):
    text = f"{header}\nOkafor,Ngozi,2004-05-17,F\nStrand,Signe,2005-05-17,F\nQuist,Vera,2003-04-02,F\n\n{FOOTNOTE},,,\n"
    checked = take_in(text, "roster.csv")
    assert checked.accepted["athlete"].height == 3
    assert "is taken for a remark: nobody is made of it" in reasons(checked, 6)
    assert not [one for one in checked.questions if one.ask == "athletes" and one.about == FOOTNOTE]


def test_no_answer_makes_a_person_of_a_footnote():
    text = f"Name,Date,CMJ (cm)\nAna Berg,2026-11-03,38\nNew Person,2026-11-03,40\n{FOOTNOTE},2026-11-03,41\n"
    checked = take_in(text, "jumps.csv", athletes={FOOTNOTE: "new", "New Person": "new"})
    assert rows(checked, "athlete", "athlete_id") == [("new-person",)]
    assert "is taken for a remark" in reasons(checked, 4)
    assert not checked.questions or all(one.about != FOOTNOTE for one in checked.questions)


@pytest.mark.parametrize("code", ["A07", "Athlete 12", "runner-3", "O'Neill-Baptiste, Aoife", "J. R. Moe"])
def test_a_code_or_a_name_with_signs_of_names_may_still_be_a_new_person(code):
    text = f'Name,Date,CMJ (cm)\nAna Berg,2026-11-03,38\n"{code}",2026-11-03,40\n'
    checked = take_in(text, "jumps.csv")
    asked = next(one for one in checked.questions if one.ask == "athletes")
    assert "new" in dict(asked.answers)


# --- sessions that say nothing ---------------------------------------------------------------------------------------

JUMPS = (
    "Date,Name,Jump 1,Jump 2,Best,notes\n2026-11-03,Ana Berg,17.7,18.1,18.1,\n2026-11-03,Bea Lund,15,15.4,15.4,late\n"
    "2026-11-03,Cleo Dahl-Frost,16,16.5,16.5,"
)


def test_jumps_counted_in_their_headers_are_those_of_the_test_that_a_title_names():
    checked = take_in(book(CMJ=[["CMJ - hands on hips - height in inches"], *map(list, csv.reader(JUMPS.split("\n")))]),
                      "tests.xlsx")  # fmt: skip
    got = rows(checked, "jump_test", "athlete_id", "trial_no", "jump_height_m")
    assert [one[:2] for one in got if one[0] == "ana-berg"] == [("ana-berg", 1), ("ana-berg", 2)]
    assert [one[2] for one in got if one[0] == "ana-berg"] == pytest.approx([17.7 * 0.0254, 18.1 * 0.0254])
    assert "session" not in checked.accepted or checked.accepted["session"].height == 0


def test_numbers_nobody_can_name_make_no_sessions_but_a_question_for_each_column():
    checked = take_in(JUMPS, "november.csv")
    assert all(frame.height == 0 for frame in checked.accepted.values())
    asked = {one.about for one in checked.questions if one.ask == "columns"}
    assert asked >= {"Jump 1", "Jump 2"}
    assert "Best" not in asked  # it is the best of the two, whatever they are


def test_numbers_said_to_be_of_no_use_leave_no_empty_sessions_behind():
    unused = dict.fromkeys(["Jump 1", "Jump 2", "Best"], "not_used")
    with pytest.raises(NotUnderstood, match="as was said"):
        take_in(JUMPS, "november.csv", columns=unused)


def test_a_log_whose_rows_have_remarks_is_still_one_of_sessions():
    text = "Date,Name,Zones,notes\n2026-11-03,Ana Berg,3,easy day\n2026-11-03,Bea Lund,4,late\n"
    assert take_in(text, "november.csv").accepted["session"].height == 2


# --- the number of a start -------------------------------------------------------------------------------------------


def started(header, starts):
    lines = [f"2026-11-03,{who},{no},190,46,175,59" for who, numbers in starts.items() for no in numbers]
    return f"Date,Athlete,{header},Step 1 contact (ms),Step 1 flight (ms),Step 2 contact (ms),Step 2 flight (ms)\n" + (
        "\n".join(lines)
    )


@pytest.mark.parametrize("header", ["Start", "Start #", "Start no.", "Trial", "Rep"])
def test_starts_that_count_for_each_athlete_and_day_are_the_runs_of_that_day(header):
    checked = take_in(started(header, {"Ana Berg": (3, 1, 2), "Cleo Dahl-Frost": (1, 2)}), "film.csv")
    got = checked.accepted["step"].sort("source_line").filter(pl.col("step_no") == 1)
    assert got["rep_no"].to_list() == [3, 1, 2, 1, 2]
    assert not [one for one in checked.questions if one.about == header]


def test_a_number_of_the_start_that_does_not_count_is_asked_with_the_run_first():
    text = started("Start", {"Ana Berg": (1, 1, 2), "Cleo Dahl-Frost": (2, 2)})
    asked = next(one for one in take_in(text, "film.csv").questions if one.about == "Start")
    assert asked.answers[0][0] == "rep.rep_no"


def test_the_run_may_be_answered_for_a_column_of_any_name():
    text = started("Go", {"Ana Berg": (2, 1), "Cleo Dahl-Frost": (1, 2)})
    assert next(one for one in take_in(text, "film.csv").questions if one.about == "Go").answers[0][0] == "rep.rep_no"
    checked = take_in(text, "film.csv", columns={"Go": "rep.rep_no"})
    assert checked.accepted["rep"].sort("source_line")["rep_no"].to_list() == [2, 1, 1, 2]


def test_a_sheet_of_steps_alone_neither_asks_nor_says_what_started_the_clock_of_its_runs():
    text = started("Start", {"Ana Berg": (1, 2)})
    assert not {one.ask for one in take_in(text, "film.csv").questions} & {"clock_start", "timing_kind", "gate_offset"}
    checked = take_in(text, "film.csv", timing_kind="video", clock_start="gun", start_kind="blocks")
    assert not {"timing_kind", "clock_start"} & set(checked.accepted["rep"].columns)
    assert checked.accepted["rep"]["start_kind"].to_list() == ["blocks", "blocks"]


# --- results ---------------------------------------------------------------------------------------------------------

MEET = [
    ["Date", "Meet", "Athlete", "Event", "Mark", "Wind", "Place"],
    ["2026-09-26", "Opener", "Ana Berg", "100m", "11.82FAT", "+0.3", "4th"],
    [None, None, "Ana Berg", "400m", "59.87FAT", None, "5th"],
    [None, None, "Ana Berg", "200m", "24.86FAT", "NWI", "1st"],
    [None, None, "Cleo Dahl-Frost", "400m", "1:00.24", None, "6th"],
    [None, None, "Cleo Dahl-Frost", "200m", "25.5h", "-0.8", "2nd"],
    [None, None, None, None, None, None, None],
    ["2026-10-10", "Twilight", "Ana Berg", "100m", 12, "-0.8", "7th"],
]


def test_a_time_with_how_it_was_taken_or_in_minutes_is_a_value_and_never_a_header():
    checked = take_in(book(Results=MEET), "season.xlsx")
    got = checked.accepted["race_result"].sort("source_line")
    assert got.select("event", "time_s", "timing_kind", "place").rows() == [
        ("100", 11.82, "electronic", 4), ("400", 59.87, "electronic", 5), ("200", 24.86, "electronic", 1),
        ("400", 60.24, None, 6), ("200", 25.5, "hand", 2), ("100", 12.0, None, 7),
    ]  # fmt: skip
    assert got["note"].to_list() == [None, None, None, None, "hand timed", None]
    assert got["wind_ms"].to_list() == [0.3, None, None, None, -0.8, -0.8]
    assert checked.set_aside.height == 0


# --- an answer that is offered is taken ------------------------------------------------------------------------------

RUNS = (
    "Date,Athlete,Rep,10m,20m,Cmt\n2026-09-14,Ana Berg,1,1.95,3.15,\n2026-09-14,Ana Berg,2,1.94,3.14,stumble step 2\n"
    "2026-09-14,Ana Berg,3,1.93,3.13,gate missed\n2026-09-14,Cleo Dahl-Frost,1,2.05,3.25,best one today\n"
)


def test_each_answer_offered_for_a_remark_beside_runs_is_taken_when_chosen():
    asked = next(one for one in take_in(RUNS, "gates.csv").questions if one.about == "Cmt")
    assert "session.note" in dict(asked.answers)
    for answer, _ in asked.answers:
        checked = take_in(RUNS, "gates.csv", columns={"Cmt": answer})
        assert not [one for one in checked.questions if one.about == "Cmt"]
        assert checked.accepted["split"].height == 8
    told = take_in(RUNS, "gates.csv", columns={"Cmt": "session.note"}).accepted["session"].sort("source_line")
    assert told["note"].to_list() == ["stumble step 2; gate missed", "best one today"]
