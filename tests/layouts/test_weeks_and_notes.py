"""Plans and logs by weekday, and notes typed into a phone: what their lines become, what is asked, what waits."""

import datetime as dt

import pytest

from pipelines.cells.dates import order_of_weekdays, read_date
from pipelines.cells.weekdays import weekdays_named
from pipelines.checks import check
from pipelines.errors import NotUnderstood
from pipelines.intake.mending import row_at, use
from pipelines.layouts import lay_out, plain_tables
from pipelines.layouts.text.day_lines import without_part_of_day
from pipelines.readers import read_tables
from schemas.intake import LayoutOptions
from tests.intake import reasons, rows, take_in
from tests.layouts.test_british_club import KNOWN
from tests.layouts.test_found_by_strangers import book

# --- plans -----------------------------------------------------------------------------------------------------------


def planned(checked):
    made = checked.accepted["plan"].sort("planned_on", "athlete_id")
    return [(str(day), who, kind) for day, who, kind in made.select("planned_on", "athlete_id", "kind").rows()]


BY_GROUP = [["Day", "100/200", "Long sprints (400)", "Hurdles"], ["Mon", "Accel 6x30", "SE", "Drills"],
            ["Tue", "Gym", "Gym", "Gym"], ["Wed", "Rest", "Tempo", "Rest"]]  # fmt: skip
WEEK = [
    ("2026-11-09", "ana-berg", "acceleration"), ("2026-11-09", "bea-lund", "speed_endurance"),
    ("2026-11-09", "cleo-dahl", "technique"), ("2026-11-10", "ana-berg", "strength"),
    ("2026-11-10", "bea-lund", "strength"), ("2026-11-10", "cleo-dahl", "strength"),
    ("2026-11-11", "ana-berg", "recovery"), ("2026-11-11", "bea-lund", "tempo"),
    ("2026-11-11", "cleo-dahl", "recovery"),
]  # fmt: skip


@pytest.mark.parametrize(
    "title", ["W/C 9/11/2026", "week 46 2026", "9 Nov - 15 Nov 2026", "Week commencing 9 November 2026"]
)
def test_a_plan_by_weekdays_with_groups_as_columns_is_a_row_for_each_day_and_member(title):
    checked = take_in(book(Plan=[["Winter"], [title], *BY_GROUP]), "plan.xlsx", KNOWN, who="groups")
    assert planned(checked) == WEEK
    assert rows(checked, "plan", "athlete_id", "note")[0] == ("ana-berg", "Accel 6x30")  # more than its kind


def test_a_day_of_a_plan_without_a_corner_is_a_day_also_where_its_words_read_like_headings():
    (_, *groups), *days = BY_GROUP
    sheet = [["Week commencing 9 November 2026"], ["", *groups], *days, ["Thu", "Fly 20s x 4", "Gym", "Gym"],
             ["Fri", "Rest", "Rest", "Rest"]]  # fmt: skip
    found = planned(take_in(book(Plan=sheet), "plan.xlsx", KNOWN, who="groups"))
    assert found[: len(WEEK)] == WEEK
    assert [day for day, *_ in found[len(WEEK) :]] == ["2026-11-12"] * 3 + ["2026-11-13"] * 3


@pytest.mark.parametrize(
    "title", ["Weeks 9/11/2026, 16/11/2026", "weeks 46-47 2026", "W/C 9 Nov - 22 Nov 2026 (same both weeks)"]
)
def test_a_plan_for_several_weeks_is_stored_for_each_of_them(title):
    checked = take_in(book(Plan=[[title], *BY_GROUP]), "plan.xlsx", KNOWN, who="groups")
    later = [(day.replace("-11-09", "-11-16").replace("-11-10", "-11-17").replace("-11-11", "-11-18"), who, kind)
             for day, who, kind in WEEK]  # fmt: skip
    assert planned(checked) == WEEK + later


