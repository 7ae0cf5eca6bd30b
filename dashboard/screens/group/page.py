"""Groups: one event group side by side, each athlete against own noise, own range and own days. Nobody is ranked."""

import datetime as dt
from collections import Counter
from typing import Any

import streamlit as st

from dashboard import wording
from dashboard.parts import page
from dashboard.parts.entrance import open_page
from dashboard.parts.figure import explain
from dashboard.parts.group_style import use_group_style
from dashboard.parts.in_parts import FIGURES, PART, part_links, part_of
from dashboard.parts.marks import caution, empty, lede, prose
from dashboard.parts.phone_parts import phone_parts
from dashboard.parts.return_ladder import return_ladders
from dashboard.parts.week_sheet import link
from dashboard.reads import Opened, parsed_day, query_value
from dashboard.screens.group import words
from dashboard.screens.group.day_grid import day_grid, key_line
from dashboard.screens.group.small_figures import common_scale, small_trend, week_bars
from dashboard.screens.group.tables import completeness_table, group_load_table, test_table
from schemas.html import html, join_html

Row = dict[str, Any]
CHOICES = ("group", "weeks", "show", PART)
WEEKS_OFFERED = (4, 8, 12)
LOAD_WEEKS, GROUP_WEEKS, TREND_WEEKS = 12, 8, 26
SERIES = ("start_kind", "clock_start", "timing_kind", "measured_by")
LINE = (*SERIES, "set_up")


def by_last_name(people: list[Row]) -> list[Row]:
    """Return people in the order of their last names."""
    return sorted(people, key=lambda p: (p["display_name"].split()[-1].lower(), p["display_name"].lower()))


def act_on(act: dict[str, Any]) -> None:
    """Put a choice into the address before the page is drawn again."""
    if act.get("act") == "go":
        asked = dict(part.split("=", 1) for part in str(act.get("go", "")).split("&") if "=" in part)
        st.query_params.from_dict({k: v for k, v in asked.items() if k in CHOICES})


def with_names(rows: list[Row], names: dict[str, str]) -> list[Row]:
    """Put each athlete's name in front of a row."""
    return [{"athlete": names[row["athlete_id"]], **row} for row in rows if row["athlete_id"] in names]


def usual_series(progress: dict[str, Row]) -> tuple[str, ...] | None:
    """Return the start, clock and timing that most of the group have."""
    found = Counter(tuple(p[k] for k in SERIES) for p in progress.values()).most_common(1)
    return found[0][0] if found else None


def trends(opened: Opened, names: dict[str, str], progress: dict[str, Row], as_of: dt.date) -> None:
    """Show the start of each athlete on one scale, with the band of own noise."""
    ids = list(names)
    first = as_of - dt.timedelta(weeks=TREND_WEEKS)
    every = opened.rows(
        "start_trend",
        {"athlete_id": ids, "metric": "t_10_s", "session_date": (">=", first)},
        order_by=["session_date"],
    )
    rows: dict[str, list[Row]] = {}
    for row in every:
        mine = progress.get(row["athlete_id"])
        if mine is not None and all(row[k] == mine[k] for k in LINE):
            rows.setdefault(row["athlete_id"], []).append(row)
    sheets: dict[str, Row] = {}
    for sheet in opened.rows("week_sheet", {"athlete_id": ids}, order_by=["-week_of"]):
        sheets.setdefault(sheet["athlete_id"], sheet)
    bands = {i: band_of(sheets.get(i), progress.get(i)) for i in ids}
    scale = common_scale([r for some in rows.values() for r in some], [b for pair in bands.values() for b in pair])
    usual = usual_series(progress)
    figures = []
    for athlete_id, name in names.items():
        mine = progress.get(athlete_id)
        head = html("<b>{}</b>", name)
        if mine is None or scale is None or not rows.get(athlete_id):
            figures.append(html('<div>{}<small class="soft">{}</small></div>', head, words.NO_SERIES))
            continue
        word: str = wording.PROGRESS.get(mine["word"], str(mine["word"]))
        loud = "word" if mine["word"] in ("improving", "slipping") else "word soft"
        other = tuple(mine[k] for k in SERIES) != usual
        note = html("<small class='soft'>{}</small>", words.series_differs(mine)) if other else ""
        said = (sheets.get(athlete_id) or {}).get("progress_sentence") or ""
        drawn = small_trend(rows[athlete_id], bands[athlete_id], scale, words.trend_alt(name, rows[athlete_id], word))
        figures.append(
            html(
                '<div>{} <span class="{}">{}</span><small class="soft">{}</small>{}',
                head,
                loud,
                word,
                prose(said),
                note,
            )
            + html("{}</div>", drawn)
        )
    series = f" Mostly {words.series_differs(dict(zip(SERIES, usual, strict=True)))}." if usual else ""
    page.show_sheet(
        html(
            '<div class="finding"><h2>{}</h2><p class="soft">{}</p></div><div class="many">{}</div>',
            words.TREND_TITLE,
            f"{words.TREND_CAPTION}{series}",
            join_html(figures),
        ),
        "group_trends",
        act_on,
    )
    explain(
        opened,
        "group_trend",
        ("start_trend", "start_progress"),
        lambda: [("start_progress", with_names(list(progress.values()), names))],
    )


