"""Units: from what a file writes to what the record holds: those of every day by their definitions, others by pint."""

from functools import cache

from schemas.unit_words import MODEL_UNITS

# What a unit measures, and how many of the SI unit it is: all exact by definition (SI brochure; international yard
# and pound, 1959; standard gravity, 1901). Held against pint by the tests; pint itself takes a second to begin.
DEFINED: dict[str, tuple[str, float]] = {
    "second": ("time", 1.0), "millisecond": ("time", 0.001), "minute": ("time", 60.0), "hour": ("time", 3600.0),
    "meter": ("length", 1.0), "centimeter": ("length", 0.01), "millimeter": ("length", 0.001),
    "kilometer": ("length", 1000.0), "foot": ("length", 0.3048), "inch": ("length", 0.0254), "yard": ("length", 0.9144),
    "kilogram": ("mass", 1.0), "gram": ("mass", 0.001), "pound": ("mass", 0.45359237), "stone": ("mass", 6.35029318),
    "newton": ("force", 1.0), "kilonewton": ("force", 1000.0), "kilogram_force": ("force", 9.80665),
    "pound_force": ("force", 4.4482216152605), "degree": ("angle", 1.0), "hertz": ("rate", 1.0),
}  # fmt: skip


@cache
def _registry():  # type: ignore[no-untyped-def]
    import pint  # a third of a second, and only files with other units need it

    return pint.UnitRegistry()


@cache
def conversion(unit: str, model_unit: str) -> tuple[float, float] | None:
    """Return (factor, offset) from a unit to a record column's: value * factor + offset. None where they do not measure
    the same thing.

    Source: SI brochure; international yard and pound; the unit definitions of pint.
    """
    target = MODEL_UNITS.get(model_unit)
    if target is None:
        return (1.0, 0.0) if not model_unit else None
    if unit == target:
        return (1.0, 0.0)
    if unit in DEFINED and target in DEFINED:
        (what, one), (other, of_target) = DEFINED[unit], DEFINED[target]
        return (one / of_target, 0.0) if what == other else None
    if {unit, target} & {"percent"}:
        return None
    ureg = _registry()
    try:
        zero = ureg.Quantity(0.0, unit).to(target).magnitude
        one = ureg.Quantity(1.0, unit).to(target).magnitude
    except Exception:  # pint raises its own kinds for what cannot be converted
        return None
    return (float(one - zero), float(zero))


# Units a coach may have left out of a header, by the record's unit: tried where no value makes sense otherwise.
SILENT_UNITS: dict[str, tuple[str, ...]] = {
    "s": ("millisecond",),
    "m": ("centimeter", "millimeter", "inch", "foot"),
    "kg": ("pound", "gram"),
    "N": ("kilogram_force", "kilonewton"),
    "h": ("minute",),
    "min": ("hour",),
}