def test_a_week_without_its_year_is_asked_for_the_year_alone():
    sheet = book(Plan=[["W/C 9 Nov - 22 Nov (same both weeks)"], *BY_GROUP])
    assert {one.ask for one in take_in(sheet, "plan.xlsx", KNOWN, who="groups").questions} == {"year"}
    assert planned(take_in(sheet, "plan.xlsx", KNOWN, who="groups", year="2026"))[: len(WEEK)] == WEEK


def test_a_column_of_weeks_beside_weekdays_makes_the_days():
    sheet = [["w/c", "Day", "100/200", "400", "Hurdles"], ["9/11/2026", "Mon", "Starts", "SE", "Drills"],
             [None, "Tue", "Gym", "Gym", "Gym"], ["16/11/2026", "Mon", "Starts", "SE", "Drills"],
             [None, "Tue", "Gym", "Gym", "Gym"]]  # fmt: skip
    checked = take_in(book(Plan=sheet), "plan.xlsx", KNOWN, who="groups")
    assert sorted({str(day) for (day,) in rows(checked, "plan", "planned_on")}) == [
        "2026-11-09", "2026-11-10", "2026-11-16", "2026-11-17",
    ]  # fmt: skip
    assert checked.accepted["plan"].height == 12


@pytest.mark.parametrize(
    ("title", "weeks"),
    [("NOVEMBER 2026", ["11/9", "11/16"]), ("November 2026", ["9.11.", "16.11."]), ("", ["9/11/2026", "16/11/2026"])],
)
def test_a_calendar_with_a_week_in_each_row_is_a_plan_of_its_days(title, weeks):
    sheet = [[title, "plan"], ["Week of", "Mon", "Tue", "Thu"], [weeks[0], "Starts 6x20", None, "Tempo 8x100"],
             [weeks[1], "Gym", "Rest", None]]  # fmt: skip
    made = planned(take_in(book(Plan=sheet), "plan.xlsx", KNOWN, who="everybody"))
    assert [(day, kind) for day, who, kind in made if who == "ana-berg"] == [
        ("2026-11-09", "acceleration"), ("2026-11-12", "tempo"), ("2026-11-16", "strength"), ("2026-11-17", "recovery"),
    ]  # fmt: skip
    assert len(made) == 4 * KNOWN.athletes.height


@pytest.mark.parametrize("weeks", [["11/10", "11/17"], ["11/9", "11/17"], ["11/9", "soon"]])
def test_a_calendar_whose_weeks_do_not_begin_on_mondays_is_not_guessed(weeks):
    sheet = [["November 2026"], ["Week of", "Mon", "Tue"], [weeks[0], "Starts", "Gym"], [weeks[1], "Starts", "Gym"]]
    with pytest.raises(NotUnderstood):
        take_in(book(Plan=sheet), "plan.xlsx", KNOWN, who="everybody")


@pytest.mark.parametrize(
    ("title", "days", "again"),
    [("Week of", ("3/9/2026", "Mon 3/9", "Tue 3/10"), ("3/16/2026", "Mon 3/16", "Tue 3/17")),
     ("Semaine du", ("9/3/2026", "lun 9/3", "mar 10/3"), ("16/3/2026", "lun 16/3", "mar 17/3"))],
)  # fmt: skip
def test_a_weekday_says_whether_the_day_or_the_month_stands_first(title, days, again):
    lines = [[f"{title} {days[0]}"], ["Group", *days[1:]], ["100/200", "Tempo", "Rest"], [],
             [f"{title} {again[0]}"], ["Group", *again[1:]], ["100/200", "Gym", "Tempo"]]  # fmt: skip
    assert planned(take_in(book(Plan=lines), "Plan.xlsx", KNOWN, who="groups")) == [
        ("2026-03-09", "ana-berg", "tempo"), ("2026-03-10", "ana-berg", "recovery"),
        ("2026-03-16", "ana-berg", "strength"), ("2026-03-17", "ana-berg", "tempo"),
    ]  # fmt: skip


