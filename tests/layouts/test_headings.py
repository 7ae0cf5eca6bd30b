"""Headings in free spelling: column, unit, gate and number read from the words. Facts of the trade: common practice."""

import pytest

from pipelines.errors import NotUnderstood
from pipelines.layouts import lay_out
from pipelines.layouts.words.headings import read_heading
from pipelines.layouts.words.sets import parse_sets
from pipelines.readers import read_tables
from schemas.shape import all_shapes


@pytest.mark.parametrize(
    ("text", "column", "unit"),
    [
        ("Body mass (kg)", "body_mass_kg", "kilogram"),
        ("Time [ms]", "elapsed_s", "millisecond"),
        ("Peso kg", "body_mass_kg", "kilogram"),
        ("Gewicht (lb)", "body_mass_kg", "pound"),
        ("Größe (cm)", "height_m", "centimeter"),
        ("Taille, m", "height_m", "meter"),
        ("contact_time_ms", "contact_s", "millisecond"),
        ("Kontaktzeit [ms]", "contact_s", "millisecond"),
        ("HOURS OF SLEEP", "sleep_h", None),
        ("qualité du sommeil", "sleep_quality", None),
        ("Agujetas", "soreness", None),
        ("Muskelkater (1-5)", "soreness", None),
        ("Wind (m/s)", "wind_ms", "meter / second"),
        ("Peak force (kgf)", "peak_force_n", "kilogram_force"),
        ("Wdh.", "reps", None),
        ("wind_ms", "wind_ms", None),  # the record's own name: metres a second, not milliseconds
    ],
)
def test_a_heading_names_its_column_and_unit(text, column, unit):
    heading = read_heading(0, text)
    assert (heading.names[0], heading.unit) == (column, unit)


@pytest.mark.parametrize(
    ("text", "gate", "start"),
    [
        ("10m", 10, None), ("t 20 m (s)", 20, None), ("30 m", 30, None), ("10m time (s)", 10, None),
        ("7,5 m", 7.5, None),
        ("time_10m", 10, None), ("Zeit 30m", 30, None), ("10-20 m", 20, 10), ("0–10m", 10, 0), ("40 yd", 36.576, None),
        ("60 m best", None, None),
    ],
)  # fmt: skip
def test_a_gate_is_read_from_its_heading_and_nothing_else_is(text, gate, start):
    heading = read_heading(0, text)
    assert (heading.gate_m, heading.from_m) == (gate, start)


@pytest.mark.parametrize(
    ("text", "column", "number"),
    [
        ("contact 1", "contact_s", 1), ("Flight 2 (ms)", "flight_s", 2), ("length 3", "step_length_m", 3),
        ("step 2 length (m)", "step_length_m", 2), ("1. contact", "contact_s", 1), ("contact_1_s", "contact_s", 1),
        ("TO frame 2", "toeoff_frame", 2), ("Set 3", "set_no", 3),
    ],
)  # fmt: skip
def test_a_numbered_heading_names_step_or_set(text, column, number):
    heading = read_heading(0, text)
    assert (heading.names[0], heading.number) == (column, number)


@pytest.mark.parametrize(
    ("text", "sets"),
    [
        ("3x5 @ 100 kg", [("5", "100 kg")] * 3),
        ("3 x 5 x 100", [("5", "100")] * 3),
        ("3X5", [("5", None)] * 3),
        ("2x3 100,5", [("3", "100,5")] * 2),
        ("5,5,3 @ 100", [("5", "100"), ("5", "100"), ("3", "100")]),
        ("3x5 @ 100/105/110 kg", [("5", "100 kg"), ("5", "105 kg"), ("5", "110 kg")]),
        ("3x5 @ bodyweight", [("5", "0")] * 3),
        ("3x5 BW", [("5", "0")] * 3),
        ("2x8 @ BW + 10 kg", [("8", "10 kg")] * 2),
        ("3x5 @ 100/105", [("5", "100/105")] * 3),
        ("5 @ 60, 5 @ 65, 4 @ 70", [("5", "60"), ("5", "65"), ("4", "70")]),
        ("5x60, 3x80", [("5", "60"), ("3", "80")]),
        ("80kg x 5, 85kg x 3", [("5", "80kg"), ("3", "85kg")]),
        ("85% 3x3", [("3", "85%")] * 3),
        ("5x60", None),
        ("5x20, 5x40", None),
        ("three by five", None),
        ("100", None),
    ],
)
def test_sets_in_one_cell(text, sets):
    assert parse_sets(text) == sets


@pytest.mark.parametrize("table", list(all_shapes()))
def test_own_column_names_always_find_their_table(table):
    shape = all_shapes()[table]
    header = ",".join(shape.columns)
    for name, line in (("any.csv", header), (f"{table}.csv", header), ("any.csv", ",".join(reversed(shape.columns)))):
        [text] = read_tables(name, f"{line}\n{','.join('x' for _ in shape.columns)}\n".encode())
        laid = lay_out(text)
        assert laid.is_canonical
        assert [part.table for part in laid.parts if part.is_main] == [table]


def test_the_file_name_breaks_the_tie_between_tables_with_the_same_key():
    header = b"athlete_id,session_date,session_no,rep_no\nana-berg,2026-03-03,1,1\n"
    assert lay_out(read_tables("set_position.csv", header)[0]).parts[0].table == "set_position"
    assert lay_out(read_tables("march.csv", header)[0]).parts[0].table == "rep"


def test_headers_that_say_nothing_are_refused_with_the_missing_columns():
    with pytest.raises(NotUnderstood, match="do not say what the table holds"):
        lay_out(read_tables("a.csv", b"foo,bar\n1,2\n")[0])
    with pytest.raises(NotUnderstood, match="do not say what the table holds"):
        lay_out(read_tables("a.csv", b"Item,Qty,Price\ntape,2,12.40\n")[0])


def test_a_sheet_of_times_without_a_day_asks_for_it():
    laid = lay_out(read_tables("a.csv", b"Athlete,Distance (m),Time (s)\nAna,10,1.8\n")[0])
    assert [question.ask for question in laid.asked] == ["days"]


def test_a_flying_run_is_no_gate_of_the_run_beside_it():
    assert read_heading(0, "fly 30m").is_fly
    assert read_heading(0, "flying 20 (s)").is_fly
    assert not read_heading(0, "30 m").is_fly
