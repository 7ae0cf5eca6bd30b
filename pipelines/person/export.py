"""All of one person's data as one file: to read (HTML), to open in a spreadsheet (CSV), for programs (JSON with open
Table Schema descriptors).
"""

import datetime as dt
import io
import json
import zipfile
from collections.abc import Iterator, Mapping
from typing import Any

import polars as pl

from pipelines.board import publish
from pipelines.home.folder import Home, Say, say_nothing
from pipelines.outputs import tables as exports
from pipelines.person.erasure import who_is
from pipelines.record import opening, warehouse
from schemas.base import Table
from schemas.derived.registry import derived_models
from schemas.dictionary import table_schema
from schemas.html import Markup, as_html, html, join_html
from schemas.records import RECORDS

FORMAT = "thirdstep-person-1"
AS_WRITTEN = frozenset({"waiting", "account", "trail"})  # may hold free text, or what the person did
_STYLE = (
    "body{font:15px/1.45 system-ui,sans-serif;margin:2rem;color:#14181d;background:#fbfaf6}"
    "table{border-collapse:collapse;margin:.4rem 0 1.6rem;font-size:13.5px}"
    "th,td{text-align:left;padding:3px 12px 3px 0;border-bottom:1px solid #ddd9cf;vertical-align:top}"
)


def export_person(home: Home, athlete_id: str, at: dt.datetime, say: Say = say_nothing, *, notes: bool = True) -> bytes:
    """Return a zip file with every row of a person: record, its history, what waits, what was derived, sign-ins.

    Without ``notes``, as a guardian reads it: free text is left out, and with it what waits as it was written and what
    the person did at sign-in.

    Raises:
        ThirdstepError: There is no such athlete.
    """
    who = who_is(home, athlete_id, say)
    tables = {**_recorded(home, athlete_id, say), **_derived(home, athlete_id), **_access(home, athlete_id)}
    if not notes:
        tables = {name: frame.drop("note", strict=False) for name, frame in tables.items() if name not in AS_WRITTEN}
    models: dict[str, type[Table]] = {**RECORDS, **derived_models()}
    filled = {name: frame for name, frame in tables.items() if frame.height}
    package = {
        "name": "person",
        "profile": "data-package",
        "format": FORMAT,
        "athlete_id": athlete_id,
        "made_at": at.isoformat(),
        "resources": [
            {
                "name": name,
                "path": f"json/{name}.json",
                "schema": table_schema(name, models[name]) if name in models else {"fields": _plain_fields(frame)},
            }
            for name, frame in filled.items()
        ],
    }
    told = io.BytesIO()
    with zipfile.ZipFile(told, "w", zipfile.ZIP_DEFLATED) as archive:
        archive.writestr("read_me_first.html", _page(who.athlete_id, filled, models, at))
        archive.writestr("datapackage.json", json.dumps(package, ensure_ascii=False, indent=1, default=str))
        for name, frame in filled.items():
            archive.writestr(f"csv/{name}.csv", exports.csv_bytes(frame, safe=True))
            archive.writestr(f"json/{name}.json", json.dumps(frame.to_dicts(), ensure_ascii=False, default=str))
    return told.getvalue()


def _recorded(home: Home, athlete_id: str, say: Say) -> dict[str, pl.DataFrame]:
    mine = pl.col("athlete_id") == athlete_id
    found: dict[str, pl.DataFrame] = {}
    loads: set[int] = set()
    with opening.record(home, say, to_look=True) as con:
        for name, shape in warehouse.SHAPES.items():
            if "athlete_id" not in shape.columns:
                continue
            found[name] = warehouse.table(con, name).filter(mine)
            query = f'select * from "version_{name}" where athlete_id = $who order by load_no'
            versions = con.sql(query, params={"who": athlete_id}).pl()
            found[f"history_of_{name}"] = versions
            loads |= set(versions["load_no"].to_list())
        found["waiting"] = warehouse.table(con, "rejected").filter(mine)
        log = warehouse.table(con, "load").filter(pl.col("load_no").is_in(sorted(loads)))
        found["loads_with_rows_of_yours"] = log.select("load_no", "source_name", "kind", "loaded_at", "undone_at")
    return found


def _derived(home: Home, athlete_id: str) -> dict[str, pl.DataFrame]:
    board = publish.current_board(home)
    if board is None:
        return {}
    frames = {name: publish.read_board(board, name) for name, m in derived_models().items()
              if "athlete_id" in m.to_schema().columns}  # fmt: skip
    return {name: frame.filter(pl.col("athlete_id") == athlete_id) for name, frame in frames.items()}


def _access(home: Home, athlete_id: str) -> dict[str, pl.DataFrame]:
    if not home.access.exists():
        return {}
    from pipelines.accounts.accounts import Accounts  # hashing makes it slow to import

    accounts = Accounts(home.access)
    names = set(accounts.names_of(athlete_id))
    rows = [row for row in accounts.trail() if {row[1], row[3]} & {*names, athlete_id}]
    trail = pl.DataFrame(rows, schema=dict.fromkeys(("at", "who", "what", "about"), pl.String), orient="row")
    kept = [{"name": one.name, "role": one.role, "closed_at": one.closed_at, "email": one.email}
            for one in accounts.list() if one.name in names]  # fmt: skip
    schema = {"name": pl.String, "role": pl.String, "closed_at": pl.String, "email": pl.String}
    return {"account": pl.DataFrame(kept, schema=schema), "trail": trail}


def _plain_fields(frame: pl.DataFrame) -> list[dict[str, str]]:
    words = {"String": "string", "Int64": "integer", "Float64": "number", "Boolean": "boolean", "Date": "date"}
    return [{"name": name, "type": words.get(str(kind), "datetime")} for name, kind in frame.schema.items()]


def _page(
    athlete_id: str, tables: Mapping[str, pl.DataFrame], models: Mapping[str, type[Table]], at: dt.datetime
) -> Markup:
    return (
        html('<!doctype html><html lang="en"><meta charset="utf-8"><title>All data of {}</title>', athlete_id)
        + html("<style>{}</style><h1>All data of {}</h1>", as_html(_STYLE), athlete_id)
        + html("<p>Made on {}. Each table stands here, as CSV for a spreadsheet, and as ", f"{at:%d %B %Y, %H:%M}")
        + html("JSON with a description of every column in datapackage.json. It holds health data: keep it safe.</p>")
        + join_html(_section(name, frame, models) for name, frame in tables.items())
        + html("</html>")
    )


def _section(name: str, frame: pl.DataFrame, models: Mapping[str, type[Table]]) -> Markup:
    schema: Any = models[name].to_schema().columns if name in models else {}
    heads = join_html(
        html('<th title="{}">{}</th>', schema[c].description if c in schema else "", c.replace("_", " "))
        for c in frame.columns
    )
    return html("<h2>{}</h2><p>{} rows</p>", name.replace("_", " "), frame.height) + html(
        "<table><thead><tr>{}</tr></thead><tbody>{}</tbody></table>", heads, join_html(_rows(frame))
    )


def _rows(frame: pl.DataFrame) -> Iterator[Markup]:
    for row in frame.iter_rows():
        yield html("<tr>{}</tr>", join_html(html("<td>{}</td>", None if v is None else str(v)) for v in row))
