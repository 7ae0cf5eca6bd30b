"""Caveats of the area: general."""

CAVEATS: dict[str, str] = {}
