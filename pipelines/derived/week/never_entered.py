"""What was never entered for anybody, so that a quiet sheet is not read as all clear (``never_entered``)."""

from collections.abc import Collection

import polars as pl

from schemas.derived.never_entered import KINDS, TRAINING_KINDS

TIGHTNESS = ("hamstring_tightness_l", "hamstring_tightness_r")
_SCHEMA = {"kind": pl.String, "place": pl.Int64, "words": pl.String}
FIRST_LOOK = 1000  # splits that are looked at before all of them: one of a run that was timed is enough
HAMSTRING_TEST = "eccentric_hamstring"


def never_entered(
    athlete: pl.DataFrame,
    checkin: pl.DataFrame,
    injury: pl.DataFrame,
    force_test: pl.DataFrame,
    rep: pl.DataFrame,
    split: pl.DataFrame,
    load_week: pl.DataFrame,
    plan: pl.DataFrame,
) -> pl.DataFrame:
    """Name the kinds of evidence of which the record holds nothing for anybody of the squad.

    check-ins; injuries; an answer on hamstring tightness (told where there are check-ins); an eccentric hamstring test;
    a split of a run not timed by hand; a week whose load is known; a plan. Source: definition. No athletes: no row.
    """
    runs = ["athlete_id", "session_date", "session_no", "rep_no"]
    machine = rep.select(*runs, "timing_kind").filter((pl.col("timing_kind") != "hand").fill_null(value=True))
    some, others = split.select(runs).head(FIRST_LOOK), split.select(runs).slice(FIRST_LOOK)
    answers = pl.any_horizontal(pl.col(TIGHTNESS).is_not_null())
    there = {
        "checkin": checkin.height > 0,
        "injury": injury.height > 0,
        "tightness": checkin.is_empty() or checkin.select(answers.any()).item(),
        "force_test": force_test.filter(pl.col("test") == HAMSTRING_TEST).height > 0,
        "timed_run": any(machine.join(rows, on=runs, how="semi").height > 0 for rows in (some, others)),
        "load": load_week.filter(pl.col("load_au").is_not_null()).height > 0,
        "plan": plan.height > 0,
    }
    rows = [
        {"kind": kind, "place": place, "words": words}
        for place, (kind, words) in enumerate(KINDS.items())
        if athlete.height and not there[kind]
    ]
    return pl.DataFrame(rows, schema=_SCHEMA)


def say_basis(missing: Collection[str]) -> str:
    """Say what a call on training rests on, where part of it was never entered; "" where all of it is there."""
    there = [words for kind, words in TRAINING_KINDS.items() if kind not in missing]
    if len(there) == len(TRAINING_KINDS) or not there:
        return ""
    return f"as far as {' and '.join(there)} tell{'s' if there == ['the injury list'] else ''}"
