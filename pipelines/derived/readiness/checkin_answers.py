"""The answers of the check-ins, each judged by the rule and against the athlete's own usual."""

import datetime as dt
from collections.abc import Collection

import polars as pl

from pipelines.derived.common.baseline import add_baseline
from pipelines.derived.common.kept import kept
from pipelines.derived.common.ordering import in_order_of
from pipelines.derived.readiness.tightness import ITEMS as TIGHT_ITEMS
from pipelines.derived.readiness.tightness import judge_tightness
from schemas.knowledge.attention import adapt_thresholds
from schemas.knowledge.readiness import CHECKIN_ITEMS
from schemas.settings import SquadSettings

_KEY = ["athlete_id", "checked_on"]
_SAID_NOT_NULL = [pl.col("pain").is_not_null(), pl.col("ill").is_not_null()]


def checkin_answer(checkin: pl.DataFrame, *, settings: SquadSettings, as_of: dt.date) -> pl.DataFrame:
    """Judge each answer of the check-ins against the athlete's own usual: whether it speaks, and for how long.

    Against the ``settings.baseline_days`` before, the day itself left out, at least
    ``settings.baseline_least_days``: usual = median; spread = 1.4826 MAD, or IQR / 1.349 where the MAD is 0,
    never under half a step of the scale (``spread_kind`` says which); z = (value - usual) / (spread sqrt(1 + 1/n)).
    Days of a complaint (ill, pain at ``settings.pain_talk_level`` or more, a tight hamstring) are part of no usual, and
    an answer that spoke is part of none of its own item, so that a bad week does not become what is usual. Where too
    few days are left for it, the usual is unknown; what lasts longer than the days looked back on is the new usual.

    worse_z = (value - mean) / (SD sqrt(1 + 1/n)) towards the item's worse side, SD never under half a step, of the day
    or of the last two or three answers together (sum / square root of their number), whichever is larger: a little
    worse on three mornings weighs as much as much worse on one. An item speaks when
    worse_z reaches the threshold that keeps the squad within
    ``settings.adapt_by_chance`` (knowledge, clean rates), and never under ``settings.unusual_z``. Tightness adds up
    over days (``judge_tightness``). Pain speaks from the rule's level, ill when it was said. An answer left out makes
    no row: it neither speaks nor counts as fine. A run is broken by an answer that does not speak, or by more days
    without one than a check-in stays good for. Kept: the review window and two baselines before it; tightness is judged
    from as much before that again.

    Source: "leys_2013", "prediction_interval", "clean_squads"; levels are common practice. Null: usual, spread and z
    with too few days; ``excess_sum`` for all but tightness.
    """
    return judge_answers(checkin, settings=settings, as_of=as_of)


def judge_answers(
    checkin: pl.DataFrame, *, settings: SquadSettings, as_of: dt.date, items: Collection[str] | None = None
) -> pl.DataFrame:
    """Return ``checkin_answer``; where ``items`` are named, only of those and of tightness."""
    kept = settings.review_days + 2 * settings.baseline_days
    first = as_of - dt.timedelta(days=kept)
    before = as_of - dt.timedelta(days=kept + 2 * settings.baseline_days)
    tight = judge_tightness(
        checkin.filter(pl.col("checked_on").is_between(before, as_of)), settings=settings
    ).filter(pl.col("checked_on") >= first)  # fmt: skip
    recent = checkin.filter(pl.col("checked_on").is_between(first, as_of))
    usual_items = [
        item
        for item in CHECKIN_ITEMS
        if item.item not in TIGHT_ITEMS.values() and (items is None or item.item in items)
    ]
    worse = {item.item: 1.0 if item.worse == "high" else -1.0 for item in usual_items}
    steps = {item.item: item.step for item in usual_items}
    answers = (
        _add_complaint(recent, tight, settings)
        .select(*_KEY, "left_out", *(pl.col(item).cast(pl.Float64) for item in worse))
        .unpivot(index=[*_KEY, "left_out"], variable_name="item", value_name="value")
        .drop_nulls("value")
        .with_columns(
            step=pl.col("item").replace_strict(steps, return_dtype=pl.Float64),
            worse=pl.col("item").replace_strict(worse, return_dtype=pl.Float64),
        )
    )
    judged = _judge_against_quiet_days(answers, settings).with_columns(excess_sum=pl.lit(None, pl.Float64))
    said = (
        (recent if items is None else recent.clear())
        .select(*_KEY, pl.col("pain").cast(pl.Float64), pl.col("ill").cast(pl.Float64))
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
            worse_z=pl.lit(None, pl.Float64),
            excess_sum=pl.lit(None, pl.Float64),
            speaks=pl.col("value") >= pl.when(pl.col("item") == "pain").then(settings.pain_talk_level).otherwise(1.0),
        )
    )
    columns = said.columns
    return _add_run(
        pl.concat([judged.select(columns), tight.with_columns(worse_z=pl.col("z")).select(columns), said]), settings
    )


