"""One advice per athlete, from call, flag, injury, age, body mass, way back and plan together."""

import datetime as dt

import polars as pl

from pipelines.derived.common.sentences import add_age, say_day
from pipelines.derived.sprint.body import add_body_mass
from pipelines.derived.week import advice_words as said
from pipelines.derived.week.squad_words import WATCHED
from schemas.age import ADULT_YEARS
from schemas.derived.advice import Advice, AdvisedWork
from schemas.knowledge.hamstring import MAXIMAL_KINDS, PLAN_AHEAD_DAYS
from schemas.phrase import phrase
from schemas.vocabulary import ADAPTATIONS

WEEK = ["athlete_id", "week_of"]
OPEN_INJURY = "open_injury"  # the reason of the readiness rule


def advice(
    readiness_day: pl.DataFrame,
    readiness_reason: pl.DataFrame,
    hamstring_flag: pl.DataFrame,
    return_ladder: pl.DataFrame,
    start_focus: pl.DataFrame,
    plan: pl.DataFrame,
    athlete: pl.DataFrame,
    *,
    as_of: dt.date,
) -> pl.DataFrame:
    """Make the advice of ``as_of`` for each athlete with a call on that day.

    The first that fits stands. 'injury': an injury is open and not trained through, which no coach decides on.
    'talk': the call is talk first. 'return': an injury is open, or back for no more weeks
    than are marked (``return_ladder.is_current``); 'return_planned' where the call is as planned. 'ask': no call.
    'too_few': the call cannot say. 'adapt': the call; how follows from the strongest reason. 'go_on_watching': as
    planned, and a family of hamstring evidence speaks. 'go_on': otherwise.
    Headline: that of the standing; where it goes on, that of the work of rank 1 (``advised_work``). Waits: the finding
    of rank 1 and the next maximal session of the seven days ahead, where the standing holds demanding work back; an
    'adapt' to less volume or intensity leaves the session to the coach.
    Source: common_practice. Null: waits and caution where there is nothing of it; adaptation but for 'adapt'.
    """
    rows = add_age(_stand(readiness_day, readiness_reason, hamstring_flag, return_ladder, as_of), athlete)
    focus = start_focus.filter(pl.col("rank") == 1).select(*WEEK, "limit", focus="headline")
    rows = rows.join(focus, on=WEEK, how="left", maintain_order="left").join(
        _next_maximal(plan, as_of), on="athlete_id", how="left", maintain_order="left"
    )
    words = pl.DataFrame([{"_words": name, **vars(one)} for name, one in said.STANDINGS.items()])
    rows = rows.with_columns(_words=pl.col("stands")).join(words, on="_words", how="left", maintain_order="left")
    how = pl.col("adaptation").replace_strict(ADAPTATIONS, default="", return_dtype=pl.String)
    texts = ("headline", "sentence", "own_headline", "own_sentence")
    rows = rows.with_columns(
        pl.when(pl.col("stands") == "adapt")
        .then(pl.col(name).str.replace("{how}", how, literal=True))
        .otherwise(pl.col(name))
        .alias(name)
        for name in texts
    )
    goes_on = pl.col("stands").is_in(["go_on", "go_on_watching"])
    finding = pl.when(~goes_on & _is_held()).then(
        pl.col("limit").replace_strict(said.FINDINGS, default=None, return_dtype=pl.String)
    )
    lighter = pl.col("adaptation").is_in(["less_volume", "less_intensity"]).fill_null(value=False)
    session = pl.when(~goes_on & ~lighter).then(
        phrase("the maximal session planned for {}", say_day(pl.col("maximal_on")))
    )
    things = pl.concat_str(finding, session, separator=" and ", ignore_nulls=True)
    is_flagged = pl.col("level").is_in(WATCHED)
    cautions = [pl.col("caution"), pl.when(is_flagged).then(pl.lit(said.FLAG_CAUTION))]
    caution = pl.concat_str(*cautions, separator=" ", ignore_nulls=True)
    return (
        rows.with_columns(
            headline=pl.when(goes_on).then(_work_headline("focus")).otherwise("headline"),
            waits=pl.when(things != "").then(phrase("Waits until {}: {}.", "until", things)),
            caution=pl.when(caution != "").then(caution),
            is_minor=pl.col("age_years") < ADULT_YEARS,
            reads_injury=pl.col("stands").is_in(["injury", "return", "return_planned"]),
        )
        .with_columns(headline=pl.col("headline").fill_null(pl.col("own_headline")))
        .select(list(Advice.to_schema().columns))
        .sort("athlete_id")
    )


