"""The calendar of fast running: weeks down, days across, a number and a mark in each cell, never colour alone."""

import datetime as dt
from collections.abc import Mapping, Sequence
from typing import Any

from dashboard import wording
from dashboard.screens.group import words
from schemas.html import Markup, html, join_html

Row = Mapping[str, Any]


def day_grid(rows: Sequence[Row], name: str, weeks: Sequence[dt.date], until: dt.date) -> Markup:
    """Return the calendar of one athlete over some weeks (Mondays, first to last)."""
    days = {row["day_on"]: row for row in rows}
    head = join_html(
        (
            html('<th scope="col"><span title="{}" aria-label="{}">{}</span></th>', full, full, short)
            for short, full in zip(wording.WEEKDAYS, wording.WEEKDAY_NAMES, strict=True)
        )
    )
    body = []
    for monday in weeks:
        cells = join_html(_cell(days.get(on), on, until) for on in (monday + dt.timedelta(days=n) for n in range(7)))
        body.append(html('<tr><th scope="row">{}</th>{}</tr>', wording.day(monday), cells))
    return html(
        '<table class="days"><caption>{}</caption><thead><tr><td class="later"></td>{}</tr>'
        "</thead><tbody>{}</tbody></table>",
        name,
        head,
        join_html(body),
    )


def _cell(row: Row | None, on: dt.date, until: dt.date) -> Markup:
    """Return the cell of one day."""
    if on > until:
        return html('<td class="later"></td>')
    if row is None or (not row["is_logged"] and row["runs_90"] is None and not row["unclassified_runs"]):
        return html('<td class="blank"></td>')
    pulled = row["resisted_metres"]
    under = html("<i>r{:.0f}</i>", pulled) if pulled else html("<i>r?</i>") if row["resisted_runs"] else ""
    if row["run_95_metres"]:
        return html('<td class="fast">{:.0f}{}</td>', row["run_95_metres"], under)
    if row["run_90_metres"]:
        return html('<td class="near">{:.0f}°{}</td>', row["run_90_metres"], under)
    if row["runs_90"] is not None and not row["unclassified_runs"]:
        return html('<td class="none">·{}</td>', under)
    return html('<td class="ask">?{}</td>', under)


def key_line() -> Markup:
    """Return what the marks mean."""
    items = join_html((html("<span><b>{}</b> {}</span>", mark, means) for mark, means in words.DAYS_KEY))
    return html('<p class="dayskey">{}</p>', items)
