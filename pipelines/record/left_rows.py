"""A corrected file: which rows of the file it corrects it holds no more."""

import re
from collections.abc import Mapping

import polars as pl

from pipelines.record import warehouse
from schemas.shape import table_shape

CORRECTED = re.compile(
    r"[\s_-]*[(\[]?\b(?:corrected|correction|corr|korrigiert|korrektur|corrig[eé]e?|corregid[oa]|corretto|r[aä]ttad)\b[)\]]?",
    re.I,
)
FEWEST_AGAIN = 0.5  # of the rows of the earlier file that must be there again; else it is another week's; own choice
MOST_SHOWN = 8  # lines named
MOST_ROWS = 100_000  # a longer file is not compared


def base_name(name: str) -> str:
    """Return a file's name without the word that says it is the corrected one."""
    return CORRECTED.sub("", name.lower()).strip()


def is_correction(name: str) -> bool:
    """Return whether a file says by its name that it is a corrected one."""
    return CORRECTED.search(name) is not None


def left_by(con: warehouse.Connection, name: str, sha256: str, accepted: Mapping[str, pl.DataFrame]) -> list[str]:
    """Return a sentence for each earlier load of the file of which rows are not in it any more, and how to take them
    out.

    Only where at least half of the earlier rows are there again: a file of another week under the same name leaves
    nothing. Rows that a third source holds as well are not counted: they would stay.
    """
    if sum(frame.height for frame in accepted.values()) > MOST_ROWS:
        return []
    earlier = con.execute(
        "select load_no, source_name from load where undone_at is null and kind = 'file' and source_sha256 <> $sha"
        " order by load_no",
        {"sha": sha256},
    ).fetchall()
    said = []
    for load_no, source_name in earlier:
        if base_name(source_name) != base_name(name):
            continue
        lines, every = _lines_left(con, load_no, sha256, accepted)
        if lines and len(lines) <= (1 - FEWEST_AGAIN) * every:
            shown = ", ".join(str(line) for line in lines[:MOST_SHOWN]) + (" ..." if len(lines) > MOST_SHOWN else "")
            are = "is" if len(lines) == 1 else "are"
            rows = "1 row" if len(lines) == 1 else f"{len(lines)} rows"
            said.append(
                f"{rows} of {source_name} as loaded before (load {load_no}, line {shown}) {are} not in this file any "
                f"more, and still stored. Undo load {load_no} to take them out; what both hold stays."
            )
    return said


def _lines_left(
    con: warehouse.Connection, load_no: int, sha256: str, accepted: Mapping[str, pl.DataFrame]
) -> tuple[list[int], int]:
    """Return the lines of an earlier load whose rows are nowhere else, and how many lines it has."""
    lines: set[int] = set()
    every: set[int] = set()
    again: set[int] = set()
    for table, frame in accepted.items():
        key = table_shape(table).key
        if table in ("athlete", "exercise") or not set(key) <= set(frame.columns):
            continue
        spelled = ", ".join(key)
        before = con.sql(
            f"select {spelled}, source_line from version_{table} where load_no = $load_no", params={"load_no": load_no}
        ).pl()
        if before.is_empty():
            continue
        others = con.sql(
            f"select distinct {', '.join(f'v.{one}' for one in key)} from version_{table} v join load l using (load_no)"
            " where l.undone_at is null and v.load_no <> $load_no and l.source_sha256 <> $sha",
            params={"load_no": load_no, "sha": sha256},
        ).pl()
        now = pl.concat([frame.select(key), others.select(key)], how="vertical_relaxed").unique()
        gone = before.join(now, on=key, how="anti", nulls_equal=True)
        every |= set(before["source_line"].drop_nulls())
        lines |= set(gone["source_line"].drop_nulls())
        again |= set(before["source_line"].drop_nulls()) - set(gone["source_line"].drop_nulls())
    return sorted(lines - again), len(every)
