"""What stands over some columns holds for those alone; what a title names is what the cells are."""

import datetime as dt
import io

import pytest
import xlsxwriter

from pipelines.errors import NotUnderstood
from pipelines.layouts.words.headings import read_heading
from tests.intake import rows, take_in

OCT, NOV = dt.date(2026, 10, 10), dt.date(2026, 11, 14)
ANA, BEA = ("Ana Berg", 1.8, 3.0), ("Bea Lund", 1.83, 3.03)
LATER = {"Ana Berg": (1.9, 3.1), "Bea Lund": (1.93, 3.13)}


def book(lines, sheet="Sheet1"):
    """Return a workbook of one sheet."""
    content = io.BytesIO()
    with xlsxwriter.Workbook(content, {"in_memory": True}) as made:
        page = made.add_worksheet(sheet)
        day = made.add_format({"num_format": "dd.mm.yyyy"})
        for row, line in enumerate(lines):
            for column, value in enumerate(line):
                if isinstance(value, dt.date):
                    page.write_datetime(row, column, dt.datetime.combine(value, dt.time()), day)
                elif value not in (None, ""):
                    page.write(row, column, value)
    return content.getvalue()


def under(checked):
    """Return the 10 m times by day."""
    times = rows(checked, "split", "session_date", "distance_m", "elapsed_s")
    return sorted((day, time) for day, gate, time in times if gate == 10)


BOTH = [(OCT, 1.8), (OCT, 1.83), (NOV, 1.9), (NOV, 1.93)]
TWICE = [[*one, *LATER[one[0]]] for one in (ANA, BEA)]
APART = [[*one, "", one[0], *LATER[one[0]]] for one in (ANA, BEA)]
BELOW = [[name, *LATER[name]] for name, *_ in (ANA, BEA)]
HEAD = ["Name", "10 m", "20 m"]


@pytest.mark.parametrize(
    "lines",
    [
        pytest.param([["10 Oct 2026"], ["", "", "", "", "14 Nov 2026"], [*HEAD, "", *HEAD], *APART], id="steps"),
        pytest.param([["", "", "10 Oct 2026", "", "14 Nov 2026"], [*HEAD, *HEAD[1:]], *TWICE], id="days in the middle"),
        pytest.param(
            [["10 Oct 2026", "indoor"], HEAD, ANA, BEA, ["14 Nov 2026", "indoor"], *BELOW], id="line of two cells"),
        pytest.param(
            [["10 Oct 2026", *HEAD[1:]], ANA, BEA, [], ["14 Nov 2026", *HEAD[1:]], *BELOW], id="day in the corner"),
        pytest.param(
            [["", "10 m", "", "20 m"], ["Name", "10 Oct 2026", "14 Nov 2026", "10 Oct 2026", "14 Nov 2026"],
             *([n, a, LATER[n][0], b, LATER[n][1]] for n, a, b in (ANA, BEA))], id="days under gates"),
        pytest.param(
            [["Name", "10 m (10 Oct 2026)", "10 m (14 Nov 2026)"], *([n, a, LATER[n][0]] for n, a, _ in (ANA, BEA))],
            id="day in the heading"),
    ],
)  # fmt: skip
def test_a_time_is_of_the_day_that_stands_over_it(lines):
    assert under(take_in(book(lines), "two_days.xlsx")) == BOTH


def test_where_one_of_two_days_is_not_understood_no_time_gets_the_other():
    lines = [["", "first test", "", "14 Nov 2026"], [*HEAD, *HEAD[1:]], *TWICE]
    with pytest.raises(NotUnderstood, match="cannot be told which columns"):
        take_in(book(lines), "one_day_unread.xlsx")


@pytest.mark.parametrize(
    ("title", "cells", "stored"),
    [
        ("Body weight, Monday mornings (kg)", (70.1, 82.4), ("body_measure", "body_mass_kg", [70.1, 82.4])),
        ("Length of the session (min)", (60, 75), ("session", "duration_min", [60.0, 75.0])),
        ("CMJ (cm)", (41.5, 38.0), ("jump_test", "jump_height_m", [0.38, 0.415])),
    ],
)
def test_a_grid_of_people_and_days_holds_what_its_title_names(title, cells, stored):
    table, column, values = stored
    checked = take_in(book([[title], ["Date", "Ana Berg", "Bea Lund"], [OCT, *cells]]), "grid.xlsx")
    assert sorted(value for (value,) in rows(checked, table, column)) == pytest.approx(values)


def test_left_and_right_are_of_the_test_that_the_title_names():
    lines = [["Nordic test 7 Nov 2026 (N)"], ["Name", "L1", "L2", "R1", "R2"], ["Ana Berg", 380, 390, 370, 388]]
    checked = take_in(book(lines), "force_left_right.xlsx")
    assert sorted(rows(checked, "force_test", "test", "side", "trial_no", "peak_force_n")) == [
        ("eccentric_hamstring", "l", 1, 380.0), ("eccentric_hamstring", "l", 2, 390.0),
        ("eccentric_hamstring", "r", 1, 370.0), ("eccentric_hamstring", "r", 2, 388.0),
    ]  # fmt: skip
    assert "step" not in checked.accepted


def test_numbers_that_count_over_again_are_runs_and_no_gates():
    lines = [["30 m fly"], ["", OCT, "", NOV], ["", 1, 2, 1, 2], ["Ana Berg", 2.9, 2.95, 3.0, 3.05]]
    checked = take_in(book(lines), "runs_counted.xlsx")
    assert sorted(rows(checked, "split", "session_date", "distance_m", "elapsed_s")) == [
        (OCT, 30.0, 2.9), (OCT, 30.0, 2.95), (NOV, 30.0, 3.0), (NOV, 30.0, 3.05),
    ]  # fmt: skip


