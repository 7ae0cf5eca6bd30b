"""Units that nothing says and the numbers put in doubt: a squad that weighs 134.5, a session of 1.5, a force of 28."""

import statistics
from collections.abc import Sequence

from schemas.shape import ColumnShape

# What hardly any squad's middle value, or its greatest, is in the record's unit; common practice, no source
LONGEST_IN_HOURS = 5.0  # min; nobody logs sessions of five minutes alone
LEAST_FORCE = 100.0  # N; a sprinter's hamstring pulls 200 to 500 N, about 30 kg or 70 lb, or 5 N for each kg
HEAVY = 95.0  # kg, the middle of a squad of sprinters
HOT = 40.0  # deg C
PLATES = frozenset((95, 115, 135, 155, 165, 185, 205, 225, 245, 275, 295, 315, 335, 365, 385, 405, 455, 495))  # lb
FEWEST, MOSTLY, HEAVIER = 4, 0.5, 130.0  # loads looked at, share of them on a bar of 45 lb, and one above this
LOADS = ("load_kg", "resistance_load_kg")
IN_DOUBT = (*LOADS, "duration_min", "planned_min", "peak_force_n", "air_temperature_c", "body_mass_kg")


def units_in_doubt(  # noqa: PLR0911 - one for each kind of column
    shape: ColumnShape, values: Sequence[float], *, is_month_first: bool
) -> tuple[str, ...]:
    """Return the units, the record's first, of which any may be that of a column that gives none; () where no doubt is.

    Args:
        shape: The record column.
        values: Its numbers as they are written.
        is_month_first: Some date of the sheet puts the month first: where that is done, pounds are lifted.

    Null: the record's unit is taken as it is.
    """
    some = [value for value in values if value]
    if not some:
        return ()
    middle, most = statistics.median(some), max(some)
    if shape.name in ("duration_min", "planned_min"):
        return ("minute", "hour") if most <= LONGEST_IN_HOURS else ()
    if shape.name == "peak_force_n":
        return ("newton", "kilogram_force", "pound_force") if middle < LEAST_FORCE else ()
    if shape.name == "air_temperature_c":
        return ("degree_Celsius", "degree_Fahrenheit") if most > HOT else ()
    if shape.name == "body_mass_kg":
        return ("kilogram", "pound") if middle > HEAVY or is_month_first else ()
    if shape.name in LOADS:
        on_bar = sum(1 for value in some if value in PLATES)
        is_american = len(some) >= FEWEST and on_bar >= MOSTLY * len(some) and most > HEAVIER
        return ("kilogram", "pound") if is_month_first or is_american else ()
    return ()
