"""The effort of a gym log and that of a diary on one day: two sessions, unless the diary's is the gym's own.

An effort and minutes of two sessions, put under one number, would make a load that nobody had.
"""

import dataclasses
from collections.abc import Mapping

import polars as pl

from pipelines.checks import Checked
from pipelines.record import warehouse

SESSION = ["athlete_id", "session_date", "session_no"]
DAY = SESSION[:2]
VALUES = ("effort_0_10", "duration_min")
GYM = "strength"  # the kind of session that a gym log is of


def says_load(accepted: Mapping[str, pl.DataFrame]) -> bool:
    """Return whether rows of sessions say minutes or an effort."""
    session = accepted.get("session")
    return session is not None and bool(set(VALUES) & set(session.columns))


def gym_apart(con: warehouse.Connection, name: str, checked: Checked, sha256: str = "") -> Checked:
    """Return what was checked with the sessions of gym logs under numbers of their own where a diary has another one.

    Only where both say minutes or an effort, and neither file gives numbers. A session of the diary that is strength
    is the gym's; where the day has none, or several, the gym log is counted on behind them. The same is done to a
    diary that comes after the gym log. The same bytes loaded again keep the numbers they have.
    """
    mine = _said(checked)
    if mine.is_empty():
        return checked
    held = _held(con, name, mine)
    before = _as_before(con, sha256, checked.accepted["session"]).join(mine, on=[*SESSION, "_sheet"], how="semi")
    mine = mine.join(before, on=[*DAY, "_sheet"], how="anti")
    gym = mine.filter("is_gym")
    diary = pl.concat([mine.filter(~pl.col("is_gym")), held.filter(~pl.col("is_gym"))])
    moves = [_behind(gym, diary)] if gym.height and diary.height else []
    lifted = held.filter("is_gym")
    others = mine.filter(~pl.col("is_gym"))
    if lifted.height and others.height:
        moves.append(_around(others, lifted))
    moved = pl.concat([before, *moves]).filter(pl.col("session_no") != pl.col("_to"))
    return checked if moved.is_empty() else _with(checked, moved)


def _said(checked: Checked) -> pl.DataFrame:
    """Return the sessions whose numbers are ours and that say minutes or an effort: key, sheet, kind, is_gym."""
    if not says_load(checked.accepted):
        return pl.DataFrame()
    session = checked.accepted["session"]
    said = pl.any_horizontal(pl.col(one).is_not_null() for one in VALUES if one in session.columns)
    kind = pl.col("kind") if "kind" in session.columns else pl.lit(None, pl.String)
    frame = session.filter(said, ~pl.col("source_sheet").is_in(checked.told_sessions)).select(
        *SESSION, pl.col("source_sheet").alias("_sheet"), kind=kind
    )
    sets = checked.accepted.get("lift_set")
    if sets is None:
        return frame.with_columns(is_gym=pl.lit(value=False))
    lifted = sets.select(*SESSION, pl.col("source_sheet").alias("_sheet"), is_gym=pl.lit(value=True)).unique()
    return frame.join(lifted, on=[*SESSION, "_sheet"], how="left").with_columns(pl.col("is_gym").fill_null(value=False))


def _held(con: warehouse.Connection, name: str, mine: pl.DataFrame) -> pl.DataFrame:
    """Return the sessions with minutes or an effort that other files gave for the same athletes and days."""
    con.register("wanted", mine.select(DAY).unique())
    query = """
        select s.athlete_id, s.session_date, s.session_no, '' as _sheet, s.kind,
            exists (select 1 from lift_set l where l.athlete_id = s.athlete_id and l.session_date = s.session_date
                    and l.session_no = s.session_no and lower(coalesce(l.source_name, '')) <> lower($name)) as is_gym
        from session s semi join wanted using (athlete_id, session_date)
        where (s.effort_0_10 is not null or s.duration_min is not null)
            and lower(coalesce(s.source_name, '')) <> lower($name)"""
    held = con.sql(query, params={"name": name}).pl()
    con.unregister("wanted")
    return held.select(mine.columns).cast(dict(mine.schema))


def _as_before(con: warehouse.Connection, sha256: str, session: pl.DataFrame) -> pl.DataFrame:
    """Return the number that each session got when the same bytes were loaded before: that of the same line, where
    all of a sheet's day were in then.
    """
    query = """
        select v.athlete_id, v.session_date, coalesce(v.source_sheet, '') as source_sheet, v.source_line,
            min(v.session_no) as _to
        from version_session v join load l using (load_no)
        where l.source_sha256 = $sha and l.undone_at is null group by all having count(distinct v.session_no) = 1"""
    was = con.sql(query, params={"sha": sha256}).pl()
    both = session.select(*SESSION, "source_sheet", "source_line").join(
        was, on=[*DAY, "source_sheet", "source_line"], how="left"
    )
    whole = both.filter(pl.col("_to").is_not_null().all().over([*DAY, "source_sheet"]))
    return whole.select(*SESSION, pl.col("source_sheet").alias("_sheet"), "_to")


def _behind(gym: pl.DataFrame, diary: pl.DataFrame) -> pl.DataFrame:
    """Return where the sessions of gym logs go: to the diary's one of strength, else behind the day's last."""
    days = diary.group_by(DAY).agg(
        strength=pl.col("session_no").filter(pl.col("kind") == GYM).unique(),
        last=pl.col("session_no").max(),
    )
    one = pl.when(pl.col("strength").list.len() == 1).then(pl.col("strength").list.first())
    return gym.join(days, on=DAY).select(
        *SESSION, "_sheet", _to=pl.coalesce(one, pl.col("last") + pl.col("session_no")).cast(pl.Int64)
    )


def _around(diary: pl.DataFrame, lifted: pl.DataFrame) -> pl.DataFrame:
    """Return where the sessions of a diary go on days of which a gym log stands in the record: its one of strength to
    the gym's number, the others in order to those that are free.
    """
    made: list[tuple[object, ...]] = []
    taken = {key: set(some["session_no"]) for key, some in lifted.group_by(DAY)}
    for key, some in diary.sort("session_no").group_by([*DAY, "_sheet"], maintain_order=True):
        theirs = taken.get(key[:2])
        if theirs is None:
            continue
        strength = some.filter(pl.col("kind") == GYM)["session_no"].unique().to_list()
        match = strength[0] if len(strength) == 1 and len(theirs) == 1 else None
        free = (number for number in range(1, 100) if number not in theirs)
        for number in some["session_no"].unique(maintain_order=True):
            made.append((*key[:2], number, key[2], min(theirs) if number == match else next(free)))
    return pl.DataFrame(made, schema={**{n: diary.schema[n] for n in [*SESSION, "_sheet"]}, "_to": pl.Int64},
                        orient="row")  # fmt: skip


def _with(checked: Checked, moved: pl.DataFrame) -> Checked:
    """Return what was checked with the numbers of some sessions changed, in every table that has them."""
    accepted = {}
    for table, frame in checked.accepted.items():
        if not set(SESSION) <= set(frame.columns):
            accepted[table] = frame
            continue
        places = moved.rename({"_sheet": "source_sheet"})
        joined = frame.join(places, on=[*SESSION, "source_sheet"], how="left", maintain_order="left")
        number = pl.coalesce("_to", "session_no").cast(frame.schema["session_no"])
        accepted[table] = joined.with_columns(session_no=number).drop("_to")
    return dataclasses.replace(checked, accepted=accepted)
