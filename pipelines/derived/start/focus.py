"""What to work on in the start: the limits the evidence supports best, and the kinds of work that address them."""

import datetime as dt

import polars as pl

from pipelines.derived.common.kept import kept
from pipelines.derived.common.number_text import decimals
from pipelines.derived.common.step_error import REP_KEY
from pipelines.derived.start.focus_words import (
    EXTRA_WHY,
    PATTERN_LIMITS,
    PATTERN_WORDS,
    SLIP_HEADLINE,
    TEST_LIMITS,
    WORKS,
)
from pipelines.derived.strength.hinge import list_outgrown_hinges, say_outgrown_hinges
from schemas.derived.focus import LIMITS, StartFocus
from schemas.phrase import phrase
from schemas.settings import SquadSettings

LOOK_BACK_DAYS = 28
LEAST_RUNS_SEEN = 2  # runs with the pattern
LEAST_SHARE = 0.25  # of the runs looked at
LEAST_RUNS_LOOKED_AT = 3
LEAST_SCORE = 0.2  # of a pattern: two slight signs among eight runs come by chance
SECOND_LEAST_SCORE = 0.25
HEAD_WEIGHT = 0.5  # head and arms usually follow from something else
HINGE_SCORE = 0.3
TEST_SCORE = 0.5


def _recent(frame: pl.DataFrame, day: str, as_of: dt.date, days: int) -> pl.DataFrame:
    return frame.filter((pl.col(day) <= as_of) & (pl.col(day) > as_of - dt.timedelta(days=days)))


def _by_pattern(start_pattern: pl.DataFrame, looked_at: pl.DataFrame, as_of: dt.date) -> pl.DataFrame:
    """Limits the patterns of free runs speak for: athlete_id, limit, score, why."""
    counts = looked_at.group_by("athlete_id", maintain_order=True).agg(_looked=pl.len().cast(pl.Int64))
    return (
        _recent(start_pattern, "session_date", as_of, LOOK_BACK_DAYS)
        .filter(pl.col("pattern").is_in(list(PATTERN_LIMITS)))
        .join(looked_at.select(REP_KEY), on=REP_KEY, how="semi")
        .group_by("athlete_id", "pattern", maintain_order=True)
        .agg(_runs=pl.len().cast(pl.Int64), _clear=(pl.col("strength") == "clear").sum().cast(pl.Int64))
        .join(counts, on="athlete_id", how="inner")
        .with_columns(_score=(pl.col("_runs") + pl.col("_clear")) / (2 * pl.col("_looked")))
        .filter(
            (pl.col("_runs") >= LEAST_RUNS_SEEN)
            & (pl.col("_runs") / pl.col("_looked") >= LEAST_SHARE)
            & (pl.col("_score") >= LEAST_SCORE)
        )
        .select(
            "athlete_id",
            limit=pl.col("pattern").replace_strict(PATTERN_LIMITS, return_dtype=pl.String),
            score=pl.col("_score")
            * pl.when(pl.col("pattern") == "head_or_arms_apart").then(HEAD_WEIGHT).otherwise(1.0),
            why=phrase(
                "{} in {} of {} starts looked at in four weeks, {} of them clear",
                pl.col("pattern").replace_strict(PATTERN_WORDS, return_dtype=pl.String),
                "_runs",
                "_looked",
                "_clear",
            ),
        )
    )


def _by_test(strength_state: pl.DataFrame, settings: SquadSettings, as_of: dt.date) -> pl.DataFrame:
    """Limits a dropped force test speaks for: its last test, whichever side dropped most surely."""
    last = (
        _recent(strength_state, "measured_on", as_of, settings.test_overdue_days)
        .filter((pl.col("kind") == "force") & pl.col("item").is_in(list(TEST_LIMITS)) & pl.col("p_drop").is_not_null())
        .filter(pl.col("measured_on") == pl.col("measured_on").max().over("athlete_id", "item"))
        .sort("p_drop", "side", descending=[True, False])
        .unique(["athlete_id", "item"], keep="first", maintain_order=True)
        .filter(pl.col("p_drop") >= settings.progress_probability)
    )
    return last.with_columns(_percent=decimals(last["p_drop"] * 100, 0)).select(
        "athlete_id",
        limit=pl.col("item").replace_strict(TEST_LIMITS, return_dtype=pl.String),
        score=TEST_SCORE * pl.col("p_drop"),
        why=phrase(
            "{} force down on {}, {} % sure it is real",
            pl.col("item").str.replace_all("_", " "),
            pl.col("measured_on").dt.strftime("%Y-%m-%d"),
            "_percent",
        ),
    )


