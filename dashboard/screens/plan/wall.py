"""The saved week on one sheet, to read over and to print for the wall: who has the same plan stands in one line."""

import datetime as dt
from collections.abc import Collection, Mapping, Sequence
from typing import Any
from urllib.parse import urlencode

from dashboard import wording
from dashboard.parts import page
from dashboard.parts.marks import SCROLL, empty
from dashboard.reads import Opened
from dashboard.screens.plan import words
from dashboard.screens.plan.off_days import off_days
from schemas.derived.plan_change import CHANGES
from schemas.html import Markup, html, join_html

Row = dict[str, Any]
Cautions = Mapping[tuple[str, dt.date, int], Sequence[str]]  # by athlete, day and session
DAYS = 7


def planned_rows(opened: Opened, monday: dt.date, names: Collection[str]) -> list[Row]:
    """Return what is saved for a week, in the order of days."""
    where = {"athlete_id": list(names), "planned_on": [monday + dt.timedelta(days=n) for n in range(DAYS)]}
    return opened.rows("plan", where, order_by=["planned_on", "plan_no"])


def wall(opened: Opened, monday: dt.date, names: dict[str, str], chosen: Mapping[str, str | None]) -> None:
    """Show the week as it is saved, with calls and flags beside the names; these are not printed."""
    rows = planned_rows(opened, monday, names)
    head = html(
        '<div class="finding"><h2>{}</h2><p class="soft noprint">{}</p></div>', words.WALL_TITLE, words.WALL_CAPTION
    )
    if not rows:
        page.show(head + empty(words.WALL_NONE))
        return
    off = off_days(opened, list(names), monday)
    minded = cautions_of(opened, monday, names)
    table = wall_table(rows, names, monday, said_of(opened, list(names)), off, minded)
    page.show(join_html([head, table]) + _print_links(monday, chosen))


def _print_links(monday: dt.date, chosen: Mapping[str, str | None]) -> Markup:
    """Return the links to the week as PDF: for the wall without calls, for coaches with them."""
    asked = urlencode({"week": monday.isoformat(), **{name: value for name, value in chosen.items() if value}})
    return html(
        '<p class="take noprint"><a href="sheet/plan.pdf?{}" target="_blank">{}</a>'
        '<a href="sheet/plan.pdf?{}&amp;calls=1" target="_blank">{}</a></p>',
        asked,
        words.WALL_PDF,
        asked,
        words.COACHES_PDF,
    )


def said_of(opened: Opened, athlete_ids: list[str]) -> dict[str, str]:
    """Return call and flag of each athlete as the newest sheet has them; nothing where there is nothing to say."""
    found: dict[str, str] = {}
    columns = ["athlete_id", "training_call", "hamstring_level"]
    for row in opened.rows("week_sheet", {"athlete_id": athlete_ids}, columns=columns, order_by=["-week_of"]):
        if row["athlete_id"] in found:
            continue
        call = wording.TRAINING[row["training_call"]] if row["training_call"] not in ("as_planned", "no_call") else ""
        level = row["hamstring_level"]
        flag = f"hamstring: {wording.HAMSTRING[level]}" if level in ("one_family", "several_families") else ""
        found[row["athlete_id"]] = ", ".join(part for part in (call, flag) if part)
    return found


def cautions_of(
    opened: Opened, monday: dt.date, names: Collection[str], *, of_calls: bool = False
) -> dict[tuple[str, dt.date, int], list[str]]:
    """Return what is to be minded with the sessions of a week; ``of_calls``: only what calls and decisions say."""
    found: dict[tuple[str, dt.date, int], list[str]] = {}
    where: dict[str, Any] = {
        "athlete_id": list(names), "planned_on": [monday + dt.timedelta(days=n) for n in range(DAYS)],
        **({"for_athlete": True} if of_calls else {}),
    }  # fmt: skip
    for row in opened.rows("plan_caution", where, order_by=["planned_on", "plan_no", "-caution"]):
        found.setdefault((row["athlete_id"], row["planned_on"], row["plan_no"]), []).append(row["words"])
    return found


def said_beside(
    who_by_words: Mapping[str, Sequence[str]], people: Sequence[str], names: Mapping[str, str]
) -> list[str]:
    """Return cautions with the names of whom each is of; without them where it is of everybody meant."""
    return [
        said if len(some) == len(people) else f"{wording.joined([names[one] for one in some])}: {said}"
        for said, some in who_by_words.items()
    ]


def _by_day(rows: Sequence[Row]) -> dict[tuple[str, dt.date], list[Row]]:
    """Return the sessions of each athlete and day, in the order they have."""
    found: dict[tuple[str, dt.date], list[Row]] = {}
    for row in rows:
        found.setdefault((row["athlete_id"], row["planned_on"]), []).append(row)
    return found


