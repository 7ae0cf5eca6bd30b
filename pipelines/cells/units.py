"""Units: from what a file writes to what the record holds, through pint."""

from functools import cache

from schemas.unit_words import MODEL_UNITS


@cache
def _registry():  # type: ignore[no-untyped-def]
    import pint  # a third of a second, and only files with other units need it

    return pint.UnitRegistry()


@cache
def conversion(unit: str, model_unit: str) -> tuple[float, float] | None:
    """Return (factor, offset) from a unit to a record column's: value * factor + offset. None where they do not measure
    the same thing.

    Source: the unit definitions of pint (SI brochure; international yard and pound).
    """
    target = MODEL_UNITS.get(model_unit)
    if target is None:
        return (1.0, 0.0) if not model_unit else None
    if unit == target:
        return (1.0, 0.0)
    ureg = _registry()
    if {unit, target} & {"percent"}:
        return None
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
