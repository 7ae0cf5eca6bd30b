"""Two starts against each other: step by step, speed, force, and what was seen."""

from collections.abc import Callable

import streamlit as st

from dashboard import questions as exploring
from dashboard import wording
from dashboard.charts import starts as charts
from dashboard.parts import page
from dashboard.parts.calls import Row
from dashboard.parts.figure import chart, explain, finding, scheme, table
from dashboard.parts.film_link import film_line
from dashboard.parts.marks import empty, prose
from dashboard.reads import Opened
from dashboard.screens.starts import words
from dashboard.screens.starts.pick import Start
from schemas.html import Markup, html, join_html

WHO = ("A", "B")


def numbers(key: str, drawn: Callable[[], str], label: str = words.NUMBERS) -> None:
    """Offer the table behind a chart; it is made only once it is opened."""
    box = st.expander(label, key=f"numbers_{key}", on_change="rerun")
    if box.open:
        with box:
            page.show(drawn())


def caveat(opened: Opened, code: str | None) -> str:
    """Return the sentence of a caveat code."""
    rows = opened.rows("caveat", {"code": code}) if code else []
    return str(rows[0]["sentence"]) if rows else wording.DATA_MISSING


def legend(pair: tuple[Start, Start]) -> Markup:
    """Name A and B with their marks."""
    return join_html(
        (
            html(
                '<span class="key"><i class="mark {}"></i><b>{}</b> {}</span>',
                who.lower(),
                who,
                words.short_run(start.run),
            )
            for who, start in zip(WHO, pair, strict=True)
        ),
        " ",
    )


def side_by_side(opened: Opened, pair: tuple[Start, Start]) -> None:
    """Show the steps of both starts, measure by measure, with the numbers of the whole runs."""
    one, other = pair
    said, runs, steps = exploring.compare(one.whole, other.whole, (one.steps, other.steps))
    page.show(html('<p class="lede">{}</p>', prose(said)))
    finding(words.SIDE_BY_SIDE, words.SIDE_CAPTION)
    page.show(html('<p class="soft keys">{}</p>', legend(pair)))
    if not steps:
        page.show(empty(wording.NO_STEPS))
    cells = [*st.columns(3, gap="medium"), *st.columns(3, gap="medium")]
    for place, (name, (title, unit, scale)) in enumerate(words.MEASURES.items()):
        rows = [r for r in steps if r["measure"] == name]
        if not rows:
            continue
        drawn = [
            {
                "step": r["step_no"],
                "who": who,
                "value": _times(r[side], scale),
                "low": _times(r[f"{side}_low"], scale),
                "high": _times(r[f"{side}_high"], scale),
                "differs": "≠" if r["verdict"] == "differs" and who == "A" else "",
            }
            for r in rows
            for who, side in zip(WHO, ("a", "b"), strict=True)
            if r[side] is not None
        ]
        with cells[place]:
            page.show(html("<h3>{}</h3>", title))
            chart(charts.steps(scheme(), unit), drawn, words.side_alt(name, rows))
    with cells[5]:
        page.show(
            html("<h3>{}</h3>", words.WHOLE_RUN)
            + table(
                [words.number_row(r) for r in runs],
                [
                    (k, label, None)
                    for k, label in words.NUMBER_COLUMNS
                    if k in ("called", "a", "b", "difference", "error")
                ],
            )
        )
    page.show(film_line(opened, [start.key for start in pair]))
    numbers(
        "steps",
        lambda: (
            table(
                [words.number_row(r) for r in [*runs, *steps]], [(k, label, None) for k, label in words.NUMBER_COLUMNS]
            )
            + html('<p class="method">{}</p>', words.COMPARE_METHOD)
        ),
    )
    explain(
        opened,
        "side",
        ("start_steps", "start_phase"),
        lambda: [
            item for start in pair for item in (("start_steps", start.steps), ("step", _rows(opened, "step", start)))
        ],
    )


