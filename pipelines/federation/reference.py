"""The reference tables: what is published back to every squad, rounded, once a quarter.

Once, because two tables of nearly the same people, a day apart, differ by who came or left. Counts of people are
rounded down to fives for the same reason; no count of weeks, runs or injuries is told.
"""

import datetime as dt
import math
from collections.abc import Iterator, Mapping, Sequence
from pathlib import Path
from typing import Any

import polars as pl

from pipelines.home.durable import write_durably
from pipelines.home.trouble import plain_words
from schemas.records.reference import ReferenceValue
from schemas.shared.tables import AGE_BANDS

PEOPLE_STEP = 5
# Steps that values are rounded to, in the unit of each: finer ones would tell more of single people than of the cell.
STEPS = {"typical_error": 0.001, "norm": 0.01, "flags": 0.01, "improvement": 0.005}
UNITS = {"typical_error": "s", "norm": "s", "flags": "1", "improvement": "s a year"}
CELL = ("rule", "age_from", "sex", "event_group", "start_kind", "clock_start", "timing_kind")
Answers = Mapping[str, Sequence[Mapping[str, Any]]]


def quarter_of(day: dt.date) -> str:
    """Return the quarter of a day: 2026_q4."""
    return f"{day.year}_q{(day.month + 2) // 3}"


def path_of(folder: Path, quarter: str) -> Path:
    """Return where the reference tables of a quarter stand."""
    return folder / "reference" / f"reference-{quarter.replace('_', '-')}.csv"


def reference_rows(answers: Answers, quarter: str) -> pl.DataFrame:
    """Return the answers as rows of the record table that a squad takes in."""
    rows = [row for question, cells in answers.items() for row in _rows_of(question, cells, quarter)]
    return pl.DataFrame(rows, schema=ReferenceValue.to_schema().types, orient="row")


def publish(folder: Path, answers: Answers, quarter: str) -> tuple[Path, int]:
    """Write the reference tables of a quarter; return where, and how many cells."""
    rows = reference_rows(answers, quarter)
    path = path_of(folder, quarter)
    with plain_words(path):
        write_durably(path, rows.write_csv().encode(), mode=0o644)
    return path, rows.height


def _rows_of(question: str, cells: Sequence[Mapping[str, Any]], quarter: str) -> Iterator[dict[str, object]]:
    step = STEPS[question]
    for cell in cells:
        told = {name: cell.get(name) for name in CELL}
        if question == "flags":
            told["rule"] = f"{told['rule']}, {'injury' if cell['is_injured'] else 'no injury'}"
        age = told.pop("age_from")
        told["age_band"] = None if age is None else AGE_BANDS[age]
        yield {
            **told, "quarter": quarter, "question": question, "unit": UNITS[question],
            "cell": " / ".join(str(value) for value in told.values() if value is not None),
            "low": _rounded(cell.get("low"), step), "middle": _rounded(cell["value"], step),
            "high": _rounded(cell.get("high"), step), "squads_sd": _rounded(cell.get("squads_sd"), step),
            "people": int(cell["people"]) // PEOPLE_STEP * PEOPLE_STEP, "squads": int(cell["squads"]),
        }  # fmt: skip


def _rounded(value: Any, step: float) -> float | None:
    """Return a value to a step; null where it is unknown."""
    return None if value is None or math.isnan(value) else round(round(value / step) * step, 6)
