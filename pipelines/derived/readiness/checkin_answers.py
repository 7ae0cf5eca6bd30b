"""The answers of the check-ins, each judged by the rule and against the athlete's own usual."""

import datetime as dt

import polars as pl

from pipelines.derived.common.baseline import add_baseline
from pipelines.derived.common.sentences import say_number, say_ordinal
from schemas.knowledge.readiness import CHECKIN_ITEMS
from schemas.phrase import phrase
from schemas.settings import SquadSettings

_KEY = ["athlete_id", "checked_on"]
_SAID_NOT_NULL = [pl.col("pain").is_not_null(), pl.col("ill").is_not_null()]
_TIGHT_ITEMS = {"l": "hamstring_tightness_l", "r": "hamstring_tightness_r"}


def checkin_answer(checkin: pl.DataFrame, *, settings: SquadSettings, as_of: dt.date) -> pl.DataFrame:
    """Judge each answer of the check-ins against the athlete's own usual: whether it speaks, and for how long.

    Against the ``settings.baseline_days`` before, the day itself left out, at least
    ``settings.baseline_least_days``: usual = median; spread = 1.4826 MAD, or IQR / 1.349 where the MAD is 0,
    never under half a step of the scale (``spread_kind`` says which); z = (value - usual) / (spread sqrt(1 + 1/n)).

    An item speaks when z lies at least ``settings.unusual_z`` in its worse direction; tightness also needs the rule's
    least level, or speaks by its high level alone. Pain speaks from the rule's level, ill when it was said. An answer
    left out makes no row: it neither speaks nor counts as fine. A run is broken by an answer that does not speak, or by
    more days without one than a check-in stays good for. Kept: the review window and two baselines before it.

    Source: "leys_2013", "prediction_interval"; levels are common practice. Null: usual, spread and z with too few days.
    """
    first = as_of - dt.timedelta(days=settings.review_days + 2 * settings.baseline_days)
    recent = checkin.filter(pl.col("checked_on").is_between(first, as_of))
    worse = {item.item: 1.0 if item.worse == "high" else -1.0 for item in CHECKIN_ITEMS}
    steps = {item.item: item.step for item in CHECKIN_ITEMS}
    scaled = add_baseline(
        recent.select(*_KEY, *(pl.col(item).cast(pl.Float64) for item in worse))
        .unpivot(index=_KEY, variable_name="item", value_name="value")
        .drop_nulls("value")
        .with_columns(step=pl.col("item").replace_strict(steps, return_dtype=pl.Float64))
        .rename({"checked_on": "day_on"}),
        days=settings.baseline_days,
        least_days=settings.baseline_least_days,
    ).rename({"day_on": "checked_on"})
    is_tight = pl.col("item").is_in(list(_TIGHT_ITEMS.values()))
    unusual = pl.col("z") * pl.col("item").replace_strict(worse, return_dtype=pl.Float64) >= settings.unusual_z
    tight = (pl.col("value") >= settings.tight_talk_level) | (unusual & (pl.col("value") >= settings.tight_adapt_level))
    judged = scaled.select(
        "athlete_id",
        "item",
        "checked_on",
        "value",
        "usual",
        "z",
        "baseline_days",
        "spread",
        "spread_kind",
        speaks=pl.when(is_tight).then(tight).otherwise(unusual).fill_null(value=False),
    )
    said = (
        recent.select(*_KEY, pl.col("pain").cast(pl.Float64), pl.col("ill").cast(pl.Float64))
        .unpivot(index=_KEY, variable_name="item", value_name="value")
        .drop_nulls("value")
        .select(
            "athlete_id",
            "item",
            "checked_on",
            "value",
            usual=pl.lit(None, pl.Float64),
            z=pl.lit(None, pl.Float64),
            baseline_days=pl.lit(None, pl.Int64),
            spread=pl.lit(None, pl.Float64),
            spread_kind=pl.lit(None, pl.String),
            speaks=pl.col("value") >= pl.when(pl.col("item") == "pain").then(settings.pain_talk_level).otherwise(1.0),
        )
    )
    return _add_run(pl.concat([judged, said]), settings)


def _add_run(answers: pl.DataFrame, settings: SquadSettings) -> pl.DataFrame:
    by = ["athlete_id", "item"]
    stays_good = settings.checkin_stale_days + 1
    gap = pl.col("checked_on").diff().dt.total_days().over(by)
    starts = ~pl.col("speaks").shift(1, fill_value=False).over(by) | (gap > stays_good).fill_null(value=True)
    return (
        answers.sort(*by, "checked_on")
        .with_columns(_run=(starts | ~pl.col("speaks")).cast(pl.Int64).cum_sum().over(by))
        .with_columns(
            run=pl.when("speaks").then(pl.int_range(pl.len()).over(*by, "_run") + 1),
            since_on=pl.when("speaks").then(pl.col("checked_on").min().over(*by, "_run")),
        )
        .drop("_run")
    )


def join_fresh_checkin(days: pl.DataFrame, checkin: pl.DataFrame, *, settings: SquadSettings) -> pl.DataFrame:
    """Add ``last_checkin_on`` (last check-in up to the day) and ``fresh_on`` (the same, null when too old).

    A check-in in which nothing was answered reports nothing and does not count.
    """
    answered = pl.any_horizontal(*(pl.col(item.item).is_not_null() for item in CHECKIN_ITEMS), *_SAID_NOT_NULL)
    seen = checkin.filter(answered).select("athlete_id", last_checkin_on="checked_on").sort("last_checkin_on")
    joined = days.sort("day_on").join_asof(
        seen,
        left_on="day_on",
        right_on="last_checkin_on",
        by="athlete_id",
        strategy="backward",
        check_sortedness=False,
        coalesce=False,
    )
    age = (pl.col("day_on") - pl.col("last_checkin_on")).dt.total_days()
    return joined.with_columns(fresh_on=pl.when(age <= settings.checkin_stale_days).then("last_checkin_on")).sort(
        "athlete_id", "day_on"
    )


def say_tightness(answers: pl.DataFrame) -> pl.DataFrame:
    """Return one row per check-in on which a hamstring is tight, the tighter speaking side told first.

    Columns: athlete_id, checked_on, value, usual, z, run, since_on, both (bool), sentence. "left hamstring tight 6 of
    10, third day; own usual 1": the day counts reported days running; the usual is left out while it is unknown.
    """
    tight = answers.filter(pl.col("speaks") & pl.col("item").is_in(list(_TIGHT_ITEMS.values())))
    ranked = tight.sort("value", "run", "item", descending=[True, True, False]).with_columns(
        both=pl.len().over(_KEY) > 1,
        side=pl.when(pl.col("item") == _TIGHT_ITEMS["l"]).then(pl.lit("left")).otherwise(pl.lit("right")),
        other=pl.col("value").shift(-1).over(_KEY),
    )
    main = ranked.unique(_KEY, keep="first", maintain_order=True)
    one = phrase("{} hamstring tight {} of 10", "side", say_number(pl.col("value")))
    two = phrase(
        "both hamstrings tight, {} {} and the other {} of 10",
        "side",
        say_number(pl.col("value")),
        say_number(pl.col("other")),
    )
    day = pl.when(pl.col("run") > 1).then(phrase(", {} day", say_ordinal(pl.col("run")))).otherwise(pl.lit(""))
    usual = phrase("; own usual {}", say_number(pl.col("usual"))).fill_null("")
    return main.select(
        *_KEY,
        "value",
        "usual",
        "z",
        "run",
        "since_on",
        "both",
        sentence=pl.when("both").then(two).otherwise(one) + day + usual,
    )