def _times(value: float | None, scale: float) -> float | None:
    return None if value is None else value * scale


def _rows(opened: Opened, name: str, start: Start, *order: str) -> list[Row]:
    return opened.rows(name, start.key, order_by=list(order) or None or [])


def speed(opened: Opened, pair: tuple[Start, Start]) -> None:
    """Show both speed curves with the gates' own speeds, and how far each gate lies off its curve."""
    drawn: list[Row] = []
    off: list[Row] = []
    for who, start in zip(WHO, pair, strict=True):
        curve = exploring.curves(start.profile)[0] if start.profile else []
        drawn += [
            {
                "kind": "curve",
                "who": who,
                "from_m": None,
                **{k: r[k] for k in ("distance_m", "speed_mps", "low_mps", "high_mps")},
            }
            for r in curve
        ]
        for gate in opened.rows("sprint_curve", start.key, order_by=["distance_m"]):
            if gate["stretch_speed_mps"] is not None:
                drawn.append(
                    {
                        "kind": "stretch",
                        "who": who,
                        "from_m": gate["stretch_from_m"],
                        "distance_m": gate["distance_m"],
                        "speed_mps": gate["stretch_speed_mps"],
                        "low_mps": None,
                        "high_mps": None,
                    }
                )
            off.append(
                {
                    "gate": wording.number(gate["distance_m"], 0),
                    "who": who,
                    "distance_m": gate["distance_m"],
                    "residual_ms": gate["residual_s"] * 1000,
                    "fitted": wording.cell(gate["is_fitted"]),
                }
            )
    if not drawn:
        reason = caveat(opened, pair[1].profile.get("trust_reason") or "no_splits")
        page.show(
            html('<div class="finding"><h2>{}</h2>{}</div>', words.SPEED_TITLE, empty(words.NO_CURVE.format(reason)))
        )
        return
    finding(words.SPEED_TITLE, words.SPEED_CAPTION)
    chart(charts.speed(scheme()), drawn, f"{words.SPEED_TITLE}. {words.SPEED_CAPTION}")
    if off:
        off.sort(key=lambda r: (r["distance_m"], r["who"]))
        chart(
            charts.residuals(scheme()),
            off,
            "Milliseconds off the curve by gate: "
            + "; ".join(f"{r['who']} {r['gate']} m {wording.number(r['residual_ms'], 0, signed=True)}" for r in off)
            + ".",
        )
    parts = [line for who, start in zip(WHO, pair, strict=True) if (line := words.error_line(who, start.profile))]
    if parts:
        late = words.late_line([s.profile for s in pair], lambda code: caveat(opened, code))
        page.show(html('<p class="soft">{}</p>', " ".join([words.ERROR_PARTS, *parts, late])))
    numbers("speed", lambda: join_html((_gates(opened, who, start) for who, start in zip(WHO, pair, strict=True))))
    explain(
        opened,
        "speed",
        ("sprint_profile", "sprint_curve"),
        lambda: [
            item
            for start in pair
            for item in (
                ("sprint_profile", [start.profile] if start.profile else []),
                ("split", _rows(opened, "split", start, "distance_m")),
                ("rep", _rows(opened, "rep", start)),
            )
        ],
    )


def _gates(opened: Opened, who: str, start: Start) -> Markup:
    rows = opened.rows("sprint_curve", start.key, order_by=["distance_m"])
    docs = {d["column_name"]: d for d in opened.rows("column_doc", {"table_name": "sprint_curve"})}
    keys = (
        "distance_m",
        "elapsed_s",
        "fitted_s",
        "residual_s",
        "is_fitted",
        "stretch_speed_mps",
        "stretch_speed_mps_se",
    )
    return html("<h3>{}, {}</h3>", who, words.short_run(start.run)) + table(
        rows, [(k, wording.heading(k, docs.get(k)), wording.cell) for k in keys]
    )


