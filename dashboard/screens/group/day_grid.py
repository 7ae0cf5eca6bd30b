"""The calendar of fast running: weeks down, days across, a number and a mark in each cell, never colour alone."""

import datetime as dt
from collections.abc import Mapping, Sequence
from typing import Any

from dashboard import wording
from dashboard.parts.marks import text
from dashboard.screens.group import words

Row = Mapping[str, Any]


def day_grid(rows: Sequence[Row], name: str, weeks: Sequence[dt.date], until: dt.date) -> str:
    """Return the calendar of one athlete over some weeks (Mondays, first to last)."""
    days = {row["day_on"]: row for row in rows}
    head = "".join(
        f'<th scope="col"><span title="{full}" aria-label="{full}">{short}</span></th>'
        for short, full in zip(wording.WEEKDAYS, wording.WEEKDAY_NAMES, strict=True)
    )
    body = []
    for monday in weeks:
        cells = "".join(_cell(days.get(on), on, until) for on in (monday + dt.timedelta(days=n) for n in range(7)))
        body.append(f'<tr><th scope="row">{text(wording.day(monday))}</th>{cells}</tr>')
    return (
        f'<table class="days"><caption>{text(name)}</caption><thead><tr><td class="later"></td>{head}</tr></thead>'
        f"<tbody>{''.join(body)}</tbody></table>"
    )


def _cell(row: Row | None, on: dt.date, until: dt.date) -> str:
    """Return the cell of one day."""
    if on > until:
        return '<td class="later"></td>'
    if row is None or (not row["is_logged"] and row["runs_90"] is None and not row["unclassified_runs"]):
        return '<td class="blank"></td>'
    pulled = row["resisted_metres"]
    under = f"<i>r{pulled:.0f}</i>" if pulled else "<i>r?</i>" if row["resisted_runs"] else ""
    if row["run_95_metres"]:
        return f'<td class="fast">{row["run_95_metres"]:.0f}{under}</td>'
    if row["run_90_metres"]:
        return f'<td class="near">{row["run_90_metres"]:.0f}°{under}</td>'
    if row["runs_90"] is not None and not row["unclassified_runs"]:
        return f'<td class="none">·{under}</td>'
    return f'<td class="ask">?{under}</td>'


def key_line() -> str:
    """Return what the marks mean."""
    items = "".join(f"<span><b>{text(mark)}</b> {text(means)}</span>" for mark, means in words.DAYS_KEY)
    return f'<p class="dayskey">{items}</p>'
