"""The figures of the work done: load, fast running, strength, spring, races and decisions."""

import datetime as dt
from typing import Any

from dashboard import wording
from dashboard.charts import work as charts
from dashboard.parts import page
from dashboard.parts.calls import Row
from dashboard.parts.figure import chart, explain, finding, scheme, table
from dashboard.parts.lines import is_above
from dashboard.parts.marks import empty, prose
from dashboard.reads import Opened
from schemas.html import html, join_html

WEEKS, TOLD_WEEKS = 12, 6


def reason_sentences(opened: Opened) -> dict[str, str]:
    """Return the sentence of every reason for a missing value."""
    return {c["code"]: c["sentence"] for c in opened.rows("caveat")}


def _nothing(title: str, sentence: str) -> None:
    page.show(html('<div class="finding"><h2>{}</h2>{}</div>', title, empty(sentence)))


def _own(opened: Opened, own: tuple, columns: tuple) -> tuple:
    """Return the columns for who looks: an athlete or a guardian reads those that need no method."""
    return own if opened.viewer.is_tied else columns


def load(opened: Opened, athlete_id: str, own: bool = False) -> None:
    """Show the load of the last weeks over the athlete's own range; unknown weeks stay open."""
    rows = opened.rows("load_week", {"athlete_id": athlete_id}, order_by=["-week_of"], limit=WEEKS)[::-1]
    if not rows:
        _nothing(wording.LOAD_TITLE, wording.NO_LOAD)
        return
    last = rows[-1]
    over = is_above(last)
    drawn = [
        {
            "no": number,
            "week": wording.day(r["week_of"]),
            "value": r["load_au"],
            "at_least": r["load_known_au"],
            "low": last["own_low_au"],
            "high": last["own_high_au"],
            "is_over": over and r is last,
        }
        for number, r in enumerate(rows)
    ]
    title, said = wording.load_title(last, over), wording.load_caption(last)
    if own:
        title, said = wording.to_you(title), wording.to_you(said)
    finding(title, said)
    chart(charts.week_bars(scheme(), wording.LOAD_UNIT), drawn, f"{title}. {said}")
    plan = opened.rows("plan_done", {"athlete_id": athlete_id, "week_of": last["week_of"]})
    facts = wording.load_facts(
        last, plan[0] if plan else None, reason_sentences(opened), int(opened.setting("percentile_least_weeks"))
    )
    if opened.viewer.is_tied:
        facts = [fact for fact in facts if fact["what"] in wording.LOAD_FACTS_OWN]
    hurt = html('<p class="soft">{}</p>', wording.INJURY_WEEK) if last["injury_week"] else ""
    shown = [fact for fact in facts if fact["what"] not in wording.LOAD_FACTS_SAID]
    also = html('<p class="soft">{}</p>', wording.said_facts(facts))
    page.show(table(shown, [(k, label, None) for k, label in wording.FACT_COLUMNS]) + also + hurt)

    def behind() -> list[tuple[str, list[Row]]]:
        first = rows[-2]["week_of"] if len(rows) > 1 else last["week_of"]
        since = {"athlete_id": athlete_id}
        return [
            ("load_week", rows[::-1][:6]),
            ("load_day", opened.rows("load_day", {**since, "day_on": (">=", first)}, order_by=["-day_on"])),
            ("session", opened.rows("session", {**since, "session_date": (">=", first)}, order_by=["-session_date"])),
            ("plan_done", plan),
        ]

    def worked() -> list[str]:
        who, week = {"athlete_id": athlete_id}, [last["week_of"] + dt.timedelta(days=n) for n in range(7)]
        days = opened.rows("load_day", {**who, "day_on": week})
        return wording.worked_load(last, days, opened.rows("session", {**who, "session_date": week}))

    explain(opened, "load", ("load_week", "load_day", "plan_done"), behind, worked=worked)


