"""Methods: every measure with its formula, units, sources and limits, written from the code's own documentation."""

from collections.abc import Mapping, Sequence
from typing import Any

import streamlit as st

from dashboard import wording
from dashboard.parts import page
from dashboard.parts.attention import attention_tables
from dashboard.parts.entrance import open_page
from dashboard.parts.figure import table
from dashboard.parts.marks import text
from dashboard.reads import Opened
from dashboard.screens.hindsight.rule_editor import by_chance

Row = Mapping[str, Any]


def matching(rows: Sequence[Row], wanted: str) -> list[Row]:
    """Return the rows in which every word looked for stands somewhere."""
    words = wanted.lower().split()
    return [r for r in rows if all(w in " ".join(str(v) for v in r.values() if v is not None).lower() for w in words)]


def cautions() -> str:
    """Return the cautions that stand above everything else."""
    return "<ul class='cautions'>" + "".join(f"<li>{text(c)}</li>" for c in wording.CAUTIONS) + "</ul>"


def show_method(
    opened: Opened, method: Row, columns: Sequence[Row], citations: Mapping[str, Row], is_open: bool
) -> None:
    """Show one measure; its columns are read only when it is opened."""
    box = st.expander(
        method["title"] or method["table_name"],
        key=f"method_{method['table_name']}",
        on_change="rerun",
        expanded=is_open,
    )
    if not box.open:
        return
    listed = [
        {
            **c,
            "what": wording.heading(c["column_name"], {**c, "unit": ""}),
            "may": wording.may_be(c),
            "from": wording.source_name(c["source"], citations),
        }
        for c in columns
    ]
    with box:
        page.show(
            f'<div class="method">{text(wording.unindented(method["docstring"] or ""))}</div>'
            + table(
                listed,
                [
                    ("what", wording.COLUMN, None),
                    ("description", wording.MEANING, None),
                    ("unit", wording.UNIT, None),
                    ("may", wording.RANGE, None),
                    ("from", wording.SOURCE, None),
                ],
            )
        )


def show_seen(opened: Opened) -> None:
    """Show what progress sees and imagines on simulated squads, as the bench wrote it."""
    rows = [*opened.rows("seen", order_by=["position"])]
    if not rows:
        return
    said = f"{wording.SEEN_LEDE} {rows[0]['made_on']}, {wording.SEEN_SEED} {rows[0]['seed']}."
    page.show(
        f'<h2 class="ruled">{wording.SEEN}</h2><p class="soft">{text(said)}</p>'
        + table(rows, [(name, head, None) for name, head in wording.SEEN_COLUMNS])
    )


def draw() -> None:
    """Draw the page."""
    opened = open_page(wording.METHODS)
    if opened is None:
        return
    noise = by_chance(opened.rows("readiness_noise") if opened.viewer.is_coach else [])
    page.show(f"<h1>{wording.METHODS}</h1><p class='lede'>{wording.METHODS_LEDE}</p>{cautions()}{noise}")
    wanted = st.text_input(wording.SEARCH, key="wanted", placeholder=wording.SEARCH_EXAMPLE, width=420)
    methods = opened.rows("method", order_by=["kind", "position", "title"])
    columns: dict[str, list[Row]] = {}
    for column in opened.rows("column_doc"):
        columns.setdefault(column["table_name"], []).append(column)
    knowledge: list[Row] = [*opened.rows("knowledge", order_by=["citation"])]
    citations = {k["source_key"]: k for k in knowledge}
    settings: list[Row] = [*opened.rows("setting")]
    caveats: list[Row] = [*opened.rows("caveat", order_by=["code"])]
    if wanted.strip():
        words = wanted.strip()
        methods = [m for m in methods if matching([m], words) or matching(columns.get(m["table_name"], []), words)]
        knowledge, settings, caveats = (matching(rows, words) for rows in (knowledge, settings, caveats))
        if not (methods or knowledge or settings or caveats):
            page.show(f'<p class="empty">{text(wording.nothing_found(words))}</p>')
            return
    if not wanted.strip():
        page.show(attention_tables(opened))
    for kind, title in (("derived", wording.MEASURES), ("record", wording.RECORDED)):
        some = [m for m in methods if m["kind"] == kind]
        if some:
            page.show(f'<h2 class="ruled">{title}</h2>')
            for method in some:
                show_method(opened, method, columns.get(method["table_name"], []), citations, False)
    if not wanted.strip():
        show_seen(opened)
    if settings:
        page.show(
            f'<h2 class="ruled">{wording.SETTINGS}</h2>'
            + table(
                settings,
                [
                    ("words", wording.SETTING, None),
                    ("value", wording.VALUE, None),
                    ("may_be", wording.RANGE, None),
                    ("bears_on", wording.BEARS_ON, None),
                ],
            )
        )
    if caveats:
        page.show(
            f'<h2 class="ruled">{wording.CAVEATS}</h2><p class="soft">{wording.CAVEATS_LEDE}</p>'
            + table(caveats, [("sentence", wording.SENTENCE, None)])
        )
    if knowledge:
        cited = [{**k, "how": wording.strength(k["strength"], k["read"]).strip("()")} for k in knowledge]
        page.show(
            f'<h2 class="ruled">{wording.SOURCES}</h2>'
            + table(
                cited,
                [("citation", wording.SOURCE, None), ("how", wording.EVIDENCE, None), ("note", wording.NOTE, None)],
            )
        )


draw()
