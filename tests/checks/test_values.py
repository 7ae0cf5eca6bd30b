"""Values: numbers, clock times, units, dates, words and names, one rule a test."""

import datetime as dt

import pytest

from pipelines.cells.dates import find_order, read_date
from pipelines.cells.numbers import Style, find_style, read_number
from pipelines.cells.spoken import read_word, read_yes_no
from pipelines.cells.units import conversion
from schemas.shape import all_shapes, table_shape
from tests.intake import AS_OF, ROSTER, lines_set_aside, reasons, rows, take_in

TIME = table_shape("split").columns["elapsed_s"]
POINT = Style(comma_is_decimal=False)
COMMA = Style(comma_is_decimal=True)


@pytest.mark.parametrize(
    ("text", "style", "seconds"),
    [
        ("10.85", POINT, 10.85), ("10,85", COMMA, 10.85), ("1:02.35", POINT, 62.35), ("1:02,35", COMMA, 62.35),
        ("0:01:02.35", POINT, 62.35), ('10"85', POINT, 10.85), ("10.85 s", POINT, 10.85), ("10,85s", COMMA, 10.85),
        ("1850 ms", POINT, 1.85), ("DNF", POINT, None), ("-", POINT, None), ("n/a", POINT, None),
        ("verletzt", POINT, None),
    ],
)  # fmt: skip
def test_times_as_people_write_them(text, style, seconds):
    assert read_number(text, TIME, None, style) == (seconds, "")


@pytest.mark.parametrize("text", ["ten", "10.8.5", "1o.85", "10..85", "inf", "10 kg", "=A1"])
def test_what_is_no_time_is_told(text):
    value, why = read_number(text, TIME, None, POINT)
    assert value is None
    assert text in why


@pytest.mark.parametrize(
    ("texts", "comma", "unclear"),
    [
        (["10,85"], True, False), (["1.234,5"], True, False), (["1,234.5"], False, False),
        (["1,234,567"], False, False),
        (["1,234"], True, False), (["101,234"], True, False), (["0,123"], True, False),
    ],
)  # fmt: skip
def test_decimal_comma_is_told_from_the_column_and_its_range(texts, comma, unclear):
    style = find_style(texts, lambda value: 0 < value <= 120)
    assert (style.comma_is_decimal, style.is_unclear) == (comma, unclear)


def test_a_comma_that_fits_both_readings_is_unclear():
    style = find_style(["1,234"], lambda value: 0 < value < 6000)
    assert style.is_unclear
    checked = take_in('Athlete,Date,Event,Altitude (m),Time\nAna Berg,2026-03-03,100,"1,234",11.8\n')
    assert "1.234 or as 1234" in reasons(checked, 2)


@pytest.mark.parametrize(
    ("unit", "model", "factor"),
    [
        # outside: definitions, from memory (international pound and yard 1959; kgf by standard gravity, CGPM 1901)
        ("pound", "kg", 0.45359237), ("inch", "m", 0.0254), ("foot", "m", 0.3048), ("kilogram_force", "N", 9.80665),
        ("millisecond", "s", 0.001), ("centimeter", "m", 0.01), ("minute", "h", 1 / 60),
        ("kilometer / hour", "m/s", 1 / 3.6),
    ],
)  # fmt: skip
def test_units_convert_as_defined(unit, model, factor):
    scale, offset = conversion(unit, model) or (0.0, 0.0)
    assert scale == pytest.approx(factor, rel=1e-12)
    assert offset == 0


def test_fahrenheit_has_an_offset():
    scale, offset = conversion("degree_Fahrenheit", "°C") or (0.0, 0.0)
    assert 212 * scale + offset == pytest.approx(100)  # water boils


@pytest.mark.parametrize(
    ("column", "text", "metres"),
    # feet and inches of the international foot, 0.3048 m (1959)
    [("jump_length_m", "8-07.5", 8 * 0.3048 + 7.5 * 0.0254), ("jump_length_m", "9-11", 11 * 0.0254 + 9 * 0.3048),
     ("height_m", "5-9", 5 * 0.3048 + 9 * 0.0254), ("height_m", "6-01", 6 * 0.3048 + 0.0254)],
)  # fmt: skip
def test_feet_and_inches_with_a_dash(column, text, metres):
    table = "jump_test" if column == "jump_length_m" else "body_measure"
    read, why = read_number(text, table_shape(table).columns[column], None, POINT)
    assert (round(read, 6), why) == (round(metres, 6), "")


@pytest.mark.parametrize(("table", "column", "text"), [
    ("jump_test", "jump_length_m", "8-12"), ("jump_test", "jump_length_m", "2-3"), ("split", "elapsed_s", "8-07"),
    ("jump_test", "jump_height_m", "8-07"),
])  # fmt: skip
def test_a_dash_between_numbers_is_no_foot_elsewhere(table, column, text):
    assert read_number(text, table_shape(table).columns[column], None, POINT)[0] is None


