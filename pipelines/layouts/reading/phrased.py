"""Columns of short texts that say several things: 'laser, blocks', 'left calf'. What is made of them, or asked."""

import dataclasses

from pipelines.layouts.rows.sheet_shape import SheetShape
from schemas.shape import table_shape

PLACE, SIDE = "pain_site", "pain_side"  # of a check-in; the side is a helper, told with the place


def with_phrases(found: SheetShape) -> SheetShape:
    """Return a sheet whose columns of short texts are all used, or stand among those that are asked about.

    In a check-in a text that names a place on the body is where it hurts, and the side beside it is told with it.
    """
    match, phrased = found.match, dict(found.phrased)
    ignored = list(match.ignored)
    columns = dict(match.columns)
    if match.main == "checkin" and ("checkin", PLACE) not in columns and "site" in phrased:
        columns["checkin", PLACE] = phrased["site"]
        phrased = {name: one for name, one in phrased.items() if one is not phrased["site"]}
    hurts = [one for one in ignored if "site" in one.names]
    if match.main == "checkin" and ("checkin", PLACE) not in columns and len(hurts) == 1:
        columns["checkin", PLACE] = hurts[0]
        ignored.remove(hurts[0])
    side = [one for one in ignored if one.names[:1] == ("side",)]
    if ("checkin", PLACE) in columns and match.main == "checkin" and len(side) == 1:
        columns["checkin", SIDE] = side[0]
        ignored.remove(side[0])
    used = {one.place for one in columns.values()}
    idle = [one for name, one in phrased.items() if not _is_used(found, name) and one.place not in used]
    idle = [one for one in idle if not any(_is_used(found, name) for name, other in phrased.items() if other is one)]
    for one in idle:
        if one not in ignored:
            ignored.append(one)
    phrased = {name: one for name, one in phrased.items() if one not in idle}
    made = dataclasses.replace(match, columns=columns, ignored=ignored)
    return dataclasses.replace(found, match=made, phrased=phrased)


def _is_used(found: SheetShape, name: str) -> bool:
    """Return whether a table that the sheet fills has a column for what a text says."""
    tables = {found.match.main, *(table for table, _ in found.match.columns)}
    if found.shape not in ("long", "tests", "others", "own") or tables & {"split", "step"}:
        tables |= {"rep", "session", "split"}
    return any(name in table_shape(table).columns for table in tables if table != "other_measure")
