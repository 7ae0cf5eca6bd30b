"""Ratings: a cell of any scale laid on the record's scale, end on end."""

import re
from collections.abc import Mapping

from pipelines.cells import SET_ASIDE
from pipelines.cells.numbers import Style, to_float
from pipelines.cells.spoken import is_missing, rating_of
from schemas.checkin import of_scale
from schemas.reading import Good, Scale
from schemas.shape import ColumnShape

ONE_TO_FIVE = tuple(item.name for item in of_scale("five"))  # 5 is the best
NONE_TO_TEN = tuple(item.name for item in of_scale("ten"))  # 0 is the best
EFFORTS = ("effort_0_10", "planned_effort_0_10")
RATED = (*ONE_TO_FIVE, *NONE_TO_TEN, *EFFORTS)
OF_MOST = re.compile(r"(-?\d+(?:[.,]\d+)?)\s*(?:/|of|out of|von|sur|de|su|av)\s*(\d+)", re.I)


def laid_on(value: float, scale: Scale, shape: ColumnShape) -> float:
    """Return a rating of another scale on the record's: ours = least + (value - least) / (most - least) * our span.

    Where the good ends differ the share is turned round. An effort of 0 or 1 to 10 is taken as it is: both are read as
    the category-ratio scale of ten.

    Source: a straight line through both ends; no claim that the steps between them feel alike. Null: none.
    """
    least, most = float(shape.least or 0), float(shape.most or 0)
    if shape.name in EFFORTS and scale.most == most and scale.least in (0, 1):
        return value
    ours: Good = "low" if shape.name in NONE_TO_TEN else "high"
    share = (value - scale.least) / (scale.most - scale.least)
    share = share if scale.good == ours else 1 - share
    return round(least + share * (most - least), 6)


def read_rating(  # noqa: PLR0911 - one for each way a cell may fail
    text: str, shape: ColumnShape, scale: Scale | None, words: Mapping[str, str]
) -> tuple[float | None, str]:
    """Return a rating on the record's scale and "", or None and why not; (None, "") where the cell says nothing.

    Words of rating ('very good') are steps of five, the best on top; other words count as they were answered.
    """
    plain = text.strip()
    said = words.get(text) or words.get(plain)
    if said is not None:
        value = to_float(said, Style(comma_is_decimal=False))
        if value is not None and _in_range(value, shape):
            return value, ""
        return (
            None,
            f"'{plain}' was said to mean '{said}', which {shape.name} does not take. {SET_ASIDE} Answer it again.",
        )
    if is_missing(plain):
        return None, ""
    top = OF_MOST.fullmatch(plain)
    number = to_float(top[1] if top else plain, Style(comma_is_decimal=True))
    if number is None:
        step = rating_of(plain)
        if step is not None and shape.name in ONE_TO_FIVE:
            return float(step), ""
        return (
            None,
            f"'{plain}' is no number, and it is not said what it means on a scale. {SET_ASIDE} Say what it means.",
        )
    if top is not None and (scale is None or scale.most != float(top[2])):
        scale = Scale(0, float(top[2]), scale.good if scale else ("high" if shape.name in EFFORTS else "low"))
        if shape.name in ONE_TO_FIVE:
            return (
                None,
                f"'{plain}': it is not said which end of the scale is good. {SET_ASIDE} "
                "Answer the question about the scale of its column.",
            )
    if scale is None:
        which = "" if shape.name in EFFORTS else ", and which end is good"  # of an effort the higher is the harder
        return (
            None,
            f"it is not said what {plain} means: the ends of the scale{which}. {SET_ASIDE} "
            "Answer the question about the scale of its column.",
        )
    if not scale.least <= number <= scale.most:
        return None, f"{plain} is outside the scale of {scale.least:g} to {scale.most:g}. {SET_ASIDE} Check the number."
    value = laid_on(number, scale, shape)
    return (value, "") if _in_range(value, shape) else (None, f"{plain} is outside the scale. {SET_ASIDE}")


def _in_range(value: float, shape: ColumnShape) -> bool:
    return float(shape.least or 0) <= value <= float(shape.most or 0)