def wall_marks(
    rows: Sequence[Row], people: Sequence[str], names: Mapping[str, str], monday: dt.date, cautions: Cautions
) -> list[list[list[str]]]:
    """Return what is to be minded with each session of a line of the wall, by day and session."""
    marks: list[list[list[str]]] = []
    by_day = _by_day(rows)
    for n in range(DAYS):
        day = monday + dt.timedelta(days=n)
        by_session: list[dict[str, list[str]]] = []
        for who in people:
            own = by_day.get((who, day), [])
            by_session += [{} for _ in range(len(own) - len(by_session))]
            for place, row in enumerate(own):
                for said in cautions.get((who, day, row.get("plan_no", 1)), ()):
                    by_session[place].setdefault(said, []).append(who)
        marks.append([said_beside(one, people, names) for one in by_session])
    return marks


def day_marks(cautions: Cautions, names: Mapping[str, str]) -> dict[tuple[dt.date, int], str]:
    """Return what is to be minded with each session of the grid, in one text, with first names to fit its cell."""
    first = {who: name.split()[0] for who, name in names.items()}
    found: dict[tuple[dt.date, int], dict[str, list[str]]] = {}
    for (who, day, no), words_said in cautions.items():
        for said in words_said:
            found.setdefault((day, no), {}).setdefault(said, []).append(who)
    return {slot: "; ".join(said_beside(one, list(names), first)) for slot, one in found.items()}


def wall_lines(
    rows: Sequence[Row],
    names: Collection[str],
    monday: dt.date,
    off: Mapping[str, Collection[int]],
    *,
    for_all: bool = False,
) -> list[tuple[list[str], list[list[str]]]]:
    """Return a line for each different week: who has it, and what is said of each of its days.

    ``for_all``: everybody reads it, so a session changed after a call says that it is changed and not how or why.
    """
    weeks: dict[tuple[tuple[str, ...], ...], list[str]] = {}
    by_day = _by_day(rows)
    for who in names:
        cells = []
        for n in range(DAYS):
            day = monday + dt.timedelta(days=n)
            said = [session_words(row, for_all=for_all) for row in by_day.get((who, day), [])]
            cells.append(tuple(said) or ((words.OFF,) if n + 1 in off.get(who, ()) else ("\N{EN DASH}",)))
        weeks.setdefault(tuple(cells), []).append(who)
    return [(people, [list(cell) for cell in cells]) for cells, people in weeks.items()]


def wall_table(
    rows: list[Row],
    names: dict[str, str],
    monday: dt.date,
    said: dict[str, str],
    off: Mapping[str, Collection[int]] | None = None,
    cautions: Cautions | None = None,
) -> Markup:
    """Return the week as a table: a line for each different plan, with the names of who has it.

    What is to be minded stands beside its session and, like the calls, is not printed: a wall is read by everybody.
    """
    head = join_html(html('<th scope="col">{}</th>', wording.day(monday + dt.timedelta(days=n))) for n in range(DAYS))
    body = html("")
    for people, cells in wall_lines(rows, names, monday, off or {}):
        who = join_html(
            html("<div>{}", names[one])
            + (html(' <small class="noprint">{}</small>', said[one]) if said.get(one) else "")
            + html("</div>")
            for one in people
        )
        marks = wall_marks(rows, people, names, monday, cautions or {})
        days = join_html(
            html('<td data-day="{}">{}</td>', words.wall_day(monday + dt.timedelta(days=n)), _day_cell(cell, marks[n]))
            for n, cell in enumerate(cells)
        )
        body += html('<tr><th scope="row">{}</th>{}</tr>', who, days)
    return html(
        '{}<table class="plain wall"><thead><tr><th scope="col">{}</th>{}</tr></thead><tbody>{}</tbody></table></div>',
        SCROLL,
        words.WALL_WHO,
        head,
        body,
    )


def _day_cell(sessions: Sequence[str], marks: Sequence[Sequence[str]]) -> Markup:
    """Return the sessions of a day, under each what is to be minded with it."""
    beside = [*marks, *([()] * (len(sessions) - len(marks)))]
    return join_html(
        html("<div>{}{}</div>", said, join_html(html('<small class="noprint mind">{}</small>', one) for one in some))
        for said, some in zip(sessions, beside, strict=True)
    )


def session_words(row: Row, *, for_all: bool = False) -> str:
    """Write a planned session in as few words as it takes: Acceleration, 75 min. 4 x 30 m blocks."""
    if row["planned_min"] == 0:
        return words.OFF
    kind = wording.sentence_case(wording.SESSION_KINDS.get(row["kind"] or "", "session"))
    minutes = "" if row["planned_min"] is None else f", {wording.number(row['planned_min'], 0, 'min')}"
    note = row.get("note") or ""
    if for_all and note.startswith(tuple(CHANGES.values())):
        note = words.CHANGED_FOR_ALL
    return f"{kind}{minutes}" + (f". {note}" if note else "")
