"""The saved week of a group for paper: for the wall, or for coaches with call and flag beside each name."""

import datetime as dt

from dashboard import wording
from dashboard.reads import Opened
from dashboard.screens.plan import wall, words
from dashboard.screens.plan.off_days import off_days
from dashboard.sheets.typeset import pdf


def plan_sheet(opened: Opened, monday: dt.date, group: str | None, athlete: str | None, calls: bool) -> bytes | None:
    """Return the week as PDF; null where the viewer may see nobody of it.

    ``calls``: with call and flag beside each name and what is to be minded beside each session, for the hands of
    coaches; the wall has none of it.
    """
    people = opened.board.allowed_athletes(opened.viewer).to_dicts()
    some = [
        one
        for one in people
        if (athlete is None or one["athlete_id"] == athlete) and (group in (None, one["event_group"] or "other"))
    ]
    if not some:
        return None
    names = {one["athlete_id"]: one["display_name"] for one in sorted(some, key=lambda one: one["display_name"])}
    rows = wall.planned_rows(opened, monday, names)
    said = wall.said_of(opened, list(names)) if calls else {}
    info = opened.board.info(opened.viewer)
    whose = wording.sentence_case(wording.EVENT_GROUPS.get(group or "", "")) if len(names) > 1 else ""
    minded = wall.cautions_of(opened, monday, names) if calls else {}
    lines = wall.wall_lines(rows, names, monday, off_days(opened, list(names), monday), for_all=not calls)
    told = {
        "title": words.plan_title(monday),
        "state": ", ".join(part for part in (info.get("squad_name"), whose) if part),
        "headings": [words.WALL_WHO, *(words.wall_day(monday + dt.timedelta(days=n)) for n in range(wall.DAYS))],
        "rows": [
            {
                "who": [{"name": names[one], "said": said.get(one, "")} for one in who],
                "days": [
                    [
                        {"said": session, "mind": "; ".join(some)}
                        for session, some in zip(day, [*marks, *([()] * (len(day) - len(marks)))], strict=True)
                    ]
                    for day, marks in zip(days, wall.wall_marks(rows, who, names, monday, minded), strict=True)
                ],
            }
            for who, days in lines
        ],
        "none": "" if rows else words.WALL_NONE,
        "caution": f"{words.COACHES_ONLY} {wording.CAUTION_LINE}" if calls else wording.WORK_CAUTION,
        "foot": wording.print_foot(info.get("data_to") or info.get("as_of")),
    }
    return pdf("plan.typ", told)
