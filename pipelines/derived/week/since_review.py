"""What changed since the last closed review, and in a closed week since it was closed."""

import polars as pl

from pipelines.derived.hamstring.level_words import say_level
from schemas.derived.review import ReviewChange, ReviewSince
from schemas.phrase import phrase
from schemas.vocabulary import CALL_WORDS

TELLING = ["improving", "slipping"]  # between holding and not clear nothing has happened to the athlete


def review_change(week_sheet: pl.DataFrame, hamstring_flag: pl.DataFrame, review_line: pl.DataFrame) -> pl.DataFrame:
    """Set each line of the sheet against the line kept at the last closed review of a week before it.

    Changed: another training call; a family of hamstring evidence that did not speak then; a start that is improving or
    slipping and was not, or no longer is. Source: definition.
    No row without a closed review before the week; ``changed`` is null when nothing changed.
    """
    now = _now(week_sheet, hamstring_flag)
    kept = review_line.select(
        "athlete_id",
        "closed_at",
        review_of="week_of",
        call_then="training_call",
        families_then=pl.col("hamstring_families").fill_null("").str.split(" "),
        word_then="progress_word",
    )
    pairs = (
        now.join(kept, on="athlete_id", how="inner")
        .filter(pl.col("review_of") < pl.col("week_of"))
        .sort("athlete_id", "week_of", "review_of")
        .unique(["athlete_id", "week_of"], keep="last", maintain_order=True)
    )
    call, call_then = (
        pl.col(name).replace_strict(CALL_WORDS, return_dtype=pl.String) for name in ("training_call", "call_then")
    )
    new = pl.col("families").fill_null([]).list.set_difference(pl.col("families_then")).list.join(" and ")
    word, word_then = (pl.col(name).str.replace("not_clear", "cannot tell") for name in ("progress_word", "word_then"))
    moved = pl.any_horizontal(pl.col("progress_word", "word_then").is_in(TELLING))
    parts = [
        pl.when(pl.col("training_call") != pl.col("call_then")).then(phrase("{}, {} then", call, call_then)),
        pl.when(new != "").then(phrase("hamstring: {} new", new.str.replace_all("_", " "))),
        pl.when((pl.col("progress_word") != pl.col("word_then")) & moved).then(
            phrase("start {}, {} then", word, word_then)
        ),
    ]
    said = pl.concat_str(*parts, separator="; ", ignore_nulls=True)
    rows = pairs.with_columns(changed=pl.when(said != "").then(said))
    return rows.select(list(ReviewChange.to_schema().columns))


def review_since(week_sheet: pl.DataFrame, hamstring_flag: pl.DataFrame, review_line: pl.DataFrame) -> pl.DataFrame:
    """Set each line of a week whose review is closed against how the same week stands now.

    Changed: another training call; a family of hamstring evidence that did not speak then; a start that is improving or
    slipping and was not. What was loaded or typed in after the closing does that. Source: definition.
    A row per line that changed, no other.
    """
    kept = review_line.select(
        "athlete_id", "week_of", call_then="training_call", word_then="progress_word",
        families_then=pl.col("hamstring_families").fill_null("").str.split(" "),
    )  # fmt: skip
    pairs = (
        _now(week_sheet, hamstring_flag)
        .join(kept, on=["athlete_id", "week_of"], how="inner")
        .with_columns(families=pl.col("families").fill_null([]))
        .with_columns(new=pl.col("families").list.set_difference(pl.col("families_then")))
    )
    call = pl.col("training_call").replace_strict(CALL_WORDS, return_dtype=pl.String)
    parts = [
        pl.when(pl.col("training_call") != pl.col("call_then")).then(phrase("now {}", call)),
        pl.when(pl.col("new").list.len() > 0).then(phrase("hamstring now {}", say_level("level", "families"))),
        pl.when((pl.col("progress_word") != pl.col("word_then")) & pl.col("progress_word").is_in(TELLING)).then(
            phrase("start now {}", "progress_word")
        ),
    ]
    said = pl.concat_str(*parts, separator=", ", ignore_nulls=True)
    rows = pairs.with_columns(changed=said, reads_injury=pl.col("families").list.contains("history"))
    return (
        rows.filter(pl.col("changed") != "").select(list(ReviewSince.to_schema().columns)).sort("week_of", "athlete_id")
    )


def _now(week_sheet: pl.DataFrame, hamstring_flag: pl.DataFrame) -> pl.DataFrame:
    """Return each line of the sheet with the families of hamstring evidence that speak on its day."""
    speaking = (
        hamstring_flag.filter(pl.col("state") == "speaks")
        .group_by("athlete_id", "day_on", maintain_order=True)
        .agg(families=pl.col("family"), level=pl.lit("several_families"))
    )
    return week_sheet.select("athlete_id", "week_of", "day_on", "training_call", "progress_word").join(
        speaking, on=["athlete_id", "day_on"], how="left"
    )
