"""How numbers, days, counts and ages stand in a sentence."""

import datetime as dt

import polars as pl
import pytest
from hypothesis import given
from hypothesis import strategies as st

from pipelines.derived.common.number_text import decimals
from pipelines.derived.common.sentences import (
    SIDE_WORDS,
    add_age,
    list_review_days,
    say_count,
    say_day,
    say_number,
    say_ordinal,
    say_percent,
)
from schemas.age import is_minor
from schemas.knowledge.readiness import MINOR_CAUTION
from schemas.settings import SquadSettings
from tests.derived.start.start_frames import record
from tests.examples import examples

N = pl.col("n")


def said(expression: pl.Expr, *values: object, kind: type[pl.DataType] = pl.Float64) -> list[str | None]:
    return pl.DataFrame({"n": pl.Series(values, dtype=kind)}).select(expression.alias("said"))["said"].to_list()


def test_counts_in_order_are_written_as_english_does():
    words = ["first", "second", "third", "fourth", "fifth", "sixth", "seventh", "eighth", "ninth", "tenth"]
    assert said(say_ordinal(N), *range(1, 11), kind=pl.Int64) == words
    # English grammar: 11, 12 and 13 of every hundred end in th, else 1, 2 and 3 in st, nd and rd
    written = {11: "11th", 12: "12th", 13: "13th", 14: "14th", 20: "20th", 21: "21st", 22: "22nd", 23: "23rd",
               24: "24th", 31: "31st", 42: "42nd", 101: "101st", 111: "111th", 113: "113th", 123: "123rd"}  # fmt: skip
    assert said(say_ordinal(N), *written, None, kind=pl.Int64) == [*written.values(), None]


def test_a_number_has_no_needless_decimals():
    assert said(say_number(N), 6.0, 5.5, 5.04, 5.06, 0.0, None) == ["6", "5.5", "5", "5.1", "0", None]
    assert said(say_number(N, 0), 6.4, 6.6) == ["6", "7"]


def test_a_share_from_noise_is_never_certain():
    shares = (0.0, 0.004, 0.006, 0.5, 0.994, 0.996, 1.0, None)
    words = ["under 1 %", "under 1 %", "1 %", "50 %", "99 %", "over 99 %", "over 99 %", None]
    assert said(say_percent(N), *shares) == words


def test_a_day_and_a_count_are_written_short():
    assert said(say_day(N), dt.date(2026, 11, 3), dt.date(2026, 1, 31), kind=pl.Date) == ["3 Nov", "31 Jan"]
    assert said(say_count(N, "day", "days"), 0, 1, 4, kind=pl.Int64) == ["0 days", "1 day", "4 days"]
    assert SIDE_WORDS == {"l": "left ", "r": "right ", "both": ""}


@examples(60)
@given(st.floats(-1e6, 1e6), st.integers(0, 4), st.booleans())
def test_decimals_are_those_of_the_language_s_own_formatting(value, digits, signed):
    expected = f"{round(value, digits) + 0.0:{'+' if signed else ''}.{digits}f}".replace("-", "\u2212")
    [ours] = decimals(pl.Series([value]), digits, signed=signed)
    assert ours == expected or abs(value * 10**digits % 1 - 0.5) < 1e-6  # a half may be rounded either way


@examples(60)
@given(st.dates(dt.date(1990, 1, 1), dt.date(2020, 12, 31)), st.dates(dt.date(2021, 1, 1), dt.date(2040, 12, 31)))
def test_a_minor_is_under_eighteen_on_the_day_and_carries_a_caution(born, day):
    athlete = record("athlete", [{"athlete_id": "ida", "birth_date": born}])
    days = pl.DataFrame({"athlete_id": ["ida", "nobody"], "day_on": [day, day]})
    ida, nobody = add_age(days, athlete).to_dicts()
    # whole years: as many birthdays as fell in later years up to the day
    birthdays = sum(
        (year, born.month, born.day) <= (day.year, day.month, day.day) for year in range(born.year + 1, 2041)
    )
    assert ida["age_years"] == birthdays
    assert ida["caution"] == (MINOR_CAUTION if is_minor(born, day) else None)
    assert (nobody["age_years"], nobody["caution"]) == (None, None)


@pytest.mark.parametrize(
    ("joined", "left", "days"),
    [(None, None, 28), (dt.date(2026, 11, 20), None, 1), (dt.date(2026, 11, 21), None, 0),
     (None, dt.date(2026, 10, 24), 1), (None, dt.date(2026, 10, 23), 0),
     (dt.date(2026, 11, 1), dt.date(2026, 11, 7), 7)],
)  # fmt: skip
def test_the_days_of_a_review_are_those_with_the_squad(joined, left, days):
    athlete = record("athlete", [{"athlete_id": "ida", "joined_on": joined, "left_on": left}])
    settings = SquadSettings(review_days=28)
    found = list_review_days(athlete, settings=settings, as_of=dt.date(2026, 11, 20))
    assert found.height == days
    assert found["day_on"].is_sorted()
