"""The ends of an error bar; where the error is not known there is no bar, never one of no length."""


def edges(value: float, error: float | None, times: float = 1.0) -> tuple[float | None, float | None]:
    """Return the lower and the upper end of a bar, both null where the error is unknown."""
    return (None, None) if error is None else (value - times * error, value + times * error)
