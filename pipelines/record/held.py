"""Cells held back because another file given together with this one says otherwise; they wait, to be settled."""

import dataclasses
import json
from collections.abc import Mapping, Sequence
from typing import Any

import polars as pl

from pipelines.checks import Checked
from pipelines.checks.faults import ONLY_CELL, SET_ASIDE, SET_ASIDE_SCHEMA
from schemas.shape import table_shape


def hold(checked: Checked, held: Sequence[Mapping[str, Any]]) -> Checked:
    """Return what was checked without the cells that are held back: a cell alone, or the record that needs it."""
    if not held:
        return checked
    accepted = dict(checked.accepted)
    aside = []
    for cell in held:
        frame = accepted.get(cell["table"])
        if frame is None or cell["column"] not in frame.columns:
            continue
        here = pl.all_horizontal(
            pl.col("source_sheet").fill_null("") == cell["sheet"],
            pl.col("source_line") == cell["line"],
            *(pl.col(name).cast(pl.String) == said for name, said in cell["key"].items() if name in frame.columns),
        )
        rows = frame.filter(here)
        if rows.is_empty():
            continue
        if cell["column"] in table_shape(cell["table"]).must_have:
            accepted[cell["table"]] = frame.filter(~here)
        else:
            empty = pl.when(here).then(None).otherwise(pl.col(cell["column"])).alias(cell["column"])
            accepted[cell["table"]] = frame.with_columns(empty)
        aside.append(
            {
                "source_sheet": cell["sheet"], "source_line": cell["line"], "column": cell["column"],
                "value": cell["value"], "reason": cell["reason"].replace(SET_ASIDE, ONLY_CELL),
                "row_json": json.dumps(cell["key"], ensure_ascii=False, sort_keys=True),
                "athlete_id": rows["athlete_id"][0] if "athlete_id" in rows.columns else None,
            }
        )  # fmt: skip
    told = pl.concat([checked.set_aside, pl.DataFrame(aside, schema=SET_ASIDE_SCHEMA)])
    return dataclasses.replace(
        checked, accepted={name: frame for name, frame in accepted.items() if frame.height}, set_aside=told
    )
