"""Runs without numbers of their own: a second sheet of a day is a second set of runs, or says the same ones again."""

import dataclasses

import polars as pl

from pipelines.checks import RUN_TABLES, Checked, counted_on
from pipelines.errors import ThirdstepError
from pipelines.record import warehouse
from pipelines.record.history import listed, quoted
from schemas.shape import table_shape

RUN = ["athlete_id", "session_date", "session_no", "rep_no"]
SAME_SHARE = 0.5  # share of the runs of a sheet that must stand in the record alike, for it to be a copy; own choice


def set_of_their_own(con: warehouse.Connection, name: str, checked: Checked) -> Checked:
    """Return what was checked with the runs of its sheets counted on from those that other files gave for the same
    days.

    A sheet whose runs stand in the record already, at least half of them with every time alike, is a copy: its numbers
    stay, so that the same is unchanged and another value is told as one.
    """
    split = checked.accepted.get("split", checked.accepted.get("step"))
    if not checked.made_numbers or split is None or split.is_empty():
        return checked
    held = _held(con, name, split)
    if held.is_empty():
        return checked
    accepted = dict(checked.accepted)
    for sheet in dict.fromkeys(checked.made_numbers):
        mine = {t: f.filter(pl.col("source_sheet") == sheet) for t, f in accepted.items() if t in RUN_TABLES}
        if "split" in mine and _is_copy(mine["split"], held):
            continue
        last = held.group_by(RUN[:3]).agg(_last=pl.col("rep_no").max())
        for table, frame in mine.items():
            rest = accepted[table].filter(pl.col("source_sheet") != sheet)
            accepted[table] = pl.concat([rest, counted_on(frame, last).select(rest.columns)])
    return dataclasses.replace(checked, accepted=accepted)


def beside(con: warehouse.Connection, checked: Checked) -> Checked:
    """Return what was checked as a run, set or trial of its own beside those that the record holds under its numbers.

    Raises:
        ThirdstepError: A table has no running number, so that only one row can hold.
    """
    accepted = {}
    for name, frame in checked.accepted.items():
        shape = table_shape(name)
        number = next((one for one in ("rep_no", "set_no", "trial_no") if one in shape.key), None)
        if number is None:
            if name not in ("session", "athlete"):
                raise ThirdstepError(f"Only one row of '{name}' can hold for a day. Keep one of them, or dismiss both.")
            accepted[name] = frame
            continue
        within = [
            "athlete_id",
            *(one for one in shape.key if one not in ("athlete_id", number, "distance_m", "step_no")),
        ]
        con.register("wanted", frame.select(within).unique())
        own = listed(within)
        held = f"{quoted(name)} semi join wanted using ({own})"
        last = con.sql(f"select {own}, max({number}) as _last from {held} group by {own}").pl()
        con.unregister("wanted")
        first = frame[number].min()
        joined = frame.join(last, on=within, how="left", maintain_order="left")
        moved = pl.col(number) - pl.lit(first) + 1 + pl.col("_last").fill_null(0)
        accepted[name] = joined.with_columns(moved.cast(pl.Int64).alias(number)).drop("_last")
    return dataclasses.replace(checked, accepted=accepted)


def _held(con: warehouse.Connection, name: str, rows: pl.DataFrame) -> pl.DataFrame:
    """Return the splits of other files for the athletes and days of some rows."""
    con.register("wanted", rows.select(RUN[:2]).unique())
    query = """
        select r.athlete_id, r.session_date, r.session_no, r.rep_no, s.distance_m, s.elapsed_s
        from rep r semi join wanted using (athlete_id, session_date)
        left join split s using (athlete_id, session_date, session_no, rep_no)
        where lower(coalesce(r.source_name, '')) <> lower($name)"""
    held = con.sql(query, params={"name": name}).pl()
    con.unregister("wanted")
    return held


def _is_copy(mine: pl.DataFrame, held: pl.DataFrame) -> bool:
    key = [*RUN, "distance_m"]
    beside = mine.select(*key, "elapsed_s").join(held.drop_nulls("elapsed_s"), on=key, how="left", suffix="_held")
    runs = beside.group_by(RUN).agg(
        same=((pl.col("elapsed_s") - pl.col("elapsed_s_held")).abs() < 1e-9).fill_null(value=False).all(),
        there=pl.col("elapsed_s_held").is_not_null().any(),
    )
    there = runs.filter("there")
    return there.height > 0 and int(there["same"].sum()) >= SAME_SHARE * there.height
