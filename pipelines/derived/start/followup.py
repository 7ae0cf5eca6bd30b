"""What followed a decision on the start: the work done of it, and the start before and after (``focus_followup``)."""

import datetime as dt

import polars as pl

from pipelines.derived.common.number_text import decimals
from pipelines.derived.common.resistance import is_free_run, was_run
from pipelines.derived.common.sentences import say_day
from pipelines.derived.common.weeks import LAST_DAY, monday
from pipelines.derived.load.blocks import work_days
from schemas.derived.blocks import FocusFollowup
from schemas.normal import NORMAL_95
from schemas.phrase import phrase

TOPIC = "start_work"
BEFORE_DAYS = 28
AFTER_DAYS = 28  # from the first day that counts

# Words of a decision and the kind of work they name, the first that fits; source: "common_practice".
WORK_WORDS = (
    ("sled", r"sled"),
    ("eccentric", r"eccentric|nordic|hamstring"),
    ("hip_flexor", r"hip.?flex|cable"),
    ("ankle", r"ankle|calf|calves"),
    ("jump", r"jump|bound|hops?\b"),
    ("starts", r"start|set position|push|film|recovery|ground|shin|step|head|arms"),
)
COUNT_WORDS = ((1, r"\bonce\b"), (2, r"\btwice\b|\btwo times\b"), (3, r"\bthree times\b"), (4, r"\bfour times\b"))
KEEP_WORDS = r"^\s*keep\b|^\s*go on\b"
DONE_WORDS = {
    "sled": "sled runs",
    "eccentric": "eccentric hamstring work",
    "hip_flexor": "hip-flexor work",
    "ankle": "calf and ankle work",
    "jump": "jumps",
}
# Measure, its column here, how it is called, its unit, decimals, and what less and more of it are called.
CHANGES = (
    ("contact_1_s", "contact_1_change_s", "contact 1", "ms", 0, "shorter", "longer"),
    ("speed_after_3_mps", "speed_after_3_change_mps", "speed after three steps", "m/s", 2, "lower", "higher"),
    ("t_10_s", "t_10_change_s", "10 m", "ms", 0, "faster", "slower"),
)
# Words of a decision that say which way the first contact is meant to go; source: "common_practice".
MEANT = (
    ("longer", r"long(?:er)? (?:\w+ ){0,3}push|push(?:es)? (?:\w+ ){0,2}long|finish (?:the|each|every) push"),
    (
        "shorter",
        r"leave the ground (?:earlier|sooner)|shorter (?:\w+ ){0,3}(?:push|contact)|off the ground (?:earlier|sooner)",
    ),
)
KEY = ["athlete_id", "week_of"]


def name_work(call: pl.Expr) -> pl.Expr:
    """Return the kind of work a decision names, by its words; null for 'keep' and where no word is known.

    >>> pl.select(name_work(pl.lit("heavy sled twice"))).item()
    'sled'
    """
    text = call.str.to_lowercase()
    found = pl.lit(None, dtype=pl.String)
    for work, pattern in reversed(WORK_WORDS):
        found = pl.when(text.str.contains(pattern)).then(pl.lit(work)).otherwise(found)
    return pl.when(text.str.contains(KEEP_WORDS)).then(None).otherwise(found)


def count_wanted(call: pl.Expr) -> pl.Expr:
    """Return how many days a decision asks for, where it says so: once, twice, three times, 2 x, 3 times."""
    text = call.str.to_lowercase()
    found = text.str.extract(r"\b([1-7])\s*(?:x\b|×|times\b)").cast(pl.Int64)
    for count, pattern in COUNT_WORDS:
        found = pl.when(text.str.contains(pattern)).then(pl.lit(count, dtype=pl.Int64)).otherwise(found)
    return found


def way_meant(call: pl.Expr) -> pl.Expr:
    """Return which way a decision means the first contact to go, where its words say one: longer or shorter."""
    text, found = call.str.to_lowercase(), pl.lit(None, dtype=pl.String)
    for way, pattern in MEANT:
        found = pl.when(text.str.contains(pattern)).then(pl.lit(way)).otherwise(found)
    return pl.when(pl.all_horizontal(text.str.contains(pattern) for _, pattern in MEANT)).then(None).otherwise(found)