def test_weekdays_that_fit_neither_order_or_both_say_none():
    told = [order_of_weekdays(days, 2026, dt.date(2026, 11, 20), ahead=False)
            for days in (["Mon 3/9", "Tue 9/3"], ["Tue 2/2"], ["9.3."], ["Mon 3/9"])]  # fmt: skip
    assert told == [None, None, None, "month"]


def test_weekdays_of_no_week_are_told_and_nothing_is_stored():
    with pytest.raises(NotUnderstood, match="of which week"):
        take_in(book(Plan=[["Winter"], *BY_GROUP]), "plan.xlsx", KNOWN, who="groups")


# --- short words for weekdays ----------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("words", "days"),
    [
        ("ma di wo do vr", [0, 1, 2, 3, 4]), ("lu ma me je ve", [0, 1, 2, 3, 4]), ("di mi do", [1, 2, 3]),
        ("ma di", None), ("Mon Wed Fri", [0, 2, 4]), ("lundi mardi", [0, 1]), ("ma wo", [0, 2]), ("lun mar", [0, 1]),
        ("ma", None), ("Monday Tuesday Gym", None),
    ],
)  # fmt: skip
def test_short_weekdays_are_those_of_the_language_that_knows_them_all(words, days):
    said = weekdays_named(words.split())
    assert (None if said is None else list(said.values())) == days


def test_the_year_of_days_follows_from_weekdays_of_one_language():
    # 2 and 4 November 2026 are a Monday and a Wednesday: 'ma' beside 'wo' is Dutch; alone it may be a French Tuesday
    text = "Datum;Naam;Minuten;RPE (0-10)\nma 2 nov;Ana Berg;60;5\nwo 4 nov;Bea Lund;75;6\n"
    made = take_in(text, "log.csv", KNOWN)
    assert [str(day) for (day,) in rows(made, "session", "session_date")] == ["2026-11-02", "2026-11-04"]
    alone = take_in("Datum;Naam;Minuten;RPE (0-10)\nma 2 nov;Ana Berg;60;5\nma 9 nov;Bea Lund;75;6\n", "log.csv", KNOWN)
    assert [one.ask for one in alone.questions if one.holds_rows] == ["year"]


# --- notes typed into a phone ----------------------------------------------------------------------------------------

TIMES = (
    "Fri 13/11/2026 blocks, gates 10/20/30\n- Ana 1.98 3.22 4.36\n- Bea 2.05 3.32 4.51 bit tired\n\nSat 14/11/2026\n"
    "Cleo Dahl: 30m 4.35, 4.31\nAna: flying 30m 3.35\nBea: 60m standing by hand 8.1 8.0\n"
)


def test_lines_of_times_are_runs_through_the_gates_above_or_over_their_own_distance():
    checked = take_in(TIMES, "phone.txt", KNOWN)
    runs = checked.accepted["split"].select("session_date", "athlete_id", "rep_no", "distance_m", "elapsed_s")
    assert sorted((str(day)[-2:], *rest) for day, *rest in runs.rows()) == [
        ("13", "ana-berg", 1, 10.0, 1.98), ("13", "ana-berg", 1, 20.0, 3.22), ("13", "ana-berg", 1, 30.0, 4.36),
        ("13", "bea-lund", 1, 10.0, 2.05), ("13", "bea-lund", 1, 20.0, 3.32), ("13", "bea-lund", 1, 30.0, 4.51),
        ("14", "ana-berg", 1, 30.0, 3.35), ("14", "bea-lund", 1, 60.0, 8.1), ("14", "bea-lund", 2, 60.0, 8.0),
        ("14", "cleo-dahl", 1, 30.0, 4.35), ("14", "cleo-dahl", 2, 30.0, 4.31),
    ]  # fmt: skip
    assert set(rows(checked, "rep", "session_date", "athlete_id", "start_kind", "timing_kind")) == {
        (d(13), "ana-berg", "blocks", "electronic"), (d(13), "bea-lund", "blocks", "electronic"),
        (d(14), "ana-berg", "rolling", None), (d(14), "bea-lund", "standing", "hand"),
        (d(14), "cleo-dahl", None, None),
    }  # fmt: skip
    assert [one for one in checked.questions if one.ask == "columns"] == []
    assert (d(13), "bea-lund", "bit tired") in rows(checked, "session", "session_date", "athlete_id", "note")


