"""Jump tests by day: height, reactive strength, hop stiffness, and the height against own usual."""

import datetime as dt

import numpy as np
import polars as pl

from pipelines.derived.common.change import drop_probability, pool_smallest_change, pool_test_error
from pipelines.derived.sprint.body import add_body_mass
from schemas.settings import SquadSettings

# The rounded value that published jump formulas use; standard gravity is 0.03 % less, far below any timing error.
GRAVITY_MPS2 = 9.81  # m/s^2, source: "free_fall"
LEAST_TEST_DAYS = 4  # own test days before a usual height is given, source: "common_practice"
DAY = ["athlete_id", "tested_on", "test"]
SERIES = ["athlete_id", "test", "box"]

FLIGHT, CONTACT = pl.col("flight_s"), pl.col("contact_s")


def jump_height(flight: pl.Expr) -> pl.Expr:
    """Return the height of a jump from its time in the air: h = g t^2 / 8, in metres.

    Source: free fall for half the time (knowledge key free_fall). g = 9.81 m/s^2. A bent-knee landing lengthens the
    time and so the height. Null without a time.
    """
    return GRAVITY_MPS2 * flight**2 / 8


def hop_stiffness_per_kg(flight: pl.Expr, contact: pl.Expr) -> pl.Expr:
    """Return hop stiffness per kilogram: pi (tf + tc) / (tc^2 ((tf + tc) / pi - tc / 4)), in N/m/kg.

    Source: Dalleau 2004 (from memory; the same number as the half-sine force model: peak force M g (pi/2)(tf/tc + 1)
    over the sinking of the body). Null without either time.
    """
    return np.pi * (flight + contact) / (contact**2 * ((flight + contact) / np.pi - contact / 4))


def spring_state(
    jump_test: pl.DataFrame,
    body_measure: pl.DataFrame,
    athlete: pl.DataFrame,
    *,
    settings: SquadSettings,
    as_of: dt.date,
) -> pl.DataFrame:
    """One row per athlete, day and jump test: means of the trials, and the height against the athlete's own usual.

    Formulas: height h = g t^2 / 8; jump_height_m_se = SD of trials / sqrt(n); reactive strength = h / contact (m/s)
    and, under its own name, flight / contact (no unit); hop stiffness
    = M pi (tf + tc) / (tc^2 ((tf + tc)/pi - tc/4)) for repeated
    hops. Means of trials, not bests (Claudino 2017). Usual = mean of own test days in the ``settings.baseline_days``
    before, today left out, at least four; change = 100 x (h / usual - 1);
    d = ln(h / usual), s = TE x sqrt(1 + 1/n) with n
    usual days and TE the squad's own test-to-test error on the log scale, and p_drop = T_df((-SWC - d) / s), SWC =
    share (setting) of the SD between athletes.
    Sources: free fall; Dalleau 2004; Hopkins 2000 (error), Hopkins (probability, knowledge key hopkins_probability).
    Limits: heights from flight time and from a force plate differ and are not mixed; one frame at 240 Hz is 5 mm at
    0.5 s. Drop jumps are compared from the same box only; a day of mixed boxes is not compared.
    Null rule: reactive strength without a contact time is null; stiffness in N/m without a body mass of the 180 days
    before; usual and all after it with fewer than four days; p_drop without enough repeated tests in the squad.
    Squad figures are pooled over all rows given.
    """
    days = add_body_mass(_means(jump_test.filter(pl.col("tested_on") <= as_of)), body_measure, "tested_on")
    timed = days.filter(pl.col("jump_height_m").is_not_null() & ~pl.col("is_mixed"))
    error = pool_test_error(timed, "test", SERIES, "tested_on", "jump_height_m")
    smallest = pool_smallest_change(timed, athlete, "test", "jump_height_m", settings.swc_share)
    days = (
        days.join(error, on="test", how="left")
        .join(smallest, on="test", how="left")
        .join(_usual(timed, settings), on=DAY, how="left")
        .with_columns(
            observed=(pl.col("jump_height_m") / pl.col("usual_height_m")).log(),
            observed_se=pl.col("test_error") * (1 + 1 / pl.col("usual_days")).sqrt(),
            hop_stiffness_n_per_m=pl.col("stiffness_n_per_m_per_kg") * pl.col("body_mass_kg"),
        )
    )
    days = days.with_columns(drop_probability(days))
    reason = (
        pl.when(pl.col("jump_height_m").is_null())
        .then(pl.lit("no_flight_time"))
        .when("is_mixed")
        .then(pl.lit("boxes_mixed"))
        .when(pl.col("stiffness_n_per_m_per_kg").is_not_null() & pl.col("body_mass_kg").is_null())
        .then(pl.lit("body_mass_not_recent"))
        .when(pl.col("usual_height_m").is_null())
        .then(pl.lit("few_own_tests"))
        .when(pl.col("test_error").is_null())
        .then(pl.lit("squad_noise_unknown"))
        .when(pl.col("smallest_change").is_null())
        .then(pl.lit("squad_spread_unknown"))
    )
    return days.select(
        *DAY, "trials", "box_height_m", "jump_height_m", "jump_height_m_se", "contact_s", "reactive_strength_mps",
        "flight_contact_ratio", "hop_stiffness_n_per_m", "stiffness_n_per_m_per_kg", "usual_height_m",
        usual_days=pl.col("usual_days").fill_null(0),
        change_percent=100 * (pl.col("jump_height_m") / pl.col("usual_height_m") - 1),
        p_drop="p_drop",
        squad_cv_percent=100 * pl.col("test_error"),
        reason=reason,
    ).sort(DAY)  # fmt: skip


def _means(jump_test: pl.DataFrame) -> pl.DataFrame:
    """Return the means of the day's trials; a trial without a time is left out of what needs that time."""
    is_hop = pl.col("test") == "repeated_hop"
    box = pl.col("box_height_m")
    return (
        jump_test.with_columns(
            height=jump_height(FLIGHT),
            ratio=FLIGHT / CONTACT,
            stiffness=pl.when(is_hop).then(hop_stiffness_per_kg(FLIGHT, CONTACT)),
        )
        .with_columns(reactive=pl.col("height") / CONTACT)
        .group_by(DAY, maintain_order=True)
        .agg(
            trials=FLIGHT.count().cast(pl.Int64),
            is_mixed=box.n_unique() > 1,
            box=box.min(),
            jump_height_m=pl.col("height").mean(),
            jump_height_m_se=pl.col("height").std() / FLIGHT.count().sqrt(),
            contact_s=CONTACT.mean(),
            reactive_strength_mps=pl.col("reactive").mean(),
            flight_contact_ratio=pl.col("ratio").mean(),
            stiffness_n_per_m_per_kg=pl.col("stiffness").mean(),
        )
        .with_columns(box_height_m=pl.when(~pl.col("is_mixed")).then(pl.col("box")))
    )


def _usual(timed: pl.DataFrame, settings: SquadSettings) -> pl.DataFrame:
    """Return the mean height of own test days before each day, same box, where there are at least four."""
    span = f"{settings.baseline_days}d"
    height = pl.col("jump_height_m")
    past = (
        timed.sort(*SERIES, "tested_on")
        .rolling(index_column="tested_on", period=span, offset=f"-{span}", closed="left", group_by=SERIES)
        .agg(usual=height.mean(), usual_days=height.count().cast(pl.Int64))
    )
    is_enough = pl.col("usual_days") >= LEAST_TEST_DAYS
    return past.select(*DAY, "usual_days", usual_height_m=pl.when(is_enough).then(pl.col("usual")))
