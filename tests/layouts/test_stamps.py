"""Forms that say when they were sent and which day they are about."""

import datetime as dt

import pytest

from tests.intake import rows, take_in

FORM = """{};{};Seu nome;Quanto durou o treino? (min);Quão duro foi? (0 = nada, 10 = máximo)
03/06/2026 07:02:40;{};Ana Berg;80;6
04/06/2026 21:14:05;{};Ana Berg;95;7
"""


@pytest.mark.parametrize(
    ("sent", "day"),
    [("Carimbo de data/hora", "Data do treino"), ("Timestamp", "Date"), ("Zeitstempel", "Datum")],
)
def test_the_day_of_a_row_is_the_one_it_is_about_and_not_when_it_was_sent(sent, day):
    checked = take_in(FORM.format(sent, day, "02/06/2026", "04/06/2026"), "treino.csv", date_order="day")
    assert rows(checked, "session", "session_date", "duration_min", "effort_0_10") == [
        (dt.date(2026, 6, 2), 80.0, 6.0), (dt.date(2026, 6, 4), 95.0, 7.0),
    ]  # fmt: skip
    assert sent not in {one.about for one in checked.questions}


def test_a_stamp_is_the_day_where_no_other_column_says_one_of_each_row():
    checked = take_in(FORM.format("Carimbo de data/hora", "Data do treino", "", "04/06/2026"), date_order="day")
    assert rows(checked, "session", "session_date") == [(dt.date(2026, 6, 3),), (dt.date(2026, 6, 4),)]