def force(opened: Opened, pair: tuple[Start, Start]) -> None:
    """Show the push left at each speed, only where trust allows; else say why not."""
    drawn: list[Row] = []
    missing = []
    for who, start in zip(WHO, pair, strict=True):
        line = exploring.curves(start.profile)[1] if start.profile else []
        drawn += [{"who": who, **r} for r in line]
        if not line:
            why = start.profile.get("force_velocity_reason") or start.profile.get("trust_reason") or "no_splits"
            missing.append(words.NO_FORCE.format(who, caveat(opened, why)))
    finding(words.FORCE_TITLE, words.FORCE_CAPTION if drawn else "")
    if missing:
        page.show(join_html(html('<p class="empty">{}</p>', said) for said in missing))
    if drawn:
        said = "; ".join(
            f"{who}: F0 {wording.number(s.profile['f0_n_per_kg'], 2)}, V0 {wording.number(s.profile['v0_mps'], 2)}"
            for who, s in zip(WHO, pair, strict=True)
            if s.profile.get("f0_n_per_kg") is not None
        )
        chart(charts.force(scheme()), drawn, f"{words.FORCE_TITLE}. {said}.")
        shown = [
            {"who": who, **s.profile}
            for who, s in zip(WHO, pair, strict=True)
            if s.profile.get("f0_n_per_kg") is not None
        ]
        docs = {d["column_name"]: d for d in opened.rows("column_doc", {"table_name": "sprint_profile"})}
        keys = (
            "f0_n_per_kg",
            "f0_n_per_kg_se",
            "v0_mps",
            "v0_mps_se",
            "pmax_w_per_kg",
            "pmax_w_per_kg_se",
            "rf_max",
            "drf_s_per_m",
            "trust",
        )
        numbers(
            "force",
            lambda: table(
                shown, [("who", "start", None), *((k, wording.heading(k, docs.get(k)), wording.cell) for k in keys)]
            ),
        )
    explain(
        opened,
        "force",
        ("sprint_profile",),
        lambda: [
            ("sprint_profile", [s.profile for s in pair if s.profile]),
            (
                "body_measure",
                opened.rows(
                    "body_measure", {"athlete_id": pair[0].run["athlete_id"]}, order_by=["-measured_on"], limit=4
                ),
            ),
        ],
    )


def patterns(opened: Opened, pair: tuple[Start, Start]) -> None:
    """List what was seen in the two starts, each with its evidence and what it is not."""
    rows = [
        (who, r)
        for who, start in zip(WHO, pair, strict=True)
        for r in opened.rows("start_pattern", start.key, order_by=["pattern"])
    ]
    if not rows:
        page.show(
            html(
                '<div class="finding"><h2>{}</h2><p class="soft">{}</p></div>', words.PATTERNS_TITLE, words.NO_PATTERNS
            )
        )
    else:
        items = join_html((html("<li>{}</li>", _pattern(who, r)) for who, r in rows))
        page.show(
            html(
                '<div class="finding"><h2>{}</h2><ul class="notes">{}</ul>{}</div>',
                words.PATTERNS_TITLE,
                items,
                film_line(opened, [s.key for s in pair]),
            )
        )
    explain(
        opened,
        "lab_patterns",
        ("start_pattern",),
        lambda: [
            ("start_pattern", [r for _, r in rows]),
            *(
                (name, found)
                for name in ("set_position", "technique_note")
                for found in [[r for s in pair for r in opened.rows(name, s.key)]]
                if found
            ),
        ],
    )


def _pattern(who: str, row: Row) -> Markup:
    name = wording.PATTERNS.get(row["pattern"], row["pattern"])
    return html(
        "<b>{}: {}</b> <span class='soft'>{}</span><br>{} ", who, name, row["strength"], row["sentence"]
    ) + html("<small>{}. {}</small>", row["evidence"], row["what_it_is_not"])
