"""The week's sheet for paper: the same lines as on the page, room to write where nothing is decided yet."""

from collections.abc import Mapping
from typing import Any

from dashboard import wording
from dashboard.parts.lines import load_bars, trend_line
from dashboard.parts.week_sheet import goes_on, hamstring_said, hamstring_words, keeps_work
from dashboard.reads import Opened
from dashboard.screens.week.rows import Row, Week, changes, decided_last_week, gather, missing
from dashboard.sheets.typeset import marked, pdf, small_line

MOST_LISTED = 8


def week_sheet(opened: Opened, chosen: Mapping[str, str | None]) -> bytes | None:
    """Return the week's sheet as PDF, of the athletes the viewer may see; null where there is no week."""
    week = gather(opened, chosen)
    if week is None:
        return None
    info = opened.board.info(opened.viewer)
    told = {
        "title": ": ".join(p for p in (info.get("squad_name"), wording.week_title(week.monday)) if p),
        "state": _state(week),
        "lede": " ".join(part for part in (week.lede, wording.not_looked_at(week.not_seen)) if part),
        "headings": wording.PRINT_HEADINGS,
        "rows": [_row(week, row) for row in week.rows],
        "side": _side(opened, week),
        "caution": wording.WEEK_CAUTION,
        "foot": wording.print_foot(info.get("data_to") or info.get("as_of")),
    }
    return pdf("week.typ", told)


def _state(week: Week) -> str:
    if week.closed is None:
        return wording.decided_so_far(len(week.decided), len(week.every))
    if not week.is_kept:
        return wording.STANDS_NOW
    return f"{wording.closed_review(week.closed['closed_at'], week.closed['closed_by'])} {week.since_closing}"


def _row(week: Week, row: Row) -> dict[str, Any]:
    athlete = week.athletes[row["athlete_id"]]
    trend, trend_alt = small_line(trend_line(row["trend_points"], row["trend_low"], row["trend_high"]))
    load, load_alt = small_line(load_bars(row["load_points"], row["load_low"], row["load_high"], row["load_above"]))
    decision = week.decided.get(row["athlete_id"])
    stood = week.standing.get(row["athlete_id"], "")
    is_calm = goes_on(row, stood)  # a line, as on the page: 24 stand on two sheets
    training = marked(row["training_call"], wording.TRAINING, row["training_reason"], row["training_more"] or 0)
    return {
        "calm": is_calm,
        "name": athlete["display_name"],
        "about": wording.about_athlete("" if is_calm else athlete["event_group"], row),
        "training": training | {"why": " ".join(part for part in (training["why"], stood) if part)},
        "hamstring": marked(row["hamstring_level"], hamstring_words(row), hamstring_said(row)),
        "trend": trend,
        "trend_alt": trend_alt,
        "progress": wording.PROGRESS.get(row["progress_word"] or "", "–"),
        "progress_why": row["progress_sentence"] or "" if row["progress_word"] in ("improving", "slipping") else "",
        "loud": row["progress_word"] in ("improving", "slipping"),
        "load": load,
        "load_alt": load_alt,
        "work": row["focus_headline"] or "",
        "work_caution": "" if is_calm and keeps_work(row) else row.get("focus_caution") or "",
        "decided": wording.decided_text(decision["call"], row, decision.get("training"))
        if decision
        else week.again.get(row["athlete_id"], wording.NOT_DECIDED_ON if week.closed else ""),
    }


def _side(opened: Opened, week: Week) -> list[dict[str, Any]]:
    def item(who: str, said: str, after: str = "") -> dict[str, str]:
        return {"who": who, "said": said, "after": after}

    changed = [item(name, f": {said}") for name, said in changes(week)]
    decided = [item(name, f": {call}", after) for name, call, after in decided_last_week(opened, week)]
    lacking = [item("", said) for said, _ in missing(opened, week)]
    head = wording.SINCE_REVIEW if week.against or week.is_kept else wording.SINCE_WEEK
    parts = (
        (head, changed, wording.NOTHING_CHANGED),
        (wording.DECIDED_LAST_WEEK, decided, wording.NO_DECISIONS),
        (wording.MISSING, lacking, wording.NOTHING_MISSING),
    )
    return [
        {
            "title": title,
            "items": (items[:MOST_LISTED] or [item("", none)])
            + ([item("", wording.more_listed(len(items) - MOST_LISTED))] if len(items) > MOST_LISTED else []),
        }
        for title, items, none in parts
    ]