def test_exercises_as_columns_are_rows_of_a_log():
    lines = [["Date", "Athlete", "Squat", "RDL"], [OCT, "Ana Berg", "2x3 100", "1x6 80"]]
    checked = take_in(book(lines), "exercises_across.xlsx")
    assert sorted(rows(checked, "lift_set", "exercise", "reps", "load_kg")) == [
        ("rdl", 6, 80.0), ("squat", 3, 100.0), ("squat", 3, 100.0),
    ]  # fmt: skip


def test_days_under_weekdays_are_of_the_week_that_the_title_names():
    lines = [["Minutes, week of 2 Nov 2026"], ["Name", "Mon", "", "Wed", ""], ["", "min", "RPE", "min", "RPE"],
             ["Ana Berg", 60, 6, 75, 7]]  # fmt: skip
    checked = take_in(book(lines), "week_across.xlsx")
    assert sorted(rows(checked, "session", "session_date", "duration_min")) == [
        (dt.date(2026, 11, 2), 60.0), (dt.date(2026, 11, 4), 75.0),
    ]  # fmt: skip


def test_a_time_of_day_is_no_length_of_a_session():
    lines = "2026-11-02,Ana Berg,tempo,17:30,4\n2026-11-03,Ana Berg,hills,18:00,8\n"
    session = take_in(f"Date,Name,Session,Time,RPE\n{lines}", "time_of_day.csv").accepted["session"]
    assert "duration_min" not in session.columns or session["duration_min"].null_count() == 2
    assert sorted(session["effort_0_10"]) == [4, 8]


def test_a_log_whose_title_says_the_full_name_of_somebody_known_is_theirs():
    lines = [["Rehab log - Ana Berg"], ["Date", "What", "How long", "RPE /10"], [OCT, "bike", "40 min", 3]]
    checked = take_in(book(lines), "rehab.xlsx")
    assert rows(checked, "session", "athlete_id", "duration_min", "effort_0_10") == [("ana-berg", 40.0, 3.0)]


@pytest.mark.parametrize(
    ("heading", "column"),
    [("RPE /10", "effort_0_10"), ("Soreness /5", "soreness"), ("Stress out of 10", "stress"),
     ("Sleep quality /5", "sleep_quality")],
)  # fmt: skip
def test_the_end_of_a_scale_in_a_heading_is_no_running_number(heading, column):
    read = read_heading(0, heading)
    assert (read.names[:1], read.number) == ((column,), None)


TRIALS_BELOW = """Batería de pruebas – 14 de febrero de 2026
Deportista;Salto largo sin impulso (m);;30 m de pie, fotoceldas (s);;Nórdico excéntrico (N);;{}
;int. 1;int. 2;1;2;izq;der;{}
Ana Berg;2,31;2,28;4,14;4,03;312;298;9,12
Béa Lünd;2,22;2,36;4,39;4,40;284;290;8,88
"""


@pytest.mark.parametrize(
    ("upper", "lower"), [("Lanzamiento de espaldas 4 kg (m)", ""), ("Arremesso de costas 4 kg", "m")]
)
def test_numbers_of_trials_stand_below_the_test_that_they_are_of(upper, lower):
    checked = take_in(TRIALS_BELOW.format(upper, lower), "pruebas.csv")
    assert sorted(rows(checked, "jump_test", "trial_no", "jump_length_m")) == [
        (1, 2.22), (1, 2.31), (2, 2.28), (2, 2.36)
    ]  # fmt: skip
    assert sorted(rows(checked, "split", "rep_no", "distance_m", "elapsed_s")) == [
        (1, 30.0, 4.14), (1, 30.0, 4.39), (2, 30.0, 4.03), (2, 30.0, 4.40),
    ]  # fmt: skip
    assert set(rows(checked, "rep", "start_kind", "timing_kind")) == {("standing", "electronic")}
    assert sorted(rows(checked, "force_test", "side", "peak_force_n")) == [
        ("l", 284.0), ("l", 312.0), ("r", 290.0), ("r", 298.0)
    ]  # fmt: skip
    assert "distance_m" not in checked.accepted["rep"].columns  # a throw in metres is no distance of a run


@pytest.mark.parametrize("others", ["30 m blocks (s)", "10 m"])
def test_two_starts_side_by_side_are_not_made_one(others):
    text = f"Name;Date;30 m standing (s);{others}\nAna Berg;2026-02-10;4.35;4.21\nBéa Lünd;2026-02-10;4.45;4.31\n"
    checked = take_in(text, "runs.csv")
    assert 4.35 not in {*checked.accepted.get("split", {"elapsed_s": []})["elapsed_s"]}


SLED = """Arrastres con trineo – martes 24/02/2026
Deportista;{};Rep;10 m;20 m
Ana Berg;15;1;2,30;3,66
;{};2;2,35;3,70
;;3;2,30;3,64
Béa Lünd;12,5;1;2,41;3,80
;;2;2,40;3,78
;;3;2,44;3,81
"""


@pytest.mark.parametrize(
    ("second", "loads"), [("", [15, 15, 15, 12.5, 12.5, 12.5]), ("20", [15, 20, None, 12.5, None, None])]
)
def test_what_was_pulled_holds_for_the_rows_below_where_it_stands_with_the_names_alone(second, loads):
    checked = take_in(SLED.format("Carga (kg)", second), "arrastres.csv", date_order="day")
    assert [load for (load,) in rows(checked, "rep", "resistance_load_kg")] == loads