def _by_hinge(strength_state: pl.DataFrame, settings: SquadSettings, as_of: dt.date) -> pl.DataFrame:
    """A hip hinge that rises while own eccentric hamstring force stands still; silent until both are measured."""
    found = list_outgrown_hinges(strength_state, settings, as_of)
    return found.select(
        "athlete_id",
        limit=pl.lit("hamstring_capacity"),
        score=pl.lit(HINGE_SCORE),
        why=pl.lit(say_outgrown_hinges(found)),
    )


def _missing(
    athletes: pl.DataFrame,
    looked_at: pl.DataFrame,
    timed: frozenset[str],
    strength_state: pl.DataFrame,
    settings: SquadSettings,
    as_of: dt.date,
) -> pl.DataFrame:
    """Per athlete: runs looked at, and in words what is not on record."""
    filmed = looked_at.group_by("athlete_id", maintain_order=True).agg(
        _looked=pl.len().cast(pl.Int64),
        _with_steps=(pl.col("steps") >= 3).sum(),
        _with_set=pl.col("angle_hold_deg").count(),
    )
    tested = _recent(strength_state, "measured_on", as_of, settings.test_overdue_days).filter(
        pl.col("item") == "eccentric_hamstring"
    )
    frame = athletes.join(filmed, on="athlete_id", how="left", maintain_order="left").with_columns(
        _timed=pl.col("athlete_id").is_in(sorted(timed)),
        _tested=pl.col("athlete_id").is_in(tested["athlete_id"].unique().to_list()),
    )
    parts = [
        pl.when(pl.col("_with_steps").fill_null(0) < LEAST_RUNS_LOOKED_AT).then(pl.lit("steps off video")),
        pl.when(pl.col("_with_set").fill_null(0) == 0).then(pl.lit("the set position")),
        pl.when(~pl.col("_timed")).then(pl.lit("a timed start that can be modelled")),
        pl.when(~pl.col("_tested")).then(pl.lit("an eccentric hamstring test")),
    ]
    return frame.select(
        "athlete_id",
        _looked=pl.col("_looked").fill_null(0),
        _missing=pl.concat_str(parts, separator=", ", ignore_nulls=True),
    )


def start_focus(
    start_pattern: pl.DataFrame,
    start_phase: pl.DataFrame,
    start_progress: pl.DataFrame,
    strength_state: pl.DataFrame,
    sprint_profile: pl.DataFrame,
    athlete: pl.DataFrame,
    *,
    settings: SquadSettings,
    as_of: dt.date,
) -> pl.DataFrame:
    """Propose one or two limits of the start to work on in the week of ``as_of``, per athlete of the squad on that day.

    Score: patterns (runs + clear runs) / (2 x runs looked at), from two runs, a quarter of the free runs of 28 days
    and 0.2 on; a force test dropped with the set probability 0.5 x that probability; a hinge that rises while own
    eccentric force stands still 0.3. Scores of one limit add up to at most 1. Rank 1 is the highest; a
    second is named from 0.25 on. None: 'keep' with three runs looked at (else, or when the 10 m time slips
    unexplained, 'measure', naming what is missing). Ties: the order of ``LIMITS``.

    Source: common_practice; start_eccentric_2011 for eccentric work. Null: score where nothing was scored.
    """
    main = start_progress.filter(pl.col("is_main")).select("athlete_id", _word="word", _progress="sentence")
    timed = _recent(sprint_profile, "session_date", as_of, LOOK_BACK_DAYS).filter(
        pl.col("trust").is_in(["good", "thin"])
    )
    return _proposed(
        start_pattern, start_phase, main, strength_state, frozenset(timed["athlete_id"]), athlete, settings, as_of
    )


