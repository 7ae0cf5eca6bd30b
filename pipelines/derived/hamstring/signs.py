"""What speaks in each family of hamstring evidence, and how a family stands when nothing does.

Each function returns two frames. Signs: one row per athlete, day and thing that speaks, in the order it is told.
Standing: one row per athlete and day, with the sentence for a family that does not speak, and ``cannot`` (bool) with a
coded reason when that is for want of data.
"""

import polars as pl

from pipelines.derived.common.kept import kept
from pipelines.derived.common.sentences import say_day
from pipelines.derived.readiness.injuries import keep_latest, list_injuries_on_days
from schemas.knowledge.hamstring import HISTORY_SHOWN_WEEKS, PATTERN_DAYS
from schemas.phrase import phrase
from schemas.settings import SquadSettings

DAY = ["athlete_id", "day_on"]
PATTERN_WORDS = {"reaches_ahead": "reaches ahead", "pushes_too_long": "pushes too long"}
SIGN_SCHEMA: dict[str, pl.DataType] = {  # beside athlete_id, which is as in the rows: a look back gives numbers
    "day_on": pl.Date(),
    "order": pl.Int64(),
    "sentence": pl.String(),
    "evidence_table": pl.String(),
    "evidence_on": pl.Date(),
    "source": pl.String(),
    "strength": pl.String(),
    "lapses_on": pl.Date(),
    "reason": pl.String(),
}
Signs = tuple[pl.DataFrame, pl.DataFrame]


def make_signs(
    frame: pl.DataFrame,
    order: int,
    sentence: pl.Expr,
    evidence: tuple[str, str],
    basis: tuple[str, str],
    lapses_on: pl.Expr,
    reason: pl.Expr | None = None,
) -> pl.DataFrame:
    """Shape signs; ``evidence`` is table and day column, ``basis`` source key and strength of evidence."""
    columns = {
        "day_on": pl.col("day_on"),
        "order": pl.lit(order),
        "sentence": sentence,
        "evidence_table": pl.lit(evidence[0]),
        "evidence_on": pl.col(evidence[1]),
        "source": pl.lit(basis[0]),
        "strength": pl.lit(basis[1]),
        "lapses_on": lapses_on,
        "reason": pl.lit(None) if reason is None else reason,
    }
    return frame.select("athlete_id", **{name: columns[name].cast(kind) for name, kind in SIGN_SCHEMA.items()})


def join_last_before(days: pl.DataFrame, rows: pl.DataFrame, on: str) -> pl.DataFrame:
    """Join the athlete's last row up to and with each day."""
    return days.sort("day_on").join_asof(
        rows.sort(on), left_on="day_on", right_on=on, by="athlete_id", check_sortedness=False, coalesce=False
    )


def days_since(day: str) -> pl.Expr:
    """Return the days from a day column to the day looked from."""
    return (pl.col("day_on") - pl.col(day)).dt.total_days()


def after(day: str, count: int | pl.Expr) -> pl.Expr:
    """Return the day so many days after a day column."""
    return pl.col(day) + pl.duration(days=count)


@kept
def list_history(days: pl.DataFrame, injury: pl.DataFrame, settings: SquadSettings) -> Signs:
    """History: an open hamstring injury, or one returned from within ``settings.return_marked_weeks``.

    After that the week since return is shown for a year and the family is quiet. A record without a hamstring injury is
    quiet: it says what is on record, not what happened before; where none of any kind was entered for the athlete, that
    it is not known.
    """
    stood = keep_latest(list_injuries_on_days(days, injury.filter(pl.col("site") == "hamstring")))
    doubt = pl.when("dates_contradict").then(pl.lit("return_before_onset"))
    open_now = make_signs(
        stood.filter("is_open"),
        0,
        phrase("{} injury since {}, not returned", "where", say_day(pl.col("onset_on"))),
        ("injury", "onset_on"),
        ("green_2020", "published"),
        pl.lit(None),
        doubt,
    )
    through = pl.col("back_on") == pl.col("onset_on")
    week = pl.col("weeks_since") + 1
    said = (
        pl.when(through)
        .then(phrase("week {} since onset, {}, trained through", week, "where"))
        .otherwise(phrase("week {} since return, {}", week, "where"))
    )
    marked = pl.col("weeks_since") < settings.return_marked_weeks
    back = make_signs(
        stood.filter(~pl.col("is_open") & marked).sort(*DAY, "back_on", descending=[False, False, True]),
        1,
        said,
        ("injury", "onset_on"),
        ("wangensteen_2016", "published"),
        after("back_on", 7 * settings.return_marked_weeks),
    )
    latest = (
        stood.filter(~pl.col("is_open"))
        .sort(*DAY, "back_on")
        .unique(DAY, keep="last", maintain_order=True)
        .select(
            *DAY,
            shown=pl.when(pl.col("weeks_since") < HISTORY_SHOWN_WEEKS)
            .then(said)
            .otherwise(phrase("last hamstring injury ended {}", pl.col("back_on").dt.strftime("%-d %b %Y"))),
        )
    )
    asked = injury.select("athlete_id", _some=pl.lit(value=True)).unique()
    nothing = (
        pl.when(pl.col("_some"))
        .then(pl.lit("no hamstring injury on record"))
        .otherwise(pl.lit("no injury of any kind entered: not known whether there was one"))
    )
    standing = days.select(DAY).join(latest, on=DAY, how="left").join(asked, on="athlete_id", how="left").select(
        *DAY,
        cannot=pl.lit(value=False),
        quiet=pl.coalesce("shown", nothing),
        missing=pl.lit(None, pl.String),
    )  # fmt: skip
    return pl.concat([open_now, back]), standing


@kept
def list_start_patterns(days: pl.DataFrame, start_pattern: pl.DataFrame) -> Signs:
    """Start pattern: reaching ahead or pushing too long in a start of the last four weeks; a coaching opinion."""
    seen = start_pattern.select("athlete_id", "session_date", "pattern").unique()
    near = days.select(DAY).join(seen, on="athlete_id").filter(days_since("session_date").is_between(0, PATTERN_DAYS))
    last = near.group_by(*DAY, "pattern", maintain_order=True).agg(pl.col("session_date").max())
    signs = make_signs(
        last.filter(pl.col("pattern").is_in(list(PATTERN_WORDS))).sort(*DAY, "pattern"),
        0,
        phrase(
            "{}, last seen {}, opinion",
            pl.col("pattern").replace_strict(PATTERN_WORDS, default="", return_dtype=pl.String),
            say_day(pl.col("session_date")),
        ),
        ("start_pattern", "session_date"),
        ("bramah_2023", "opinion"),
        after("session_date", PATTERN_DAYS + 1),
    )
    looked = near.group_by(DAY, maintain_order=True).agg(is_seen=pl.lit(value=True))
    standing = (
        days.select(DAY)
        .join(looked, on=DAY, how="left")
        .with_columns(cannot=pl.col("is_seen").is_null())
        .select(
            *DAY,
            "cannot",
            quiet=pl.when("cannot")
            .then(pl.lit(f"no start pattern of any kind noted in {PATTERN_DAYS} days"))
            .otherwise(pl.lit(f"no reaching ahead and no long push noted in {PATTERN_DAYS} days")),
            missing=pl.when("cannot").then(pl.lit("no_start_pattern_noted")),
        )
    )
    return signs, standing
