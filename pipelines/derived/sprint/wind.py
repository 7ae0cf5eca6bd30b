"""What wind along the straight does to a time from a standing start, and the time in still air."""

import polars as pl

GREATEST_WIND_MPS = 5.0  # m/s, beyond it nothing is corrected, source: "mureika_2001"
# Distance -> (s per m/s, s per (m/s)^2) of d = -a w + b w^2: what a model of force falling in a line with speed and of
# air drag loses at +2 and -2 m/s (80 kg, 1.83 m, ceiling 11.8 m/s, 1.25 s, 20 degrees). A test works it out again.
# Source: "linthorne_1994" (the kind of model; its effects over 100 m agree).
WIND_EFFECT: dict[float, tuple[float, float]] = {
    5.0: (0.00176, 0.000242),
    10.0: (0.00387, 0.000408),
    20.0: (0.00889, 0.000720),
    30.0: (0.01473, 0.001033),
}


def still_air_time(time: str, distance: str, wind: str) -> pl.Expr:
    """Return a time in s as it would be in still air: time + a w - b w^2, w the tailwind in m/s.

    Unchanged where no wind was measured or it was over 5 m/s; distances of ``WIND_EFFECT`` only.
    """
    a, b = (
        pl.col(distance).replace_strict({m: pair[k] for m, pair in WIND_EFFECT.items()}, return_dtype=pl.Float64)
        for k in (0, 1)
    )
    w = pl.when(pl.col(wind).abs() <= GREATEST_WIND_MPS).then(pl.col(wind)).otherwise(0.0)
    return pl.col(time) + a * w - b * w**2
