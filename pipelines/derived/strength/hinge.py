"""A hip hinge that rises while eccentric hamstring force stands still: own lifts beside own tests."""

import datetime as dt

import polars as pl

from pipelines.derived.common.number_text import decimals
from schemas.phrase import phrase
from schemas.settings import SquadSettings

EARLIER_DAYS = 84  # days before the recent ones that both are held against, own choice
HINGE_RISE_PERCENT = 8.0  # from which the hinge has risen, own choice: a season of ordinary growth stays below it
FORCE_STILL_PERCENT = 2.0  # below which the force stands still, common practice
LEAST_LIFT_DAYS = 3  # days of the same hinge in each stretch
TEST = "eccentric_hamstring"


def list_outgrown_hinges(strength_state: pl.DataFrame, settings: SquadSettings, as_of: dt.date) -> pl.DataFrame:
    """Return athlete_id, item, hinge_percent and force_percent where the hinge rises and eccentric force does not.

    Recent: the last ``settings.test_overdue_days`` days; earlier: the 84 before them. Hinge: the median of the days'
    estimated maxima of one two-legged exercise, at least three days in each stretch, up by at least 8 %. Force: the
    mean over test days of both sides' mean force, at least one test day in each, up by less than 2 %.
    Found on simulated lifters (day SD 3 % in the lift, 3.5 % in the force; tests/derived/strength/test_hinge.py):
    speaks for under 1 % of those in whom nothing changes, under 3 % of those in whom both grow by 5 %, and for about
    half to three quarters of those whose hinge alone grows by 10 %. Source: common_practice. No row where either is
    not measured in both stretches.
    """
    recent = pl.col("measured_on") > as_of - dt.timedelta(days=settings.test_overdue_days)
    since = as_of - dt.timedelta(days=settings.test_overdue_days + EARLIER_DAYS)
    rows = strength_state.filter((pl.col("measured_on") <= as_of) & (pl.col("measured_on") > since)).with_columns(
        is_recent=recent
    )
    lifts = (
        rows.filter((pl.col("family") == "hinge") & (pl.col("side") == "both") & pl.col("e1rm_kg").is_not_null())
        .group_by("athlete_id", "item", maintain_order=True)
        .agg(
            now=pl.col("e1rm_kg").filter("is_recent").median(),
            then=pl.col("e1rm_kg").filter(~pl.col("is_recent")).median(),
            days_now=pl.col("is_recent").sum(),
            days_then=(~pl.col("is_recent")).sum(),
        )
        .filter((pl.col("days_now") >= LEAST_LIFT_DAYS) & (pl.col("days_then") >= LEAST_LIFT_DAYS))
        .select("athlete_id", "item", hinge_percent=100 * (pl.col("now") / pl.col("then") - 1))
        .filter(pl.col("hinge_percent") >= HINGE_RISE_PERCENT)
        .sort("athlete_id", "hinge_percent", "item", descending=[False, True, False])
        .unique("athlete_id", keep="first", maintain_order=True)
    )
    force = (
        rows.filter((pl.col("kind") == "force") & (pl.col("item") == TEST) & pl.col("side").is_in(["l", "r"]))
        .group_by("athlete_id", "measured_on", "is_recent", maintain_order=True)
        .agg(day_n=pl.col("mean_force_n").mean(), sides=pl.col("mean_force_n").count())
        .filter(pl.col("sides") == 2)
        .group_by("athlete_id", maintain_order=True)
        .agg(
            now=pl.col("day_n").filter("is_recent").mean(),
            then=pl.col("day_n").filter(~pl.col("is_recent")).mean(),
        )
        .select("athlete_id", force_percent=100 * (pl.col("now") / pl.col("then") - 1))
        .filter(pl.col("force_percent") < FORCE_STILL_PERCENT)
    )
    return lifts.join(force, on="athlete_id", how="inner", maintain_order="left")


def say_outgrown_hinges(found: pl.DataFrame) -> pl.Series:
    """Return the sentence on each row of ``list_outgrown_hinges``."""
    told = found.select(
        phrase(
            "{} up by {} % on own earlier weeks while eccentric hamstring force stands still ({} %)",
            pl.col("item").str.replace_all("_", " "),
            pl.lit(decimals(found["hinge_percent"], 0)),
            pl.lit(decimals(found["force_percent"], 1, signed=True)),
        )
    )
    return told.to_series()