def focus_followup(
    decision: pl.DataFrame,
    start_trend: pl.DataFrame,
    start_progress: pl.DataFrame,
    work_week: pl.DataFrame,
    rep: pl.DataFrame,
    lift_set: pl.DataFrame,
    exercise: pl.DataFrame,
    *,
    as_of: dt.date,
) -> pl.DataFrame:
    """Say of every decision on the start what was done of it and what changed since.

    What counts begins on from_on: the Monday of the decision's week, or the day after the decision where it was made
    later: what was run before it was said did not follow it. done = days of the seven from from_on with the work its
    words name. before = mean of the days of the 28 days before from_on, after = mean of the days after the work was
    first done, up to 27 days past from_on;
    weights w = 1 / observed_se^2, change = after - before, se^2 = 1/sum(w before) + 1/sum(w after). The main series of
    the athlete, each measure by itself. The sentence gives 1.96 se, and says of the first contact whether it went as
    the decision meant, where its words say which way ('longer first push').

    Source: definitions; "common_practice" for what the words of a decision mean. Limits: no comparison group, other
    work beside it, regression to the mean ("barnett_2005").
    Null: done where nothing was seen and a log of those days is not complete, or none of them has come; a change
    without a measured day on each side.
    """
    decided = decision.filter((pl.col("topic") == TOPIC) & (pl.col("week_of") <= as_of))
    if decided.is_empty():  # as of most athletes
        return FocusFollowup.no_rows()
    rows = (
        decided.with_columns(from_on=pl.max_horizontal("week_of", _first_day_after()))
        .select(*KEY, "call", "from_on")
        .with_columns(
            work=name_work(pl.col("call")),
            wanted_days=count_wanted(pl.col("call")),
            is_week_over=pl.col("from_on") + LAST_DAY <= pl.lit(as_of),
            _is_to_come=pl.col("from_on") > pl.lit(as_of),
        )
    )
    rows = _add_done(rows, rep, lift_set, exercise, work_week, as_of)
    rows = rows.with_columns(wanted_days=pl.when(pl.col("work").is_in(list(DONE_WORDS))).then("wanted_days"))
    rows = _add_changes(rows, start_trend, start_progress, as_of)
    rows = rows.with_columns(
        reason=pl.when(pl.col("work").is_null() & pl.col("call").str.to_lowercase().str.contains(KEEP_WORDS))
        .then(pl.lit("nothing_to_count"))
        .when(pl.col("work").is_null())
        .then(pl.lit("call_not_understood"))
        .when(pl.col("done_days").is_null() & ~pl.col("_is_to_come"))
        .then(pl.lit("work_log_incomplete"))
        .when(pl.col("days_before") == 0)
        .then(pl.lit("no_day_before"))
        .when(pl.col("days_after") == 0)
        .then(pl.lit("not_measured_since"))
    )
    rows = _say(rows)
    columns = list(FocusFollowup.to_schema().columns)
    return rows.select(columns).sort(KEY)


def _first_day_after() -> pl.Expr:
    """Return the day after a decision that was made after the Monday of its week; null where it was not, or is not
    known.
    """
    made_on = pl.col("decided_at").dt.date()
    return pl.when(made_on > pl.col("week_of")).then(made_on + pl.duration(days=1))


