"""Check-ins, plans, rosters, sessions and results in the shapes that coaches keep them in."""

import datetime as dt

import pytest

from tests.intake import rows, take_in, workbook

ASKED = [("ana-berg", 13, 8.0, 3.0), ("ana-berg", 14, 7.5, 4.0), ("bea-lund", 13, 6.0, 1.0)]
ITEMS = ("Sleep (h)", "Mood (1 = bad, 5 = great)")


@pytest.mark.parametrize("content", [
    workbook(["Ana Berg"], ["", dt.date(2026, 10, 13), dt.date(2026, 10, 14)], [ITEMS[0], 8, 7.5], [ITEMS[1], 3, 4], [],
             ["Béa Lünd"], ["", dt.date(2026, 10, 13), dt.date(2026, 10, 14)], [ITEMS[0], 6, None],
             [ITEMS[1], 1, None]),
    workbook(["Date", "Athlete", "Question", "Answer"], *(
        [dt.date(2026, 10, day), who, item, value] for who, day, *values in [
            ("Ana Berg", 13, 8, 3), ("Ana Berg", 14, 7.5, 4), ("Béa Lünd", 13, 6, 1)
        ] for item, value in zip(ITEMS, values, strict=True))),
    workbook(["", ITEMS[0], "", ITEMS[1], ""], ["Date", "Ana Berg", "Béa Lünd", "Ana Berg", "Béa Lünd"],
             [dt.date(2026, 10, 13), 8, 6, 3, 1], [dt.date(2026, 10, 14), 7.5, None, 4, None]),
])  # fmt: skip
def test_what_is_asked_of_a_day_may_stand_down_the_sheet_or_over_the_people(content):
    checked = take_in(content, "mornings.xlsx")
    found = rows(checked, "checkin", "athlete_id", "checked_on", "sleep_h", "mood")
    assert sorted((who, day.day, hours, mood) for who, day, hours, mood in found) == ASKED
    assert not checked.questions


WEEK = [(12, "gym"), (13, "blocks 6x20 m"), (14, "rest")]


@pytest.mark.parametrize(("content", "name"), [
    ("Plan week of 12 October 2026\nMon: Gym\nTue: Blocks 6x20 m\nWed: Rest\n", "week.txt"),
    (workbook(["Week from", "Mon", "Tue", "Wed"], [dt.date(2026, 10, 12), "Gym", "Blocks 6x20 m", "Rest"]),
     "Trainingsplan.xlsx"),
    (workbook(["Week of 12 October 2026"], ["", "Monday", "", "Tuesday", "", "Wednesday", ""],
              ["Group", "am", "pm", "am", "pm", "am", "pm"], ["All", "Gym", None, "Blocks 6x20 m", None, "Rest", None]),
     "plan.xlsx"),
    (workbook(["Block 3 plan"], ["Week 1 (w/c 12/10/26)"], ["", "Mon", "Tue", "Wed"],
              ["Everybody", "Gym", "Blocks 6x20 m", "Rest"], ["Throwers", "Gym", "Off", "Rest"]), "plan.xlsx"),
])  # fmt: skip
def test_a_plan_is_read_from_lines_weeks_and_parts_of_the_day(content, name):
    asked = take_in(content, name)
    layouts = {one.layout: {"who": "everybody"} for one in asked.questions if one.ask == "who" and not one.cells}
    layouts |= {one.layout: {"who": "groups", "groups": {"Throwers": "nobody"}} for one in asked.questions if one.cells}
    found = take_in(content, name, layouts=layouts).accepted["plan"].filter(athlete_id="ana-berg").to_dicts()
    own = [(row["planned_on"].day, (row.get("note") or row["kind"]).lower()) for row in found]
    assert [(day, said.replace("strength", "gym").replace("recovery", "rest")) for day, said in own] == WEEK


def test_a_part_of_the_day_is_a_session_of_its_own():
    sheet = workbook(["Week of 12 October 2026"], ["", "Monday", "", "Tuesday", ""], ["Group", "am", "pm", "am", "pm"],
                     ["All", "Gym", "Tempo", "Rest", None])  # fmt: skip
    found = rows(take_in(sheet, "plan.xlsx"), "plan", "athlete_id", "planned_on", "kind")
    assert [(day.day, kind) for who, day, kind in found if who == "ana-berg"] == [
        (12, "strength"), (12, "tempo"), (13, "recovery")
    ]  # fmt: skip


@pytest.mark.parametrize("content", [
    workbook(["Name", "Dora Stein"], ["Date of birth", "2004-03-14"], ["Sex", "F"], ["Group", "Short sprints"]),
    workbook(["Nome", "Giorno", "Mese", "Anno", "Sesso", "Specialità"],
             ["Dora Stein", 14, 3, 2004, "F", "velocità corta"]),
])  # fmt: skip
def test_a_card_of_one_person_and_a_birthday_in_three_columns_are_of_a_roster(content):
    found = rows(take_in(content, "people.xlsx"), "athlete", "display_name", "birth_date", "sex", "event_group")
    assert found == [("Dora Stein", dt.date(2004, 3, 14), "f", "short_sprints")]


