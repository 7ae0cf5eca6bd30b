"""The figures of the start: trend, first contacts, rhythm, acceleration, patterns and the work proposed."""

import datetime as dt
from typing import Any, Literal

from dashboard import wording
from dashboard.charts import start as charts
from dashboard.parts import page
from dashboard.parts.calls import Row, main_progress
from dashboard.parts.figure import chart, explain, finding, record_table, scheme, table
from dashboard.parts.marks import empty, text
from dashboard.reading import Opened

REP_KEY = ("athlete_id", "session_date", "session_no", "rep_no")
SERIES = ("start_kind", "clock_start", "timing_kind")
OWN_BEST = 5
RECENT_DAYS = 42
FREE = ["none", None]  # a run against a sled or a slope is named so; where nothing is said the run was free


def _series_of(progress: Row) -> dict[str, Any]:
    return {name: progress[name] for name in ("athlete_id", *SERIES)}


def _key(row: Row) -> dict[str, Any]:
    return {name: row[name] for name in REP_KEY}


def trend(opened: Opened, athlete_id: str, own: bool = False) -> None:
    """Show the trend of the main series with its interval, each session and the band of own noise."""
    progress = main_progress(opened, athlete_id)
    rows = (
        opened.rows("start_trend", {**_series_of(progress), "metric": progress["metric"]}, order_by=["session_date"])
        if progress
        else []
    )
    if not progress or len(rows) < 2:
        page.show(f'<div class="finding"><h2>{wording.trend_title(None, own)}</h2>{empty(wording.NO_TREND)}</div>')
        return
    sheet = opened.rows("week_sheet", {"athlete_id": athlete_id}, order_by=["-week_of"], limit=1)
    same = bool(sheet) and sheet[0]["progress_metric"] == progress["metric"]
    noise = [
        next((v for v in reversed(sheet[0][edge] or []) if v is not None), None) if same else None
        for edge in ("trend_low", "trend_high")
    ]
    drawn = [
        {
            "on": r["session_date"],
            "level": r["level"],
            "lower_95": r["lower_95"],
            "upper_95": r["upper_95"],
            "observed": r["observed"],
            "noise_low": noise[0],
            "noise_high": noise[1],
            "reference_on": progress["reference_on"],
        }
        for r in rows
    ]
    name = wording.series_name(progress["metric"], *(progress[c] for c in SERIES))
    title, said = wording.trend_title(progress["word"], own), wording.trend_caption(name, progress)
    finding(title, said)
    side: Literal["left", "right"] = "right" if progress["word"] == "improving" else "left"
    chart(
        charts.start_trend(scheme(), progress["unit"] or "s", progress["better_is"] or "lower", side),
        drawn,
        f"{title}. {said} {wording.trend_alt(rows)}",
    )
    page.show(f'<p class="soft">{text(wording.TREND_KEY)}</p>')

    def behind() -> list[tuple[str, list[Row]]]:
        days = [r["session_date"] for r in rows][-6:]
        splits = opened.rows(
            "split",
            {"athlete_id": athlete_id, "session_date": days},
            order_by=["-session_date", "rep_no", "distance_m"],
        )
        return [("start_progress", [progress]), ("start_trend", list(reversed(rows))), ("split", splits)]

    explain(opened, "trend", ("start_trend", "start_progress"), behind)


def _best_reps(opened: Opened, athlete_id: str, progress: Row | None) -> list[Row]:
    """Return the reps of the main series that have step timings, fastest over 10 m first."""
    where: dict[str, Any] = _series_of(progress) if progress else {"athlete_id": athlete_id}
    phases = {tuple(_key(r).values()) for r in opened.rows("start_phase", {**where, "resistance_kind": FREE})}
    profiles = opened.rows(
        "sprint_profile", {**where, "resistance_kind": FREE, "t_10_s": (">", 0)}, order_by=["t_10_s"]
    )
    return [r for r in profiles if tuple(_key(r).values()) in phases]


