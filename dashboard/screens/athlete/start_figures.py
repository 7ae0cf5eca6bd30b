"""The figures of the start: trend, first contacts, rhythm, acceleration, patterns and the work proposed."""

import datetime as dt
from typing import Any

from dashboard import questions as exploring
from dashboard import wording
from dashboard.charts import start as charts
from dashboard.parts import page
from dashboard.parts.advice import advice_html, advice_of, works_of
from dashboard.parts.calls import Row, main_progress, why_no_trend
from dashboard.parts.drills import drills_named, offered
from dashboard.parts.figure import chart, explain, finding, record_table, scheme, table
from dashboard.parts.film_link import film_line
from dashboard.parts.marks import SCROLL, empty
from dashboard.reads import Opened
from dashboard.screens.athlete.start_rows import best_reps, contacts_drawing, rep_key, series_of, trend_drawing
from dashboard.screens.starts import words as starts_words
from schemas.html import Markup, html, join_html

RECENT_DAYS = 42


def _nothing(title: str, sentence: str) -> None:
    page.show(html('<div class="finding"><h2>{}</h2>{}</div>', title, empty(sentence)))


def trend(opened: Opened, athlete_id: str, own: bool = False) -> None:
    """Show the trend of the main series with its interval, each session and the band of own noise."""
    drawing = trend_drawing(opened, athlete_id, own)
    if drawing is None:
        _nothing(wording.trend_title(None, own), why_no_trend(opened, athlete_id))
        if opened.viewer.is_tied:
            return
        left_out = opened.rows("start_left_out", {"athlete_id": athlete_id}, order_by=["-runs"])
        page.show(trend_notes(None, left_out[1:]))  # the first stands above
        return
    finding(drawing.title, drawing.caption)
    chart(drawing.trend_spec(scheme()), drawing.rows, drawing.alt)
    tied = opened.viewer.is_tied
    page.show(html('<p class="soft">{}</p>', wording.TREND_KEY_OWN if tied else wording.TREND_KEY))
    left_out = opened.rows("start_left_out", {"athlete_id": athlete_id}, order_by=["-runs"])
    if not tied:
        page.show(trend_notes(drawing.progress, left_out))
    # Work beside a trend reads like its cause; whoever plans the work can judge that.
    blocks = [] if tied else _blocks_beside(opened, athlete_id, drawing.progress)
    if blocks:
        page.show(html("<p>{}</p>", starts_words.blocks_sentence(blocks)))

    def behind() -> list[tuple[str, list[Row]]]:
        days = [r["session_date"] for r in drawing.behind][-6:]
        splits = opened.rows(
            "split",
            {"athlete_id": athlete_id, "session_date": days},
            order_by=["-session_date", "rep_no", "distance_m"],
        )
        progress = [drawing.progress] if drawing.progress else []
        return [
            ("start_progress", progress),
            ("start_trend", list(reversed(drawing.behind))),
            ("start_left_out", opened.rows("start_left_out", {"athlete_id": athlete_id})),
            ("training_block", blocks),
            ("split", splits),
        ]

    tables = ("start_trend", "start_noise", "start_progress", "training_block")
    explain(
        opened,
        "trend",
        tables,
        behind,
        wording.PLAIN_HOW if tied else wording.HOW_COMPUTED,
        worked=lambda: wording.worked_trend(drawing.progress),
        plain=lambda: [
            wording.trend_caption(drawing.name, drawing.progress or {}),
            *(f"{r['sentence']}." for r in left_out),
        ],
    )


def trend_notes(progress: Row | None, left_out: list[Row]) -> Markup:
    """Return what it takes to see a change, and which runs are not in the trend and why."""
    said = [progress["plan_sentence"]] if progress and progress["plan_sentence"] else []
    said += [row["sentence"] for row in left_out]
    return html("<ul class='soft'>{}</ul>", join_html(html("<li>{}.</li>", s) for s in said)) if said else Markup()


def _blocks_beside(opened: Opened, athlete_id: str, progress: Row | None) -> list[Row]:
    """Return the blocks of work that reach into the time the progress is counted over."""
    since = progress["reference_on"] if progress else None
    if since is None:
        return []
    return opened.rows(
        "training_block", {"athlete_id": athlete_id, "end_on": (">=", since)}, order_by=["kind", "start_on"]
    )


def contacts(opened: Opened, athlete_id: str, own: bool = False) -> None:
    """Show the first three contacts of the last session against the range of the own five best starts."""
    drawing = contacts_drawing(opened, athlete_id, own)
    if drawing is None:
        has_steps = bool(opened.rows("step", {"athlete_id": athlete_id}, limit=1))
        _nothing(wording.CONTACTS_TITLE, wording.STEPS_UNPLACED if has_steps else wording.NO_STEPS)
        return
    finding(drawing.title, drawing.caption)
    chart(charts.first_contacts(scheme()), drawing.rows, drawing.alt)
    page.show(film_line(opened, drawing.behind))

    def behind() -> list[tuple[str, list[Row]]]:
        key = {"athlete_id": athlete_id, "session_date": drawing.behind[0]["session_date"]}
        return [("start_phase", drawing.behind), ("step", opened.rows("step", key, order_by=["rep_no", "step_no"]))]

    worked = lambda: wording.worked_contacts(drawing.behind)  # noqa: E731
    explain(opened, "contacts", ("start_phase", "start_steps"), behind, worked=worked)


