"""Plan: the coming week in a grid, what it would mean before it is saved, and plan against done."""

import datetime as dt
from collections.abc import Collection
from typing import Any

import polars as pl
import streamlit as st

from dashboard import wording
from dashboard.parts import page
from dashboard.parts.entrance import open_page
from dashboard.parts.figure import explain
from dashboard.parts.group_style import use_group_style
from dashboard.parts.marks import caution, empty, lede, prose
from dashboard.parts.phone_parts import phone_parts
from dashboard.parts.season import season_line, season_strip
from dashboard.parts.week_sheet import link
from dashboard.reads import Opened, parsed_day, query_value
from dashboard.screens.plan import grid as planning
from dashboard.screens.plan import words
from dashboard.screens.plan.by_day import by_day
from dashboard.screens.plan.keeping import off_box, phase_box, save, spoken, take_back, template_box
from dashboard.screens.plan.off_days import off_days, off_for_all
from dashboard.screens.plan.tables import done_table, effect_table
from dashboard.screens.plan.templates import MOST_OFFERED, as_weeks, templates_of
from dashboard.screens.plan.wall import cautions_of, day_marks, wall
from schemas.html import Markup, html, join_html
from schemas.labels import SESSION_KINDS

Row = dict[str, Any]
CHOICES = ("group", "athlete", "week", "copy", "two", "show")
WEEK = dt.timedelta(days=7)
SATURDAY = 5
LAST, DECIDED, SAVED = "last", "decided", "week."  # laid over: the week before, what decisions change, a saved week
# On paper the week alone: the grid and what it would mean are for the screen.
ONLY_THE_WALL = html(
    "@media print {{ [data-testid='stVerticalBlock']:has(> * .st-key-wall, > .st-key-wall) > "
    "*:not(:has(.st-key-wall)):not(.st-key-wall) {{ display: none !important; }} .house "
    "table.wall, .house table.wall th {{ font-size: 13px; }} }}"
)


def act_on(act: dict[str, Any]) -> None:
    """Put a choice into the address before the page is drawn again."""
    if act.get("act") == "go":
        asked = dict(part.split("=", 1) for part in str(act.get("go", "")).split("&") if "=" in part)
        st.query_params.from_dict({k: v for k, v in asked.items() if k in CHOICES})


def choose(groups: dict[str, list[Row]], chosen: dict[str, str | None]) -> Markup:
    """Return the links that choose a group, and one athlete of it or all."""

    def having(**changes: str | None) -> dict[str, str | None]:
        return {**chosen, "copy": None, **changes}

    first = join_html(
        (
            link(
                f"{wording.sentence_case(wording.EVENT_GROUPS[slug])} {len(some)}",
                having(group=slug, athlete=None),
                slug == chosen["group"],
            )
            for slug, some in groups.items()
        )
    )
    members = groups[chosen["group"] or ""]
    second = link(words.PLAN_ALL, having(athlete=None), chosen["athlete"] is None) + join_html(
        link(p["display_name"], having(athlete=p["athlete_id"]), p["athlete_id"] == chosen["athlete"]) for p in members
    )
    return html(
        '<nav class="filters" aria-label="{}">{}</nav><nav class="filters" aria-label="{}">{}</nav>',
        words.PLAN_NAV,
        first,
        words.PLAN_WHO,
        second,
    )


def decided_over(opened: Opened, athlete_ids: list[str], monday: dt.date) -> planning.Weeks:
    """Return the sessions as decisions would have them, where any lies in the week shown.

    Those beyond a Sunday are among them: they are laid over at once, saved and undone as one.
    """
    if "plan_change" not in opened.board.tables:
        return {}
    rows = opened.rows("plan_change", {"athlete_id": athlete_ids}, order_by=["planned_on", "plan_no"])
    return planning.planned_on_any_day(rows) if planning.planned_of(rows, monday) else {}


def marks_of(
    opened: Opened, names: dict[str, str], mondays: list[dt.date], slots: list[planning.Slot]
) -> dict[planning.Slot, str]:
    """Return what is to be minded with the sessions of the grid, of whichever of these weeks."""
    minded: dict[tuple[str, dt.date, int], list[str]] = {}
    for monday in mondays:
        minded |= {key: said for key, said in cautions_of(opened, monday, names).items() if key[1:] in slots}
    return day_marks(minded, names)


