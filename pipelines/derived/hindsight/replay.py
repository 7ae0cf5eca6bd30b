"""The flags as they stood on each past review evening, from what was known by then, and what followed."""

import datetime as dt
from collections.abc import Sequence

import polars as pl

from pipelines.derived.common.entered import add_known, known_from
from pipelines.derived.hamstring.capacity import SYMPTOM_DAYS, TEST
from pipelines.derived.hamstring.flag import judge_days
from pipelines.derived.hamstring.without_budget import NOT_AT_HAMSTRING, UNUSUAL_Z, list_without_budget
from pipelines.derived.readiness.checkin_answers import judge_answers
from pipelines.derived.readiness.injuries import list_injuries_on_days
from pipelines.derived.readiness.tightness import ITEMS as TIGHT_ITEMS
from pipelines.derived.readiness.tightness import has_hamstring_pain
from schemas.knowledge.hamstring import (
    COUNTED_FAMILIES,
    HISTORY_COMPARED_DAYS,
    HORIZON_DAYS,
    PLAN_AHEAD_DAYS,
)
from schemas.settings import SquadSettings
from schemas.vocabulary import HAMSTRING_FAMILIES, HAMSTRING_LEVELS

UNIT = ["athlete_id", "judged_on"]
# What a week of running holds; unknown until it is entered.
EXPOSURE_CONTENT = (
    "metres_90", "metres_95", "first_90_on", "last_90_on", "first_95_on", "last_95_on", "expected_metres_90", "above_z",
    "longest_gap_95_days", "reason",
)  # fmt: skip
EXPOSURE_READ = (*EXPOSURE_CONTENT, "usual_metres_95_high")  # what either rule asks of a week
LOOK_BACK_WEEKS = 13  # weeks of running and lifting handed to the rule; each week's row carries the days since the last
# What says that nothing was changed: the call itself, or a level that was merely noted.
NOT_ACTED = ("as planned", *(level.replace("_", " ") for level in HAMSTRING_LEVELS))


def flag_backtest_week(
    entry_day: pl.DataFrame,
    checkin: pl.DataFrame,
    session: pl.DataFrame,
    injury: pl.DataFrame,
    plan: pl.DataFrame,
    decision: pl.DataFrame,
    strength_state: pl.DataFrame,
    speed_exposure: pl.DataFrame,
    work_week: pl.DataFrame,
    athlete: pl.DataFrame,
    *,
    settings: SquadSettings,
    as_of: dt.date,
) -> pl.DataFrame:
    """Replay the hamstring flag for every athlete and past week: how it stood before the week, and what came in it.

    Steps: (1) Every Sunday is a review evening from the athlete's first check-in or session on, as long as the seven
    days after it are over by ``as_of``. (2) The flag is the rule in force, asked with the rows known on that evening:
    a row counts from the day it was entered. Where a whole past was entered in one go that cannot be told, and the rows
    count from their own day. Beside it, on the same rows, the rule as it was before it had a budget. (3) Outcome: the
    first hamstring injury that stopped training, or may have, with its onset in the seven days after. (4) Left out:
    evenings on which an injury that stopped training was not yet returned from; so an injury is counted once. No flag
    possible: the level was 'cannot say'. (5) Acted: a decision of the week reviewed or the one after, before any onset,
    on training or hamstring, other than 'as planned' or a level noted.

    Source: "bahr_2016" (a rule has to be tested forwards before it is believed); counting rules are our own.
    Limits: own usual, own best and test noise are those of the record up to the day, with rows entered late in them;
    the squad's pooled test noise is today's. Start-pattern notes are opinion, never in the level, and left out.
    Null rule: level is null where the week is left out; injured_on null where none followed.
    """
    weeks = _list_weeks(athlete, checkin, session, as_of)
    known = add_known(entry_day)
    named = weeks.with_columns(_evening=pl.int_range(pl.len()))
    flags = _flags_as_known(
        named, known, checkin, injury, plan, strength_state, speed_exposure, work_week, settings, as_of
    )
    return (
        weeks.join(flags, on=UNIT, how="left")
        .join(_injured_before(weeks, injury), on=UNIT, how="left")
        .join(_next_injury(weeks, injury), on=UNIT, how="left")
        .join(_had_injury(weeks, injury, known), on=UNIT, how="left")
        .with_columns(
            pl.col("history_flagged", "is_injured").fill_null(value=False),
            week_of=pl.col("judged_on") + pl.duration(days=1),
            cannot=pl.col("level") == "cannot_say",
        )
        .pipe(_add_acted, decision)
        .with_columns(flagged=pl.when(~pl.col("is_injured") & ~pl.col("cannot")).then(pl.col("families_speaking") > 0))
        .with_columns(outcome=_outcome())
        .select(
            "athlete_id", "week_of", "judged_on",
            level=pl.when(~pl.col("is_injured")).then("level"),
            families=pl.when("flagged").then("families"),
            flagged="flagged",
            flagged_without_budget=pl.when(pl.col("flagged").is_not_null()).then("spoke_before"),
            history_flagged="history_flagged",
            injured_on="injured_on",
            acted="acted",
            outcome="outcome",
            reason=pl.when("is_injured").then(pl.lit("already_injured"))
            .when("cannot").then(pl.lit("flag_not_possible")),
        )
        .sort("athlete_id", "week_of")
    )  # fmt: skip


