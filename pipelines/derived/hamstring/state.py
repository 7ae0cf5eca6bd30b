"""What speaks of the state of a hamstring: tightness that lasts, pain told there; and a note that names it."""

import polars as pl

from pipelines.derived.common.kept import kept
from pipelines.derived.common.sentences import say_count, say_number
from pipelines.derived.hamstring.signs import DAY, Signs, after, days_since, join_last_before, make_signs
from pipelines.derived.readiness.tightness import ITEMS, has_hamstring_pain
from pipelines.derived.readiness.tightness_words import say_tightness
from schemas.knowledge.hamstring import HAMSTRING_WORDS, NOTE_DAYS
from schemas.phrase import phrase
from schemas.settings import SquadSettings


@kept
def list_state(days: pl.DataFrame, checkin: pl.DataFrame, answers: pl.DataFrame, settings: SquadSettings) -> Signs:
    """State: the last check-in, while it is fresh: tightness, or pain whose place names the hamstring.

    Tightness speaks as in the readiness rule: added up over days against own usual, so that one restless morning does
    not (``judge_tightness``). Any pain told at the hamstring speaks: that is a complaint, not a reading. Sore muscles
    and low freshness name no place; they are reasons of readiness and none here. Too few own answers, or none: cannot
    say. ``days`` carries last_checkin_on and fresh_on.
    """
    on = ["athlete_id", "checked_on"]
    fresh = days.select(*DAY, checked_on="fresh_on").drop_nulls()
    evidence = ("checkin", "checked_on")
    basis = ("common_practice", "common_practice")
    ends = after("checked_on", settings.checkin_stale_days + 1)
    pain = make_signs(
        fresh.join(checkin.filter(has_hamstring_pain()).select(*on, "pain", "pain_site"), on=on),
        0,
        phrase("pain {} of 10, {}", say_number(pl.col("pain")), "pain_site"),
        evidence,
        basis,
        ends,
    )
    tight = make_signs(fresh.join(say_tightness(answers), on=on), 1, pl.col("sentence"), evidence, basis, ends)
    known = answers.filter(pl.col("item").is_in(list(ITEMS.values()))).group_by(on, maintain_order=True).agg(
        is_known=pl.col("usual").is_not_null().any()
    )  # fmt: skip
    given = checkin.select(*on, left="hamstring_tightness_l", right="hamstring_tightness_r")
    grid = days.rename({"fresh_on": "checked_on"}).join(given, on=on, how="left").join(known, on=on, how="left")
    silent = pl.col("checked_on").is_null()
    unanswered = pl.col("left").is_null() & pl.col("right").is_null()
    thin = ~pl.col("is_known").fill_null(value=False)
    missing = (
        pl.when(silent)
        .then(pl.lit("no_recent_checkin"))
        .when(unanswered)
        .then(pl.lit("hamstring_not_answered"))
        .when(thin)
        .then(pl.lit("thin_baseline"))
    )
    gap = say_count(days_since("last_checkin_on"), "day", "days")
    unknown = pl.when(thin).then(pl.lit("; own usual not known yet")).otherwise(pl.lit(""))
    words = (
        pl.when(pl.col("last_checkin_on").is_null())
        .then(pl.lit("no check-in yet"))
        .when(silent)
        .then(phrase("no check-in for {}", gap))
        .when(unanswered)
        .then(pl.lit("hamstring items left out of the last check-in"))
        .otherwise(
            phrase(
                "tightness of 10: left {}, right {}{}",
                pl.col("left").cast(pl.String).fill_null("not said"),
                pl.col("right").cast(pl.String).fill_null("not said"),
                unknown,
            )
        )
    )
    standing = grid.select(*DAY, cannot=silent | unanswered | thin, quiet=words, missing=missing)
    return pl.concat([pain, tight]), standing


@kept
def list_notes_to_read(days: pl.DataFrame, checkin: pl.DataFrame, session: pl.DataFrame) -> pl.DataFrame:
    """Return athlete_id, day_on and read_note_on: the last note of the days before in which the hamstring is named.

    The athlete's beside a check-in, or a coach's beside a session. Words in six languages
    (``HAMSTRING_WORDS``), whatever stands around them: "hamstring fine" is named as well. What a note means is for a
    person to read, so it is no sign and changes no level. Only days with such a note.
    """
    notes = pl.concat(
        frame.select("athlete_id", "note", read_note_on=on).drop_nulls("note")
        for frame, on in ((checkin, "checked_on"), (session, "session_date"))
    )
    padded = pl.concat_str(pl.col("note"), pl.lit(" "))  # 'left ham' may be the last word
    named = notes.filter(padded.str.contains_any(list(HAMSTRING_WORDS), ascii_case_insensitive=True))
    named = named.select("athlete_id", "read_note_on")
    return (
        join_last_before(days.select(DAY), named, "read_note_on")
        .filter(days_since("read_note_on") < NOTE_DAYS)
        .select(*DAY, "read_note_on")
    )


@kept
def list_symptoms(checkin: pl.DataFrame, answers: pl.DataFrame) -> pl.DataFrame:
    """Return athlete_id, told_on and side of each complaint at a hamstring; pain without a side counts for both."""
    by_item = {item: side for side, item in ITEMS.items()}
    tight = answers.filter("speaks", pl.col("item").is_in(list(by_item))).select(
        "athlete_id", told_on="checked_on", side=pl.col("item").replace_strict(by_item, return_dtype=pl.String)
    )
    pain = checkin.filter(has_hamstring_pain()).select(
        "athlete_id", told_on="checked_on", side=pl.lit(pl.Series([list(ITEMS)])).first()
    )
    return pl.concat([tight, pain.explode("side")]).unique().sort("athlete_id", "told_on", "side")