def exposure(opened: Opened, athlete_id: str, own: bool = False) -> None:
    """Show metres at 95 % or more of own best speed a week, over the usual ones."""
    rows = opened.rows("speed_exposure", {"athlete_id": athlete_id}, order_by=["-week_of"], limit=WEEKS)[::-1]
    kinds = [r["timing_kind"] for r in rows]
    rows = [r for r in rows if r["timing_kind"] == (max(set(kinds), key=kinds.count))] if rows else []
    if not rows:
        _nothing(wording.EXPOSURE_TITLE, wording.NO_EXPOSURE)
        return
    last = rows[-1]
    high = last["usual_metres_95_high"]
    drawn = [
        {
            "no": number,
            "week": wording.day(r["week_of"]),
            "value": r["metres_95"],
            "at_least": 0.0,
            "low": last["usual_metres_95_low"],
            "high": high,
            "is_over": r is last and high is not None and r["metres_95"] is not None and r["metres_95"] > high,
        }
        for number, r in enumerate(rows)
    ]
    title, said = wording.exposure_title(last), wording.exposure_caption(last)
    if own:
        title, said = wording.to_you(title), wording.to_you(said)
    finding(title, said)
    chart(charts.week_bars(scheme(), "m"), drawn, f"{title}. {said}")
    told = rows[: -TOLD_WEEKS - 1 : -1]
    why = wording.week_reasons(told, reason_sentences(opened))
    page.show(
        table(
            wording.run_rows(told),
            [(k, label, wording.cell) for k, label in _own(opened, wording.RUN_COLUMNS_OWN, wording.RUN_COLUMNS)],
        )
        + (html('<p class="soft">{}</p>', prose(why)) if why else "")
    )
    explain(
        opened,
        "exposure",
        ("speed_exposure",),
        lambda: [
            ("speed_exposure", rows[::-1]),
            ("rep", opened.rows("rep", {"athlete_id": athlete_id}, order_by=["-session_date", "rep_no"], limit=20)),
        ],
        worked=lambda: wording.worked_exposure(last),
    )


def work_by_kind(opened: Opened, athlete_id: str, own: bool = False) -> None:
    """Show eccentric hamstring work, jumps, resisted runs and lifting by week; gaps in the log are 'at least'."""
    rows = opened.rows("work_week", {"athlete_id": athlete_id}, order_by=["-week_of"], limit=TOLD_WEEKS)
    if not rows:
        _nothing(wording.KIND_TITLE, wording.NO_KIND)
        return
    finding(wording.KIND_TITLE, wording.KIND_CAPTION)
    lifted = [(k, label) for k, label in wording.TONNAGE_COLUMNS if any(r[k] for r in rows)]
    parts = [
        table(wording.kind_rows(rows, [k for k, _ in columns]), [(k, label, wording.cell) for k, label in columns])
        for columns in (wording.KIND_COLUMNS, (wording.KIND_COLUMNS[0], *lifted))
        if len(columns) > 1
    ]
    why = wording.week_reasons(rows, reason_sentences(opened))
    page.show(join_html(parts) + (html('<p class="soft">{}</p>', prose(why)) if why else ""))
    since = {"athlete_id": athlete_id, "session_date": (">=", rows[-1]["week_of"])}
    explain(
        opened,
        "kind",
        ("work_week",),
        lambda: [
            ("work_week", rows),
            ("lift_set", opened.rows("lift_set", since, order_by=["-session_date", "exercise", "set_no"])),
            ("rep", [r for r in opened.rows("rep", since, order_by=["-session_date", "rep_no"]) if r["resistance_kind"]
                     not in (None, "none")]),
        ],
    )  # fmt: skip


def strength(opened: Opened, athlete_id: str, own: bool = False) -> None:
    """Show estimated best lifts and the force of each side against test noise."""
    rows = opened.rows("strength_state", {"athlete_id": athlete_id}, order_by=["-measured_on", "item", "side"])
    if not rows:
        _nothing(wording.STRENGTH_TITLE, wording.NO_STRENGTH)
        return
    newest: dict[tuple[str, str], Row] = {}
    for r in rows:
        newest.setdefault((r["item"], r["side"]), r)
    lifts = [
        {**r, "formulas": wording.between(r.get("e1rm_low_kg"), r.get("e1rm_high_kg"))}
        for r in newest.values()
        if r["kind"] == "lift" and r["e1rm_kg"] is not None
    ]
    forces = [r for r in newest.values() if r["kind"] == "force"]
    sentences = [r["sentence"] for r in newest.values() if r["sentence"] and r["side"] == "both"]
    finding(wording.STRENGTH_TITLE, " ".join(sentences) or wording.STRENGTH_CAPTION)
    parts = []
    if lifts:
        parts.append(
            table(
                lifts,
                [(k, label, wording.cell) for k, label in _own(opened, wording.LIFT_COLUMNS_OWN, wording.LIFT_COLUMNS)],
            )
        )
    if forces:
        parts.append(
            table(
                [r for r in forces if r["side"] != "both"],
                [
                    (k, label, wording.cell)
                    for k, label in _own(opened, wording.FORCE_COLUMNS_OWN, wording.FORCE_COLUMNS)
                ],
            )
        )
        parts.append(
            table(
                [r for r in forces if r["difference_percent"] is not None],
                [(k, label, wording.cell) for k, label in wording.DIFFERENCE_COLUMNS],
            )
        )
    why = wording.item_reasons([*newest.values()], reason_sentences(opened))
    page.show(join_html(parts) + (html('<p class="soft">{}</p>', prose(why)) if why else ""))
    sided: list[dict[str, Any]] = [
        {"on": r["measured_on"], "value": r["peak_force_n"], "side_name": wording.SIDES[r["side"]]}
        for r in reversed(rows)
        if r["item"] == "eccentric_hamstring" and r["side"] in ("l", "r") and r["peak_force_n"]
    ]
    if len(sided) > 2:
        page.show(html('<p class="soft">{}</p>', wording.SIDES_CAPTION))
        chart(charts.two_sides(scheme(), "N"), sided, wording.SIDES_CAPTION)
    explain(
        opened,
        "strength",
        ("strength_state",),
        lambda: [
            ("strength_state", rows[:12]),
            ("force_test", opened.rows("force_test", {"athlete_id": athlete_id}, order_by=["-tested_on"], limit=20)),
            ("lift_set", opened.rows("lift_set", {"athlete_id": athlete_id}, order_by=["-session_date"], limit=20)),
        ],
        worked=lambda: wording.worked_strength(newest),
    )