def _outcome() -> pl.Expr:
    followed = pl.col("injured_on").is_not_null()
    return (
        pl.when("is_injured").then(pl.lit("left_out"))
        .when("cannot").then(pl.lit("no_flag_possible"))
        .when(pl.col("flagged") & followed).then(pl.lit("hit"))
        .when("flagged").then(pl.lit("false_flag"))
        .when(followed).then(pl.lit("missed"))
        .otherwise(pl.lit("quiet"))
    )  # fmt: skip


def _list_weeks(athlete: pl.DataFrame, checkin: pl.DataFrame, session: pl.DataFrame, as_of: dt.date) -> pl.DataFrame:
    """Return athlete_id and judged_on: each Sunday of an athlete's record whose seven days after are over."""
    seen = pl.concat(
        [checkin.select("athlete_id", day_on="checked_on"), session.select("athlete_id", day_on="session_date")]
    )
    first = seen.group_by("athlete_id", maintain_order=True).agg(first_on=pl.col("day_on").min())
    last = as_of - dt.timedelta(days=HORIZON_DAYS)
    return (
        athlete.select("athlete_id", "joined_on", "left_on")
        .join(first, on="athlete_id")
        .with_columns(
            first_on=pl.max_horizontal("first_on", "joined_on").dt.truncate("1w") + pl.duration(days=6),
            last_on=pl.min_horizontal(pl.lit(last, pl.Date), "left_on"),
        )
        .filter(pl.col("first_on") <= pl.col("last_on"))
        .with_columns(judged_on=pl.date_ranges("first_on", "last_on", "1w"))
        .select("athlete_id", "judged_on")
        .explode("judged_on")
        .drop_nulls("judged_on")
        .sort(UNIT)
    )


