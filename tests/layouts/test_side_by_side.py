"""Runs side by side, steps in rows and columns, headers of two rows; each file is named by what is odd in it."""

import datetime as dt
import io

import pytest
import xlsxwriter

from pipelines.layouts.words.headings import read_heading
from tests.intake import lines_set_aside, reasons, rows, take_in

TWO_RUNS = [(1, 10.0, 1.8), (1, 20.0, 2.9), (2, 10.0, 1.82), (2, 20.0, 2.95)]
DAY = dt.date(2026, 3, 3)


def book(cells, merged=()):
    """Return a workbook of one sheet; ``merged`` holds first row, first column, last row, last column, text."""
    content = io.BytesIO()
    with xlsxwriter.Workbook(content, {"in_memory": True}) as made:
        sheet, day = made.add_worksheet("Sprint"), made.add_format({"num_format": "dd.mm.yyyy"})
        for row, line in enumerate(cells):
            for column, value in enumerate(line):
                if isinstance(value, dt.date):
                    sheet.write_datetime(row, column, dt.datetime.combine(value, dt.time()), day)
                elif value is not None:
                    sheet.write(row, column, value)
        for place in merged:
            sheet.merge_range(*place)
    return content.getvalue()


@pytest.mark.parametrize(
    ("text", "gate", "run"),
    [
        ("10m run 2", 10, 2), ("Run 2 10m", 10, 2), ("10 m (2)", 10, 2), ("30m #1", 30, 1), ("30m 1. Lauf", 30, 1),
        ("30 m T2", 30, 2), ("1er essai 30 m", 30, 1), ("Intento 2 30 m", 30, 2), ("0-10 m run 2", 10, 2),
        ("Trial 3 (s)", None, 3), ("Lauf 2", None, 2), ("t 20 m (s)", 20, None), ("t10", 10, None),
        ("run 30m", None, None),
    ],
)  # fmt: skip
def test_the_run_of_a_gate_is_read_from_its_heading(text, gate, run):
    heading = read_heading(0, text)
    assert (heading.gate_m, heading.run_no) == (gate, run)


@pytest.mark.parametrize(
    "header",
    [
        "10m run 1,20m run 1,10m run 2,20m run 2", "Run 1 10m,Run 1 20m,Run 2 10m,Run 2 20m",
        "10 m (1),20 m (1),10 m (2),20 m (2)", "10 m,20 m,10 m,20 m",
    ],
)  # fmt: skip
def test_several_runs_side_by_side_in_one_row_are_all_taken(header):
    checked = take_in(f"Name,Date,{header}\nAna Berg,2026-03-03,1.80,2.90,1.82,2.95\n", "runs_side_by_side.csv")
    assert sorted(rows(checked, "split", "rep_no", "distance_m", "elapsed_s")) == TWO_RUNS
    assert sorted(rows(checked, "rep", "rep_no")) == [(1,), (2,)]


def test_a_run_that_was_not_run_is_no_run_and_a_second_row_of_a_day_counts_on():
    checked = take_in(
        "Name,Date,30m (1),30m (2)\nAna Berg,2026-03-03,4.10,DNF\nBea Lund,2026-03-03,DNS,4.20\n"
        "Ana Berg,2026-03-03,4.30,\n",
        "runs_side_by_side_with_gaps.csv",
    )
    # two columns a row: the second row of the day begins with run 3
    assert sorted(rows(checked, "split", "athlete_id", "rep_no", "elapsed_s")) == [
        ("ana-berg", 1, 4.1), ("ana-berg", 3, 4.3), ("bea-lund", 2, 4.2),
    ]  # fmt: skip
    assert sorted(rows(checked, "rep", "athlete_id", "rep_no", "outcome")) == [
        ("ana-berg", 1, None), ("ana-berg", 2, "stopped"), ("ana-berg", 3, None), ("bea-lund", 2, None),
    ]  # fmt: skip
    assert lines_set_aside(checked) == []


