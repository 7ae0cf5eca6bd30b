"""Methods: contents, and a page for each measure and table, written from the code's own documentation."""

from collections.abc import Mapping, Sequence
from typing import Any

import streamlit as st

from dashboard import wording
from dashboard.parts import page
from dashboard.parts.entrance import open_page
from dashboard.parts.marks import empty
from dashboard.parts.week_sheet import link
from dashboard.reads import Opened, query_value
from dashboard.screens.hindsight.rule_editor import by_chance
from dashboard.screens.methods import sections
from schemas.html import Markup, html, join_html

Row = Mapping[str, Any]
KINDS = (("derived", wording.MEASURES), ("record", wording.RECORDED))


def matching(rows: Sequence[Row], wanted: str) -> list[Row]:
    """Return the rows in which every word looked for stands somewhere."""
    words = wanted.lower().split()
    return [r for r in rows if all(w in " ".join(str(v) for v in r.values() if v is not None).lower() for w in words)]


def cautions() -> Markup:
    """Return the cautions that stand above everything else."""
    return html("<ul class='cautions'>") + join_html(html("<li>{}</li>", c) for c in wording.CAUTIONS) + html("</ul>")


def listed(title: str, links: Sequence[str]) -> Markup:
    """Return a heading with links below it; nothing where there are none."""
    if not links:
        return Markup()
    lines = join_html(html("<li>{}</li>", one) for one in links)
    return html('<h2 class="ruled">{}</h2><ul class="contents">{}</ul>', title, lines)


def to_method(method: Row, before: str = "", after: str = "") -> str:
    """Return a link to the page of one measure or table."""
    return link(f"{before}{method['title'] or method['table_name']}{after}", {"method": method["table_name"]})


def of_methods(methods: Sequence[Row]) -> Markup:
    """Return the measures and tables by kind, each a link to its own page."""
    return join_html((listed(title, [to_method(m) for m in methods if m["kind"] == kind]) for kind, title in KINDS))


def contents(opened: Opened, methods: Sequence[Row]) -> str:
    """Return the contents: the measures, the tables, and what else there is to read."""
    more = [link(title, {"part": name}) for name, title in sections.PARTS.items() if sections.has_part(opened, name)]
    return listed(wording.MORE, more) + of_methods(methods)


def found(opened: Opened, methods: Sequence[Row], columns: Mapping[str, Sequence[Row]], wanted: str) -> str:
    """Return what a search finds: methods as links, then the lines of settings, reasons and sources."""
    some = [m for m in methods if matching([m], wanted) or matching(columns.get(m["table_name"], []), wanted)]
    lines = join_html(
        sections.as_table(name, rows)
        for name in sections.LISTS
        if (rows := matching(sections.rows_of(opened, name), wanted))
    )
    return (of_methods(some) + lines) or empty(wording.nothing_found(wanted))


def one_alone(opened: Opened, methods: Sequence[Row], columns: Mapping[str, Sequence[Row]]) -> Markup:
    """Return the method or part that the address names, with the ones before and after; "" where it names none."""
    asked, part = query_value("method") or "", query_value("part") or ""
    by_name = {m["table_name"]: m for m in methods}
    if asked in by_name:
        at = list(by_name).index(asked)
        others = [to_method(m, before="← ") for m in methods[max(at - 1, 0) : at]]
        others += [to_method(m, after=" →") for m in methods[at + 1 : at + 2]]
        citations = {k["source_key"]: k for k in opened.rows("knowledge")}
        said = sections.method_alone(by_name[asked], columns.get(asked, []), citations)
        return html('{}<p class="soft around">{}</p>', said, join_html(others, " · "))
    if part in sections.PARTS and sections.has_part(opened, part):
        return sections.part_alone(opened, part)
    return empty(wording.NO_SUCH_METHOD) if asked or part else Markup()


def act_on(act: dict[str, Any]) -> None:
    """Put a choice into the address before the page is drawn again."""
    if act.get("act") == "go":
        asked = dict(one.split("=", 1) for one in str(act.get("go", "")).split("&") if "=" in one)
        st.session_state["wanted"] = ""
        st.query_params.from_dict({k: v for k, v in asked.items() if k in ("method", "part")})


def draw() -> None:
    """Draw the page."""
    opened = open_page(wording.METHODS)
    if opened is None:
        return
    methods = opened.rows("method", order_by=["kind", "position", "title"])
    columns: dict[str, list[Row]] = {}
    for column in opened.rows("column_doc"):
        columns.setdefault(column["table_name"], []).append(column)
    alone = one_alone(opened, methods, columns)
    if alone:
        back = link(wording.ALL_METHODS, {})
        page.show_sheet(html('<p class="soft">← {}</p>{}', back, alone), "methods_alone", act_on)
        return
    noise = by_chance(opened.rows("readiness_noise") if opened.viewer.is_coach else [])
    page.show(html("<h1>{}</h1><p class='lede'>{}</p>{}{}", wording.METHODS, wording.METHODS_LEDE, cautions(), noise))
    wanted = st.text_input(wording.SEARCH, key="wanted", placeholder=wording.SEARCH_EXAMPLE, width=420).strip()
    shown = found(opened, methods, columns, wanted) if wanted else contents(opened, methods)
    page.show_sheet(shown, "methods_contents", act_on)


draw()