def week_links(
    monday: dt.date,
    coming: dt.date,
    chosen: dict[str, str | None],
    saved: Collection[str],
    *,
    is_decided: bool = False,
) -> Markup:
    """Return the links to the weeks around, to what may be laid over the week, and to two sessions a day."""
    before, after = monday - WEEK, monday + WEEK
    parts = [
        link(words.WEEK_BEFORE, {**chosen, "copy": None, "week": before.isoformat() if before != coming else None}),
        link(words.WEEK_AFTER, {**chosen, "copy": None, "week": after.isoformat() if after != coming else None}),
        link(
            words.COPIED if chosen["copy"] == LAST else words.COPY_LAST,
            {**chosen, "copy": None if chosen["copy"] == LAST else LAST},
            chosen["copy"] == LAST,
        ),
        link(words.TWO_A_DAY, {**chosen, "two": None if chosen["two"] else "1"}, bool(chosen["two"])),
    ]
    if is_decided or chosen["copy"] == DECIDED:
        on = chosen["copy"] == DECIDED
        name = words.LAID_DECIDED if on else words.LAY_DECIDED
        parts.append(link(name, {**chosen, "copy": None if on else DECIDED}, on))
    over = [
        link(
            words.template_laid(name) if chosen["copy"] == f"{SAVED}{name}" else words.template_title(name),
            {**chosen, "copy": None if chosen["copy"] == f"{SAVED}{name}" else f"{SAVED}{name}"},
            chosen["copy"] == f"{SAVED}{name}",
        )
        for name in list(saved)[:MOST_OFFERED]
    ]
    first = html('<nav class="filters" aria-label="{}">{}</nav>', words.PLAN_WEEK_NAV, join_html(parts))
    named, laid_over = words.TEMPLATE_NAV, join_html(over)
    second = html('<nav class="filters" aria-label="{}"><span>{}:</span>{}</nav>', named, named, laid_over)
    return join_html([first, second]) if over else first


def edited_grid(shown: pl.DataFrame, key: str) -> pl.DataFrame:
    """Show the grid and return it as typed."""
    columns = words.GRID_COLUMNS
    edited = st.data_editor(
        shown,
        key=key,
        hide_index=True,
        width="stretch",
        height=38 + 35 * shown.height,
        num_rows="fixed",
        placeholder="",
        column_config={
            "day": st.column_config.TextColumn(columns["day"], disabled=True, width=112),
            "kind": st.column_config.SelectboxColumn(columns["kind"], options=list(SESSION_KINDS.values())),
            "text": st.column_config.TextColumn(columns["text"], help=words.TEXT_HELP, width=350),
            "mind": st.column_config.TextColumn(columns["mind"], help=words.MIND_HELP, disabled=True, width="large"),
            "fast": st.column_config.NumberColumn(
                columns["fast"], help=words.FAST_HELP, min_value=0, max_value=5000, step=10, format="%d m"
            ),
            "minutes": st.column_config.NumberColumn(columns["minutes"], min_value=0, max_value=600, step=5),
            "effort": st.column_config.NumberColumn(columns["effort"], min_value=0, max_value=10, step=0.5),
        },
    )
    return edited if isinstance(edited, pl.DataFrame) else pl.DataFrame(edited, schema=shown.schema)


def effect(opened: Opened, rows: list[Row], names: dict[str, str], as_of: dt.date, *, is_new: bool) -> None:
    """Show what the rows would mean for each athlete, week by week."""
    said = words.EFFECT_CAPTION if is_new else words.AS_SAVED
    found = planning.effect_of(opened.viewer, opened.board, rows, as_of) if rows else []
    weeks = sorted({row["week_of"] for row in found})
    drawn: list[Markup] = []
    for week in weeks:
        minded: dict[str, list[str]] = {}
        for (who, _, _), said_of_it in cautions_of(opened, week, names, of_calls=True).items():
            minded[who] = list(dict.fromkeys([*minded.get(who, []), *said_of_it]))
        head = html("<h3>{}</h3>", wording.week_title(week)) if len(weeks) > 1 else html("")
        drawn.append(head + effect_table([row for row in found if row["week_of"] == week], names, minded))
    body = empty(words.NOTHING_TYPED)
    if drawn:
        body = html('{}<p class="soft">{}</p>', join_html(drawn), words.OWN_RANGE)
    page.show(html('<div class="finding"><h2>{}</h2><p class="soft">{}</p></div>{}', words.EFFECT_TITLE, said, body))


