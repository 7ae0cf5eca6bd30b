"""A figure: a heading that says the finding, the chart with its alternative text, its formula and rows behind it."""

from collections.abc import Callable, Mapping, Sequence
from typing import Any

import polars as pl
import streamlit as st

from dashboard import downloads as taking
from dashboard import wording
from dashboard.parts import page
from dashboard.parts.marks import SCROLL, more_key, prose, take_links
from dashboard.reads import Opened
from schemas.html import Markup, html, join_html

MOST_ROWS = 60
TITLED, DRAWN = "figure_titled", "figure_drawn"  # the figure above the next "How this is computed"
SHORT = 26  # characters of a cell that are kept on one line
PROVENANCE = ("source_name", "source_sheet", "source_line")
Column = tuple[str, str, Callable[..., str] | None]


def scheme() -> str:
    """Return whether the viewer's page is light or dark."""
    return "dark" if getattr(st.context.theme, "type", None) == "dark" else "light"


def chart(spec: dict[str, Any], rows: Sequence[Mapping[str, Any]], alt: str) -> None:
    """Draw a chart from its cached specification and its rows, and note it for ``explain`` to offer as a picture."""
    st.vega_lite_chart(pl.DataFrame(list(rows), infer_schema_length=None), spec, width="stretch", theme=None, alt=alt)
    st.session_state.setdefault(DRAWN, []).append((spec, list(rows)))


def finding(title: str, caption: str) -> None:
    """Say what a figure shows before it is seen."""
    page.show(html('<div class="finding"><h2>{}</h2><p class="soft">{}</p></div>', title, prose(caption)))
    st.session_state[TITLED], st.session_state[DRAWN] = title, []


def entries(
    rows: Sequence[Mapping[str, Any]],
    columns: Sequence[tuple[str, str]],
    *,
    first: str,
    closed: Sequence[str] = (),
    named: Sequence[str] = (),
) -> Markup:
    """Return a table of sentences; on a phone each row is an entry with its cells below each other.

    ``first``: the column that names the entry; ``closed``: those that open with its key there; ``named``: those that
    stand there on a line of their own, with their heading before them.
    """
    head = join_html(html('<th scope="col">{}</th>', label) for _, label in columns)
    body = []
    for row in rows:
        cells = []
        for key, label in columns:
            kind = " ".join(
                ["first"] * (key == first) + ["rest"] * (key in closed) + ["line"] * (key in (*named, *closed))
            )
            name = html(' data-name="{}"', label) if key in (*named, *closed) else ""
            value = "–" if row.get(key) is None else row[key]
            opens = more_key(str(row.get(first) or ""), wording.OPENS) if key == first and closed else ""
            cells.append(html('<td class="{}"{}>{}{}</td>', kind, name, value, opens))
        body.append(html("<tr data-opens>{}</tr>", join_html(cells)))
    inner = html("<thead><tr>{}</tr></thead><tbody>{}</tbody>", head, join_html(body))
    return html('<table class="plain entries">{}</table>', inner)


def table(rows: Sequence[Mapping[str, Any]], columns: Sequence[Column], caption: str = "") -> Markup:
    """Return a plain table, numbers to the right, unknown values as a dash."""
    if not rows:
        return Markup()
    head = join_html((html('<th scope="col"{}>{}</th>', _align(rows, key), label) for key, label, _ in columns))
    body = []
    for row in rows:
        cells = []
        for key, _, written in columns:
            value = row.get(key)
            shown = (
                "–"
                if value is None
                else wording.cell(value, key)
                if written is wording.cell
                else written(value)
                if written
                else value
            )
            cells.append(html("<td{}>{}</td>", _align(rows, key, str(shown)), shown))
        body.append(html("<tr>{}</tr>", join_html(cells)))
    said = html("<caption>{}</caption>", caption) if caption else ""
    inner = html("{}<thead><tr>{}</tr></thead><tbody>{}</tbody>", said, head, join_html(body))
    return html('{}<table class="plain">{}</table></div>', SCROLL, inner)


def _align(rows: Sequence[Mapping[str, Any]], key: str, shown: str = "") -> Markup:
    """Return the class of a cell: numbers to the right, short texts on one line."""
    first = next((r[key] for r in rows if r.get(key) is not None), None)
    is_number = isinstance(first, (int, float)) and not isinstance(first, bool)
    names = ["num"] * is_number + ["short"] * (0 < len(shown) <= SHORT)
    return html(' class="{}"', " ".join(names)) if names else Markup()


def record_table(opened: Opened, name: str, rows: Sequence[Mapping[str, Any]]) -> Markup:
    """Return rows of a board table under their labels, with file, sheet and line where each came from."""
    if not rows:
        return html('<p class="soft">{}</p>', wording.NO_ROWS_BEHIND)
    docs = {d["column_name"]: d for d in opened.rows("column_doc", {"table_name": name})}
    skipped = {"athlete_id", "load_no", "source_sha256", "entered_at", *PROVENANCE}
    keys = [k for k in rows[0] if k not in skipped and any(r[k] is not None for r in rows)]
    columns: list[Column] = [(k, wording.heading(k, docs.get(k)), wording.cell) for k in keys]
    shown = [{**r, "_from": wording.place(r)} for r in rows[:MOST_ROWS]]
    if any(r["_from"] for r in shown):
        columns.append(("_from", wording.FROM_FILE, None))
    more = html('<p class="soft">{}</p>', wording.more_rows(len(rows) - MOST_ROWS)) if len(rows) > MOST_ROWS else ""
    return table(shown, columns) + more