def test_trials_of_one_distance_side_by_side():
    checked = take_in(
        "Name;Datum;Distanz;Versuch 1;Versuch 2\nAna Berg;3.3.2026;30;4,10;4,05\n", "trials_side_by_side_german.csv"
    )
    assert rows(checked, "split", "rep_no", "distance_m", "elapsed_s") == [(1, 30.0, 4.1), (2, 30.0, 4.05)]


@pytest.mark.parametrize("run", ["", "1,"])
def test_a_row_for_each_measure_and_a_column_for_each_step(run):
    header = f"Name,Date,{'Run,' if run else ''}Measure,Step 1,Step 2"
    checked = take_in(
        f"{header}\nAna Berg,2026-03-03,{run}contact (ms),190,170\nAna Berg,2026-03-03,{run}flight (ms),50,60\n",
        "steps_by_column_measures_by_row.csv",
    )
    columns = ("rep_no", "step_no", "contact_s", "flight_s")
    assert rows(checked, "step", *columns) == [(1, 1, 0.19, 0.05), (1, 2, 0.17, 0.06)]
    assert lines_set_aside(checked) == []


def test_gates_below_merged_run_headers_of_a_workbook():
    cells = [
        ["Sprint test"], ["Name", "Date", "Run 1", None, "Run 2", None], [None, None, "10 m", "20 m", "10 m", "20 m"],
        ["Ana Berg", DAY, 1.8, 2.9, 1.82, 2.95],
    ]  # fmt: skip
    merged = [(1, 2, 1, 3, "Run 1"), (1, 4, 1, 5, "Run 2"), (1, 0, 2, 0, "Name"), (1, 1, 2, 1, "Date")]
    checked = take_in(book(cells, merged), "two_row_merged_header.xlsx")
    assert sorted(rows(checked, "split", "rep_no", "distance_m", "elapsed_s")) == TWO_RUNS
    assert checked.rows_read == 1  # the second row of the header is no data


def test_many_gates_below_few_run_headers():
    gates = ["10 m", "20 m", "30 m", "40 m"]
    cells = [
        ["Name", "Date", "Run 1", None, None, None, "Run 2", None, None, None], [None, None, *gates, *gates],
        ["Ana Berg", DAY, 1.8, 2.9, 3.9, 4.9, 1.82, 2.95, 3.95, 4.95],
    ]  # fmt: skip
    checked = take_in(book(cells, [(0, 2, 0, 5, "Run 1"), (0, 6, 0, 9, "Run 2")]), "two_row_header_mostly_blank.xlsx")
    assert [run for (run,) in sorted(rows(checked, "split", "rep_no"))] == [1] * 4 + [2] * 4


def test_a_row_of_units_below_the_header():
    checked = take_in(
        book([["Name", "Date", "10 m", "20 m", "Weight"], [None, None, "(ms)", "(ms)", "lb"],
              ["Ana Berg", DAY, 1800, 2900, 130]]),
        "units_in_a_second_header_row.xlsx",
    )  # fmt: skip
    assert rows(checked, "split", "elapsed_s") == [(1.8,), (2.9,)]
    assert round(rows(checked, "body_measure", "body_mass_kg")[0][0], 3) == 58.967  # 130 lb * 0.45359237


def test_measures_below_merged_step_headers():
    checked = take_in(
        "Athlete,Date,Step 1,,Step 2,\n,,contact (ms),flight (ms),contact (ms),flight (ms)\n"
        "Ana Berg,2026-03-03,190,50,170,60\n",
        "two_row_step_header.csv",
    )
    assert rows(checked, "step", "step_no", "contact_s", "flight_s") == [(1, 0.19, 0.05), (2, 0.17, 0.06)]


