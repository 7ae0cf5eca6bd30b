"""What a page of Methods holds: one measure or table, or one of the lists that belong to all of them."""

from collections.abc import Mapping, Sequence
from typing import Any

from dashboard import wording
from dashboard.parts.attention import attention_tables
from dashboard.parts.figure import table
from dashboard.reads import Opened
from dashboard.wording.attention import ATTENTION
from dashboard.wording.run_error import RULES, RUN_ERROR, RUN_ERROR_COLUMNS, RUN_ERROR_LEDE, RUN_ERROR_WHY
from schemas.html import Markup, html

Row = Mapping[str, Any]
COLUMNS_SHOWN = 12
LISTS = {"settings": wording.SETTINGS, "reasons": wording.CAVEATS, "sources": wording.SOURCES}
PARTS = {"alarms": ATTENTION, "progress": wording.SEEN, "run": RUN_ERROR, **LISTS}
_TABLES = {"settings": "setting", "reasons": "caveat", "sources": "knowledge", "progress": "seen",
           "alarms": "attention_rate", "run": "run_error"}  # fmt: skip
_ORDER = {"reasons": ["code"], "sources": ["citation"], "progress": ["position"], "run": ["position"]}


def rows_of(opened: Opened, part: str) -> list[Row]:
    """Return the rows of a part."""
    return [*opened.rows(_TABLES[part], order_by=_ORDER.get(part, []))]


def has_part(opened: Opened, part: str) -> bool:
    """Return whether the board holds anything of a part."""
    return bool(rows_of(opened, part))


def method_alone(method: Row, columns: Sequence[Row], citations: Mapping[str, Row]) -> Markup:
    """Return one measure: what it is, how it is computed, each of its columns."""
    lines = [
        {
            **column,
            "what": wording.heading(column["column_name"], {**column, "unit": ""}),
            "may": wording.may_be(column),
            "from": wording.source_name(column["source"], citations),
        }
        for column in columns
    ]
    heads = [("what", wording.COLUMN), ("description", wording.MEANING), ("unit", wording.UNIT),
             ("may", wording.RANGE), ("from", wording.SOURCE)]  # fmt: skip
    return html(
        '<h1>{}</h1><div class="method">{}</div>',
        method["title"] or method["table_name"],
        wording.unindented(method["docstring"] or ""),
    ) + _columns(table(lines, [(name, head, None) for name, head in heads]), len(lines))


def _columns(shown: str, count: int) -> Markup:
    """Return the columns, folded away where they are so many that a phone would not come to their end."""
    if count <= COLUMNS_SHOWN:
        return html('<h2 class="ruled">{}</h2>{}', wording.COLUMNS, shown)
    return html("<details><summary>{} ({})</summary>{}</details>", wording.COLUMNS, count, shown)


def part_alone(opened: Opened, part: str) -> Markup:
    """Return one part under its own heading."""
    if part == "alarms":
        return html("<h1>{}</h1>{}", ATTENTION, attention_tables(opened, is_alone=True))
    rows = rows_of(opened, part)
    if part == "progress":
        said = f"{wording.SEEN_LEDE} {rows[0]['made_on']}, {wording.SEEN_SEED} {rows[0]['seed']}."
        shown = table(rows, [(name, head, None) for name, head in wording.SEEN_COLUMNS])
        return html('<h1>{}</h1><p class="soft">{}</p>{}', wording.SEEN, said, shown)
    if part == "run":
        said = f"{RUN_ERROR_LEDE} {wording.SEEN_MADE} {rows[0]['made_on']}, {wording.SEEN_SEED} {rows[0]['seed']}."
        named = [{**row, "rule": RULES.get(row["rule"], row["rule"])} for row in rows]
        shown = table(named, [(name, head, None) for name, head in RUN_ERROR_COLUMNS])
        head = html('<h1>{}</h1><p class="soft">{}</p>{}', RUN_ERROR, said, shown)
        return head + html('<p class="soft">{}</p>', RUN_ERROR_WHY)
    return html("<h1>{}</h1>{}", PARTS[part], _lines(part, rows))


def as_table(part: str, rows: Sequence[Row]) -> Markup:
    """Return lines of a part as a search finds them."""
    return html('<h2 class="ruled">{}</h2>{}', LISTS[part], _lines(part, rows))


def _lines(part: str, rows: Sequence[Row]) -> Markup:
    if part == "settings":
        heads = [("words", wording.SETTING), ("value", wording.VALUE), ("may_be", wording.RANGE),
                 ("bears_on", wording.BEARS_ON)]  # fmt: skip
        return table(rows, [(name, head, None) for name, head in heads])
    if part == "reasons":
        return html('<p class="soft">{}</p>', wording.CAVEATS_LEDE) + table(
            rows, [("sentence", wording.SENTENCE, None)]
        )
    cited = [{**row, "how": wording.strength(row["strength"], row["read"]).strip("()")} for row in rows]
    heads = [("citation", wording.SOURCE), ("how", wording.EVIDENCE), ("note", wording.NOTE)]
    return table(cited, [(name, head, None) for name, head in heads])