def band_of(sheet: Row | None, progress: Row | None) -> tuple[float | None, float | None]:
    """Return the edges of the band of own noise, where the sheet has them for the same measure."""
    if sheet is None or progress is None or sheet.get("progress_metric") != progress["metric"]:
        return None, None
    low, high = (
        next((v for v in reversed(sheet.get(edge) or []) if v is not None), None)
        for edge in ("trend_low", "trend_high")
    )
    return low, high


def spread(opened: Opened, group: str, usual: tuple[str, ...] | None) -> None:
    """Say whether the athletes of the group differ by more than noise."""
    rows = opened.rows("group_spread", {"event_group": group}, order_by=["-athletes", *SERIES, "sex"])
    # The start that most of the group have stands on the page; the others stand behind it.
    shown = [r for r in rows if tuple(r[k] for k in SERIES) == usual]
    items = join_html(
        html(
            '<li><b>{}.</b> {} <small class="soft">{}</small></li>',
            words.spread_line(r),
            prose(r["sentence"]),
            prose(words.spread_chance(r)),
        )
        for r in sorted(shown, key=lambda r: r["sex"])
    )
    body = html("<ul>{}</ul>", items) if items else empty(words.SPREAD_NONE)
    page.show(html('<div class="finding"><h2>{}</h2>{}</div>', words.SPREAD_TITLE, body))
    explain(opened, "group_spread", ("group_spread",), lambda: [("group_spread", rows)])


def load(opened: Opened, group: str, names: dict[str, str], as_of: dt.date) -> None:
    """Show the load of each by week over own range, and where the group lay."""
    first = as_of - dt.timedelta(weeks=LOAD_WEEKS)
    weeks: dict[str, list[Row]] = {}
    for row in opened.rows("load_week", {"athlete_id": list(names), "week_of": (">", first)}, order_by=["week_of"]):
        weeks.setdefault(row["athlete_id"], []).append(row)
    figures = join_html(
        (
            html(
                '<div><b>{}</b><small class="soft">{}</small>{}</div>',
                name,
                prose(words.load_note(weeks[i][-1])),
                week_bars(weeks[i], name),
            )
            if i in weeks
            else html('<div><b>{}</b><small class="soft">{}</small></div>', name, wording.NO_LOAD)
            for i, name in names.items()
        )
    )
    page.show_sheet(
        html(
            '<div class="finding"><h2>{}</h2><p class="soft">{}</p></div><div class="many bars">{}</div>',
            words.LOAD_TITLE,
            words.LOAD_CAPTION,
            figures,
        ),
        "group_bars",
        act_on,
    )
    rows = opened.rows("group_load", {"event_group": group}, order_by=["-week_of"], limit=GROUP_WEEKS)
    if rows:
        page.show(html("<h3>{}</h3>{}", words.LOAD_WEEKS, group_load_table(rows)))
    explain(
        opened,
        "group_load",
        ("group_load", "load_week"),
        lambda: [("load_week", with_names([r for i in weeks for r in weeks[i][-2:]], names))],
    )


def tests(opened: Opened, names: dict[str, str]) -> None:
    """Show when each test was last done and which are overdue."""
    rows = opened.rows("group_test_calendar", {"athlete_id": list(names)})
    if not rows:
        page.show(html('<div class="finding"><h2>{}</h2>{}</div>', words.TESTS_TITLE, empty(words.NO_TESTS)))
        return
    states = Counter(r["state"] for r in rows)
    limit = int(opened.setting("test_overdue_days"))
    said = words.tests_title(states["overdue"], states["never"], limit)
    page.show(
        html(
            '<div class="finding"><h2>{}</h2><p class="soft">{}.</p></div>{}',
            words.TESTS_TITLE,
            said,
            test_table(rows, names),
        )
    )
    explain(opened, "group_tests", ("group_test_calendar",), lambda: [("group_test_calendar", with_names(rows, names))])