def _judge_against_quiet_days(answers: pl.DataFrame, settings: SquadSettings) -> pl.DataFrame:
    """Judge answers against the days before on which the same item neither spoke nor stood beside a complaint.

    Whether a day speaks hangs on the days before it alone. So judging all anew without those that just spoke settles
    from the first day on, in as many rounds as an answer speaks in a row (two or three where nothing is wrong); only
    the series that still move are judged again.
    """
    series = ["athlete_id", "item"]
    told = answers.with_columns(complaint=pl.col("left_out"))
    done: list[pl.DataFrame] = []
    for _ in range(settings.baseline_days + settings.review_days):
        judged = _judge(told, settings)
        left_out = pl.col("complaint") | pl.col("speaks")
        moves = judged.filter(left_out != pl.col("left_out")).select(series).unique()
        done.append(judged.join(moves, on=series, how="anti"))
        if moves.is_empty():
            break
        told = judged.join(moves, on=series, how="semi").select([*told.columns, "speaks"])
        told = told.with_columns(left_out=left_out).drop("speaks")
    else:
        done.append(judged.join(moves, on=series, how="semi"))
    return pl.concat(done)


def _judge(answers: pl.DataFrame, settings: SquadSettings) -> pl.DataFrame:
    """Add the own baseline, worse_z and whether an answer speaks."""
    scaled = add_baseline(
        answers.rename({"checked_on": "day_on"}), days=settings.baseline_days, least_days=settings.baseline_least_days
    ).rename({"day_on": "checked_on"})
    wider = (1 + 1 / pl.col("baseline_days")).sqrt()
    from_mean = (pl.col("value") - pl.col("mean")) / (pl.col("sd") * wider)
    unusual = (pl.col("worse_z") >= unusual_from(settings)) & (pl.col("towards_worse") > 0)
    return add_worse_z(scaled.with_columns(towards_worse=from_mean * pl.col("worse")), settings).with_columns(
        speaks=unusual.fill_null(value=False)
    )


def add_worse_z(answers: pl.DataFrame, settings: SquadSettings) -> pl.DataFrame:
    """Add worse_z: the largest of the standardised mean of the last one, two and three answers in a row.

    ``answers``: athlete_id, item, checked_on and towards_worse, in this order; answers further apart than a check-in
    stays good for do not follow on each other. Null where towards_worse is.
    """
    by = ["athlete_id", "item"]

    def earlier(back: int) -> pl.Expr:
        is_same = pl.all_horizontal(pl.col(name).eq_missing(pl.col(name).shift(back)) for name in by)
        apart = (pl.col("checked_on") - pl.col("checked_on").shift(back)).dt.total_days()
        is_near = apart <= back * (settings.checkin_stale_days + 1)
        return pl.when(is_same & is_near).then(pl.col("towards_worse").shift(back))

    one = pl.col("towards_worse")
    two = one + earlier(1)
    together = pl.max_horizontal(one, two / 2**0.5, (two + earlier(2)) / 3**0.5)
    return answers.with_columns(worse_z=pl.when(one.is_not_null()).then(together))


def unusual_from(settings: SquadSettings) -> float:
    """Return the robust z from which one answer is unusual: what the budget asks for, never under the setting."""
    return max(settings.unusual_z, adapt_thresholds(settings).answer_z)


def _add_complaint(checkin: pl.DataFrame, tight: pl.DataFrame, settings: SquadSettings) -> pl.DataFrame:
    """Add ``left_out``: whether the athlete told a complaint on the day, so that it is no usual day."""
    speaking = tight.filter("speaks").select(*_KEY, _tight=pl.lit(value=True)).unique()
    told = pl.col("ill").fill_null(value=False) | (pl.col("pain") >= settings.pain_talk_level).fill_null(value=False)
    return checkin.join(speaking, on=_KEY, how="left", maintain_order="left").with_columns(
        left_out=told | pl.col("_tight").fill_null(value=False)
    )


def _add_run(answers: pl.DataFrame, settings: SquadSettings) -> pl.DataFrame:
    """Add run and since_on: how many answers in a row spoke, this one with them, and the day of the first of them.

    Answers of an athlete and item stand together, so a run begins where one of the three below holds and is counted
    from there: grouping by runs, of which there are nearly as many as answers, took ten times as long.
    """
    by = ["athlete_id", "item"]
    is_other = pl.any_horizontal(pl.col(name).ne_missing(pl.col(name).shift()) for name in by)
    gap = pl.col("checked_on").diff().dt.total_days() > settings.checkin_stale_days + 1
    begins = is_other | gap | ~pl.col("speaks").shift(fill_value=False) | ~pl.col("speaks")
    place = pl.int_range(pl.len())
    return (
        in_order_of(answers, [*by, "checked_on"])
        .with_columns(
            _first=pl.when(begins).then(place).forward_fill(),
            _first_on=pl.when(begins).then("checked_on").forward_fill(),
        )
        .with_columns(
            run=pl.when("speaks").then(place - pl.col("_first") + 1), since_on=pl.when("speaks").then("_first_on")
        )
        .drop("_first", "_first_on")
    )


@kept
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