def contacts(opened: Opened, athlete_id: str, own: bool = False) -> None:
    """Show the first three contacts of the last session against the range of the own five best starts."""
    progress = main_progress(opened, athlete_id)
    where: dict[str, Any] = _series_of(progress) if progress else {"athlete_id": athlete_id}
    phases = opened.rows("start_phase", {**where, "resistance_kind": FREE}, order_by=["-session_date", "rep_no"])
    if not phases:
        page.show(f'<div class="finding"><h2>{wording.CONTACTS_TITLE}</h2>{empty(wording.NO_STEPS)}</div>')
        return
    last_on = phases[0]["session_date"]
    by_time = [tuple(_key(r).values()) for r in _best_reps(opened, athlete_id, progress)]
    best = by_time[:OWN_BEST]
    fastest = next((k for k in by_time if k[1] == last_on), tuple(_key(phases[0]).values()))
    steps = opened.rows(
        "start_steps", {"athlete_id": athlete_id, "step_no": [1, 2, 3]}, order_by=["session_date", "rep_no", "step_no"]
    )
    drawn: list[Row] = []
    for number in (1, 2, 3):
        name = f"step {number}"
        usual = [
            r["contact_s"] * 1000
            for r in steps
            if r["step_no"] == number and r["contact_s"] is not None and tuple(_key(r).values()) in best
        ]
        if usual:
            drawn.append(
                {
                    "step": name,
                    "who": "own",
                    "low_ms": min(usual),
                    "high_ms": max(usual),
                    "own_text": f"{min(usual):.0f}–{max(usual):.0f}",
                }
            )
        for r in steps:
            if r["step_no"] == number and r["session_date"] == last_on and r["contact_s"] is not None:
                ms, error = r["contact_s"] * 1000, (r.get("contact_s_se") or 0.0) * 1000
                who = "last" if tuple(_key(r).values()) == fastest else "other"
                drawn.append(
                    {"step": name, "who": who, "value_ms": ms, "error_low_ms": ms - error, "error_high_ms": ms + error}
                )
    if not drawn:
        page.show(f'<div class="finding"><h2>{wording.CONTACTS_TITLE}</h2>{empty(wording.NO_STEPS)}</div>')
        return
    said = wording.contacts_caption(last_on, own)
    finding(wording.CONTACTS_TITLE, said)
    chart(charts.first_contacts(scheme()), _even(drawn), f"{wording.CONTACTS_TITLE}. {said}")

    def behind() -> list[tuple[str, list[Row]]]:
        key = {"athlete_id": athlete_id, "session_date": last_on}
        return [
            ("start_phase", [p for p in phases if p["session_date"] == last_on]),
            ("step", opened.rows("step", key, order_by=["rep_no", "step_no"])),
        ]

    explain(opened, "contacts", ("start_phase", "start_steps"), behind)


def _even(rows: list[Row]) -> list[Row]:
    """Give every row every column, so that the chart finds them all."""
    names = ("step", "who", "low_ms", "high_ms", "own_text", "value_ms", "error_low_ms", "error_high_ms")
    return [{name: row.get(name) for name in names} for row in rows]


def rhythm(opened: Opened, athlete_id: str, own: bool = False) -> None:
    """Show step frequency over distance with 10 m marked, the last start over earlier ones."""
    progress = main_progress(opened, athlete_id)
    best = _best_reps(opened, athlete_id, progress)
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
    allowed = {tuple(_key(r).values()) for r in best}
    drawn = []
    for r in steps:
        key = tuple(_key(r).values())
        if key not in allowed or r["step_frequency_hz"] is None or r["distance_m"] is None:
            continue
        error = r.get("step_frequency_hz_se") or 0.0
        drawn.append(
            {
                "start": f"{r['session_date']} {r['rep_no']}",
                "is_last": key == tuple(_key(last).values()),
                "distance_m": r["distance_m"],
                "hz": r["step_frequency_hz"],
                "low_hz": r["step_frequency_hz"] - error,
                "high_hz": r["step_frequency_hz"] + error,
            }
        )
    if not any(d["is_last"] for d in drawn):
        return
    phase = opened.rows("start_phase", _key(last))
    said = wording.rhythm_caption(last_on, phase[0]["rhythm_10m"] if phase else None, own)
    finding(wording.RHYTHM_TITLE, said)
    chart(charts.step_frequency(scheme()), drawn, f"{wording.RHYTHM_TITLE}. {said}")
    explain(
        opened,
        "rhythm",
        ("start_steps",),
        lambda: [
            ("start_steps", opened.rows("start_steps", _key(last), order_by=["step_no"])),
            ("step", opened.rows("step", _key(last), order_by=["step_no"])),
        ],
    )