def spring(opened: Opened, athlete_id: str, own: bool = False) -> None:
    """Show jumps and hops against the athlete's own usual."""
    rows = opened.rows("spring_state", {"athlete_id": athlete_id}, order_by=["-tested_on", "test"], limit=12)
    if not rows:
        _nothing(wording.SPRING_TITLE, wording.NO_SPRING)
        return
    finding(wording.SPRING_TITLE, wording.spring_caption(rows[0]))
    why = wording.item_reasons([{**r, "item": r["test"]} for r in rows[:6]], reason_sentences(opened))
    page.show(
        table(
            rows[:6],
            [
                (k, label, wording.cell)
                for k, label in _own(opened, wording.SPRING_COLUMNS_OWN, wording.SPRING_COLUMNS)
                if any(r.get(k) is not None for r in rows[:6])
            ],
        )
        + (html('<p class="soft">{}</p>', prose(why)) if why else "")
    )
    explain(
        opened,
        "spring",
        ("spring_state",),
        lambda: [
            ("spring_state", rows),
            ("jump_test", opened.rows("jump_test", {"athlete_id": athlete_id}, order_by=["-tested_on"], limit=20)),
        ],
        worked=lambda: wording.worked_spring(rows[0]),
    )


def races(opened: Opened, athlete_id: str, own: bool = False) -> None:
    """List the races."""
    rows = opened.rows("race_result", {"athlete_id": athlete_id}, order_by=["-raced_on"], limit=12)
    if not rows:
        _nothing(wording.RACES_TITLE, wording.NO_RACES)
        return
    page.show(
        html('<div class="finding"><h2>{}</h2>', wording.RACES_TITLE)
        + table(
            rows,
            [(k, label, wording.cell) for k, label in _own(opened, wording.RACE_COLUMNS_OWN, wording.RACE_COLUMNS)],
        )
        + html("</div>")
    )
    explain(
        opened,
        "races",
        ("race_mark",),
        lambda: [
            ("race_mark", opened.rows("race_mark", {"athlete_id": athlete_id}, order_by=["-raced_on"], limit=12)),
            ("race_result", rows),
        ],
    )


def decisions(opened: Opened, athlete_id: str) -> None:
    """List what was decided, newest first."""
    rows = opened.rows("decision", {"athlete_id": athlete_id}, order_by=["-week_of", "topic"], limit=18)
    if not rows:
        _nothing(wording.DECISIONS_TITLE, wording.NO_DECISIONS)
        return
    shown = [{**r, "topic": wording.TOPICS.get(r["topic"], r["topic"])} for r in rows]
    page.show(
        html('<div class="finding"><h2>{}</h2>', wording.DECISIONS_TITLE)
        + table(shown, [(k, label, wording.cell) for k, label in wording.DECISION_COLUMNS])
        + html("</div>")
    )
    explain(
        opened,
        "decisions",
        ("focus_followup",),
        lambda: [
            ("focus_followup", opened.rows("focus_followup", {"athlete_id": athlete_id}, order_by=["-week_of"])),
            ("decision", rows),
        ],
    )
