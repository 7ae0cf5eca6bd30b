"""Work done by week, by kind: eccentric hamstring sets, resisted runs, jump contacts, tonnage, fast metres planned."""

import datetime as dt

import polars as pl

from pipelines.derived.common.families import add_family
from pipelines.derived.common.kept import kept
from pipelines.derived.common.resistance import resistance, was_run
from pipelines.derived.common.weeks import looked_from, monday, week_grid
from pipelines.derived.load.amounts import plan_week
from pipelines.derived.load.exposure import known_running

SESSION = ["athlete_id", "session_date", "session_no"]
WEEK = ["athlete_id", "week_of"]
PULLED_READ = ("pulled", "resistance_load_kg", "distance_m")  # of a resisted run
# A sled is counted in metres and a jump in contacts: their reps x load would say nothing.
TONNAGE_FAMILIES = ("squat", "hinge", "hamstring_eccentric", "hip_flexor", "calf_ankle", "upper", "trunk", "other")


def work_week(
    lift_set: pl.DataFrame,
    exercise: pl.DataFrame,
    rep: pl.DataFrame,
    session: pl.DataFrame,
    day_log: pl.DataFrame,
    plan: pl.DataFrame,
    *,
    as_of: dt.date,
) -> pl.DataFrame:
    """One row per athlete and week: work by kind.

    Formulas: eccentric sets = distinct sets of exercises of the family hamstring_eccentric (left and right of a set
    are one); gap = days from the last of them to the week's Sunday, or to ``as_of`` in the running week; resisted
    metres = sum of the distance of resisted runs; sled_kg_metres = sum of mass pulled x distance; jump contacts = sum
    of reps of the family jump; tonnage = sum of reps x load by family (5x100 + 5x100 + 3x110 = 1330 kg); fast metres
    planned = sum over the plan of the week.
    Source: definitions; no model. Tonnage ignores bar path, body mass and effort.
    Null rule: a nought needs a known week. Lifting is known when sessions are logged in the week (or all its days so
    far are marked complete) and every strength session has sets; jumps need the same of plyometric sessions, resisted
    runs the same of running sessions and their runs. A session of 0 minutes needs none. A session of unknown kind needs
    sets or runs. Else what was seen is kept as 'at least' (reason says so) and what was not seen is null. Tonnage is
    null unless lifting is known and each set of the family has a load: an empty load is unknown, not 0.
    """
    sessions = rep.select(SESSION).unique(maintain_order=True)
    pulled = rep.with_columns(pulled=resistance()).filter((pl.col("pulled") != "none") & was_run())
    return _by_week(sessions, pulled.select(*SESSION, *PULLED_READ), lift_set, exercise, session, day_log, plan, as_of)


