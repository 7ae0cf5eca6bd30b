"""The one table of unit suffixes: a column's name ends in its unit, and one quantity has one unit everywhere."""

SUFFIX_UNITS: dict[str, str] = {
    "_n_per_m_per_kg": "N/m/kg",
    "_mps_per_kg": "m/s/kg",
    "_n_per_m": "N/m",
    "_n_per_kg": "N/kg",
    "_w_per_kg": "W/kg",
    "_kg_per_kg": "kg/kg",
    "_ns_per_kg": "N·s/kg",
    "_s_per_m": "s/m",
    "_s_per_week": "s/week",
    "_mps2": "m/s²",
    "_mps": "m/s",
    "_ms": "m/s",  # wind, as results print it
    "_kg": "kg",
    "_hz": "Hz",
    "_px": "px",
    "_deg": "deg",
    "_percent": "%",
    "_min": "min",
    "_torr": "Torr",
    "_metres": "m",
    "_au": "AU",
    "_s": "s",
    "_m": "m",
    "_n": "N",
    "_h": "h",
    "_c": "°C",
}


def unit_of_name(name: str) -> str:
    """Return the unit a column's name ends in, "" where it has none. A standard error has the unit of its estimate."""
    base = name.removesuffix("_se")
    return next((unit for suffix, unit in SUFFIX_UNITS.items() if base.endswith(suffix)), "")
