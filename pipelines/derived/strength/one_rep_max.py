"""Estimated one-repetition maximum: the seven published formulas, and the one the tool uses."""

import polars as pl

MOST_REPS = 10  # repetitions beyond which no maximum is estimated, source: "reynolds_2006"

W, R = pl.col("load_kg"), pl.col("reps_able")
FORMULAS: dict[str, pl.Expr] = {
    "epley_1985": W * (1 + R / 30),
    "brzycki_1993": 36 * W / (37 - R),
    "lander_1985": 100 * W / (101.3 - 2.67123 * R),
    "lombardi_1989": W * R**0.10,
    "oconner_1989": W * (1 + 0.025 * R),
    "wathan_1994": 100 * W / (48.8 + 53.8 * (-0.075 * R).exp()),
    "mayhew_1992": 100 * W / (52.2 + 41.9 * (-0.055 * R).exp()),
}
"""Published formulas by source key, of load_kg (kg) and reps_able (repetitions to failure)."""

OURS = "brzycki_1993"


def add_one_rep_max(sets: pl.DataFrame) -> pl.DataFrame:
    """Add reps_able and the estimated maximum e1rm_kg with the spread of the seven formulas, e1rm_low_kg/e1rm_high_kg.

    Formula: 36 w / (37 - r), with w = load_kg and r = reps + reps_in_reserve.
    Source: Brzycki 1993. Why this one of seven: it gives the load itself for a single, so that a trend over singles and
    fives holds no step of the formula's own (five of the others give 1 to 9 % more than the load at r = 1); up to five
    repetitions it is the lowest of the seven, so it claims least, and at ten it lies among them.
    Repetitions in reserve are added where the athlete said them; where nothing is said, the set is read as made to
    the end, so the estimate is then 'at least'. The low and high ends are the least and most of the seven formulas.
    Deviations: a single with none in reserve is the load itself in all formulas.
    Null above 10 repetitions (Reynolds 2006), without a load, or with a load of 0. In kg.
    """
    able = pl.col("reps") + pl.col("reps_in_reserve").fill_null(0.0)
    is_fit = (R <= MOST_REPS) & (W > 0)

    def estimate(value: pl.Expr) -> pl.Expr:
        return pl.when(is_fit & (R == 1)).then(W).when(is_fit).then(value)

    return sets.with_columns(reps_able=able.cast(pl.Float64)).with_columns(
        e1rm_kg=estimate(FORMULAS[OURS]),
        e1rm_low_kg=estimate(pl.min_horizontal(*FORMULAS.values())),
        e1rm_high_kg=estimate(pl.max_horizontal(*FORMULAS.values())),
    )
