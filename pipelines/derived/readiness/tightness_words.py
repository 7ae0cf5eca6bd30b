"""What is said of tightness: apart from the answers, so that a comma changes no number."""

import polars as pl

from pipelines.derived.common.sentences import say_number, say_ordinal
from pipelines.derived.readiness.tightness import ITEMS as TIGHT_ITEMS
from schemas.phrase import phrase

_KEY = ["athlete_id", "checked_on"]


def say_tightness(answers: pl.DataFrame) -> pl.DataFrame:
    """Return one row per check-in on which a hamstring is tight, the tighter speaking side told first.

    Columns: athlete_id, checked_on, value, usual, z, run, since_on, both (bool), sentence. "left hamstring tight 6 of
    10, third day; own usual 1": the day counts reported days running; the usual is left out while it is unknown.
    """
    tight = answers.filter(pl.col("speaks") & pl.col("item").is_in(list(TIGHT_ITEMS.values())))
    ranked = tight.sort("value", "run", "item", descending=[True, True, False]).with_columns(
        both=pl.len().over(_KEY) > 1,
        side=pl.when(pl.col("item") == TIGHT_ITEMS["l"]).then(pl.lit("left")).otherwise(pl.lit("right")),
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
