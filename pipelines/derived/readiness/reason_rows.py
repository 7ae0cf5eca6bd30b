"""The rows of each kind of reason, before the rule ranks them."""

import polars as pl

from pipelines.derived.common.sentences import say_day, say_number, say_percent
from pipelines.derived.readiness.injuries import keep_latest, list_injuries_on_days
from pipelines.derived.readiness.tightness_words import say_tightness
from schemas.knowledge.attention import adapt_thresholds
from schemas.knowledge.readiness import CHECKIN_ITEMS
from schemas.phrase import phrase
from schemas.settings import SquadSettings

JUMP_TEST = "countermovement"  # the jump that shows fatigue, source: "claudino_2017"
_REASON_SCHEMA: dict[str, pl.DataType] = {
    "athlete_id": pl.String(),
    "day_on": pl.Date(),
    "item": pl.String(),
    "sentence": pl.String(),
    "value": pl.Float64(),
    "usual": pl.Float64(),
    "z": pl.Float64(),
    "probability": pl.Float64(),
    "evidence_table": pl.String(),
    "evidence_on": pl.Date(),
    "since_on": pl.Date(),
}


def _shape(frame: pl.DataFrame, **columns: pl.Expr) -> pl.DataFrame:
    """Return the columns of a reason; those not given are null."""
    given = {name: columns.get(name, pl.lit(None)).cast(kind) for name, kind in _REASON_SCHEMA.items()}
    given |= {name: pl.col(name) for name in ("athlete_id", "day_on")}
    return frame.select(**given)


def list_checkin_reasons(days: pl.DataFrame, answers: pl.DataFrame, checkin: pl.DataFrame) -> pl.DataFrame:
    """List the reasons of the answers that speak, apart from tightness: pain, illness, unusual items."""
    words = {item.item: item.words for item in CHECKIN_ITEMS}
    tops = {item.item: item.of for item in CHECKIN_ITEMS}
    speaking = (
        answers.filter(pl.col("speaks") & ~pl.col("item").str.starts_with("hamstring_tightness"))
        .join(checkin.select("athlete_id", "checked_on", "pain_site"), on=["athlete_id", "checked_on"], how="left")
        .join(days.select("athlete_id", "day_on", checked_on="fresh_on"), on=["athlete_id", "checked_on"], how="inner")
    )
    item = pl.col("item")
    unit = item.replace_strict(tops, default="", return_dtype=pl.String)
    usual_unit = pl.when(item == "sleep_h").then(unit).otherwise(pl.lit(""))
    place = phrase(", {}", pl.col("pain_site")).fill_null("")
    sentence = (
        pl.when(item == "pain")
        .then(phrase("pain {} of 10{}", say_number(pl.col("value")), place))
        .when(item == "ill")
        .then(pl.lit("says they are ill"))
        .otherwise(
            phrase(
                "{} {}{}, own usual {}{}",
                item.replace_strict(words, default="", return_dtype=pl.String),
                say_number(pl.col("value")),
                unit,
                say_number(pl.col("usual")),
                usual_unit,
            )
        )
    )
    return _shape(
        speaking,
        item=item,
        sentence=sentence,
        value=pl.col("value"),
        usual=pl.col("usual"),
        z=pl.col("z"),
        evidence_table=pl.lit("checkin"),
        evidence_on=pl.col("checked_on"),
        since_on=pl.col("since_on"),
    )


def list_tightness_reasons(days: pl.DataFrame, answers: pl.DataFrame, settings: SquadSettings) -> pl.DataFrame:
    """List the reasons of a tight hamstring, one row for the check-in whichever side or both."""
    tight = say_tightness(answers).join(
        days.select("athlete_id", "day_on", checked_on="fresh_on"), on=["athlete_id", "checked_on"], how="inner"
    )
    line = (
        pl.when(pl.col("value") >= settings.tight_talk_level)
        .then(pl.lit("tight_high"))
        .when(pl.col("run") >= settings.tight_running_days)
        .then(pl.lit("tight_running"))
        .otherwise(pl.lit("tight_unusual"))
    )
    return _shape(
        tight,
        item=line,
        sentence=pl.col("sentence"),
        value=pl.col("value"),
        usual=pl.col("usual"),
        z=pl.col("z"),
        evidence_table=pl.lit("checkin"),
        evidence_on=pl.col("checked_on"),
        since_on=pl.col("since_on"),
    )


