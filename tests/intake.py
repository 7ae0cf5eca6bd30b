"""One way through readers, layouts and checks for the tests of the three rooms."""

import datetime as dt
import io
from collections.abc import Sequence

import openpyxl
import polars as pl

from pipelines.checks import Checked, Known, check
from pipelines.layouts import lay_out, plain_tables
from pipelines.readers import read_tables
from pipelines.record.known import known_names
from schemas.intake import LayoutOptions

AS_OF = dt.date(2026, 11, 20)
ROSTER = {"ana-berg": "Ana Berg", "bea-lund": "Béa Lünd", "cleo-dahl-frost": "Cleo Dahl-Frost"}  # invented
KNOWN = Known(pl.DataFrame({"athlete_id": list(ROSTER), "display_name": list(ROSTER.values())}), AS_OF)


def take_in(content: str | bytes, name: str = "squad.csv", known: Known = KNOWN, **options: object) -> Checked:
    data = content.encode() if isinstance(content, str) else content
    answers = LayoutOptions(**options)  # type: ignore[arg-type]
    names = known_names(known.athletes)
    plain = [one for table in read_tables(name, data) for one in plain_tables(table, names, answers)]
    return check([lay_out(table, answers, names) for table in plain], known)


def workbook(*lines: Sequence[object]) -> bytes:
    """Return a workbook of one sheet with these lines."""
    made = openpyxl.Workbook()
    for line in lines:
        made.active.append(line)
    written = io.BytesIO()
    made.save(written)
    return written.getvalue()


def lines_set_aside(checked: Checked) -> list[int]:
    return checked.set_aside["source_line"].unique().sort().to_list()


def reasons(checked: Checked, line: int | None = None) -> str:
    frame = checked.set_aside if line is None else checked.set_aside.filter(pl.col("source_line") == line)
    return " | ".join(frame["reason"].to_list())


def rows(checked: Checked, table: str, *columns: str) -> list[tuple]:  # type: ignore[type-arg]
    return checked.accepted[table].select(columns).rows()