def explain(
    opened: Opened,
    key: str,
    tables: Sequence[str],
    behind: Callable[[], Sequence[tuple[str, Sequence[Mapping[str, Any]]]]],
    label: str = wording.HOW_COMPUTED,
    worked: Callable[[], Sequence[str]] | None = None,
    plain: Callable[[], Sequence[str]] | None = None,
) -> None:
    """Offer the formula, the sources and the rows behind a figure; they are read only once it is opened.

    ``worked``: the formula with the numbers of this figure, in lines; they stand first. ``plain``: what an athlete or a
    guardian reads in its place; to them formulas are a link to Methods, and rows are files to take away.
    """
    pictures, title = st.session_state.pop(DRAWN, []), st.session_state.pop(TITLED, None)
    box = st.expander(label, key=f"how_{key}", on_change="rerun")
    if not box.open:
        return
    if opened.viewer.is_tied:
        with box:
            page.show(_plainly(opened, tables, behind(), plain() if plain else []))
        return
    with box:
        parts = [_pictures(opened, key, title or key, pictures)]
        lines = worked() if worked else []
        if lines:
            told = join_html(html("<li>{}</li>", prose(line)) for line in lines)
            parts.append(html('<h3>{}</h3><ul class="worked">{}</ul>', wording.WITH_THESE_NUMBERS, told))
        for name, rows in behind():
            heading = html("<h3>{}{}</h3>", wording.rows_behind(name), take_rows(opened, name, rows))
            parts.append(heading + record_table(opened, name, rows))
        parts += [_method(opened, name) for name in tables]
        page.show(join_html(parts))


def _method(opened: Opened, name: str) -> Markup:
    """Return a method in full with its sources, closed: who asks for the numbers has them before it."""
    method = opened.rows("method", {"table_name": name})
    said = html('<div class="method">{}</div>', wording.unindented(method[0]["docstring"])) if method else ""
    found = sources(opened, name)
    if not said and not found:
        return Markup()
    title = method[0]["title"] if method else name.replace("_", " ")
    return html("<details><summary>{}</summary>{}{}</details>", wording.method_in_full(title), said, found)


def _plainly(
    opened: Opened,
    tables: Sequence[str],
    behind: Sequence[tuple[str, Sequence[Mapping[str, Any]]]],
    said: Sequence[str],
) -> Markup:
    """Return sentences in place of formulas and rows, and where those are."""
    told = html('<ul class="worked">{}</ul>', join_html(html("<li>{}</li>", line) for line in said)) if said else ""
    methods = opened.rows("method", {"table_name": list(tables)})
    links = [
        html('<a href="methods?method={}">{}</a>', m["table_name"], m["title"] or m["table_name"]) for m in methods
    ]
    more = html('<p class="soft">{} {}.</p>', wording.PLAIN_METHODS, join_html(links, ", ")) if links else ""
    rows = [
        html("<li>{}{}</li>", wording.RECORD_TITLES.get(name, name.replace("_", " ")), take_rows(opened, name, found))
        for name, found in behind
        if found
    ]
    away = html('<p class="soft">{}</p><ul class="soft">{}</ul>', wording.PLAIN_ROWS, join_html(rows)) if rows else ""
    return join_html([told, more, away])


def take_rows(opened: Opened, name: str, rows: Sequence[Mapping[str, Any]]) -> Markup:
    """Return links that take rows away as CSV or as a workbook."""
    if not rows:
        return Markup()
    links = taking.rows_links(opened.viewer, name, rows)
    return html(' <span class="take">{}</span>', take_links(links))


def _pictures(
    opened: Opened, key: str, title: str, pictures: Sequence[tuple[dict[str, Any], list[Mapping[str, Any]]]]
) -> Markup:
    """Return links that take the charts of a figure away as pictures."""
    if not pictures:
        return Markup()
    said = [
        take_links(taking.picture_links(opened.viewer, f"{key}-{number}" if number > 1 else key, title, spec, rows))
        for number, (spec, rows) in enumerate(pictures, start=1)
    ]
    return html('<p class="take">{} {}</p>', wording.AS_PICTURE, join_html(said, ", "))


def sources(opened: Opened, name: str) -> Markup:
    """Return the sources of knowledge that a table's columns name."""
    keys = sorted({d["source"] for d in opened.rows("column_doc", {"table_name": name}) if d["source"]})
    found = opened.rows("knowledge", {"source_key": keys}) if keys else []
    items = join_html(
        html('<li>{} <span class="soft">{}</span></li>', k["citation"], wording.strength(k["strength"], k["read"]))
        for k in found
    )
    return html("<ul>{}</ul>", items) if items else Markup()
