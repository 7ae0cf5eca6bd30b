"""The data dictionary: what every table and column means, written from the models alone.

Three forms of one thing: frames (for the board and its Methods page), Markdown (``schemas/DICTIONARY.md``) and the open
Table Schema standard as JSON (for anyone who checks files without us).
"""

import inspect
from collections.abc import Mapping
from typing import Any

import polars as pl

from schemas.base import Table, table_key, table_parents
from schemas.records import RECORDS

_TABLE_SCHEMA_TYPES = {
    "String": "string",
    "Int64": "integer",
    "Float64": "number",
    "Boolean": "boolean",
    "Date": "date",
    "Datetime": "datetime",
    "List": "array",
}


def _type_name(dtype: Any) -> str:
    """Return the Table Schema word for a pandera dtype ("any" for one the standard has no word for)."""
    text = str(dtype).removeprefix("DataType(").removesuffix(")")
    return next((word for start, word in _TABLE_SCHEMA_TYPES.items() if text.startswith(start)), "any")


def _constraints(field: Any) -> dict[str, Any]:
    """Return what a column's checks allow, in Table Schema's words."""
    words = {
        "greater_than_or_equal_to": ("minimum", "min_value"),
        "greater_than": ("exclusiveMinimum", "min_value"),
        "less_than_or_equal_to": ("maximum", "max_value"),
        "less_than": ("exclusiveMaximum", "max_value"),
        "isin": ("enum", "allowed_values"),
        "str_matches": ("pattern", "pattern"),
    }
    found: dict[str, Any] = {"required": not field.nullable}
    for check in field.checks:
        word, argument = words[check.name]
        value = check.statistics[argument]
        found[word] = list(value) if word == "enum" else getattr(value, "pattern", value)
    return found


def range_text(field: Any) -> str:
    """Return what a column's checks allow as a few words, "" where anything of its type goes."""
    allowed = _constraints(field)
    if "enum" in allowed:
        return ", ".join(allowed["enum"])
    low = allowed.get("minimum", allowed.get("exclusiveMinimum"))
    high = allowed.get("maximum", allowed.get("exclusiveMaximum"))
    low_text = f"more than {low:g}" if "exclusiveMinimum" in allowed else None if low is None else f"{low:g}"
    high_text = f"less than {high:g}" if "exclusiveMaximum" in allowed else None if high is None else f"{high:g}"
    if low_text and high_text:
        return f"{low_text} to {high_text}"
    if low_text:
        return low_text if low_text.startswith("more") else f"{low_text} or more"
    if high_text:
        return high_text if high_text.startswith("less") else f"{high_text} or less"
    return ""


def column_docs(models: Mapping[str, type[Table]] = RECORDS) -> pl.DataFrame:
    """Return one row per table and column: what it means, its unit, range, source and whether it is part of the key."""
    rows = []
    for table_name, model in models.items():
        key = table_key(model)
        for position, (name, field) in enumerate(model.to_schema().columns.items(), start=1):
            notes = field.metadata or {}
            rows.append(
                {
                    "table_name": table_name,
                    "position": position,
                    "column_name": name,
                    "label": notes.get("label") or name,
                    "description": field.description or "",
                    "type": _type_name(field.dtype),
                    "unit": notes.get("unit", ""),
                    "range_text": range_text(field),
                    "source": notes.get("source", ""),
                    "example": notes.get("example", ""),
                    "nullable": bool(field.nullable),
                    "is_key": name in key,
                }
            )
    return pl.DataFrame(rows)


def method_docs(models: Mapping[str, type[Table]] = RECORDS, kind: str = "record") -> pl.DataFrame:
    """Return one row per table: its title and its own words (the model's docstring)."""
    return pl.DataFrame(
        [
            {
                "table_name": name,
                "title": (model.Config.metadata or {}).get("title") or name.replace("_", " ").capitalize(),
                "kind": kind,
                "docstring": inspect.getdoc(model) or "",
                "position": position,
            }
            for position, (name, model) in enumerate(models.items(), start=1)
        ],
        schema={
            "table_name": pl.String,
            "title": pl.String,
            "kind": pl.String,
            "docstring": pl.String,
            "position": pl.Int64,
        },
    )


def table_schema(table_name: str, model: type[Table]) -> dict[str, Any]:
    """Return a table as a descriptor of the open Table Schema standard (Frictionless Table Schema, v1 words)."""
    key = table_key(model)
    fields = [
        {
            "name": name,
            "title": (field.metadata or {}).get("label") or name,
            "type": _type_name(field.dtype),
            "description": field.description or "",
            "unit": (field.metadata or {}).get("unit", ""),
            "constraints": _constraints(field),
        }
        for name, field in model.to_schema().columns.items()
    ]
    links = [
        {"fields": table_key(RECORDS[parent]), "reference": {"resource": parent, "fields": table_key(RECORDS[parent])}}
        for parent in table_parents(model)
    ]
    return {
        "name": table_name,
        "description": inspect.getdoc(model) or "",
        "fields": fields,
        "primaryKey": key,
        "foreignKeys": links,
        "missingValues": ["", "-"],
    }


def as_markdown(models: Mapping[str, type[Table]] = RECORDS, heading: str = "Record tables") -> str:
    """Return the dictionary as Markdown, one table per table."""
    lines = [f"# {heading}", ""]
    docs = column_docs(models)
    for name, model in models.items():
        lines += [f"## {name}", "", inspect.getdoc(model) or "", ""]
        lines += [f"Key: {', '.join(table_key(model))}", ""]
        lines += ["| column | meaning | unit | range | may be unknown |", "| --- | --- | --- | --- | --- |"]
        for row in docs.filter(pl.col("table_name") == name).iter_rows(named=True):
            meaning = row["description"].replace("|", "\\|")
            unknown = "yes" if row["nullable"] else "no"
            lines.append(f"| `{row['column_name']}` | {meaning} | {row['unit']} | {row['range_text']} | {unknown} |")
        lines.append("")
    return "\n".join(lines)