def test_feet_and_inches():
    height = table_shape("body_measure").columns["height_m"]
    # 5 * 0.3048 + 7 * 0.0254 = 1.7018
    assert read_number("5'7\"", height, None, POINT) == (1.7018, "")
    assert read_number("5 ft 7 in", height, None, POINT) == (1.7018, "")


def test_a_unit_that_measures_something_else_is_told():
    checked = take_in("Athlete,Date,Height (kg)\nAna Berg,2026-03-03,60\n")
    assert "is in kilogram" in reasons(checked, 2)


def test_a_silent_unit_is_read_only_where_it_is_the_only_possible_one():
    centimetres = take_in(
        "Athlete,Date,Height\nAna Berg,2026-03-03,171\nBea Lund,2026-03-03,168,5\n".replace("168,5", "168.5")
    )
    assert rows(centimetres, "body_measure", "height_m") == [(1.71,), (1.685,)]
    own_name = take_in("athlete_id,measured_on,height_m\nana-berg,2026-03-03,171\n")
    assert "171 m is outside 1 to 2.3 m" in reasons(own_name, 2)


@pytest.mark.parametrize(
    ("text", "order", "day"),
    [
        ("2026-03-04", None, (2026, 3, 4)), ("2026/3/4", None, (2026, 3, 4)), ("04.03.2026", "day", (2026, 3, 4)),
        ("3/4/26", "month", (2026, 3, 4)), ("25/12/2025", None, (2025, 12, 25)), ("12/25/2025", None, (2025, 12, 25)),
        ("4 Mar 2026", None, (2026, 3, 4)), ("4. März 2026", None, (2026, 3, 4)), ("4 mars 2026", None, (2026, 3, 4)),
        ("4 de marzo de 2026", None, (2026, 3, 4)), ("March 4th, 2026", None, (2026, 3, 4)),
        ("3.3.98", "day", (1998, 3, 3)),
        ("2026-03-04T18:30:00", None, (2026, 3, 4)), ("4/3/2026 07:12", "day", (2026, 3, 4)),
        ("20260304", None, (2026, 3, 4)),
        ("3/3/2026", None, (2026, 3, 3)),
    ],
)  # fmt: skip
def test_dates_as_people_write_them(text, order, day):
    assert read_date(text, order, AS_OF) == (dt.date(*day), "")


@pytest.mark.parametrize("text", ["30.02.2026", "2026-13-01", "31/04/2026"])
def test_a_date_that_does_not_exist(text):
    value, why = read_date(text, "day", AS_OF)
    assert value is None
    assert "does not exist" in why


def test_date_order_is_told_from_the_whole_column_or_asked():
    assert find_order(["03/04/2026", "13/04/2026"]) == "day"
    assert find_order(["03/04/2026", "04/13/2026"]) == "month"
    assert find_order(["03/04/2026", "13/04/2026", "04/13/2026"]) is None
    assert find_order(["03.04.2026"]) == "day"  # points put the day first: common practice, no source
    text = "athlete_id,measured_on,body_mass_kg\nana-berg,03/04/2026,60\n"
    assert "3 April or 4 March" in reasons(take_in(text), 2)
    assert "--date-order day" in reasons(take_in(text), 2)
    assert rows(take_in(text, date_order="day"), "body_measure", "measured_on") == [(dt.date(2026, 4, 3),)]
    assert rows(take_in(text, date_order="month"), "body_measure", "measured_on") == [(dt.date(2026, 3, 4),)]


def test_a_day_in_the_future_is_set_aside_but_a_plan_may_be():
    assert "lies in the future" in reasons(take_in("athlete_id,measured_on,body_mass_kg\nana-berg,2026-11-21,60\n"), 2)
    assert rows(take_in("athlete_id,planned_on,kind\nana-berg,2026-11-24,tempo\n"), "plan", "plan_no", "kind") == [
        (1, "tempo")
    ]


def test_a_spreadsheet_day_number_is_named_not_guessed():
    _, why = read_date("46084", None, AS_OF)
    # outside: datetime; 1899-12-30 + 46084 days = 2026-03-03
    assert "2026-03-03" in why


