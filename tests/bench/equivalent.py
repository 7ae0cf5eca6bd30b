"""Faults that change nothing anybody could see, each with why. Known again by module, line of code and fault."""

EQUIVALENT: dict[str, str] = {}