def d(day):
    return dt.date(2026, 11, day)


@pytest.mark.parametrize("line", ["Ana 1.98 3.22", "Ana 3.22 1.98 4.36", "Ana: jog 20m then 4.36 4.41", "Ana 4.36"])
def test_times_that_fit_no_gates_are_never_given_a_distance(line):
    checked = take_in(
        f"13/11/2026 gates 10/20/30\n{line}\nBea 2.05 3.32 4.51\nCleo 2.10 3.40 4.62\n", "phone.txt", KNOWN
    )
    assert {who for (who,) in rows(checked, "split", "athlete_id")} == {"bea-lund", "cleo-dahl"}
    assert 2 in checked.set_aside["source_line"].to_list()


NOTES = (
    "Niggles\n13/11/2026 Ana Berg - tight left hammy after the 150s, stopped\n14 Nov 2026: Bea calf bit sore, physio\n"
    "16/11 Cleo Dahl out with flu\nSomebody was late\n"
)


def test_sentences_with_a_day_and_a_person_are_kept_as_what_is_answered_and_diagnose_nothing():
    asked = take_in(NOTES, "niggles.txt", KNOWN)
    assert not any(frame.height for frame in asked.accepted.values())
    [one] = [one for one in asked.questions if one.ask == "columns"]
    assert [answer for answer, _ in one.answers] == ["session.note", "checkin.note", "not_used"]
    checked = take_in(NOTES, "niggles.txt", KNOWN, columns={one.about: "checkin.note"}, year="2026")
    assert rows(checked, "checkin", "athlete_id", "checked_on", "note") == [
        ("ana-berg", d(13), "tight left hammy after the 150s, stopped"), ("bea-lund", d(14), "calf bit sore, physio"),
        ("cleo-dahl", d(16), "out with flu"),
    ]  # fmt: skip
    assert "injury" not in checked.accepted
    assert "Name is empty" in reasons(checked, 5)


def test_notes_that_begin_with_a_person_who_is_known_are_that_person_s():
    text = "Date,Notes\n13/11/2026,Ana Berg felt her hamstring in the warm-up\n14/11/2026,Bea: exam\n15/11/2026,Rain\n"
    checked = take_in(text, "notes.csv", KNOWN)
    assert rows(checked, "session", "athlete_id", "note") == [
        ("ana-berg", "felt her hamstring in the warm-up"), ("bea-lund", "exam"),
    ]  # fmt: skip
    assert "Name is empty" in reasons(checked, 4)


def test_a_letter_is_no_list_of_notes():
    with pytest.raises(NotUnderstood, match="text in sentences"):
        take_in("Dear all,\nAna ran well on Saturday, and we had a good week.\nSee you on Monday, bring spikes.\n",
                "letter.txt", KNOWN)  # fmt: skip


def test_a_mended_line_is_read_as_it_was_mended():
    [text] = read_tables("phone.txt", b"13/11/2026 gates 10/20/30\nBea 2.05 3.32 4.51\nAna 1.98 32.2 4.36\n")
    row = row_at([text], "", 3)
    one = {"sheet": "", "line": 3, "row": row, "fixes": dict.fromkeys(row, "Ana 1.98 3.22 4.36")}
    [mended], left = use([text], [one])
    assert left == []
    people = frozenset({"ana berg", "bea lund"})
    laid = [lay_out(table, LayoutOptions(), people) for table in plain_tables(mended, people)]
    assert [time for *_, time in rows(check(laid, KNOWN), "split", "distance_m", "elapsed_s")] == [
        2.05, 3.32, 4.51, 1.98, 3.22, 4.36,
    ]  # fmt: skip