@pytest.mark.parametrize(
    ("table", "column", "text", "word"),
    [
        ("rep", "start_kind", "Block start", "blocks"), ("rep", "start_kind", "3-point", "three_point"),
        ("rep", "timing_kind", "FAT", "electronic"), ("rep", "timing_kind", "Handgestoppt", "hand"),
        ("rep", "clock_start", "First movement", "first_movement"), ("rep", "resistance_kind", "none", "none"),
        ("athlete", "sex", "weiblich", "f"), ("step", "side", "izquierda", "l"),
        ("lift_set", "side", "bilateral", "both"),
        ("session", "kind", "Ruhetag", "recovery"), ("jump_test", "test", "CMJ", "countermovement"),
        ("technique_note", "item", "Ankle gives", "ankle_gives"),
    ],
)  # fmt: skip
def test_words_in_free_spelling(table, column, text, word):
    assert read_word(text, table_shape(table).columns[column]) == (word, "")


def test_an_unknown_word_names_what_fits_and_the_nearest():
    word, why = read_word("blcks", table_shape("rep").columns["start_kind"])
    assert word is None
    assert "blocks, three_point, standing, falling or rolling" in why
    assert "Did you mean 'blocks'?" in why


@pytest.mark.parametrize(
    "shape", [c for t in all_shapes().values() for c in t.columns.values() if c.words], ids=lambda c: c.name
)
def test_every_word_of_a_column_fits_itself(shape):
    assert [read_word(word.replace("_", " ").upper(), shape)[0] for word in shape.words] == list(shape.words)


def test_yes_and_no_in_four_languages():
    assert [read_yes_no(text)[0] for text in ("Yes", "ja", "Oui", "sí", "TRUE", "x", "1")] == [True] * 7
    assert [read_yes_no(text)[0] for text in ("No", "nein", "non", "FALSE", "0")] == [False] * 5
    assert read_yes_no("perhaps")[1]


@pytest.mark.parametrize("name", ["ana-berg", "Ana Berg", "BERG, Ana", "ána  berg", "Ana-Berg"])
def test_names_match_whatever_case_accent_order_and_hyphen(name):
    checked = take_in(f'Athlete;Date;Body mass\n"{name}";2026-03-03;60\n')
    assert rows(checked, "body_measure", "athlete_id") == [("ana-berg",)]


def test_an_unknown_name_is_never_guessed_and_names_the_nearest():
    checked = take_in("Athlete,Date,Body mass\nAnna Berg,2026-03-03,60\nZzz Qqq,2026-03-03,60\n")
    assert "not on the roster. The nearest names are Ana Berg" in reasons(checked, 2)
    assert lines_set_aside(checked) == [2, 3]


def test_a_new_athlete_of_one_sheet_is_known_in_the_next():
    from tests.readers.test_workbook import book

    sheets = book(
        split=[
            ["athlete_id", "session_date", "rep_no", "distance_m", "elapsed_s"],
            ["Øst, Dag", dt.date(2026, 3, 3), 1, 10, 1.9],
        ],
        athlete=[["display_name", "sex"], ["Dag Øst", "m"]],
    )
    checked = take_in(sheets, "both.xlsx")
    assert rows(checked, "split", "athlete_id", "source_sheet") == [("dag-ost", "split")]


@pytest.mark.parametrize(
    "word", ["left", "L", "links", "gauche", "izquierda", "sinistra", "esquerda", "Vänster", "lewa"]
)
def test_left_is_left_in_the_languages_of_a_squad(word: str):
    # common practice, no source: words from memory
    assert read_word(word, table_shape("step").columns["side"]) == ("l", "")


@pytest.mark.parametrize("word", ["no blocks", "without blocks", "ohne Startblock", "sin tacos", "not from blocks"])
def test_a_word_that_is_denied_is_not_stored_as_that_word(word: str):
    value, why = read_word(word, table_shape("rep").columns["start_kind"])
    assert value is None
    assert word in why


@pytest.mark.parametrize("table", ["rep", "step", "session", "lift_set", "force_test", "injury", "technique_note"])
def test_no_word_list_takes_a_word_it_does_not_know(table: str):
    for column in table_shape(table).columns.values():
        if column.words:
            assert read_word("quxly", column)[0] is None, column.name


@pytest.mark.parametrize(
    "text", ["no load", "No Load", "ohne Gewicht", "ohne Zusatzgewicht", "without weight", "uten vekt", "sans charge",
             "sin carga", "bodyweight", "Körpergewicht", "unloaded", "no-load"],
)  # fmt: skip
def test_words_of_no_load_are_a_load_of_nought(text: str):
    for table, column in (("lift_set", "load_kg"), ("rep", "resistance_load_kg")):
        assert read_number(text, table_shape(table).columns[column], None, POINT) == (0.0, "")


@pytest.mark.parametrize("text", ["heavy", "light", "as last week", "ohne Pause", "no idea"])
def test_other_words_are_no_load_and_are_said(text: str):
    value, why = read_number(text, table_shape("lift_set").columns["load_kg"], None, POINT)
    assert value is None
    assert text in why


