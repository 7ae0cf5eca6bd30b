"""The season on a page: a line of phase and next race, and a strip of weeks. What nobody has said is not shown."""

import datetime as dt
from collections.abc import Mapping, Sequence
from typing import Any

from dashboard import wording
from dashboard.reads import Opened
from dashboard.wording import season as words
from schemas.html import Markup, html, join_html

Row = dict[str, Any]
BACK, AHEAD = 4, 7  # weeks of the strip before and after the one shown
HIGH = 44  # px, the highest bar


def season_rows(opened: Opened, athlete_ids: Sequence[str], **where: Any) -> list[Row]:
    """Return weeks of the season; none where the board has no such table yet."""
    if "season_week" not in opened.board.tables or not athlete_ids:
        return []
    return opened.rows("season_week", {"athlete_id": list(athlete_ids), **where}, order_by=["week_of", "athlete_id"])


def season_line(opened: Opened, names: Mapping[str, str], monday: dt.date, *, in_full: bool = False) -> Markup:
    """Return which phase a week lies in and how far the next race is, once for all who have the same."""
    said: dict[str, list[str]] = {}
    for row in season_rows(opened, list(names), week_of=monday):
        parts = [words.phase_said(row), words.race_said(row, in_full=in_full)]
        line = " · ".join(part for part in parts if part)
        if line:
            said.setdefault(wording.sentence_case(line), []).append(names[row["athlete_id"]])
    if not said:
        return html("")
    most = sorted(said.items(), key=lambda one: -len(one[1]))
    alone = len(most) == 1 and len(most[0][1]) == len(names)
    lines = (
        html(
            "{}{}", line, html(' <span class="soft">({})</span>', words.of_some(some, len(names))) if not alone else ""
        )
        for line, some in most
    )
    return html('<p class="season">{}</p>', join_html(lines, html("<br>")))


def season_strip(
    opened: Opened, athlete_ids: Sequence[str], monday: dt.date, chosen: Mapping[str, str | None], coming: dt.date
) -> Markup:
    """Return the weeks around as bars of planned minutes under their phases, with the races; each is a link."""
    first = monday - dt.timedelta(weeks=BACK)
    weeks: dict[dt.date, list[Row]] = {}
    shown = [first + dt.timedelta(weeks=n) for n in range(BACK + AHEAD + 1)]
    for row in season_rows(opened, athlete_ids, week_of=shown):
        weeks.setdefault(row["week_of"], []).append(row)
    if not any(row["phase"] or row["planned_min"] for rows in weeks.values() for row in rows):
        return html("")
    most = max((row["planned_min"] or 0 for rows in weeks.values() for row in rows), default=0) or 1
    phases: list[tuple[str, list[Markup]]] = []
    for week, rows in weeks.items():
        named = {row["phase"] for row in rows}
        name = words.phase_name(phase) if len(named) == 1 and (phase := named.pop()) else ""
        if not phases or phases[-1][0] != name:
            phases.append((name, []))
        phases[-1][1].append(_week(week, rows, most, week == monday, {**chosen, "week": _asked(week, coming)}))
    return html(
        '<p class="weeks-said">{}</p><nav class="weeks" aria-label="{}">{}</nav>',
        words.BARS_SAY,
        words.SEASON_NAV,
        join_html(
            html('<div style="flex:{}"><b>{}</b><div>{}</div></div>', len(cells), name, join_html(cells))
            for name, cells in phases
        ),
    )


def _asked(week: dt.date, coming: dt.date) -> str | None:
    return None if week == coming else week.isoformat()


def _week(week: dt.date, rows: Sequence[Row], most: float, is_shown: bool, query: Mapping[str, str | None]) -> Markup:
    known = [row["planned_min"] for row in rows if row["planned_min"] is not None]
    said = words.minutes_said(min(known, default=None), max(known, default=None))
    races = sorted({row["race_on"] for row in rows if row["race_on"] and row["weeks_to_race"] == 0})
    title = words.season_week_title(week, said, [words.race_day(one) for one in races])
    bar = (
        html('<i style="height:{:.0f}px"></i>', bar_height(max(known), most)) if known else html('<i class="open"></i>')
    )
    kept = "&".join(f"{name}={value}" for name, value in query.items() if value)
    return html(
        '<a href="?{}" data-go="{}" title="{}" aria-label="{}"{}>{}{}<small>{}</small></a>',
        kept,
        kept,
        title,
        title,
        html(' aria-current="true"') if is_shown else "",
        html("<em>{}</em>", words.RACE_MARK) if races else "",
        bar,
        wording.day(week),
    )


def bar_height(minutes: float, most: float) -> float:
    """Return how high a bar stands, in px."""
    return minutes / most * HIGH