def list_injury_reasons(days: pl.DataFrame, injury: pl.DataFrame, settings: SquadSettings) -> pl.DataFrame:
    """List the reasons of open injuries, of recent returns, and of recent injuries that did not stop training."""
    latest = keep_latest(list_injuries_on_days(days, injury))
    doubt = (
        pl.when("dates_contradict")
        .then(pl.lit("; its return day lies before the onset, mend the entry"))
        .when(pl.col("stopped_training").is_null())
        .then(pl.lit("; not said whether it stopped training"))
        .otherwise(pl.lit(""))
    )
    still_open = _shape(
        latest.filter("is_open"),
        item=pl.lit("open_injury"),
        sentence=phrase("{} injury since {}, not returned{}", "where", say_day(pl.col("onset_on")), doubt),
        evidence_table=pl.lit("injury"),
        evidence_on=pl.col("onset_on"),
        since_on=pl.col("onset_on"),
    )
    recent = latest.filter(~pl.col("is_open") & (pl.col("weeks_since") < settings.return_adapt_weeks))
    through = pl.col("stopped_training").not_().fill_null(value=False)
    back = recent.filter(~through)
    returned = _shape(
        back,
        item=pl.lit("recent_return"),
        sentence=phrase("week {} since return from {} injury", pl.col("weeks_since") + 1, "where"),
        value=pl.col("weeks_since") + 1,
        evidence_table=pl.lit("injury"),
        evidence_on=pl.col("onset_on"),
        since_on=pl.col("back_on"),
    )
    went_on = _shape(
        recent.filter(through),
        item=pl.lit("injury_trained_through"),
        sentence=phrase("{} injury since {}, trained through", "where", say_day(pl.col("onset_on"))),
        evidence_table=pl.lit("injury"),
        evidence_on=pl.col("onset_on"),
        since_on=pl.col("onset_on"),
    )
    return pl.concat([still_open, returned, went_on])


def list_jump_reasons(days: pl.DataFrame, spring_state: pl.DataFrame, settings: SquadSettings) -> pl.DataFrame:
    """List the reasons of a jump under own usual that is likely to be real."""
    jumps = spring_state.filter(pl.col("test") == JUMP_TEST).sort("tested_on")
    recent = (
        days.select("athlete_id", "day_on")
        .sort("day_on")
        .join_asof(
            jumps.select("athlete_id", "tested_on", "jump_height_m", "usual_height_m", "change_percent", "p_drop"),
            left_on="day_on",
            right_on="tested_on",
            by="athlete_id",
            tolerance=f"{settings.checkin_stale_days}d",
            check_sortedness=False,
            coalesce=False,
        )
        .filter((pl.col("p_drop") >= jump_drop_from(settings)) & (pl.col("change_percent") < 0))
    )
    return _shape(
        recent,
        item=pl.lit("jump_drop"),
        sentence=phrase(
            "jump {} % under own usual, {} sure it is real",
            say_number(-pl.col("change_percent"), 0),
            say_percent(pl.col("p_drop")),
        ),
        value=pl.col("jump_height_m"),
        usual=pl.col("usual_height_m"),
        probability=pl.col("p_drop"),
        evidence_table=pl.lit("spring_state"),
        evidence_on=pl.col("tested_on"),
        since_on=pl.col("tested_on"),
    )


def jump_drop_from(settings: SquadSettings) -> float:
    """Return how sure a drop of the jump must be: what the budget asks for, never under the setting."""
    return max(settings.jump_drop_probability, adapt_thresholds(settings).jump_p)


def list_load_reasons(days: pl.DataFrame, load_week: pl.DataFrame, settings: SquadSettings) -> pl.DataFrame:
    """List the reasons of the last complete week above what was to be expected, for the seven days from its Sunday.

    Against the plan and own growth (``add_growth``), from the threshold that keeps the squad within
    ``settings.adapt_by_chance``: a week as planned is none, however high it stands among own weeks.
    """
    ended = load_week.select(
        "athlete_id", "week_of", "load_au", "expected_au", "above_z", ended_on=pl.col("week_of").dt.offset_by("6d")
    ).sort("ended_on")
    last = (
        days.select("athlete_id", "day_on")
        .sort("day_on")
        .join_asof(
            ended,
            left_on="day_on",
            right_on="ended_on",
            by="athlete_id",
            tolerance="6d",
            check_sortedness=False,
            coalesce=False,
        )
        .filter(pl.col("above_z") >= adapt_thresholds(settings).load_z)
    )
    load, expected = (say_number(pl.col(name), 0) for name in ("load_au", "expected_au"))
    return _shape(
        last,
        item=pl.lit("week_load"),
        sentence=phrase("week load {} AU, {} to be expected by plan and own weeks", load, expected),
        value=pl.col("load_au"),
        usual=pl.col("expected_au"),
        evidence_table=pl.lit("load_week"),
        evidence_on=pl.col("week_of"),
        since_on=pl.col("ended_on"),
    )