def _add_done(
    rows: pl.DataFrame,
    rep: pl.DataFrame,
    lift_set: pl.DataFrame,
    exercise: pl.DataFrame,
    work_week: pl.DataFrame,
    as_of: dt.date,
) -> pl.DataFrame:
    """Add the days of the first seven on which the work was done; a nought needs known weeks."""
    starts = (
        rep.filter(
            is_free_run()
            & (pl.col("session_date") <= as_of)
            & (pl.col("start_kind") != "rolling").fill_null(True)
            & was_run()
        )
        .select("athlete_id", kind=pl.lit("starts"), day_on="session_date")
        .unique()
    )
    days = pl.concat([work_days(rep, lift_set, exercise, as_of).select("athlete_id", "kind", "day_on"), starts])
    first = pl.col("from_on")
    done = (
        rows.join(days.rename({"kind": "work"}), on=["athlete_id", "work"], how="inner", maintain_order="left_right")
        .filter(pl.col("day_on").is_between(first, first + LAST_DAY))
        .group_by(KEY, maintain_order=True)
        .agg(_seen=pl.len().cast(pl.Int64), first_done_on=pl.col("day_on").min())
    )
    rows = rows.join(done, on=KEY, how="left")
    known = work_week.select(*KEY, "lifting_known", _runs_known=pl.col("resisted_metres").is_not_null())
    for name, of in (("begins", first), ("ends", first + LAST_DAY)):  # seven days from midweek lie in two weeks
        both = known.rename({"week_of": "_week", "lifting_known": f"_gym_{name}", "_runs_known": f"_runs_{name}"})
        rows = (
            rows.with_columns(_week=of)
            .with_columns(_week=monday("_week"))
            .join(both, on=["athlete_id", "_week"], how="left")
            .drop("_week")
        )
    is_run = pl.col("work").is_in(["sled", "starts"])
    is_known = (
        pl.when(pl.col("_is_to_come"))
        .then(pl.lit(value=False))
        .when(is_run)
        .then(pl.col("_runs_begins") & pl.col("_runs_ends"))
        .otherwise(pl.col("_gym_begins") & pl.col("_gym_ends"))
    )
    return rows.with_columns(
        done_days=pl.when(pl.col("_seen") > 0)
        .then("_seen")
        .when(pl.col("work").is_not_null() & is_known.fill_null(False))
        .then(pl.lit(0, dtype=pl.Int64))
    )


def _add_changes(
    rows: pl.DataFrame, start_trend: pl.DataFrame, start_progress: pl.DataFrame, as_of: dt.date
) -> pl.DataFrame:
    """Add the change of each measure from before to after, in the athlete's main series, with its error."""
    series = ["start_kind", "clock_start", "timing_kind", "set_up"]
    main = start_progress.filter("is_main").select("athlete_id", *series, _main_by="measured_by")
    days = (
        start_trend.filter(
            pl.col("metric").is_in([m for m, *_ in CHANGES])
            & (pl.col("session_date") <= as_of)
            & (pl.col("observed_se") > 0)
        )
        .join(main, on=["athlete_id", *series], how="inner", maintain_order="left")
        .filter((pl.col("metric") != "t_10_s") | (pl.col("measured_by") == pl.col("_main_by")))
        .select("athlete_id", "metric", "session_date", "observed", _w=1.0 / pl.col("observed_se") ** 2)
    )
    first, day = pl.col("from_on"), pl.col("session_date")
    after_from = pl.col("first_done_on").fill_null(first - pl.duration(days=1))
    after_from = pl.when(pl.col("work") == "starts").then(first - pl.duration(days=1)).otherwise(after_from)
    spans = rows.select(*KEY, "from_on", _after_from=after_from)
    placed = spans.join(days, on="athlete_id", how="inner").with_columns(
        _before=(day < first) & (day >= first - pl.duration(days=BEFORE_DAYS)),
        _after=(day > pl.col("_after_from")) & (day < first + pl.duration(days=AFTER_DAYS)),
    )

    def mean(side: str) -> pl.Expr:
        return (pl.col("observed") * pl.col("_w")).filter(side).sum() / pl.col("_w").filter(side).sum()

    found = placed.group_by(*KEY, "metric", maintain_order=True).agg(
        _n_before=pl.col("_before").sum().cast(pl.Int64),
        _n_after=pl.col("_after").sum().cast(pl.Int64),
        _change=mean("_after") - mean("_before"),
        _error=(1 / pl.col("_w").filter("_after").sum() + 1 / pl.col("_w").filter("_before").sum()).sqrt(),
    )
    has_both = (pl.col("_n_before") > 0) & (pl.col("_n_after") > 0)
    for metric, name, *_ in CHANGES:
        one = found.filter(pl.col("metric") == metric).select(
            *KEY,
            pl.when(has_both).then("_change").alias(name),
            pl.when(has_both).then("_error").alias(f"{name}_se"),
            *(
                [pl.col("_n_before").alias("days_before"), pl.col("_n_after").alias("days_after")]
                * (metric == "t_10_s")
            ),
        )
        rows = rows.join(one, on=KEY, how="left")
    return rows.with_columns(pl.col("days_before", "days_after").fill_null(0))