def test_a_title_over_bare_gates():
    cells = [["Name", "Date", "Split times (s)", None], [None, None, 10, 20], ["Ana Berg", DAY, 1.8, 2.9]]
    checked = take_in(book(cells, [(0, 2, 0, 3, "Split times (s)")]), "title_over_gates.xlsx")
    assert rows(checked, "split", "distance_m", "elapsed_s") == [(10.0, 1.8), (20.0, 2.9)]


def test_a_first_row_of_data_is_never_taken_for_a_second_header():
    checked = take_in("Name,Date,10 m,,20 m\nAna Berg,2026-03-03,1.80,,2.90\nBea Lund,2026-03-03,1.9,,3.0\n")
    assert checked.rows_read == 2
    assert checked.accepted["split"].height == 4


def test_day_numbers_of_a_workbook_are_read_and_a_text_file_of_them_is_read_with_a_note():
    # 2026-03-03 is day 46084 of the 1900 date system (ECMA-376; computed: 46084 days after 1899-12-30)
    checked = take_in(book([["Date", "Name", "10 m", "20 m"], [46084, "Ana Berg", 1.8, 2.9]]), "serial_dates.xlsx")
    assert rows(checked, "session", "session_date") == [(DAY,)]
    text = take_in("Date,Name,10 m,20 m\n46084,Ana Berg,1.80,2.90\n", "serial_dates.csv")
    assert rows(text, "session", "session_date") == [(DAY,)]
    assert "day numbers of a spreadsheet" in text.notes[0]
    mixed = take_in("Date,Name,10 m,20 m\n46084,Ana Berg,1.80,2.90\n2026-03-04,Ana Berg,1.80,2.90\n", "mixed_dates.csv")
    assert "day number for 2026-03-03" in reasons(mixed, 2)


def test_a_day_merged_over_several_rows_stands_in_each():
    cells = [["Date", "Name", "10 m", "20 m"], [DAY, "Ana Berg", 1.8, 2.9], [None, "Bea Lund", 1.9, 3.0]]
    content = io.BytesIO()
    with xlsxwriter.Workbook(content, {"in_memory": True}) as made:
        sheet = made.add_worksheet("Sprint")
        for row, line in enumerate(cells):
            for column, value in enumerate(line):
                if value is not None and not isinstance(value, dt.date):
                    sheet.write(row, column, value)
        day = made.add_format({"num_format": "yyyy-mm-dd"})
        sheet.merge_range(1, 0, 2, 0, "", day)
        sheet.write_datetime(1, 0, dt.datetime.combine(DAY, dt.time()), day)
    checked = take_in(content.getvalue(), "merged_dates.xlsx")
    assert rows(checked, "session", "athlete_id", "session_date") == [("ana-berg", DAY), ("bea-lund", DAY)]


@pytest.mark.parametrize(
    "text",
    [
        "Nombre;Fecha;Distancia;Tiempo;Salida\nAna Berg;15/03/2026;10;1,80;tacos\nAna Berg;15/03/2026;20;2,90;tacos\n",
        "Athlet;Datum;Lauf;Strecke;Zeit;Startart\nAna Berg;15.03.2026;1;10;1,80;Block\n"
        "Ana Berg;15.03.2026;1;20;2,90;Block\n",
        "Athlète;Date;Course;Distance;Temps;Départ\nAna Berg;15/03/2026;1;10;1,80;blocks\n"
        "Ana Berg;15/03/2026;1;20;2,90;blocks\n",
    ],
)  # fmt: skip
def test_a_long_sheet_that_says_the_start_keeps_its_times_in_every_language(text):
    checked = take_in(text, "long_with_start.csv")
    assert rows(checked, "split", "rep_no", "distance_m", "elapsed_s") == [(1, 10.0, 1.8), (1, 20.0, 2.9)]
    assert rows(checked, "rep", "start_kind") == [("blocks",)]