def advised_work(
    advice: pl.DataFrame,
    start_focus: pl.DataFrame,
    body_measure: pl.DataFrame,
    *,
    as_of: dt.date,
) -> pl.DataFrame:
    """Return what of the proposals of ``start_focus`` goes with the advice, in words for the athlete's age.

    Nothing while a talk, the way back or nobody's knowing holds it; under 'adapt' only what is light, never 'keep'. For
    somebody under 18, what is heavy or at full effort is said with its supervision, a heavy sled as a light one. A sled
    is named without a load where no body mass of 180 days is on record; without a birth date the caution names what
    holds under 18. Source: common_practice. Null: ``when``.
    """
    demand = {limit: terms.demand for limit, terms in said.TERMS.items()}
    rows = (
        start_focus.join(
            advice.select(*WEEK, "stands", "is_minor"),
            on=WEEK,
            how="inner",
        )
        .with_columns(_demand=pl.col("limit").replace_strict(demand, return_dtype=pl.String))
        .filter(
            pl.col("stands").is_in(["go_on", "go_on_watching"])
            | ((pl.col("stands") == "adapt") & (pl.col("_demand") == "light"))
        )
        .with_columns(_day=pl.lit(as_of))
    )
    rows = add_body_mass(rows, body_measure, "_day")
    is_demanding = pl.col("_demand").is_in(said.DEMANDING)
    for_minor = pl.col("is_minor").fill_null(value=False) & is_demanding
    doubts = [
        pl.col("caution"),
        pl.when(is_demanding & pl.col("is_minor").is_null()).then(pl.lit(said.AGE_UNKNOWN)),
        pl.when((pl.col("limit") == "push_cut_short") & pl.col("body_mass_kg").is_null()).then(pl.lit(said.NO_MASS)),
    ]

    def minor_text(name: str, usual: pl.Expr) -> pl.Expr:
        own = {limit: getattr(terms, name) for limit, terms in said.TERMS.items() if getattr(terms, name)}
        return pl.col("limit").replace_strict(own, default=None, return_dtype=pl.String).fill_null(usual)

    lower = pl.col("headline").str.slice(0, 1).str.to_lowercase() + pl.col("headline").str.slice(1)
    short = {limit: terms.caution_short for limit, terms in said.TERMS.items()}
    watching = pl.col("stands") == "go_on_watching"
    return (
        rows.with_columns(
            headline=pl.when(for_minor)
            .then(pl.lit(said.SUPERVISED) + minor_text("minor_headline", lower))
            .otherwise("headline"),
            work=pl.when(for_minor)
            .then(pl.lit(said.MINOR_WORK) + minor_text("minor_work", pl.col("work")))
            .otherwise("work"),
            caution=pl.concat_str(*doubts, separator=" ", ignore_nulls=True),
            caution_short=pl.when(for_minor)
            .then(pl.lit(said.MINOR_CAUTION_SHORT))
            .otherwise(pl.col("limit").replace_strict(short, return_dtype=pl.String)),
            when=pl.when(watching & is_demanding).then(pl.lit("Ask about the hamstring first.")),
        )
        .with_columns(rank=pl.int_range(1, pl.len() + 1, dtype=pl.Int64).over(WEEK, order_by="rank"))
        .select(list(AdvisedWork.to_schema().columns))
        .sort("athlete_id", "rank")
    )