def acceleration(opened: Opened, athlete_id: str, own: bool = False) -> None:
    """Show the curve of the best recent rep: fitted times with their error, the gates, and how far each lies off."""
    progress = main_progress(opened, athlete_id)
    where: dict[str, Any] = _series_of(progress) if progress else {"athlete_id": athlete_id}
    reps = opened.rows(
        "sprint_profile",
        {**where, "resistance_kind": FREE, "trust": ["good", "thin"]},
        order_by=["-session_date", "t_10_s"],
    )
    if not reps:
        page.show(f'<div class="finding"><h2>{wording.ACCELERATION_TITLE}</h2>{empty(wording.NO_SPLITS)}</div>')
        return
    recent = [r for r in reps if (reps[0]["session_date"] - r["session_date"]).days <= RECENT_DAYS and r["t_10_s"]]
    rep = min(recent or reps, key=lambda r: r["t_10_s"] or 99.0)
    gates = opened.rows("split", _key(rep), order_by=["distance_m"])
    curve = opened.rows("sprint_curve", _key(rep), order_by=["distance_m"])
    said = wording.acceleration_caption(rep, own)
    finding(wording.ACCELERATION_TITLE, said)
    fit = [
        {
            "kind": "fit",
            "distance_m": c["distance_m"],
            "seconds": c["fitted_s"],
            "low_s": c["fitted_s"],
            "high_s": c["fitted_s"],
        }
        for c in curve
        if c["fitted_s"] is not None
    ]
    if not fit:
        for metres in (5, 10, 20, 30):
            seconds, error = rep.get(f"t_{metres}_s"), rep.get(f"t_{metres}_s_se") or 0.0
            if seconds is not None:
                fit.append(
                    {
                        "kind": "fit",
                        "distance_m": float(metres),
                        "seconds": seconds,
                        "low_s": seconds - error,
                        "high_s": seconds + error,
                    }
                )
    # Gates are drawn from first movement, as the fit is: less what the clock showed when the body began to move.
    offset = rep["time_offset_s"] or 0.0
    drawn = fit + [
        {
            "kind": "gate",
            "distance_m": g["distance_m"],
            "seconds": g["elapsed_s"] - offset,
            "low_s": None,
            "high_s": None,
        }
        for g in gates
    ]
    chart(charts.acceleration(scheme()), drawn, f"{wording.ACCELERATION_TITLE}. {said}")
    off = [
        {"distance_m": c["distance_m"], "residual_ms": c["residual_s"] * 1000, "zero": 0.0}
        for c in curve
        if c.get("residual_s") is not None
    ]
    if off:
        chart(charts.residuals(scheme()), off, wording.RESIDUAL_ALT)
    page.show(
        table([rep], [(k, label, wording.cell) for k, label in wording.PROFILE_COLUMNS if rep.get(k) is not None])
    )
    explain(
        opened,
        "acceleration",
        ("sprint_profile",),
        lambda: [("sprint_profile", [rep]), ("split", gates), ("rep", opened.rows("rep", _key(rep)))],
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
    items = "".join(
        f"<li><b>{text(wording.PATTERNS.get(p, p))}</b> <span class='soft'>{text(r['strength'])}</span><br>"
        f"{text(r['sentence'])} <small>{text(r['evidence'])}. {text(r['what_it_is_not'])}</small></li>"
        for p, r in seen.items()
    )
    page.show(
        f'<div class="finding"><h2>{text(wording.patterns_title(rows[0]["session_date"]))}</h2>'
        f'<ul class="notes">{items}</ul></div>'
    )
    explain(opened, "patterns", ("start_pattern",), lambda: [("start_pattern", last)])


def focus(opened: Opened, athlete_id: str, own: bool = False) -> None:
    """Show the work proposed for the start with why, how strong the evidence is, its caution and what would show."""
    rows = opened.rows("start_focus", {"athlete_id": athlete_id}, order_by=["-week_of", "rank"])
    title = wording.WORK_TITLE_OWN if own else wording.WORK_TITLE
    if not rows:
        page.show(f'<div class="finding"><h2>{title}</h2>{empty(wording.NO_FOCUS)}</div>')
        return
    now = [r for r in rows if r["week_of"] == rows[0]["week_of"]][:2]
    parts = []
    for r in now:
        caution = wording.OWN_CAUTION if own else r["caution"]
        parts.append(
            f'<div class="focus"><p class="big">{text(wording.sentence_case(r["headline"] or ""))}</p>'
            f"<p>{text(r['work'])}</p><dl><dt>{wording.WHY}</dt><dd>{text(r['why'])}</dd>"
            f"<dt>{wording.WOULD_SHOW}</dt><dd>{text(r['would_show'])}</dd>"
            f"<dt>{wording.EVIDENCE}</dt><dd>{text(wording.STRENGTHS.get(r['strength'], r['strength']))}</dd></dl>"
            f'<p class="soft">{text(caution)}</p></div>'
        )
    page.show(f'<div class="finding"><h2>{title}</h2>{"".join(parts)}</div>')
    explain(opened, "focus", ("start_focus",), lambda: [("start_focus", now)])


__all__ = ["acceleration", "contacts", "focus", "patterns", "record_table", "rhythm", "trend"]