def rhythm(opened: Opened, athlete_id: str, own: bool = False) -> None:
    """Show step frequency over distance with 10 m marked, the last start over earlier ones."""
    progress = main_progress(opened, athlete_id)
    best = best_reps(opened, athlete_id, progress)
    since = dt.timedelta(days=RECENT_DAYS)
    if not best:
        return
    last_on = max(r["session_date"] for r in best)
    last = min((r for r in best if r["session_date"] == last_on), key=lambda r: r["t_10_s"])
    steps = opened.rows(
        "start_steps",
        {"athlete_id": athlete_id, "session_date": (">=", last_on - since)},
        order_by=["session_date", "rep_no", "step_no"],
    )
    allowed = {tuple(rep_key(r).values()) for r in best}
    drawn = []
    for r in steps:
        key = tuple(rep_key(r).values())
        if key not in allowed or r["step_frequency_hz"] is None or r["distance_m"] is None:
            continue
        drawn.append(
            {
                "start": f"{r['session_date']} {r['rep_no']}",
                "is_last": key == tuple(rep_key(last).values()),
                "distance_m": r["distance_m"],
                "hz": r["step_frequency_hz"],
                "low_hz": r["step_frequency_low_hz"],
                "high_hz": r["step_frequency_high_hz"],
            }
        )
    if not any(d["is_last"] for d in drawn):
        return
    phase = opened.rows("start_phase", rep_key(last))
    said = wording.rhythm_caption(last_on, phase[0]["rhythm_10m"] if phase else None, own)
    finding(wording.RHYTHM_TITLE, said)
    chart(charts.step_frequency(scheme()), drawn, f"{wording.RHYTHM_TITLE}. {said}")
    page.show(film_line(opened, [rep_key(last)]))
    explain(
        opened,
        "rhythm",
        ("start_steps",),
        lambda: [
            ("start_steps", opened.rows("start_steps", rep_key(last), order_by=["step_no"])),
            ("step", opened.rows("step", rep_key(last), order_by=["step_no"])),
        ],
        worked=lambda: wording.worked_rhythm(phase[0] if phase else None),
    )


def acceleration(opened: Opened, athlete_id: str, own: bool = False) -> None:
    """Show the best recent rep: speed over the distance by its curve and as timed, and how far each gate lies off."""
    progress = main_progress(opened, athlete_id)
    where: dict[str, Any] = series_of(progress) if progress else {"athlete_id": athlete_id}
    where |= {"is_free": True, "trust": ["good", "thin"]}
    last = opened.rows("sprint_profile", where, columns=["session_date"], order_by=["-session_date"], limit=1)
    if not last:
        has_times = bool(opened.rows("split", {"athlete_id": athlete_id}, limit=1))
        _nothing(wording.ACCELERATION_TITLE, wording.SPLITS_UNPLACED if has_times else wording.NO_SPLITS)
        return
    since = last[0]["session_date"] - dt.timedelta(days=RECENT_DAYS)
    recent = opened.rows(
        "sprint_profile", {**where, "session_date": (">=", since)}, order_by=["-session_date", "t_10_s"]
    )
    rep = min(recent, key=lambda r: r["t_10_s"] or 99.0)
    gates = opened.rows("sprint_curve", rep_key(rep), order_by=["distance_m"])
    curve, _ = exploring.curves(rep)
    said = wording.acceleration_caption(rep, own)
    finding(wording.ACCELERATION_TITLE, said)
    gate, *rest = wording.AS_RUN_COLUMNS
    page.show(table(gates, [(*gate, lambda metres: f"{metres:g}"), *((*one, wording.cell) for one in rest)]))
    stretches = [
        {
            "kind": "stretch",
            "distance_m": g["distance_m"],
            "speed_mps": g["stretch_speed_mps"],
            "low_mps": g["stretch_speed_low_mps"],
            "high_mps": g["stretch_speed_high_mps"],
            "from_m": g["stretch_from_m"],
            "middle_m": g["stretch_middle_m"],
        }
        for g in gates
        if g["stretch_speed_mps"] is not None and g["stretch_from_m"] is not None
    ]
    names = ("distance_m", "speed_mps", "low_mps", "high_mps")
    drawn = [{"kind": "curve", **{n: c[n] for n in names}, "from_m": None, "middle_m": None} for c in curve] + stretches
    alt = " ".join(
        wording.stretch_alt(r["from_m"], r["distance_m"], r["speed_mps"]) for r in stretches if r["from_m"] is not None
    )
    chart(charts.speed(scheme()), drawn, f"{wording.ACCELERATION_TITLE}. {said} {alt}")
    if gates:
        off = [
            {
                "distance_m": g["distance_m"],
                "residual_ms": g["residual_s"] * 1000,
                "noise_ms": g["noise_band_s"] * 1000,
                "zero": 0.0,
                "is_fitted": g["is_fitted"],
            }
            for g in gates
        ]
        told = wording.residual_caption(gates, rep)
        page.show(html('<p class="soft">{}</p>', told))
        chart(charts.residuals(scheme()), off, told)
    columns = wording.PROFILE_COLUMNS_OWN if opened.viewer.is_tied else wording.PROFILE_COLUMNS
    page.show(table([rep], [(k, label, wording.cell) for k, label in columns if rep.get(k) is not None]))
    explain(
        opened,
        "acceleration",
        ("sprint_profile", "sprint_curve"),
        lambda: [
            ("sprint_curve", gates),
            ("sprint_profile", [rep]),
            ("split", opened.rows("split", rep_key(rep), order_by=["distance_m"])),
            ("rep", opened.rows("rep", rep_key(rep))),
        ],
        worked=lambda: wording.worked_curve(rep, gates),
    )