def _flags_as_known(
    weeks: pl.DataFrame,
    known: pl.DataFrame,
    checkin: pl.DataFrame,
    injury: pl.DataFrame,
    plan: pl.DataFrame,
    strength_state: pl.DataFrame,
    speed_exposure: pl.DataFrame,
    work_week: pl.DataFrame,
    settings: SquadSettings,
    as_of: dt.date,
) -> pl.DataFrame:
    """Return level, families_speaking, families and spoke_before of each athlete and evening.

    Each athlete-evening is handed to the rule as an athlete of its own, with the rows known on that evening and no
    other: so the whole past is judged at once, by the rule's own code.
    """
    answers = _answers_read(checkin, settings, as_of)
    tests = strength_state.filter((pl.col("kind") == "force") & (pl.col("item") == TEST))
    runs = known.filter(pl.col("table_name").is_in(["session", "rep", "split"])).with_columns(
        week_of=pl.col("day_on").dt.truncate("1w")
    )
    week_known = runs.group_by("athlete_id", "week_of", maintain_order=True).agg(pl.col("known_on").max())
    checked = known_from(known, ["checkin"], "checked_on")

    def told(rows: pl.DataFrame, is_complaint: pl.Expr) -> pl.DataFrame:
        """Return rows of check-ins: complaints as long as they count beside a test, the others while they are fresh."""
        back = max(settings.checkin_stale_days, SYMPTOM_DAYS) // 7 + 1
        long_ago = _as_known(rows.filter(is_complaint), "checked_on", checked, weeks, back)
        stale = settings.checkin_stale_days
        fresh = _as_known(rows.filter(~is_complaint), "checked_on", checked, weeks, stale // 7, within=stale)
        return pl.concat([long_ago, fresh])

    as_known = {
        "checkin": told(checkin, has_hamstring_pain()),
        "checkin_answer": told(answers, pl.col("speaks")),
        "injury": _injuries_as_known(injury, known, weeks),
        "strength_state": _as_known(
            tests, "measured_on", known_from(known, ["force_test"], "measured_on"), weeks,
            settings.test_overdue_days // 7 + 1,
        ),
        "speed_exposure": _as_known(
            speed_exposure.select("athlete_id", "week_of", *EXPOSURE_READ), "week_of", week_known, weeks,
            LOOK_BACK_WEEKS, blank=[*EXPOSURE_CONTENT],
        ),
        "work_week": _as_known(
            work_week.select("athlete_id", "week_of", "last_eccentric_on", "unknown_exercises"), "week_of",
            known_from(known, ["lift_set"], "last_eccentric_on"), weeks, LOOK_BACK_WEEKS,
        ),
        "plan": _as_known(plan, "planned_on", known_from(known, ["plan"], "planned_on"), weeks, 0, PLAN_AHEAD_DAYS),
    }  # fmt: skip
    evenings = weeks.select(athlete_id=_evening(), day_on="judged_on")
    flags = judge_days(
        evenings,
        **as_known,
        start_pattern=pl.DataFrame(
            schema={"athlete_id": pl.Int64, "session_date": pl.Date, "pattern": pl.String}
        ),
        settings=settings,
        as_of=as_of,
    )  # fmt: skip
    speaks = (pl.col("state") == "speaks") & pl.col("family").is_in(COUNTED_FAMILIES)
    judged = (
        flags.sort(pl.col("family").cast(pl.Enum(HAMSTRING_FAMILIES)))
        .group_by("athlete_id", maintain_order=True)
        .agg(
            pl.col("level", "families_speaking").first(),
            families=pl.col("family").filter(speaks).str.join(", "),
        )
    )
    before = list_without_budget(
        evenings, **{name: rows for name, rows in as_known.items() if name != "injury"}, settings=settings, as_of=as_of
    )
    spoke = pl.concat(
        [before.select("athlete_id"), flags.filter(speaks & (pl.col("family") == "history")).select("athlete_id")]
    )
    judged = judged.with_columns(spoke_before=pl.col("athlete_id").is_in(spoke["athlete_id"].implode()))
    return weeks.join(judged.rename({"athlete_id": "_evening"}), on="_evening").select(
        *UNIT, "level", "families_speaking", "families", "spoke_before"
    )  # fmt: skip


def _answers_read(checkin: pl.DataFrame, settings: SquadSettings, as_of: dt.date) -> pl.DataFrame:
    """Return the answers of all days that either rule reads, not only those of the review window."""
    first = checkin["checked_on"].min()
    back = (as_of - first).days if isinstance(first, dt.date) else 0
    whole = settings.model_copy(update={"review_days": back + 1})
    answers = judge_answers(checkin, settings=whole, as_of=as_of, items=NOT_AT_HAMSTRING)
    return answers.filter(
        pl.col("item").is_in([*TIGHT_ITEMS.values()])
        | (pl.col("item").is_in(NOT_AT_HAMSTRING) & (pl.col("z") <= -UNUSUAL_Z))
    )


def _evening() -> pl.Expr:
    """Name an athlete on one evening: a short name, of which many are joined, by its place among all evenings."""
    return pl.col("_evening")


def _as_known(
    rows: pl.DataFrame,
    day: str,
    known: pl.DataFrame,
    weeks: pl.DataFrame,
    weeks_back: int,
    days_ahead: int = 0,
    blank: Sequence[str] = (),
    within: int | None = None,
) -> pl.DataFrame:
    """Return rows once for each evening they were known on, up to so many weeks after their own week, under its name.

    Rows of a day that nothing was entered for (a week without a run) are known on their own day. With ``days_ahead``
    the rows lie ahead of the evening, by at most so many days. With ``blank`` a row not known yet stays, its content
    unknown, as a week stands in the table before anything is entered for it. With ``within`` a row is not older on the
    evening than so many days.
    """
    on = [name for name in known.columns if name != "known_on"]
    known_on = pl.col("known_on").fill_null(pl.col(day))
    sunday = pl.col(day).dt.truncate("1w") + pl.duration(days=6)
    steps = range(-(days_ahead + 6) // 7, weeks_back + 1) if days_ahead else range(weeks_back + 1)
    in_days = pl.DataFrame({"_later": [7 * step for step in steps]}, schema={"_later": pl.Int32})
    # A day of the same week lies before its Sunday; one planned ahead lies after the Sundays before it.
    in_reach = (pl.col(day) <= pl.col("judged_on")) | (
        (pl.col(day) - pl.col("judged_on")).dt.total_days() <= days_ahead
    )
    if within is not None:
        in_reach &= (pl.col("judged_on") - pl.col(day)).dt.total_days() <= within
    # An athlete's evenings are Sundays without a gap, so the first tells the number of every other.
    spans = weeks.group_by("athlete_id", maintain_order=True).agg(
        pl.col("_evening").first(), _first=pl.col("judged_on").first(), _last=pl.col("judged_on").last()
    )
    # Places of rows are spread over the evenings, and the rows put there at the end: rows are wide, places are not.
    places = (
        rows.select(*on, *({day} - {*on}))
        .with_row_index("_row")
        .join(known, on=on, how="left", maintain_order="left")
        .join(spans, on="athlete_id", how="inner", maintain_order="left")
        .select("_row", day, "_evening", "_first", "_last", _known_on=known_on, _sunday=sunday)
        .join(in_days, how="cross")  # a list of days in each row took half the time of all
        .with_columns(judged_on=(pl.col("_sunday").to_physical() + pl.col("_later")).cast(pl.Date))
        .with_columns(is_known=pl.col("_known_on") <= pl.col("judged_on"))
        .filter(in_reach & (pl.col("is_known") | bool(blank)) & pl.col("judged_on").is_between("_first", "_last"))
        .with_columns(pl.col("_evening") + (pl.col("judged_on") - pl.col("_first")).dt.total_days() // 7)
    )
    found = rows[places["_row"]].with_columns(athlete_id=places["_evening"])
    if not blank or places["is_known"].all():
        return found
    is_known = pl.lit(places["is_known"])
    return found.with_columns(pl.when(is_known).then(pl.col(name)).alias(name) for name in blank)


def _injuries_as_known(injury: pl.DataFrame, known: pl.DataFrame, weeks: pl.DataFrame) -> pl.DataFrame:
    entered = known_from(known, ["injury"], "onset_on")
    return (
        injury.join(entered, on=["athlete_id", "onset_on"], how="left")
        .join(weeks, on="athlete_id")
        .filter(pl.max_horizontal("onset_on", "known_on") <= pl.col("judged_on"))
        .with_columns(athlete_id=_evening())
        .select(injury.columns)
    )


def _injured_before(weeks: pl.DataFrame, injury: pl.DataFrame) -> pl.DataFrame:
    stood = list_injuries_on_days(weeks.rename({"judged_on": "day_on"}), injury)
    return stood.filter("is_open").select("athlete_id", judged_on="day_on", is_injured=pl.lit(value=True)).unique()


def counted_injuries(injury: pl.DataFrame) -> pl.DataFrame:
    """Return athlete_id and injured_on of the hamstring injuries that stopped training, or may have."""
    stopped = pl.col("stopped_training").fill_null(value=True)
    return (
        injury.filter((pl.col("site") == "hamstring") & stopped)
        .select("athlete_id", injured_on="onset_on")
        .unique()
        .sort("athlete_id", "injured_on")
    )


def _next_injury(weeks: pl.DataFrame, injury: pl.DataFrame) -> pl.DataFrame:
    after = (pl.col("injured_on") - pl.col("judged_on")).dt.total_days()
    return (
        weeks.join(counted_injuries(injury), on="athlete_id")
        .filter(after.is_between(1, HORIZON_DAYS))
        .group_by(UNIT, maintain_order=True)
        .agg(pl.col("injured_on").min())
    )


def _had_injury(weeks: pl.DataFrame, injury: pl.DataFrame, known: pl.DataFrame) -> pl.DataFrame:
    """Return the evenings on which a hamstring injury of the last twelve months was known."""
    entered = known_from(known, ["injury"], "onset_on")
    return (
        weeks.join(
            injury.filter(pl.col("site") == "hamstring").join(entered, on=["athlete_id", "onset_on"], how="left"),
            on="athlete_id",
        )
        .filter(
            (pl.max_horizontal("onset_on", "known_on") <= pl.col("judged_on"))
            & ((pl.col("judged_on") - pl.col("onset_on")).dt.total_days() <= HISTORY_COMPARED_DAYS)
        )
        .select(*UNIT, history_flagged=pl.lit(value=True))
        .unique()
    )


def _add_acted(weeks: pl.DataFrame, decision: pl.DataFrame) -> pl.DataFrame:
    told = pl.col("call").str.strip_chars().str.to_lowercase()
    changes = decision.filter(
        pl.col("topic").is_in(["training", "hamstring"]) & ~told.is_in(NOT_ACTED).fill_null(value=True)
    ).select("athlete_id", decided_for="week_of", decided_on=pl.col("decided_at").dt.date())
    in_week = [
        changes.with_columns(week_of=pl.col("decided_for") + pl.duration(days=ahead)) for ahead in (0, HORIZON_DAYS)
    ]
    acted = (
        weeks.select(*UNIT, "week_of", "injured_on")
        .join(pl.concat(in_week), on=["athlete_id", "week_of"])
        .filter((pl.col("decided_on") < pl.col("injured_on")).fill_null(value=True))
        .select(*UNIT, acted=pl.lit(value=True))
        .unique()
    )
    return weeks.join(acted, on=UNIT, how="left").with_columns(pl.col("acted").fill_null(value=False))