def plan_against_done(opened: Opened, names: dict[str, str], as_of: dt.date) -> None:
    """Show last week's plan against what was done: the last week that is over."""
    monday = as_of - dt.timedelta(days=as_of.weekday())
    last = monday if as_of.weekday() == 6 else monday - WEEK
    rows = opened.rows("plan_done", {"athlete_id": list(names), "week_of": last})
    heading = html('<div class="finding"><h2>{}</h2></div>', words.done_title(last))
    caveats = {c["code"]: c["sentence"] for c in opened.rows("caveat")}
    page.show(heading + (done_table(rows, names, caveats) if rows else empty(words.NO_DONE)))
    explain(
        opened,
        "plan_done",
        ("plan_done",),
        lambda: [("plan", opened.rows("plan", {"athlete_id": list(names)}, order_by=["-planned_on"]))],
    )


def plan_around(opened: Opened, athlete_ids: list[str], monday: dt.date, *, with_later: bool) -> list[Row]:
    """Return what is planned for a week and the one before; ``with_later`` also what lies beyond, as decisions may."""
    two_weeks = [monday - WEEK + dt.timedelta(days=n) for n in range(14)]
    reach = (">=", monday - WEEK) if with_later else two_weeks
    return opened.rows("plan", {"athlete_id": athlete_ids, "planned_on": reach})


def draw() -> None:
    """Draw the page."""
    opened = open_page(words.PLAN, coach_only=True)
    if opened is None:
        return
    use_group_style()
    people = opened.board.allowed_athletes(opened.viewer).to_dicts()
    groups = {
        slug: members
        for slug in wording.EVENT_GROUPS
        if (members := by_last_name([p for p in people if (p["event_group"] or "other") == slug]))
    }
    info = opened.board.info(opened.viewer)
    as_of = parsed_day((info.get("as_of") or info.get("data_to") or "")[:10])
    if not groups or as_of is None:
        page.show(html("<h1>{}</h1>{}{}", words.PLAN, empty(words.NO_GROUP, wording.NO_ATHLETES_NEXT), caution()))
        return
    athlete = query_value("athlete", {p["athlete_id"] for p in people})
    of_athlete = next((slug for slug, some in groups.items() if athlete in {p["athlete_id"] for p in some}), None)
    group = of_athlete or query_value("group", set(groups)) or next(iter(groups))
    saved = templates_of(opened)
    # The running week; at its end the one that follows.
    coming = as_of - dt.timedelta(days=as_of.weekday()) + (WEEK if as_of.weekday() >= SATURDAY else dt.timedelta())
    asked = parsed_day(query_value("week"))
    monday = asked - dt.timedelta(days=asked.weekday()) if asked else coming
    chosen = {
        "group": group,
        "athlete": athlete,
        "week": monday.isoformat() if monday != coming else None,
        "copy": query_value("copy", {LAST, DECIDED, *(f"{SAVED}{name}" for name in saved)}),
        "two": query_value("two", {"1"}),
        "show": query_value("show", set(words.PARTS)),
    }
    names = {p["athlete_id"]: p["display_name"] for p in groups[group] if athlete in (None, p["athlete_id"])}
    ids = list(names)
    decided = decided_over(opened, ids, monday)
    page.show_sheet(
        html("<h1>{}</h1>{}{}{}", words.plan_title(monday), lede(words.PLAN_LEDE), spoken(), choose(groups, chosen))
        + season_line(opened, names, monday)
        + season_strip(opened, ids, monday, {**chosen, "copy": None}, coming)
        + html("{}", week_links(monday, coming, chosen, saved, is_decided=bool(decided))),
        "plan_head",
        act_on,
    )
    rows = plan_around(opened, ids, monday, with_later=chosen["copy"] == DECIDED)
    now = planning.planned_of(rows, monday)
    before = decided if chosen["copy"] == DECIDED else laid(rows, saved, chosen["copy"], monday, ids)
    if chosen["copy"] == DECIDED:
        now = planning.laid_over(now, planning.only_where(planning.planned_on_any_day(rows), decided), ids)
    draft = planning.laid_over(now, before, ids)
    slots = planning.slots_of(monday, draft, two_a_day=bool(chosen["two"]))
    off = off_for_all(off_days(opened, ids, monday))
    beyond = sorted({on - dt.timedelta(days=on.weekday()) for on, _ in slots} - {monday})
    shown = planning.grid_of(draft, ids, slots, off, marks_of(opened, names, [monday, *beyond], slots))
    phone_parts(words.PARTS, prefix="of_plan", place="show")
    with st.container(key="of_plan_write"):
        reaches = html('<p class="stands">{}</p>', words.crosses_sunday(beyond)) if beyond else ""
        page.show(html('<p class="soft">{}</p>{}', words.GRID_ONE if athlete else words.GRID_GROUP, reaches))
        key = (
            f"{group}_{athlete}_{monday}_{chosen['copy']}_{chosen['two']}_{len(st.session_state.get('plan_kept', []))}"
        )
        with st.container(key="plan_grid"):
            grid = edited_grid(shown, f"grid_{key}")
        with st.container(key="plan_by_day"):
            by_day(opened, now, draft, ids, slots, off, key)
        wanted = planning.laid_over(draft, planning.typed_week(grid, shown, slots, ids), ids)
        new = planning.changed_rows(now, wanted)
        effect(opened, new or planning.changed_rows({}, now), names, as_of, is_new=bool(new))
        save_buttons(opened, new)
        with st.expander(words.MORE_OF_THE_PLAN):
            phase_box(opened, ids, monday)
            off_box(opened, ids, monday)
            template_box(opened, saved, grid, slots, monday)
    draw_saved(opened, names, monday, {name: chosen[name] for name in ("group", "athlete")}, as_of)