def _say(rows: pl.DataFrame) -> pl.DataFrame:
    """Add the sentences: 'Done 2 of 2. Contact 1 11 ms longer (± 6), 10 m unchanged within ± 20 ms.'."""
    so_far = pl.when("is_week_over").then(pl.lit(".")).otherwise(pl.lit(" so far."))
    done = pl.col("done_days").cast(pl.String)
    nothing = pl.when("is_week_over").then(pl.lit("Not done.")).otherwise(pl.lit("Not done so far."))
    done_sentence = (
        pl.when(pl.col("reason") == "nothing_to_count")
        .then(pl.lit("Nothing to count."))
        .when("_is_to_come")
        .then(phrase("Too early: it counts from {} on.", say_day(pl.col("from_on"))))
        .when(pl.col("work").is_null())
        .then(pl.lit("What was done of it cannot be counted."))
        .when(pl.col("done_days").is_null())
        .then(pl.lit("Not known whether done: the week's log is not complete."))
        .when(pl.col("work") == "starts")
        .then(phrase("Starts on {} day{}", done, _plural("done_days")) + so_far)
        .when(pl.col("wanted_days").is_not_null())
        .then(phrase("Done {} of {}", done, pl.col("wanted_days").cast(pl.String)) + so_far)
        .when(pl.col("done_days") == 0)
        .then(nothing)
        .otherwise(phrase("Done on {} day{}", done, _plural("done_days")) + so_far)
    )
    parts, meant = [], way_meant(pl.col("call"))
    for metric, name, words, unit, places, less, more in CHANGES:
        said_in = 1000.0 if unit == "ms" else 1.0
        change = decimals(rows[name].abs() * said_in, places)
        way = pl.when(pl.col(name) < 0).then(pl.lit(less)).otherwise(pl.lit(more))
        judged = (
            pl.when(meant.is_null())
            .then(pl.lit(""))
            .when(meant == way)
            .then(pl.lit(" as meant"))
            .otherwise(pl.lit(", the other way"))
            if metric == "contact_1_s"
            else pl.lit("")
        )
        reach = decimals(rows[f"{name}_se"] * NORMAL_95 * said_in, places)
        beyond = pl.col(name).abs() > NORMAL_95 * pl.col(f"{name}_se")
        parts.append(
            pl.when(pl.col(name).is_null())
            .then(None)
            .when(beyond)
            .then(
                phrase("{} {} {} {}{} (± {})", pl.lit(words), pl.lit(change), pl.lit(unit), way, judged, pl.lit(reach))
            )
            .otherwise(phrase("{} unchanged within ± {} {}", pl.lit(words), pl.lit(reach), pl.lit(unit)))
        )
    joined = pl.concat_str(parts, separator=", ", ignore_nulls=True)
    change_sentence = pl.when(joined != "").then(
        joined.str.slice(0, 1).str.to_uppercase() + joined.str.slice(1) + pl.lit(".")
    )
    rows = rows.with_columns(done_sentence=done_sentence, change_sentence=change_sentence)
    called = pl.col("call").fill_null("no words kept").str.strip_chars_end(".") + pl.lit(".")
    return rows.with_columns(
        sentence=pl.concat_str([called, "done_sentence", "change_sentence"], separator=" ", ignore_nulls=True)
    )


def _plural(name: str) -> pl.Expr:
    return pl.when(pl.col(name) == 1).then(pl.lit("")).otherwise(pl.lit("s"))