def _stand(
    readiness_day: pl.DataFrame,
    readiness_reason: pl.DataFrame,
    hamstring_flag: pl.DataFrame,
    return_ladder: pl.DataFrame,
    as_of: dt.date,
) -> pl.DataFrame:
    """One row per athlete with a call on the day: stands, adaptation, level."""
    on_way_back = return_ladder.filter("is_current")["athlete_id"].unique().to_list()
    levels = hamstring_flag.filter(pl.col("day_on") == as_of).select("athlete_id", "level").unique("athlete_id")
    is_hurt = (pl.col("day_on") == as_of) & (pl.col("item") == OPEN_INJURY)
    hurt = readiness_reason.filter(is_hurt)["athlete_id"].unique().to_list()
    strongest = (
        readiness_reason.filter((pl.col("day_on") == as_of) & (pl.col("pushes_to") == "adapt"))
        .sort("athlete_id", "rank")
        .unique("athlete_id", keep="first", maintain_order=True)
        .select("athlete_id", how=pl.col("item").replace_strict(said.ADAPT_BY, return_dtype=pl.String))
    )
    call = pl.col("call")
    stands = (
        pl.when(pl.col("athlete_id").is_in(hurt))
        .then(pl.lit("injury"))
        .when(call == "talk_first")
        .then(pl.lit("talk"))
        .when(pl.col("athlete_id").is_in(on_way_back) & (call == "as_planned"))
        .then(pl.lit("return_planned"))
        .when(pl.col("athlete_id").is_in(on_way_back))
        .then(pl.lit("return"))
        .when(call == "no_call")
        .then(pl.lit("ask"))
        .when(call == "cannot_say")
        .then(pl.lit("too_few"))
        .when(call == "adapt")
        .then(pl.lit("adapt"))
        .when(pl.col("level").is_in(WATCHED))
        .then(pl.lit("go_on_watching"))
        .otherwise(pl.lit("go_on"))
    )
    return (
        readiness_day.filter(pl.col("day_on") == as_of)
        .select("athlete_id", "day_on", "call")
        .join(levels, on="athlete_id", how="left", maintain_order="left")
        .join(strongest, on="athlete_id", how="left", maintain_order="left")
        .with_columns(stands=stands, week_of=pl.lit(as_of - dt.timedelta(days=as_of.weekday())))
        .with_columns(adaptation=pl.when(pl.col("stands") == "adapt").then("how"))
    )


def _is_held() -> pl.Expr:
    """Whether the work of rank 1 waits under a standing that does not go on."""
    light = [limit for limit, terms in said.TERMS.items() if terms.demand == "light"]
    return ~((pl.col("stands") == "adapt") & pl.col("limit").is_in(light))


def _work_headline(usual: str) -> pl.Expr:
    """Return the headline of the work of rank 1 as it is said to the athlete's age."""
    demanding = [limit for limit, terms in said.TERMS.items() if terms.demand in said.DEMANDING]
    own = {limit: terms.minor_headline for limit, terms in said.TERMS.items() if terms.minor_headline}
    lower = pl.col(usual).str.slice(0, 1).str.to_lowercase() + pl.col(usual).str.slice(1)
    theirs = pl.col("limit").replace_strict(own, default=None, return_dtype=pl.String).fill_null(lower)
    for_minor = (pl.col("age_years") < ADULT_YEARS) & pl.col("limit").is_in(demanding)
    return pl.when(for_minor).then(pl.lit(said.SUPERVISED) + theirs).otherwise(pl.col(usual))


def _next_maximal(plan: pl.DataFrame, as_of: dt.date) -> pl.DataFrame:
    """The first maximal session of the seven days from a day on: athlete_id, maximal_on."""
    is_maximal = (pl.col("fast_metres") > 0) | (pl.col("fast_metres").is_null() & pl.col("kind").is_in(MAXIMAL_KINDS))
    ahead = pl.col("planned_on").is_between(as_of, as_of + dt.timedelta(days=PLAN_AHEAD_DAYS))
    return (
        plan.filter(ahead & is_maximal.fill_null(value=False))
        .group_by("athlete_id", maintain_order=True)
        .agg(maximal_on=pl.col("planned_on").min())
    )
