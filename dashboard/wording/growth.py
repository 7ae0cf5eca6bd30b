"""Words of growth: what is measured, said without a forecast."""

from collections.abc import Mapping
from typing import Any

from dashboard.wording.forms import number

GROWTH_TITLE = "Growth"
HEIGHT_COLUMNS = (
    ("measured_on", "Day"),
    ("age_years", "Age"),
    ("height_m", "Height, m"),
    ("sitting_height_m", "Sitting height, m"),
    ("leg_part_m", "Legs, m"),
)
MASS_COLUMNS = (("measured_on", "Day"), ("body_mass_kg", "Body mass, kg"))
GROWTH_NOT_TOLD = (
    "No stage of maturity, no age at peak growth and no adult height is worked out: such formulas err by about a year "
    "and lean to the mean (Malina, Koziel 2014, J Sports Sci 32:424–437). Measure at the same hour: one shrinks over "
    "a day."
)
GROWTH_SORE = (
    "While somebody grows fast, heels, knees and hips get sore more easily and coordination may be lost for a while: "
    "fewer hard contacts, load built slowly, technique first. "
    "Pain is for a doctor or physio. Weight is nobody’s target."
)
GROWTH_SORE_OWN = (
    "While you grow fast, heels, knees and hips get sore more easily, and movements may feel strange for a while. That "
    "passes. If it hurts, tell your coach, and see a doctor or physio. No weight is a target."
)


def growth_title(row: Mapping[str, Any] | None) -> str:
    """Head the growth with its speed, where there is one."""
    if row is None or row["growth_sentence"] is None:
        return GROWTH_TITLE
    return f"{GROWTH_TITLE}: {row['growth_sentence'].split(',', 1)[0]}"


def growth_caption(row: Mapping[str, Any] | None) -> str:
    """Say what the speed rests on, or why there is none."""
    if row is None:
        return "Height is not on record yet; body mass alone says nothing of growth."
    if row["growth_sentence"] is None:
        return "A speed needs three heights over half a year, as less hangs on the season and on the tape."
    return f"{row['growth_sentence']}. The error is that of the tape, 0.4 cm a reading, and of these heights."


def age_text(value: float) -> str:
    """Write an age: 16.7."""
    return number(value, 1)
