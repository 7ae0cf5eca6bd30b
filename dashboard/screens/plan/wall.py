"""The saved week on one sheet, to read over and to print for the wall: who has the same plan stands in one line."""

import datetime as dt
from typing import Any

from dashboard import wording
from dashboard.parts import page
from dashboard.parts.marks import SCROLL, empty, text
from dashboard.reads import Opened
from dashboard.screens.plan import words
from schemas.html import html, join_html

Row = dict[str, Any]
DAYS = 7


def wall(opened: Opened, monday: dt.date, names: dict[str, str]) -> None:
    """Show the week as it is saved, with calls and flags beside the names; these are not printed."""
    where = {"athlete_id": list(names), "planned_on": (">=", monday)}
    rows = opened.rows("plan", where, order_by=["planned_on", "plan_no"])
    rows = [row for row in rows if row["planned_on"] < monday + dt.timedelta(days=DAYS)]
    head = html(
        '<div class="finding"><h2>{}</h2><p class="soft noprint">{}</p></div>', words.WALL_TITLE, words.WALL_CAPTION
    )
    if not rows:
        page.show(head + empty(words.WALL_NONE))
        return
    page.show(head + wall_table(rows, names, monday, said_of(opened, list(names))))


def said_of(opened: Opened, athlete_ids: list[str]) -> dict[str, str]:
    """Return call and flag of each athlete as the newest sheet has them; nothing where there is nothing to say."""
    found: dict[str, str] = {}
    for row in opened.rows("week_sheet", {"athlete_id": athlete_ids}, order_by=["-week_of"]):
        if row["athlete_id"] in found:
            continue
        call = wording.TRAINING[row["training_call"]] if row["training_call"] not in ("as_planned", "no_call") else ""
        level = row["hamstring_level"]
        flag = f"hamstring: {wording.HAMSTRING[level]}" if level in ("one_family", "several_families") else ""
        found[row["athlete_id"]] = ", ".join(part for part in (call, flag) if part)
    return found


def wall_table(rows: list[Row], names: dict[str, str], monday: dt.date, said: dict[str, str]) -> str:
    """Return the week as a table: a line for each different plan, with the names of who has it."""
    weeks: dict[str, list[str]] = {}
    for who in names:
        cells = []
        for n in range(DAYS):
            day = monday + dt.timedelta(days=n)
            of_day = [row for row in rows if row["athlete_id"] == who and row["planned_on"] == day]
            cells.append(join_html((text(session_words(row)) for row in of_day), html("<br>")) or "\N{EN DASH}")
        weeks.setdefault(join_html(html("<td>{}</td>", cell) for cell in cells), []).append(who)
    head = join_html(html('<th scope="col">{}</th>', wording.day(monday + dt.timedelta(days=n))) for n in range(DAYS))
    body = ""
    for cells_, people in weeks.items():
        who_ = join_html(
            html("<div>{}", names[one])
            + (html(' <small class="noprint">{}</small>', said[one]) if said.get(one) else "")
            + html("</div>")
            for one in people
        )
        body += html('<tr><th scope="row">{}</th>{}</tr>', who_, cells_)
    return html(
        '{}<table class="plain wall"><thead><tr><th scope="col">{}</th>{}</tr></thead><tbody>{}</tbody></table></div>',
        SCROLL,
        words.WALL_WHO,
        head,
        body,
    )


def session_words(row: Row) -> str:
    """Write a planned session in as few words as it takes: Acceleration, 75 min. 4 x 30 m blocks."""
    if row["planned_min"] == 0:
        return "off"
    kind = wording.sentence_case(wording.SESSION_KINDS.get(row["kind"] or "", "session"))
    minutes = "" if row["planned_min"] is None else f", {wording.number(row['planned_min'], 0, 'min')}"
    return f"{kind}{minutes}" + (f". {row.get('note')}" if row.get("note") else "")