def patterns(opened: Opened, athlete_id: str, own: bool = False) -> None:
    """Show the patterns seen in the last session, each with its evidence and what it is not."""
    rows = opened.rows("start_pattern", {"athlete_id": athlete_id}, order_by=["-session_date", "rep_no"])
    if not rows:
        return
    last = [r for r in rows if r["session_date"] == rows[0]["session_date"]]
    seen: dict[str, Row] = {}
    for row in last:
        seen.setdefault(row["pattern"], row)
    items = join_html(
        (
            html("<li><b>{}</b> <span class='soft'>{}</span><br>", wording.PATTERNS.get(p, p), r["strength"])
            + html("{} <small>{}. {}</small></li>", r["sentence"], r["evidence"], r["what_it_is_not"])
            for p, r in seen.items()
        )
    )
    page.show(
        html(
            '<div class="finding"><h2>{}</h2><ul class="notes">{}</ul>{}</div>',
            wording.patterns_title(rows[0]["session_date"]),
            items,
            film_line(opened, last),
        )
    )
    explain(
        opened,
        "patterns",
        ("start_pattern",),
        lambda: [("start_pattern", last)],
        worked=lambda: wording.worked_patterns(last),
    )


def technique(opened: Opened, athlete_id: str, own: bool = False) -> None:
    """Show what was looked for in the last weeks and how often it was seen, free starts beside those with a load."""
    if "technique_seen" not in opened.board.tables:
        return
    rows = opened.rows("technique_seen", {"athlete_id": athlete_id}, order_by=["item"])
    if not rows:
        return
    loaded = any(row["sled_looked"] for row in rows)
    told = [
        {
            **row,
            "item": wording.TECHNIQUE.get(row["item"], row["item"]),
            "free": wording.seen_of(row["free_seen"], row["free_looked"]),
            "sled": wording.seen_of(row["sled_seen"], row["sled_looked"]),
        }
        for row in rows
    ]
    columns = [(key, label, None) for key, label in wording.TECHNIQUE_COLUMNS if loaded or key != "sled"]
    finding(wording.TECHNIQUE_TITLE, wording.TECHNIQUE_CAPTION)
    under = "" if loaded else html('<p class="soft">{}</p>', wording.NOT_UNDER_LOAD)
    page.show(html("{}{}</div>{}", SCROLL, table(told, columns), under))
    since = {"athlete_id": athlete_id}

    def behind() -> list[tuple[str, list[Row]]]:
        notes = opened.rows("technique_note", since, order_by=["-session_date", "-rep_no", "item"], limit=40)
        return [("technique_seen", rows), ("technique_note", notes)]

    explain(opened, "technique", ("technique_seen",), behind, worked=lambda: wording.worked_technique(rows))


def focus(opened: Opened, athlete_id: str, own: bool = False, *, said_above: bool = False) -> None:
    """Show the advice of the week and the work that goes with it; the work alone where the advice stands above."""
    told = advice_of(opened, athlete_id)
    works = works_of(opened, told)
    title = wording.WORK_TITLE_OWN if own else wording.WORK_TITLE
    advised = advice_html(told, works, own, said_above=said_above)
    mine = drills_named(offered(opened, [athlete_id]).get(athlete_id, [])) if opened.viewer.is_coach else ""
    page.show(html('<div class="finding"><h2>{}</h2>{}{}</div>', title, advised, mine))
    if told is not None:
        found = opened.rows("start_focus", {"athlete_id": athlete_id, "week_of": told["week_of"]}, order_by=["rank"])
        behind = ("advice", "advised_work", "start_focus")
        explain(opened, "focus", behind, lambda: list(zip(behind, ([told], works, found), strict=True)))


__all__ = ["acceleration", "contacts", "focus", "patterns", "record_table", "rhythm", "technique", "trend"]
