"""Growth of those under 18: a line by hand, against scipy, who has rows, and how often the interval holds the truth."""

import datetime as dt

import numpy as np
import polars as pl
import pytest
from scipy import stats

from pipelines.derived.strength.stature import TAPE_SD_M, body_growth
from schemas.derived.growth import BodyGrowth
from schemas.records import RECORDS

AS_OF = dt.date(2026, 11, 22)
BORN = dt.date(2011, 3, 1)


def record(table: str, *rows: dict) -> pl.DataFrame:
    schema = {name: column.dtype.type for name, column in RECORDS[table].to_schema().columns.items()}
    return pl.DataFrame([{name: row.get(name) for name in schema} for row in rows], schema=schema, orient="row")


def measured(*heights: tuple[int, float | None], who: str = "ada") -> list[dict]:
    """Heights by days before the day looked from."""
    return [{"athlete_id": who, "measured_on": AS_OF - dt.timedelta(days=back), "height_m": metres}
            for back, metres in heights]  # fmt: skip


AGREED = {"athlete_id": "ada", "topic": "health", "given_on": dt.date(2026, 1, 1), "is_guardian": True}


def grown(rows: list[dict], *consents: dict, born: dt.date | None = BORN) -> pl.DataFrame:
    people = record("athlete", {"athlete_id": "ada", "display_name": "Ada", "birth_date": born})
    agreed = record("consent", *(consents or (AGREED,)))
    found = body_growth(record("body_measure", *rows), people, agreed, as_of=AS_OF)
    BodyGrowth.as_pandera().validate(found)
    return found


def test_the_speed_of_growth_by_hand():
    # 1.500, 1.515 and 1.530 m at 0, 0.5 and 1 year less a quarter day: 3 cm in 365 days is 0.03002 m a year
    row = grown(measured((365, 1.500), (182, 1.515), (0, 1.530))).row(-1, named=True)
    assert row["growth_m_per_year"] == pytest.approx(0.03002, abs=5e-5)
    # the points lie on a line, so s^2 = 8 x 0.004^2 / 9; S_tt = 2 x 0.5^2 = 0.5 years squared
    assert row["growth_m_per_year_se"] == pytest.approx((8 * TAPE_SD_M**2 / 9 / 0.5) ** 0.5, rel=0.01)
    assert row["growth_sentence"] == "3.0 cm a year, ± 1.0, from 3 heights over 52 weeks"


def test_the_slope_is_that_of_scipy():
    back, metres = np.array([350, 300, 210, 160, 90, 30]), np.array([1.61, 1.612, 1.625, 1.628, 1.641, 1.65])
    row = grown(measured(*zip(back.tolist(), metres.tolist(), strict=True))).row(-1, named=True)
    assert row["growth_m_per_year"] == pytest.approx(stats.linregress(-back / 365.25, metres).slope, abs=1e-9)


def test_few_heights_or_a_short_time_give_no_speed_and_say_so():
    for rows in (measured((365, 1.5), (0, 1.53)), measured((100, 1.5), (50, 1.51), (0, 1.52))):
        last = grown(rows).row(-1, named=True)
        assert (last["growth_m_per_year"], last["growth_sentence"]) == (None, None)
        assert last["reason"] == "too_few_heights"
    # heights of more than a year ago are not of this year's growth
    assert grown(measured((800, 1.4), (700, 1.42), (0, 1.5))).row(-1, named=True)["heights"] == 1


def test_mass_alone_is_shown_and_is_no_growth():
    rows = [{"athlete_id": "ada", "measured_on": AS_OF, "body_mass_kg": 50.0}]
    [row] = grown(rows).to_dicts()
    assert (row["body_mass_kg"], row["height_m"], row["reason"]) == (50.0, None, "too_few_heights")


@pytest.mark.parametrize(
    ("consent", "born"),
    [
        ({**AGREED, "withdrawn_on": dt.date(2026, 10, 1)}, BORN),
        ({**AGREED, "is_guardian": False}, BORN),
        ({**AGREED, "topic": "video"}, BORN),
        ({**AGREED, "given_on": dt.date(2026, 12, 1)}, BORN),
        (AGREED, dt.date(2008, 11, 22)),  # 18 on the day looked from
        (AGREED, None),
    ],
)
def test_no_row_is_made_without_a_guardian_s_consent_or_of_who_is_not_known_to_be_under_18(consent, born):
    assert grown(measured((0, 1.5)), consent, born=born).is_empty()


def test_a_consent_given_today_is_in_force_and_one_of_tomorrow_is_not():
    assert not grown(measured((0, 1.5)), AGREED | {"given_on": AS_OF}).is_empty()
    assert grown(measured((0, 1.5)), AGREED | {"given_on": AS_OF + dt.timedelta(days=1)}).is_empty()


def test_a_consent_given_again_is_in_force():
    given = ({**AGREED, "withdrawn_on": dt.date(2026, 3, 1)}, {**AGREED, "given_on": dt.date(2026, 4, 1)})
    assert grown(measured((0, 1.5)), *given).height == 1


def test_the_interval_holds_the_true_speed_about_as_often_as_it_says():
    # 300 simulated children who grow 5 cm a year, measured with the stated tape: 1.96 errors should hold about 95 %.
    rng = np.random.default_rng(5)
    back, held = np.arange(0, 360, 56), 0
    people, rows, agreed = [], [], []
    for n in range(300):
        who = f"child-{n}"
        people.append({"athlete_id": who, "display_name": who, "birth_date": BORN})
        agreed.append({**AGREED, "athlete_id": who})
        heights = 1.5 - 0.05 * back / 365.25 + TAPE_SD_M * rng.normal(size=len(back))
        rows += measured(*zip(back.tolist(), heights.tolist(), strict=True), who=who)
    found = body_growth(record("body_measure", *rows), record("athlete", *people), record("consent", *agreed),
                        as_of=AS_OF)  # fmt: skip
    last = found.filter(pl.col("measured_on") == AS_OF)
    off = (last["growth_m_per_year"] - 0.05).abs()
    held = (off <= 1.96 * last["growth_m_per_year_se"]).mean()
    assert 0.92 <= held <= 0.985