def days(opened: Opened, names: dict[str, str], weeks: int, as_of: dt.date, chosen: dict[str, str | None]) -> None:
    """Show fast running day by day, one calendar for each."""
    this = as_of - dt.timedelta(days=as_of.weekday())
    mondays = [this - dt.timedelta(weeks=back) for back in range(weeks - 1, -1, -1)]
    rows = opened.rows("exposure_calendar", {"athlete_id": list(names), "day_on": (">=", mondays[0])})
    turn = join_html(
        link(words.weeks_choice(n), {**chosen, "weeks": str(n)}, current=n == weeks) for n in WEEKS_OFFERED
    )
    heading = html('<div class="finding title"><h2>{}</h2>', words.DAYS_TITLE)
    if not rows:
        page.show(html("{}</div>{}", heading, empty(words.NO_DAYS)))
        return
    nav = html('<nav class="filters" aria-label="{}">{}</nav></div>', words.WEEKS_NAV, turn)
    mine: dict[str, list[Row]] = {}
    for row in rows:
        mine.setdefault(row["athlete_id"], []).append(row)
    grids = join_html(
        (html("<div>{}</div>", day_grid(mine.get(i, []), name, mondays, as_of)) for i, name in names.items())
    )
    page.show_sheet(
        html('{}{}{}<div class="many calendars">{}</div>', heading, nav, key_line(), grids), "group_days", act_on
    )
    fast = [r for r in rows if r["runs_90"]]
    explain(
        opened,
        "group_days",
        ("exposure_calendar",),
        lambda: [("exposure_calendar", with_names(sorted(fast, key=lambda r: r["day_on"], reverse=True), names))],
    )


def completeness(opened: Opened, names: dict[str, str]) -> None:
    """Show what the week still lacks, for which call."""
    rows = opened.rows("completeness_week", {"athlete_id": list(names)}, order_by=["-week_of"])
    if not rows:
        page.show(html('<div class="finding"><h2>{}</h2>{}</div>', words.COMPLETE_TITLE, empty(words.NO_COMPLETE)))
        return
    week = rows[0]["week_of"]
    now = [r for r in rows if r["week_of"] == week]
    none = "" if any(r["lacking"] for r in now) else f" {words.ALL_THERE}"
    page.show(
        html(
            '<div class="finding"><h2>{}</h2><p class="soft">{}{}</p></div>{}',
            words.group_weeks(week),
            words.COMPLETE_CAPTION,
            none,
            completeness_table(now, names),
        )
    )
    explain(opened, "complete", ("completeness_week",), lambda: [("completeness_week", with_names(now, names))])


def draw() -> None:
    """Draw the page."""
    opened = open_page(words.GROUPS, coach_only=True)
    if opened is None:
        return
    use_group_style()
    people = opened.board.allowed_athletes(opened.viewer).to_dicts()
    held = {p["event_group"] or "other" for p in people}
    groups = [slug for slug in wording.EVENT_GROUPS if slug in held]
    if not groups:
        page.show(html("<h1>{}</h1>{}{}", words.GROUPS, empty(words.NO_GROUP, wording.NO_ATHLETES_NEXT), caution()))
        return
    group = query_value("group", set(groups)) or groups[0]
    asked = query_value("weeks", {str(n) for n in WEEKS_OFFERED})
    weeks = int(asked) if asked else WEEKS_OFFERED[1]
    chosen = {"group": group, "weeks": asked, "show": query_value("show", set(words.PARTS))}
    members = by_last_name([p for p in people if (p["event_group"] or "other") == group])
    names = {p["athlete_id"]: p["display_name"] for p in members}
    info = opened.board.info(opened.viewer)
    as_of = parsed_day((info.get("as_of") or info.get("data_to") or "")[:10])
    progress: dict[str, Row] = {}
    for row in opened.rows("start_progress", {"athlete_id": list(names), "is_main": True, "metric": "t_10_s"}):
        progress.setdefault(row["athlete_id"], row)
    said = {
        word: [names[i] for i in names if i in progress and progress[i]["word"] == word]
        for word in ("improving", "slipping")
    }
    counts = Counter(p["event_group"] or "other" for p in people)
    links = join_html(
        link(
            f"{wording.sentence_case(wording.EVENT_GROUPS[slug])} {counts[slug]}",
            {**chosen, "group": slug},
            current=slug == group,
        )
        for slug in groups
    )
    name = wording.EVENT_GROUPS[group]
    ids, part = part_of(list(names), query_value(PART), FIGURES)
    shown = {athlete_id: names[athlete_id] for athlete_id in ids}
    page.show_sheet(
        html(
            "<h1>{}</h1>{}",
            wording.sentence_case(name),
            lede(words.group_lede(name, len(names), said["improving"], said["slipping"])),
        )
        + html(
            '<nav class="filters" aria-label="{}">{}</nav>{}',
            words.GROUP_NAV,
            links,
            part_links(len(names), part, chosen, FIGURES),
        ),
        "group_head",
        act_on,
    )
    if as_of is None:
        page.show(empty(wording.NO_BOARD) + caution())
        return
    phone_parts(words.PARTS, prefix="of_group", place="show")
    with st.container(key="of_group_starts"):
        trends(opened, shown, progress, as_of)
        spread(opened, group, usual_series(progress))
    with st.container(key="of_group_load"):
        load(opened, group, shown, as_of)
    with st.container(key="of_group_rest"):
        tests(opened, shown)
        completeness(opened, shown)
        return_ladders(opened, list(shown))
    with st.container(key="of_group_days"):
        days(opened, shown, weeks, as_of, {**chosen, PART: str(part) if part > 1 else None})
    page.show(caution())


draw()