@kept  # one more free run of a session changes nothing of it
def _by_week(
    run_sessions: pl.DataFrame,
    pulled: pl.DataFrame,
    lift_set: pl.DataFrame,
    exercise: pl.DataFrame,
    session: pl.DataFrame,
    day_log: pl.DataFrame,
    plan: pl.DataFrame,
    as_of: dt.date,
) -> pl.DataFrame:
    """Return the table from the sessions with runs and the resisted runs."""
    sets = _sets(lift_set, exercise, as_of)
    runs = run_sessions.filter(pl.col("session_date") <= as_of)
    seen = [session.select("athlete_id", day_on="session_date"), day_log.select("athlete_id", day_on="logged_on")]
    gym = [sets.select("athlete_id", day_on="session_date"), runs.select("athlete_id", day_on="session_date")]
    weeks = (
        week_grid(pl.concat([*seen, *gym]), as_of)
        .join(_known_gym(lift_set, run_sessions, session, as_of), on=WEEK, how="left")
        .join(known_running(run_sessions, session, day_log, as_of), on=WEEK, how="left")
        .join(_eccentric(sets), on=WEEK, how="left")
        .join(_unknown(sets), on=WEEK, how="left")
        .join(_jumps(sets), on=WEEK, how="left")
        .join(_resisted(pulled, as_of), on=WEEK, how="left")
        .join(_tonnage(sets), on=WEEK, how="left")
        .join(plan_week(plan).select(*WEEK, fast_metres_planned="planned_fast_metres"), on=WEEK, how="left")
        .sort(WEEK)
    )
    is_logged = pl.col("is_logged").fill_null(False)
    weeks = weeks.with_columns(
        lifting_known=is_logged & ~pl.col("lifting_missing").fill_null(False),
        jumps_known=is_logged & ~pl.col("jumps_missing").fill_null(False) & ~pl.col("lifting_missing").fill_null(False),
        runs_known=pl.col("is_running_known").fill_null(False),
        last_eccentric_on=pl.col("eccentric_on").forward_fill().over("athlete_id"),
    )
    gap = (looked_from(as_of) - pl.col("last_eccentric_on")).dt.total_days()
    reason = (
        pl.when(~is_logged)
        .then(pl.lit("no_session_logged"))
        .when(~pl.col("lifting_known"))
        .then(pl.lit("lifting_unknown"))
        .when(~pl.col("jumps_known"))
        .then(pl.lit("jumps_unknown"))
        .when(~pl.col("runs_known"))
        .then(pl.lit("runs_unknown"))
        .when("load_missing")
        .then(pl.lit("set_load_unknown"))
        .when("sled_missing")
        .then(pl.lit("sled_load_unknown"))
        .when(pl.col("unknown_exercises").is_not_null())
        .then(pl.lit("exercise_family_unknown"))
    )
    # Resisted runs that are there but lack a number stay null; only no run at all can be a nought.
    is_run_free = pl.col("resisted_runs").is_null() & pl.col("runs_known")
    is_sled_free = pl.col("sled_runs").fill_null(0).eq(0) & pl.col("runs_known")
    return weeks.select(
        *WEEK,
        "lifting_known",
        _nought("eccentric_hamstring_sets", pl.col("lifting_known") & pl.col("unknown_exercises").is_null()),
        _nought("eccentric_hamstring_reps", pl.col("lifting_known") & pl.col("unknown_exercises").is_null()),
        "unknown_exercises",
        "last_eccentric_on",
        eccentric_gap_days=gap,
        resisted_metres=pl.when(is_run_free).then(0.0).otherwise(pl.col("resisted_metres")),
        sled_kg_metres=pl.when(is_sled_free).then(0.0).when(pl.col("sled_runs") > 0).then(pl.col("sled_kg_metres")),
        jump_contacts=_nought("jump_contacts", pl.col("jumps_known")),
        **{f"tonnage_{family}_kg": _family_tonnage(family) for family in TONNAGE_FAMILIES},
        fast_metres_planned="fast_metres_planned",
        reason=reason,
    )


def _nought(name: str, is_known: pl.Expr) -> pl.Expr:
    """Write 0 where nothing was seen in a week that is known."""
    return (
        pl.when(pl.col(name).is_null() & is_known).then(pl.lit(0, dtype=pl.Int64)).otherwise(pl.col(name)).alias(name)
    )


def _family_tonnage(family: str) -> pl.Expr:
    """Return the family's tonnage: null while lifting or a load is unknown, 0 where no set was done."""
    known = pl.when(pl.col(f"{family}_sets").fill_null(0) == 0).then(0.0).otherwise(pl.col(f"{family}_kg"))
    return pl.when("lifting_known").then(known)


def _sets(lift_set: pl.DataFrame, exercise: pl.DataFrame, as_of: dt.date) -> pl.DataFrame:
    """Return the sets up to ``as_of`` with their family ('other' while unknown, ``is_unknown`` says so) and week."""
    return (
        add_family(lift_set.filter(pl.col("session_date") <= as_of), exercise)
        .with_columns(is_unknown=pl.col("family").is_null(), week_of=monday("session_date"))
        .with_columns(pl.col("family").fill_null("other"))
    )