def test_the_gates_of_one_day_are_not_those_of_the_next():
    text = "13/11/2026 gates 10/20/30\nBea 2.05 3.32 4.51\nAna 1.98 3.22 4.36\n14/11/2026\nBea 2.01 3.30 4.50\n"
    checked = take_in(text, "phone.txt", KNOWN)
    assert {day for (day,) in rows(checked, "split", "session_date")} == {d(13)}
    assert 5 in checked.set_aside["source_line"].to_list()


EFFORTS = "Session RPE week commencing {} (1-10)\n,Mon,Tue\nAna Berg,6,7\nBéa Lünd,7,8\n"


def test_days_that_are_written_name_the_week_before_a_number_in_the_name_of_the_file():
    checked = take_in(EFFORTS.format("2026-11-09"), "RPE week 2.csv", KNOWN)
    assert sorted({day for (day,) in rows(checked, "session", "session_date")}) == [d(9), d(10)]


def test_two_weeks_that_are_written_are_not_chosen_from():
    text = EFFORTS.format("2026-11-09").replace("(1-10)", "(1-10), week of 2026-11-16")
    assert "session" not in take_in(text, "RPE.csv", KNOWN).accepted


@pytest.mark.parametrize(
    ("week", "day"), [("2026-W41", "Tue"), ("KW 41/2026", "Dienstag"), ("week 41 2026", "Tuesday")]
)
def test_a_week_of_a_year_and_a_weekday_are_a_day(week, day):
    checked = take_in(
        f"Athlete,Exercise,Week,Day,Sets x reps,Load (kg)\nAna Berg,Squat,{week},{day},3x5,80\n", "gym.csv"
    )
    assert set(checked.accepted["lift_set"]["session_date"]) == {dt.date(2026, 10, 6)}  # ISO 8601: week 41 of 2026


def test_the_number_of_a_week_alone_is_no_week_of_a_year():
    checked = take_in("Athlete,Exercise,Week,Day,Sets x reps,Load (kg)\nAna Berg,Squat,2,Tue,3x5,80\n", "gym.csv")
    assert "lift_set" not in checked.accepted


GRID = "Plan {}\nVecka;Grupp;Mån;Tis;Ons;Tor;Fre\n"
GRID += "{};100/200;starts;gym;rest;flys;tempo\n10;100/200;hills;gym;rest;sleds;tempo\n"


@pytest.mark.parametrize(
    ("title", "week", "first"),
    [("2026", "9", "2026-02-23"), ("v.9-v.10 2027", "9", "2027-03-01"), ("for everybody", "9", None),
     ("May 2026", "1", None)],
)  # fmt: skip
def test_weeks_by_number_are_of_the_year_that_is_said(title, week, first):
    """Weeks of ISO 8601, days by Python's datetime; 'Mån' means something else alone and is a weekday here."""
    table = read_tables("plan.csv", GRID.format(title, week).encode())[0]
    days = [one.rows["c0"].to_list() for one in plain_tables(table)]
    assert first is None or (first in days[0] and len(days[0]) == 10)
    assert first is not None or not any(str(day).startswith("20") for one in days for day in one)


@pytest.mark.parametrize(
    ("line", "day"),
    [("Ons 1/4/2026 förmiddag", dt.date(2026, 4, 1)), ("Wed 1 April 2026 morning:", dt.date(2026, 4, 1)),
     ("Wed 1 April 2026 hall", None)],
)  # fmt: skip
def test_a_part_of_the_day_behind_a_day_leaves_it_the_day(line, day):
    text = without_part_of_day(line)
    read = read_date(text, "day", dt.date(2026, 12, 1))[0] if text != line else None
    assert read == day
