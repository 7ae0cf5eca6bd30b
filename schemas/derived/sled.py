"""Sled runs: how speed falls with load."""

from typing import Any

import polars as pl

from schemas.base import DerivedTable, column
from schemas.records.keys import athlete_key

SLED_CLASSES = ("light", "moderate", "heavy", "very_heavy")


def _value(description: str, unit: str, source: str = "cahill_2019", label: str = "", **limits: Any) -> Any:
    return column(description, unit=unit, source=source, nullable=True, label=label, **limits)


def _load(percent: int) -> Any:
    return _value(f"Load that slows the run by {percent} %.", "kg", label=f"{percent} % slower", gt=0)


def _low(percent: int) -> Any:
    return _value(f"Lower end of its 95 % interval, not below 0 ({percent} %).", "kg", label="from", ge=0)


def _high(percent: int) -> Any:
    return _value(f"Upper end of its 95 % interval ({percent} %).", "kg", label="to", ge=0)


def _share(percent: int) -> Any:
    return _value(f"That load as a share of body mass ({percent} %).", "1", label="of body mass", gt=0)


def _beyond(percent: int) -> Any:
    return _value(
        f"Yes if that load is heavier than any tested ({percent} %).", "", "definition", label="beyond tested"
    )


class SledProfile(DerivedTable):
    """One row per athlete, surface and day with a sled run: top speed against load, and loads for a slow-down.

    A load belongs to the surface, sled and rope it was tested with. The load that halves top speed is the one of
    greatest power. Very heavy loads are common practice for the first three steps, then up to ten; few studies carry
    them, and top speed fell in one group that trained heavy. Stop for back, groin or Achilles pain.
    """

    athlete_id: str = athlete_key()
    surface: str = column("Surface run on.", source="definition", nullable=True, label="Surface")
    fitted_on: pl.Date = column("Day of the last sled run in the line.", source="definition", label="Date")
    loads: int = column("Different loads in the line, none included.", source="definition", ge=0, label="Loads")
    tested_to_kg: float = _value("Heaviest load tested.", "kg", "definition", "Tested to", ge=0)
    v0_mps: float = _value("Top speed without load, from the line.", "m/s", label="Free", gt=0)
    v0_mps_se: float = _value("Standard error of it.", "m/s", "definition", "±", ge=0)
    slope_mps_per_kg: float = _value("Speed lost per kg.", "m/s/kg", label="Lost per kg", gt=0)
    slope_mps_per_kg_se: float = _value("Standard error of it.", "m/s/kg", "definition", "±", ge=0)
    r_squared: float = _value(
        "Share of the differences in speed that the line explains.", "1", "definition", "R2", le=1
    )
    zero_speed_load_kg: float = _value(
        "Load at which the line reaches no speed; far beyond any test.", "kg", label="Stop"
    )
    load_10_kg: float = _load(10)
    load_10_low_kg: float = _low(10)
    load_10_high_kg: float = _high(10)
    load_10_share: float = _share(10)
    load_10_is_beyond: bool = _beyond(10)
    load_25_kg: float = _load(25)
    load_25_low_kg: float = _low(25)
    load_25_high_kg: float = _high(25)
    load_25_share: float = _share(25)
    load_25_is_beyond: bool = _beyond(25)
    load_50_kg: float = _load(50)
    load_50_low_kg: float = _low(50)
    load_50_high_kg: float = _high(50)
    load_50_share: float = _share(50)
    load_50_is_beyond: bool = _beyond(50)
    heaviest_slow_down_percent: float = _value("Slow-down at the heaviest load tested.", "%", label="Heaviest slows by")
    heaviest_class: str = column(
        "Class of the heaviest load by slow-down: under 10, 15, 30 %, and above.",
        source="petrakos_2016",
        isin=SLED_CLASSES,
        nullable=True,
        label="Class",
    )
    body_mass_kg: float = _value("Body mass used: the latest within 180 days before.", "kg", "common_practice", "Mass")
    reason: str = column("Why there is no line, or what to mind: a caveat code.", source="definition", nullable=True)

    class Config(DerivedTable.Config):
        """Key and title."""

        metadata = {"key": ["athlete_id", "surface", "fitted_on"], "title": "Sled profile"}
