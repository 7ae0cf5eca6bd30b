"""Strength by day: estimated maxima of lifts, force tests per side, and what they say."""

import datetime as dt

import numpy as np
import polars as pl

from pipelines.derived.common.change import add_earlier_best
from pipelines.derived.common.families import add_family
from pipelines.derived.common.ordering import in_order_of
from pipelines.derived.common.some_athletes import in_turn
from pipelines.derived.sprint.body import ALLOMETRIC_EXPONENT, add_body_mass
from pipelines.derived.strength.force import force_rows
from pipelines.derived.strength.one_rep_max import MOST_REPS, add_one_rep_max
from schemas.settings import SquadSettings

KEY = ["athlete_id", "measured_on", "item", "side"]
NO_MAXIMUM = ["jump", "sled", "hamstring_eccentric"]  # families without a concentric maximum


def strength_state(
    lift_set: pl.DataFrame,
    exercise: pl.DataFrame,
    force_test: pl.DataFrame,
    body_measure: pl.DataFrame,
    athlete: pl.DataFrame,
    *,
    settings: SquadSettings,
    as_of: dt.date,
) -> pl.DataFrame:
    """One row per athlete, day, exercise or force test, and side.

    Lifts. Formula: estimated maximum = 36 w / (37 - r), w the load besides the body, r = reps + reps in reserve; a
    single with none in reserve is itself; above 10 null. Source: Brzycki 1993; the spread of seven published formulas
    stands beside it. Best set = highest estimate of the day. Relative = maximum / body mass; scaled = maximum /
    mass^0.67 (Jaric 2002). Tonnage = sum of reps x load. Limits: most formulas come from the bench press and
    underestimate deadlift-type lifts (LeSuer 1997, from memory); no maximum for jumps, sleds and eccentric work.
    Force tests. Best and mean of trials per side, N and N/kg. Difference = 100 x (right - left) / larger, on the means,
    noise = 1.96 standard errors of it; persistent when three tests running show the same side beyond noise.
    Change = 100 x (today / own best of the 365 days before - 1); p_drop by Hopkins's formula (see force_rows). Own
    change = against the mean of own earlier tests, shrunk towards none, of this test or of the last two together;
    p_fallen = how sure a loss beyond the smallest change that matters is (see add_own_change). In the row of both
    sides they are of right over left: a shift from the athlete's own usual, not a standing difference.
    Null rule: nothing per kilogram without a body mass of the 180 days before; tonnage null if a set has no load;
    p_drop null without enough repeated tests in the squad; always with a reason. p_drop is null for lifts: a training
    set is not a test. Squad figures (noise, smallest change) are pooled over all rows given.
    """
    tests = force_rows(force_test.filter(pl.col("tested_on") <= as_of), athlete, settings)
    sets = lift_set.filter(pl.col("session_date") <= as_of)
    parts = [
        _rows(_lift_rows(some_sets, exercise), some_tests, masses)
        for some_sets, some_tests, masses in in_turn(sets, tests, body_measure)
    ]
    return pl.concat(parts)


def _rows(lifts: pl.DataFrame, tests: pl.DataFrame, body_measure: pl.DataFrame) -> pl.DataFrame:
    """Return lifts and tests as one table, in the order of its key, with what they are per kilogram of body mass."""
    rows = add_body_mass(pl.concat([lifts, tests], how="diagonal"), body_measure, "measured_on")
    mass = pl.col("body_mass_kg")
    lacks_mass = mass.is_null() & (pl.col("e1rm_kg").is_not_null() | pl.col("peak_force_n").is_not_null())
    return rows.with_columns(
        relative_kg_per_kg=pl.col("e1rm_kg") / mass,
        allometric_kg=pl.col("e1rm_kg") / mass**ALLOMETRIC_EXPONENT,
        force_n_per_kg=pl.col("peak_force_n") / mass,
        mean_force_n_per_kg=pl.col("mean_force_n") / mass,
        # A missing body mass explains more nulls than a doubt about one estimate does.
        reason=pl.when(lacks_mass).then(pl.lit("body_mass_not_recent")).otherwise(pl.col("reason")),
    ).select(
        *KEY, "kind", "family", "e1rm_kg", "e1rm_low_kg", "e1rm_high_kg", "relative_kg_per_kg", "allometric_kg",
        "reps", "load_kg", "tonnage_kg", "trials", "peak_force_n", "mean_force_n", "force_n_per_kg",
        "mean_force_n_per_kg", "difference_percent", "difference_noise_percent", "persistent_side",
        "change_vs_best_percent", "p_drop", "own_change_percent", "p_fallen",
        "p_fallen_before", "lost_side", "sentence", "reason",
    ).pipe(in_order_of, KEY)  # fmt: skip


def _lift_rows(lift_set: pl.DataFrame, exercise: pl.DataFrame) -> pl.DataFrame:
    """Return the best set per athlete, day, exercise and side, with the day's tonnage and the change on own best."""
    sets = add_family(add_one_rep_max(lift_set), exercise)
    has_maximum = ~pl.col("family").is_in(NO_MAXIMUM).fill_null(False)
    estimates = ("e1rm_kg", "e1rm_low_kg", "e1rm_high_kg")
    sets = sets.with_columns(pl.when(has_maximum).then(pl.col(name)).alias(name) for name in estimates).rename(
        {"session_date": "measured_on", "exercise": "item"}
    )
    tonnage = pl.col("reps") * pl.col("load_kg")
    # The best first, unknown last; a sort by several columns takes several times as long.
    maximum, load, number = (sets[name].cast(pl.Float64).to_numpy() for name in ("e1rm_kg", "load_kg", "set_no"))
    best = (
        sets.select(*KEY, "family", *estimates, "reps", "load_kg", "reps_in_reserve", "reps_able")[
            np.lexsort((number, -load, -maximum))
        ]
        .group_by(KEY, maintain_order=True)
        .agg(
            pl.col("family", *estimates, "reps", "load_kg", "reps_in_reserve", "reps_able").first(),
            heaviest_kg=pl.col("load_kg").max(),
            tonnage_kg=pl.when(tonnage.is_not_null().all()).then(tonnage.sum()),
        )
        .with_columns(kind=pl.lit("lift"))
    )
    best = add_earlier_best(best, ["item", "side", "athlete_id"], "measured_on", "e1rm_kg")
    reason = (
        pl.when(~has_maximum)
        .then(pl.lit("not_a_maximum_lift"))
        .when(pl.col("heaviest_kg").is_null())
        .then(pl.lit("set_without_load"))
        .when(pl.col("heaviest_kg") == 0)
        .then(pl.lit("no_outer_load"))
        .when(pl.col("e1rm_kg").is_null() & (pl.col("reps_able") > MOST_REPS))
        .then(pl.lit("too_many_reps"))
        .when(pl.col("reps_in_reserve").is_null() & (pl.col("reps") > 1))
        .then(pl.lit("set_effort_unknown"))
    )
    return best.with_columns(
        change_vs_best_percent=100 * (pl.col("e1rm_kg") / pl.col("earlier_best") - 1),
        sentence=pl.lit(None, dtype=pl.String),
        reason=reason,
    ).drop("heaviest_kg", "reps_in_reserve", "reps_able", "earlier_best", "earlier_days")