def draw_saved(
    opened: Opened, names: dict[str, str], monday: dt.date, chosen: dict[str, str | None], as_of: dt.date
) -> None:
    """Draw the week as it is saved, which alone is printed, and the plan of the last week against what was done."""
    page.use_house_style(ONLY_THE_WALL)
    with st.container(key="of_plan_week"), st.container(key="wall"):
        wall(opened, monday, names, chosen)
    with st.container(key="of_plan_done"):
        plan_against_done(opened, names, as_of)
    page.show(caution(wording.WORK_CAUTION + " " + wording.CAUTION_LINE))


def save_buttons(opened: Opened, new: list[Row]) -> None:
    """Offer to save what is new, and to undo what was kept last."""
    with st.container(horizontal=True, vertical_alignment="center", key="plan_save"):
        if st.button(words.SAVE_PLAN, disabled=not new, key="save_plan"):
            save(opened, new)
            st.rerun()
        done = st.session_state.get("plan_kept", [])
        if done and st.button(words.undo_plan(st.session_state["plan_whose"].get(done[-1], "")), key="undo_plan"):
            take_back(opened)
            st.rerun()
        note = words.save_caption(len(new), len({r["athlete_id"] for r in new})) if new else words.NOTHING_TYPED
        page.show(html("<small>{}</small>", prose(note)))


def laid(
    rows: list[Row], saved: dict[str, list[Row]], copy: str | None, monday: dt.date, ids: list[str]
) -> planning.Weeks:
    """Return what is laid over the week: nothing, the week before, or a saved week."""
    if copy == LAST:
        return planning.moved(planning.planned_of(rows, monday - WEEK), 7)
    return as_weeks(saved[copy.removeprefix(SAVED)], monday, ids) if copy else {}


def by_last_name(people: list[Row]) -> list[Row]:
    """Return people in the order of their last names."""
    return sorted(people, key=lambda p: (p["display_name"].split()[-1].lower(), p["display_name"].lower()))


draw()