def test_a_message_of_kind_minutes_and_effort_is_a_session_and_nothing_more():
    text = "13/10/2026, 19:20 - Ana Berg: Tempo 105 min RPE 7\n14/10/2026, 19:21 - Béa Lünd: Gym 55 min RPE 10\n"
    checked = take_in(text, "chat.txt")
    found = rows(checked, "session", "athlete_id", "kind", "duration_min")
    assert found == [("ana-berg", "tempo", 105.0), ("bea-lund", "strength", 55.0)]
    assert {one.ask for one in checked.questions} == {"scales"}


@pytest.mark.parametrize("text", [
    'Meeting du Port, 13 juin 2026\n100m F : 2e Ana Berg 11"94 (vent +1,2)\n100m H : Béa Lünd DNS\n',
    "Harbour Meeting, 13 June 2026\n100 m women\n2. Ana Berg (2004) Nordhamn AC 11.94 (+1.2)\n100 m men (13 June)\n"
    "Béa Lünd (2003) Nordhamn AC DNS\n",
    "Athlete,Date,100 m,200 m\nAna Berg,2026-06-13,11.94 (+1.2),\nBéa Lünd,2026-06-13,DNS,\n",
])  # fmt: skip
def test_results_with_year_and_club_in_french_or_with_events_as_columns(text):
    checked = take_in(text, "results.csv" if text.startswith("Athlete") else "results.txt")
    found = rows(checked, "race_result", "athlete_id", "raced_on", "event", "time_s", "wind_ms", "race_outcome")
    day = dt.date(2026, 6, 13)
    assert found == [("ana-berg", day, "100", 11.94, 1.2, None), ("bea-lund", day, "100", None, None, "not_started")]


def test_the_name_above_a_block_is_no_heading_of_its_first_column():
    text = "Ana Berg,\nDate,Hours slept\n2026-10-13,8\n\nBéa Lünd,\nDate,Hours slept\n2026-10-13,7\n"
    assert rows(take_in(text), "checkin", "athlete_id", "sleep_h") == [("ana-berg", 8.0), ("bea-lund", 7.0)]


@pytest.mark.parametrize(("text", "is_plan"), [("Planung Oktober", True), ("trainingsplan", True), ("plank", False)])
def test_a_file_calls_itself_a_plan_in_its_own_words(text, is_plan):
    checked = take_in("Date,Athlete,What\n2026-10-13,Ana Berg,Gym\n2026-10-14,Ana Berg,Tempo\n", f"{text}.csv")
    assert [name for name in ("plan", "session") if name in checked.accepted] == [("session", "plan")[is_plan]]


def test_answers_in_messages_are_a_morning_and_their_scale_is_asked_as_of_a_column():
    morning = "[13/10/2026, 07:12:31]"
    text = f"{morning} Ana Berg: Slept 7.5 h, soreness 5, mood 2\n{morning} Béa: slept 8 h, mood 1\n"
    checked = take_in(text, "chat.txt")
    assert rows(checked, "checkin", "athlete_id", "sleep_h") == [("ana-berg", 7.5), ("bea-lund", 8.0)]
    assert {(one.ask, one.about) for one in checked.questions} == {("scales", "soreness"), ("scales", "mood")}


def test_a_form_on_injuries_is_of_the_day_it_began_and_not_of_the_day_it_was_sent():
    asks = "Where does it hurt?,Which side?,When did it start?,When were you back in full training?,How did it happen?"
    text = f"Timestamp,Athlete name,{asks}\n9/9/2026 18:30:12,Ana Berg,Hamstring,Left,08/09/2026,29/09/2026,pulled up\n"
    columns = ("athlete_id", "onset_on", "site", "side", "returned_on", "mechanism")
    found = rows(take_in(text, "Injuries (Responses).csv", date_order="day"), "injury", *columns)
    assert found == [("ana-berg", dt.date(2026, 9, 8), "hamstring", "l", dt.date(2026, 9, 29), "pulled up")]
    morning = "Timestamp,Athlete name,Hours slept,Where does it hurt?\n9/9/2026 18:30:12,Ana Berg,7,Hamstring\n"
    assert rows(take_in(morning, "Check in.csv", date_order="day"), "checkin", "pain_site") == [("Hamstring",)]


def test_a_list_of_injuries_in_dutch_words_is_one():
    text = (
        'Wie,Wat,Kant,Begin,Weer meegetraind\nAna Berg,"hamstring, schot",R,28-05-26,19-06-26\n'
        "Béa Lünd,enkel verzwikt,L,10-01-26,24-01-26\n"
    )
    for name in ("blessures.csv", "lijst.csv"):
        found = rows(take_in(text, name), "injury", "athlete_id", "site", "side", "onset_on", "returned_on")
        assert [(who, site, side, on.day, back.day) for who, site, side, on, back in found] == [
            ("ana-berg", "hamstring", "r", 28, 19), ("bea-lund", "ankle", "l", 10, 24),
        ], name  # fmt: skip


def test_who_was_in_the_training_room_was_hurt_there_and_kids_are_athletes():
    text = "Date,Kid,What,Side\n2026-01-27,Ana Berg,hammy tight,R\n2026-02-19,Béa Lünd,calf cramp,L\n"
    found = rows(take_in(text, "Training room.csv"), "injury", "athlete_id", "site", "side", "kind")
    assert found == [("ana-berg", "hamstring", "r", "hammy tight"), ("bea-lund", "calf", "l", "calf cramp")]