def test_words_of_no_load_are_no_number_of_anything_else():
    value, why = read_number("no load", table_shape("session").columns["duration_min"], None, POINT)
    assert (value, bool(why)) == (None, True)


@pytest.mark.parametrize("column", ["joined_on", "left_on"])
def test_somebody_may_join_or_leave_on_a_day_to_come(column: str):
    checked = take_in(f"athlete_id,display_name,{column}\nana-berg,Ana Berg,2027-03-01\n")
    assert rows(checked, "athlete", column) == [(dt.date(2027, 3, 1),)]


def test_days_of_rest_may_hold_until_a_day_to_come():
    checked = take_in("athlete_id,weekday,from_on,until_on\nana-berg,7,2026-11-24,2026-12-20\n")
    assert rows(checked, "rest_day", "from_on", "until_on") == [(dt.date(2026, 11, 24), dt.date(2026, 12, 20))]


def test_a_length_that_two_units_make_possible_is_read_in_the_one_in_which_people_jump_it():
    # 160 cm = 1.60 m; 160 in = 4.06 m, within the record's range and farther than anybody jumps from a stand
    checked = take_in("Name,Date,Broad jump\nAna Berg,2026-03-03,160\n")
    assert rows(checked, "jump_test", "jump_length_m") == [(1.6,)]
    assert checked.notes == [
        "'Broad jump' gives no unit; read as centimeter, the only unit in which its values are possible."
    ]


def test_a_day_without_a_year_is_of_the_year_that_the_file_s_name_says():
    checked = take_in("Name,Date,Weight (kg)\nAna Berg,3 Mar,60\n", "Weights 2025.csv")
    assert rows(checked, "body_measure", "measured_on") == [(dt.date(2025, 3, 3),)]


@pytest.mark.parametrize(("other", "is_read"), [("46085", True), ("4.3.2026", False), ("2026-03-04", False)])
def test_day_numbers_are_read_where_a_column_holds_nothing_else(other: str, is_read: bool):
    checked = take_in(f"athlete_id,measured_on,body_mass_kg\nana-berg,46084,60\nbea-lund,{other},61\n")
    days = [day for (day,) in rows(checked, "body_measure", "measured_on")]
    # outside: datetime; 1899-12-30 + 46084 days = 2026-03-03
    assert days == [dt.date(2026, 3, 3), dt.date(2026, 3, 4)][0 if is_read else 1 :]
    assert lines_set_aside(checked) == ([] if is_read else [2])
    assert any("46084 and the like were read as day numbers" in note for note in checked.notes) is is_read


def test_a_number_in_the_record_s_own_unit_is_kept_to_its_last_digit():
    checked = take_in("Name,Date,Weight (kg)\nAna Berg,2026-03-03,60.1234567890123\n")
    assert rows(checked, "body_measure", "body_mass_kg") == [(60.1234567890123,)]


def test_beside_decimal_commas_a_point_that_fits_both_readings_is_set_aside_and_no_other_cell():
    # 1.234 m and 1234 m are both heights of a track, and so are 1,5 m and, were it grouped, 1500 m
    heights = ["1.234", "1,5", "100"]
    lines = [f"{who};2026-03-03;100;{one};11,8" for who, one in zip(ROSTER.values(), heights, strict=True)]
    checked = take_in("Athlete;Date;Event;Altitude (m);Time\n" + "\n".join(lines) + "\n")
    assert rows(checked, "race_result", "altitude_m") == [(None,), (1.5,), (100.0,)]
    assert checked.set_aside["value"].to_list() == ["1.234"]
    assert "the point may be a decimal point or a thousands sign; this column writes decimal commas." in reasons(
        checked
    )


def test_a_measure_of_no_known_range_may_be_any_number_so_its_points_are_never_guessed():
    text = "Athlete;Date;Weight (kg);Skinfold\nAna Berg;2026-03-03;60;1.234\nBea Lund;2026-03-03;61;-1,5\n"
    checked = take_in(text, columns={"Skinfold": "other_measure"})
    assert rows(checked, "other_measure", "athlete_id", "value") == [("bea-lund", -1.5)]
    assert "the point may be a decimal point or a thousands sign" in reasons(checked, 2)


def test_what_is_no_date_with_a_time_of_day_is_told_and_the_run_kept():
    sheet = "athlete_id,session_date,rep_no,file,marked_at\nana-berg,2026-03-03,1,a.mp4,soon\n"
    checked = take_in(sheet)
    assert reasons(checked, 2) == (
        "'soon' is not a date with a time of day. Only this cell is set aside. Write it like 2026-11-16T18:30:00."
    )
    assert rows(checked, "rep", "rep_no") == [(1,)]