@kept  # one run more seldom says another thing
def _proposed(
    start_pattern: pl.DataFrame,
    start_phase: pl.DataFrame,
    main: pl.DataFrame,
    strength_state: pl.DataFrame,
    timed: frozenset[str],
    athlete: pl.DataFrame,
    settings: SquadSettings,
    as_of: dt.date,
) -> pl.DataFrame:
    """Propose from the main series' words (``main``) and who ran a start of late that can be modelled (``timed``)."""
    week_of = as_of - dt.timedelta(days=as_of.weekday())
    athletes = athlete.filter(
        (pl.col("joined_on").is_null() | (pl.col("joined_on") <= as_of))
        & (pl.col("left_on").is_null() | (pl.col("left_on") > as_of))
    ).select("athlete_id")
    looked_at = _recent(start_phase, "session_date", as_of, LOOK_BACK_DAYS).filter("is_free")
    evidence = pl.concat(
        [
            _by_pattern(start_pattern, looked_at, as_of),
            _by_test(strength_state, settings, as_of),
            _by_hinge(strength_state, settings, as_of),
        ],
        how="vertical_relaxed",
    )
    order = {limit: place for place, limit in enumerate(LIMITS)}
    scored = (
        evidence.sort("score", "why", descending=[True, False])
        .group_by("athlete_id", "limit", maintain_order=True)
        .agg(score=pl.min_horizontal(pl.col("score").sum(), pl.lit(1.0)), why=pl.col("why").str.join("; "))
        .join(athletes, on="athlete_id", how="semi")
        .with_columns(_order=pl.col("limit").replace_strict(order, return_dtype=pl.Int64))
        .sort("athlete_id", "score", "_order", descending=[False, True, False])
        .with_columns(rank=pl.int_range(1, pl.len() + 1).over("athlete_id"))
        .filter((pl.col("rank") == 1) | ((pl.col("rank") == 2) & (pl.col("score") >= SECOND_LEAST_SCORE)))
    )
    state = _missing(athletes, looked_at, timed, strength_state, settings, as_of).join(
        main, on="athlete_id", how="left", maintain_order="left"
    )
    slips = pl.col("_word").fill_null("") == "slipping"
    few = pl.col("_looked") < LEAST_RUNS_LOOKED_AT
    rest = (
        state.join(scored, on="athlete_id", how="anti")
        .with_columns(limit=pl.when(few | slips).then(pl.lit("measure")).otherwise(pl.lit("keep")))
        .select(
            "athlete_id",
            "limit",
            score=pl.lit(None, dtype=pl.Float64),
            why=pl.when(pl.col("limit") == "keep")
            .then(phrase("nothing stands out in {} starts looked at in four weeks", "_looked"))
            .when(few)
            .then(phrase("{} starts looked at in four weeks; missing: {}", "_looked", _or_nothing("_missing")))
            .otherwise(pl.lit("the 10 m time slips and no pattern explains it")),
            rank=pl.lit(1, dtype=pl.Int64),
            _slip=slips & ~few,
        )
    )
    rows = pl.concat([scored.drop("_order").with_columns(_slip=pl.lit(False)), rest], how="diagonal")
    fields = ("headline", "work", "strength", "source", "caution", "would_show")
    texts = {
        field: pl.col("limit").replace_strict(
            {limit: getattr(work, field) for limit, work in WORKS.items()}, return_dtype=pl.String
        )
        for field in fields
    }
    extra = pl.col("limit").replace_strict(EXTRA_WHY, default=None, return_dtype=pl.String)
    frame = (
        rows.with_columns(**texts, week_of=pl.lit(week_of))
        .join(main, on="athlete_id", how="left")
        .with_columns(
            headline=pl.when(pl.col("_slip")).then(pl.lit(SLIP_HEADLINE)).otherwise(pl.col("headline")),
            why=_sentences([pl.col("why"), extra, pl.col("_progress")]),
        )
    )
    columns = list(StartFocus.to_schema().columns)
    return frame.select(columns).sort("athlete_id", "rank")


def _or_nothing(name: str) -> pl.Expr:
    return pl.when(pl.col(name) == "").then(pl.lit("nothing else")).otherwise(pl.col(name))


def _sentences(parts: list[pl.Expr]) -> pl.Expr:
    """Join parts into sentences: a capital first, a full stop last; an unknown part is left out."""

    def sentence(part: pl.Expr) -> pl.Expr:
        body = part.str.slice(0, 1).str.to_uppercase() + part.str.slice(1)
        return pl.when(part.is_not_null()).then(body.str.strip_chars_end(".") + pl.lit("."))

    return pl.concat_str([sentence(part) for part in parts], separator=" ", ignore_nulls=True)
