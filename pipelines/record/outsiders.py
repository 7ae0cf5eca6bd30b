"""Rows about athletes whom the one who brings a file does not look after: set aside, with nothing of them kept.

Which groups somebody looks after is logged with the load, so that a replay sets the same rows aside.
"""

import dataclasses
from collections.abc import Sequence

import polars as pl

from pipelines.checks import Checked
from pipelines.checks.faults import SET_ASIDE_SCHEMA
from pipelines.record import warehouse

NOTHING_KEPT = "{}"
_PLACE = ["source_sheet", "source_line"]


def only_of_groups(con: warehouse.Connection, checked: Checked, groups: Sequence[str]) -> Checked:
    """Return what was checked without the rows about athletes of other groups; no groups named means no limit."""
    if not groups:
        return checked
    known = dict(con.sql("select athlete_id, event_group from athlete").fetchall())
    return without_outsiders(checked, known, groups)


def let_in(con: warehouse.Connection, name: str, sha256: str, checked: Checked) -> list[int]:
    """Return the waiting rows that were set aside here and are taken in now that somebody else brings the same file."""
    if not con.execute("select 1 from rejected limit 1").fetchall():
        return []
    waits = warehouse.waiting(con, name).filter(pl.col("row_json") == NOTHING_KEPT)
    if waits.is_empty():
        return []
    same = con.sql("select load_no from load where source_sha256 = $sha", params={"sha": sha256}).pl()
    left = waits.join(same, on="load_no", how="semi")
    return left.join(checked.set_aside, on=_PLACE, how="anti", nulls_equal=True)["reject_no"].to_list()


def without_outsiders(checked: Checked, known: dict[str, str | None], groups: Sequence[str]) -> Checked:
    """Set aside every source row that says something of an athlete outside the groups.

    Args:
        checked: What a file holds.
        known: Event group of each athlete of the record. It counts, whatever the file says of them.
        groups: The event groups of the one who brings the file. An athlete of no known group is outside.
    """
    told = checked.accepted.get("athlete", pl.DataFrame(schema={"athlete_id": pl.String}))
    new = dict(told.select("athlete_id", "event_group").iter_rows()) if "event_group" in told.columns else {}
    whose = {**new, **known}
    inside = [one for one, group in whose.items() if group in groups]
    frames = {name: frame for name, frame in checked.accepted.items() if "athlete_id" in frame.columns}
    if not frames:
        return checked
    rows = pl.concat(
        [frame.select(*_PLACE, "athlete_id") for frame in frames.values()], how="vertical_relaxed"
    ).unique()
    outside = rows.filter(~pl.col("athlete_id").is_in(inside)).sort(_PLACE)
    if outside.is_empty():
        return checked
    reason = (
        f"The athlete is in none of your event groups ({', '.join(sorted(groups))}), so nothing of the row is kept. "
        "The head coach can load the file."
    )
    # The values are left out on purpose: who may not read them does not put them into the record either.
    aside = outside.unique(_PLACE, keep="first", maintain_order=True).select(
        "source_sheet", "source_line", column=pl.lit("athlete_id"), value=pl.lit(None, pl.String),
        reason=pl.lit(reason),
        row_json=pl.lit(NOTHING_KEPT), athlete_id="athlete_id",
    )  # fmt: skip
    places = outside.select(_PLACE).unique()
    kept = {name: frame.join(places, on=_PLACE, how="anti", nulls_equal=True, maintain_order="left")
            for name, frame in checked.accepted.items()}  # fmt: skip
    return dataclasses.replace(
        checked,
        accepted={name: frame for name, frame in kept.items() if frame.height},
        set_aside=pl.concat([checked.set_aside, aside.cast(SET_ASIDE_SCHEMA)]),  # type: ignore[arg-type]
    )
