"""A Norwegian coach's files, and an English list of injuries: what a stranger wrote that was read as something else."""

import datetime as dt

import pytest

from pipelines import flow

ROSTER = "Navn;Født;Kjønn;Gruppe;Vekt (kg)\nAstrid Lunde;12.04.2003;K;400;61,5\nHenrik Tveit;01.09.2001;M;Hekk;78\n"
GYM = "Dato;Navn;Øvelse;Sett x reps;Kg;Kommentar\n06.10.2026;Astrid Lunde;Knebøy;4x5;70;\n"
MORNING = (
    'Tidsmerke,Navn,Hvor mange timer sov du?,"Muskelømhet (1 = ingen, 10 = svært øm)",'
    '"Stress (1 = ikke stresset, 10 = svært stresset)",'
    '"Stramhet bakside lår venstre (1 = ingenting, 10 = veldig stram)"\n'
    '05.10.2026 06:07:30,Astrid Lunde,"7,5",1,10,10\n'
)
INJURIES = (
    "Athlete,Date,Body part,Side,What,Happened in,Days missed,Back in full training\n"
    "Henrik Tveit,2026-11-12,Hamstring,right,Strain,max velocity run,,\n"
    "Astrid Lunde,2026-10-14,Calf,left,Cramp,tempo,4,2026-10-19\n"
)


def with_roster(home):
    flow.load_bytes(home, "Utøvere.csv", ROSTER.encode(), "coach", derive_after=False)


@pytest.fixture
def squad(home, filled_once):
    return filled_once(home, with_roster)


def test_a_norwegian_roster_gym_log_and_morning_form_are_read_unasked(squad):
    people = flow.table(squad, "athlete").sort("athlete_id")
    assert people.select("sex", "event_group").rows() == [("f", "long_sprints"), ("m", "hurdles")]
    flow.load_bytes(squad, "Styrke.csv", GYM.encode(), "coach", derive_after=False)
    lifts = flow.table(squad, "lift_set")
    assert (lifts.height, lifts["reps"].unique().to_list(), lifts["load_kg"].unique().to_list()) == (4, [5], [70.0])
    assert flow.table(squad, "checkin").is_empty()  # a remark beside a date is no morning
    flow.load_bytes(squad, "Morgenskjema.csv", MORNING.encode(), "coach", derive_after=False)
    [morning] = flow.table(squad, "checkin").to_dicts()
    # ends on ends, and the good end up: none at all is 5, very stressed is 1, very tight is 10 of 10
    assert (morning["sleep_h"], morning["soreness"], morning["stress"]) == (7.5, 5.0, 1.0)
    assert morning["hamstring_tightness_l"] == 10.0


def test_a_list_of_injuries_is_never_read_as_steps(squad):
    outcome = flow.load_bytes(squad, "injuries.csv", INJURIES.encode(), "coach", derive_after=False)
    assert (outcome.stored, outcome.tables) == (2, ["injury"])
    told = flow.table(squad, "injury").sort("onset_on").select("site", "side", "returned_on").rows()
    assert told == [("calf", "l", dt.date(2026, 10, 19)), ("hamstring", "r", None)]
    assert flow.table(squad, "step").is_empty()


def test_minutes_with_their_sign_and_two_kinds_in_one_cell(squad):
    text = "Athlete,Date,Session,Duration,Effort\nAstrid Lunde,2026-10-05,Gym + jumps,85',7/10\n"
    flow.load_bytes(squad, "sessions.csv", text.encode(), "coach", derive_after=False)
    [session] = flow.table(squad, "session").to_dicts()
    assert (session["duration_min"], session["effort_0_10"], session["kind"]) == (85.0, 7.0, None)


def test_the_day_of_a_tab_named_after_it_is_asked_once(squad):
    import io

    import openpyxl

    book = openpyxl.Workbook()
    sheet = book.active
    assert sheet is not None
    sheet.title = "Test 3.11"
    for row in (["Blokkstart, fotoceller"], ["Utøver", "10 m (1)", "30 m (1)"], ["Astrid Lunde", 1.97, 4.22]):
        sheet.append(row)
    content = io.BytesIO()
    book.save(content)
    first = flow.load_bytes(squad, "Sesongbok.xlsx", content.getvalue(), "coach", derive_after=False)
    [asked] = [question for question in first.questions if question.ask == "days"]
    answers = flow.LayoutOptions(layouts=flow.of_questions([(asked, "2026-11-03")]))
    assert (
        flow.load_bytes(squad, "Sesongbok.xlsx", content.getvalue(), "coach", answers, derive_after=False).stored == 1
    )
    sheet.append(["Henrik Tveit", 1.8, 3.9])
    later = io.BytesIO()
    book.save(later)
    again = flow.load_bytes(squad, "Sesongbok.xlsx", later.getvalue(), "coach", derive_after=False)
    assert [question.ask for question in again.questions if question.ask == "days"] == []
    assert set(flow.table(squad, "split")["session_date"].to_list()) == {dt.date(2026, 11, 3)}


def test_new_people_without_their_names_are_told_apart_from_nothing(squad, tmp_path):
    path = tmp_path / "answers.toml"
    path.write_text('[layout.0123456789ab]\npeople = "new"\n', encoding="utf-8")
    with pytest.raises(flow.ThirdstepError, match="stands over no names"):
        flow.read_answers(path)