def test_lines_with_one_cell_and_summaries_in_four_languages_are_named():
    checked = take_in(
        "Name,Date,10m,20m\nGroup A,,,\nAna Berg,2026-03-03,1.80,2.90\nbest,,1.80,2.90\nMoyenne,,1.8,2.9\nMW,,1.8,2.9\n"
        "Promedio,,1.8,2.9\nn = 1,,,\nNote: windy,,,\n",
        "headings_and_summaries.csv",
    )
    assert lines_set_aside(checked) == [2, 4, 5, 6, 7, 8, 9]
    assert all("mean or total" in reasons(checked, line) for line in (4, 5, 6, 7))
    assert all("nothing else stands in this row" in reasons(checked, line) for line in (2, 8))
    assert "comment" in reasons(checked, 9)
    assert [one for one in checked.questions if one.ask == "athletes"] == []


def test_outcomes_are_no_errors():
    checked = take_in(
        "Name,Date,10m,20m,30m\nAna Berg,2026-03-03,1.80,2.90,DNF\nBea Lund,2026-03-03,DNS,,\n"
        "Bea Lund,2026-03-04,DQ,,\nBea Lund,2026-03-05,injured,,\nBea Lund,2026-03-06,-,-,-\n",
        "outcomes.csv",
    )
    assert rows(checked, "rep", "athlete_id", "outcome") == [("ana-berg", "stopped")]
    assert rows(checked, "split", "distance_m") == [(10.0,), (20.0,)]
    assert all("outcome and no error" in reasons(checked, line) for line in (3, 4, 5))
    assert "nothing to store" in reasons(checked, 6)


def test_a_run_not_finished_in_a_long_sheet_is_kept_as_such():
    checked = take_in(
        "Name,Date,Run,Distance,Time\nAna Berg,2026-03-03,1,10,1.80\nAna Berg,2026-03-03,1,20,DNF\n"
        "Ana Berg,2026-03-03,2,10,DNS\n",
        "long_with_outcomes.csv",
    )
    assert rows(checked, "rep", "rep_no", "outcome") == [(1, "stopped")]
    assert lines_set_aside(checked) == [4]


def test_a_cell_set_aside_is_shown_as_it_was_written_under_its_own_header():
    checked = take_in(
        "Name;Datum;Lauf;Distanz;Zeit\nAna Berg;3.3.2026;1;10;1,80\nAna Berg;3.3.2026;1;10;1,90\n"
        "Ana Berg;3.3.2026;2;10;0,20\n",
        "conflict_with_decimal_commas.csv",
    )
    told = checked.set_aside.select("source_line", "column", "value").rows()
    assert told == [(2, "Zeit", "1,80"), (3, "Zeit", "1,90"), (4, "Zeit", "0,20")]
    assert '"Zeit":"1,80"' in checked.set_aside["row_json"][0]
    assert "line 2 says 1.8, line 3 says 1.9" in reasons(checked, 2)


@pytest.mark.parametrize(
    "text", ["DNF", "pulled-up", "Did-not-finish", "Pulled  up", "abgebrochen", "clock stopped", "aufgewärmt"]
)
def test_a_word_in_a_later_run_is_a_run_that_ended_or_set_aside_but_never_gone(text):
    checked = take_in(
        "Athlete,Date,Run 1 10 m,Run 1 20 m,Run 2 10 m,Run 2 20 m\n"
        f"Ana Berg,2026-03-04,1.90,3.05,{text},\nBea Lund,2026-03-04,1.95,3.10,1.96,3.12\n"
    )
    if lines_set_aside(checked) == [2]:
        assert text in reasons(checked, 2)
    else:
        assert ("ana-berg", 2, "stopped") in rows(checked, "rep", "athlete_id", "rep_no", "outcome")


@pytest.mark.parametrize("text", ["disqualified", "nicht gestartet", "stopped"])
def test_a_word_a_cell_cannot_hold_is_told(text):
    sets = take_in(f"Athlete,Date,Exercise,Reps,Load kg\nAna Berg,2026-03-04,Squat,5,{text}\n")
    assert lines_set_aside(sets) == [2]
    assert text in reasons(sets)
