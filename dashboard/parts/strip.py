"""Fourteen days of check-ins, each item against the own usual, with what was written: for coach and athlete alike."""

import datetime as dt
from typing import Any

from dashboard import wording
from dashboard.parts import page
from dashboard.parts.figure import explain, finding
from dashboard.parts.marks import SCROLL, empty, text
from dashboard.reads import Opened
from schemas.html import Markup, html, join_html

Row = dict[str, Any]
DAYS = 14


def strip(opened: Opened, athlete_id: str, until: dt.date, own: bool = False) -> None:
    """Show the last fourteen days of check-ins, each item against the own usual, and what was written with them."""
    days = [until - dt.timedelta(days=back) for back in range(DAYS - 1, -1, -1)]
    where = {"athlete_id": athlete_id, "checked_on": (">=", days[0])}
    rows = {row["checked_on"]: row for row in opened.rows("checkin", where, order_by=["checked_on"])}
    rows = {day: row for day, row in rows.items() if day <= until}
    if not rows:
        page.show(html('<div class="finding"><h2>{}</h2>{}</div>', wording.STRIP_TITLE, empty(wording.STRIP_NONE)))
        return
    answers = opened.rows("checkin_answer", where, order_by=["checked_on"])
    judged = {(row["checked_on"], row["item"]): row for row in answers}
    finding(wording.STRIP_TITLE, wording.STRIP_CAPTION)
    page.show(html("{}{}</div>{}", SCROLL, _strip_table(days, rows, judged), _words(rows, own)))
    explain(
        opened, "strip", ("checkin_answer",),
        lambda: [("checkin_answer", answers[::-1]), ("checkin", list(rows.values())[::-1])],
    )  # fmt: skip


def _strip_table(days: list[dt.date], rows: dict[dt.date, Row], judged: dict[tuple[dt.date, str], Row]) -> Markup:
    head = join_html(
        html('<th scope="col" class="num" title="{}">{}</th>', wording.long_day(day), day.day) for day in days
    )
    body = []
    for item, label in wording.STRIP_ITEMS.items():
        if all(row.get(item) is None for row in rows.values()):
            continue
        usual = next((one["usual"] for day in reversed(days) if (one := judged.get((day, item)))
                      and one["usual"] is not None), None)  # fmt: skip
        cells = join_html(_cell(rows.get(day), judged.get((day, item)), item) for day in days)
        body.append(
            html(
                '<tr><th scope="row">{}</th>{}<td class="num soft">{}</td></tr>',
                label,
                cells,
                "–" if usual is None else text(wording.number(usual, 1)),
            )
        )
    if any(row.get("ill") for row in rows.values()):
        ill = (html("<b>yes</b>") if (rows.get(day) or {}).get("ill") else "·" for day in days)
        cells = join_html(html('<td class="num">{}</td>', said) for said in ill)
        body.append(html('<tr><th scope="row">Ill</th>{}<td></td></tr>', cells))
    return html(
        '<table class="plain strip"><thead><tr><th scope="col">{}</th>{}<th scope="col" '
        'class="num">{}</th></tr></thead><tbody>{}</tbody></table>',
        wording.STRIP_ITEM,
        head,
        wording.STRIP_USUAL,
        join_html(body),
    )


def _cell(row: Row | None, judged: Row | None, item: str) -> Markup:
    value = None if row is None else row.get(item)
    if value is None:
        return html('<td class="num soft">·</td>')
    shown = text(wording.shortly(value))
    return html(
        '<td class="num">{}</td>', html("<b>{}</b>", shown) if judged is not None and judged["speaks"] else shown
    )


def _words(rows: dict[dt.date, Row], own: bool) -> Markup:
    """Return what was written, newest first; where a reader may not see notes, the board hands over none."""
    said = []
    for day, row in sorted(rows.items(), reverse=True):
        pain = f"pain: {row['pain_site']}" if row.get("pain_site") else ""
        parts = [part for part in (pain, row.get("note")) if part]
        if parts:
            said.append(html("<li><b>{}</b> {}</li>", wording.day(day), ". ".join(parts)))
    if not said:
        return Markup()
    title = wording.STRIP_WORDS_OWN if own else wording.STRIP_WORDS
    return html('<h3>{}</h3><ul class="notes">{}</ul>', title, join_html(said))
