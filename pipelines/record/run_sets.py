"""Runs without numbers of their own: a second sheet of a day is a second set of runs, or says the same ones again."""

import dataclasses
from typing import Any

import polars as pl

from pipelines.checks import RUN_TABLES, Checked
from pipelines.errors import ThirdstepError
from pipelines.record import warehouse
from pipelines.record.history import listed, quoted
from schemas.shape import table_shape

RUN = ["athlete_id", "session_date", "session_no", "rep_no"]
SAME_SHARE = 0.5  # share of the runs of a sheet that must stand in the record alike, for it to be a copy; own choice


def set_of_their_own(con: warehouse.Connection, name: str, checked: Checked, sha256: str = "") -> Checked:
    """Return what was checked with the runs of its sheets counted on from those that other files gave for the same
    days.

    A sheet whose runs stand in the record already, at least half of them with every time alike, is a copy: its numbers
    stay, so that the same is unchanged and another value is told as one. A file that is loaded again keeps the numbers
    its runs have, whatever other files brought since.
    """
    split = checked.accepted.get("split", checked.accepted.get("step"))
    if not checked.made_numbers or split is None or split.is_empty():
        return checked
    held = _held(con, name, split)
    if held.is_empty():
        return checked
    numbered = _numbered(con, name, split)
    accepted = dict(checked.accepted)
    for sheet in dict.fromkeys(checked.made_numbers):
        mine = {t: f.filter(pl.col("source_sheet") == sheet) for t, f in accepted.items() if t in RUN_TABLES}
        runs = pl.concat([one.select(*RUN, "source_line") for one in mine.values()]).group_by(RUN).agg(
            line=pl.col("source_line").min()
        )  # fmt: skip
        known = _as_before(con, sha256, sheet, runs)
        left = runs.join(known, on=RUN, how="anti")
        if left.height and not ("split" in mine and _is_copy(mine["split"], held)):
            known = pl.concat([known, _free_numbers(left, numbered)])
        for table, frame in mine.items():
            rest = accepted[table].filter(pl.col("source_sheet") != sheet)
            moved = frame.join(known, on=RUN, how="left", maintain_order="left")
            moved = moved.with_columns(rep_no=pl.coalesce("_now", "rep_no")).drop("_now")
            accepted[table] = pl.concat([rest, moved.select(rest.columns)])
    return dataclasses.replace(checked, accepted=accepted)


def _as_before(con: warehouse.Connection, sha256: str, sheet: str, runs: pl.DataFrame) -> pl.DataFrame:
    """Return the number that each run got when the same bytes were loaded before: the run of the same line of the
    sheet.

    Of athletes and days of which some run was not in then, none is returned.
    """
    query = """
        select v.athlete_id, v.session_date, v.session_no, v.rep_no as _now, min(v.source_line) as line
        from version_rep v join load l using (load_no)
        where l.source_sha256 = $sha and l.undone_at is null and coalesce(v.source_sheet, '') = $sheet group by all"""
    before = con.sql(query, params={"sha": sha256, "sheet": sheet or ""}).pl()
    place = [*RUN[:3], "line"]
    nth = {n: pl.int_range(pl.len()).over(place, order_by=n).alias("_nth") for n in ("rep_no", "_now")}
    mine = runs.with_columns(nth["rep_no"], _runs=pl.len().over(place))
    was = before.with_columns(nth["_now"], _runs=pl.len().over(place))
    both = mine.join(was, on=[*place, "_nth", "_runs"], how="left")
    whole = both.filter(pl.col("_now").is_not_null().all().over(RUN[:3]))
    return whole.select(*RUN, "_now")


def _free_numbers(runs: pl.DataFrame, numbered: pl.DataFrame) -> pl.DataFrame:
    """Return runs with the numbers they get: the first, second ... number free behind the runs that other files had
    given of that session before this one first gave any.
    """
    others, own = numbered.filter(~pl.col("is_own")), numbered.filter("is_own")
    first = own.group_by(RUN[:3]).agg(_first=pl.col("load_no").min(), _at=pl.col("loaded_at").min())
    before = others.join(first, on=RUN[:3], how="left").filter(
        pl.when(pl.col("_first").is_null()).then(pl.col("undone_at").is_null())
        .otherwise((pl.col("load_no") < pl.col("_first"))
                   & (pl.col("undone_at").is_null() | (pl.col("undone_at") > pl.col("_at"))))
    )  # fmt: skip
    last = {tuple(row[:3]): row[3] for row in before.group_by(RUN[:3]).agg(pl.col("rep_no").max()).iter_rows()}
    in_force = pl.col("undone_at").is_null()
    taken = others.filter(in_force).join(own.filter(in_force), on=RUN, how="anti").select(RUN)
    taken_of: dict[tuple[Any, ...], set[int]] = {}
    for *session, number in taken.iter_rows():
        taken_of.setdefault(tuple(session), set()).add(number)
    rows = []
    for *session, number in runs.select(RUN).iter_rows():
        key = tuple(session)
        now, free = last.get(key, 0), 0
        while free < number:
            now += 1
            free += now not in taken_of.get(key, ())
        rows.append((*session, number, now))
    return pl.DataFrame(rows, schema={**{n: runs.schema[n] for n in RUN}, "_now": pl.Int64}, orient="row")


def _numbered(con: warehouse.Connection, name: str, rows: pl.DataFrame) -> pl.DataFrame:
    """Return the runs that any load gave for the athletes and days of some rows: which load, when, whether this
    file's.
    """
    con.register("wanted", rows.select(RUN[:2]).unique())
    query = """
        select v.athlete_id, v.session_date, v.session_no, v.rep_no, l.load_no, l.loaded_at, l.undone_at,
            lower(coalesce(l.source_name, '')) = lower($name) as is_own
        from version_rep v join load l using (load_no) semi join wanted using (athlete_id, session_date)"""
    found = con.sql(query, params={"name": name}).pl()
    con.unregister("wanted")
    return found


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
