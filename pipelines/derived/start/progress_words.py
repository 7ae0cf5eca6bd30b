"""A change and its certainty in one sentence."""

import polars as pl

from pipelines.derived.common.number_text import decimals
from schemas.phrase import phrase

# Where the measure is taken, the words for less and for more, decimals of its number.
PHRASES: dict[str, tuple[str, str, str, int]] = {
    "t_10_s": ("at 10 m", "faster", "slower", 2),
    "t_5_s": ("at 5 m", "faster", "slower", 2),
    "t_30_s": ("at 30 m", "faster", "slower", 2),
    "vmax_mps": ("at top speed", "slower", "faster", 2),
    "pmax_w_per_kg": ("in sprint power", "less", "more", 1),
    "speed_after_3_mps": ("after three steps", "slower", "faster", 2),
    "contact_1_s": ("in the first contact", "shorter", "longer", 3),
}
WEEK_WORDS = (
    "one week",
    "two weeks",
    "three weeks",
    "four weeks",
    "five weeks",
    "six weeks",
    "seven weeks",
    "eight weeks",
    "nine weeks",
    "ten weeks",
    "eleven weeks",
    "twelve weeks",
)
LIMIT_WORDS: dict[str, str] = {
    "too_few_reps": "Too few reps to say: {} of at least 3 sessions with this start and timing.",
    "reference_too_near": "Too early to say: the first of {} sessions is less than two weeks back.",
    "no_recent_session": "Not measured since the day compared with; {} sessions before it.",
    "no_noise_estimate": "Not clear: {} sessions here and too few in the squad to tell change from noise.",
    "no_smallest_change": "Not clear: the typical error is not known after {} sessions, so no change can be called "
    "large.",
}


def _phrase(index: int) -> pl.Expr:
    return pl.col("metric").replace_strict({k: v[index] for k, v in PHRASES.items()}, return_dtype=pl.String)


def _percent(name: str) -> pl.Expr:
    """A probability in whole percent; never 0 or 100, which no estimate can claim."""
    value = (pl.col(name) * 100).round(0).cast(pl.Int64, strict=False)
    return (
        pl.when(value >= 100)
        .then(pl.lit("over 99"))
        .when(value <= 0)
        .then(pl.lit("under 1"))
        .otherwise(value.cast(pl.String))
    )


def _numbers(frame: pl.DataFrame, signed: bool) -> pl.Expr:
    """The change in its measure's decimals, one more where it would read as zero."""
    change = frame["change"] if signed else frame["change"].abs()
    by_digits = {digits: decimals(change, digits, signed=signed) for digits in (1, 2, 3, 4)}
    digits = pl.col("metric").replace_strict({k: v[3] for k, v in PHRASES.items()}, return_dtype=pl.Int64)
    fine = pl.col("change").abs() < 1.5 * 10.0 ** (-digits.cast(pl.Float64))
    digits = pl.when(fine).then(digits + 1).otherwise(digits)
    text = pl.lit(None, dtype=pl.String)
    for count, values in by_digits.items():
        text = pl.when(digits == count).then(pl.lit(values)).otherwise(text)
    return text


def add_sentence(frame: pl.DataFrame, *, weeks: int, window_start: pl.Expr) -> pl.DataFrame:
    """Add ``sentence``: what changed, by how much, how sure. 'More than noise' is P(beyond the smallest change)."""
    span = WEEK_WORDS[weeks - 1] if 1 <= weeks <= len(WEEK_WORDS) else f"{weeks} weeks"
    day = pl.col("reference_on").dt.strftime("%Y-%m-%d")
    since = (
        pl.when(pl.col("reference_on") == window_start)
        .then(pl.lit(f"{span} ago"))
        .otherwise(pl.concat_str(pl.lit("on "), day))
    )
    in_span = (
        pl.when(pl.col("reference_on") == window_start)
        .then(pl.lit(f"in {span}"))
        .otherwise(pl.concat_str(pl.lit("since "), day))
    )
    side = pl.when(pl.col("change") < 0).then(_phrase(1)).otherwise(_phrase(2))
    sure = pl.when(pl.col("word") == "improving").then(_percent("p_better")).otherwise(_percent("p_worse"))
    moved = phrase(
        "{} {} {} {} than {}; {} % sure it is more than noise",
        _numbers(frame, False),
        pl.col("unit"),
        side,
        _phrase(0),
        since,
        sure,
    )
    holding = phrase(
        "No change that counts {} {} ({} {}); {} % sure",
        _phrase(0),
        in_span,
        _numbers(frame, True),
        pl.col("unit"),
        _percent("p_within"),
    )
    unclear = phrase(
        "Not clear yet {}: {} {} {}, {} % better, {} % worse",
        _phrase(0),
        _numbers(frame, True),
        pl.col("unit"),
        in_span,
        _percent("p_better"),
        _percent("p_worse"),
    )
    described = phrase(
        "{} {} {} {} than {}; neither way is better in itself",
        _numbers(frame, False),
        pl.col("unit"),
        side,
        _phrase(0),
        since,
    )
    sessions = pl.col("sessions").cast(pl.String)
    limited = pl.lit(None, dtype=pl.String)
    for code, words in LIMIT_WORDS.items():
        limited = pl.when(pl.col("reason") == code).then(phrase(words, sessions)).otherwise(limited)
    return frame.with_columns(
        sentence=pl.when(limited.is_not_null())
        .then(limited)
        .when(pl.col("word").is_in(["improving", "slipping"]))
        .then(moved)
        .when(pl.col("word") == "holding")
        .then(holding)
        .when(pl.col("better_is").is_null())
        .then(described)
        .otherwise(unclear)
    )