def _known_gym(lift_set: pl.DataFrame, rep: pl.DataFrame, session: pl.DataFrame, as_of: dt.date) -> pl.DataFrame:
    """Return per week whether a strength or a jump session lacks its sets; an unknown kind needs sets or runs."""
    with_sets = lift_set.select(SESSION).unique().with_columns(has_sets=pl.lit(True))
    with_runs = rep.select(SESSION).unique().with_columns(has_runs=pl.lit(True))
    lacks_sets = pl.col("has_sets").is_null() & (pl.col("duration_min") != 0).fill_null(True)
    lacks_all = lacks_sets & pl.col("has_runs").is_null() & pl.col("kind").is_null()
    return (
        session.filter(pl.col("session_date") <= as_of)
        .join(with_sets, on=SESSION, how="left")
        .join(with_runs, on=SESSION, how="left")
        .group_by("athlete_id", week_of=monday("session_date"), maintain_order=True)
        .agg(
            lifting_missing=((lacks_sets & (pl.col("kind") == "strength").fill_null(False)) | lacks_all).any(),
            jumps_missing=((lacks_sets & (pl.col("kind") == "plyometric").fill_null(False)) | lacks_all).any(),
        )
    )


def _eccentric(sets: pl.DataFrame) -> pl.DataFrame:
    """Count eccentric hamstring sets: left and right of one set are one."""
    return (
        sets.filter(pl.col("family") == "hamstring_eccentric")
        .group_by(*SESSION, "exercise", "set_no", "week_of", maintain_order=True)
        .agg(pl.col("reps").max())
        .group_by(WEEK, maintain_order=True)
        .agg(
            eccentric_hamstring_sets=pl.len().cast(pl.Int64),
            eccentric_hamstring_reps=pl.col("reps").sum(),
            eccentric_on=pl.col("session_date").max(),
        )
    )


def _unknown(sets: pl.DataFrame) -> pl.DataFrame:
    """Name the exercises of the week that no list knows: any of them may be isolated eccentric work."""
    return (
        sets.filter("is_unknown")
        .group_by(WEEK, maintain_order=True)
        .agg(unknown_exercises=pl.col("exercise").unique().sort().str.join(", "))
    )


def _jumps(sets: pl.DataFrame) -> pl.DataFrame:
    return (
        sets.filter(pl.col("family") == "jump")
        .group_by(WEEK, maintain_order=True)
        .agg(jump_contacts=pl.col("reps").sum())
    )


def _resisted(pulled: pl.DataFrame, as_of: dt.date) -> pl.DataFrame:
    """Sum resisted runs; one unknown distance or load makes the sum unknown."""
    load, metres = pl.col("resistance_load_kg"), pl.col("distance_m")
    is_sled = pl.col("pulled") == "sled"
    work = load * metres
    return (
        pulled.filter(pl.col("session_date") <= as_of)
        .with_columns(week_of=monday("session_date"))
        .group_by(WEEK, maintain_order=True)
        .agg(
            resisted_runs=pl.len(),
            sled_runs=is_sled.sum(),
            resisted_metres=pl.when(metres.is_not_null().all()).then(metres.sum()),
            sled_kg_metres=pl.when((work.is_not_null() | ~is_sled).all()).then(work.filter(is_sled).sum()),
            sled_missing=metres.is_null().any() | (work.is_null() & is_sled).any(),
        )
    )


def _tonnage(sets: pl.DataFrame) -> pl.DataFrame:
    """Sum reps x load by family; one set without a load makes its family unknown."""
    tonnage = pl.col("reps") * pl.col("load_kg")
    return sets.group_by(WEEK, maintain_order=True).agg(
        pl.col("load_kg").is_null().filter(pl.col("family").is_in(TONNAGE_FAMILIES)).any().alias("load_missing"),
        *(
            pl.when(tonnage.filter(pl.col("family") == family).is_not_null().all())
            .then(tonnage.filter(pl.col("family") == family).sum())
            .alias(f"{family}_kg")
            for family in TONNAGE_FAMILIES
        ),
        *((pl.col("family") == family).sum().alias(f"{family}_sets") for family in TONNAGE_FAMILIES),
    )
