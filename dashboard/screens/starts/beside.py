"""What stands beside the two starts: trend and work, the squad, decisions, the sled, the races."""

from collections.abc import Callable
from typing import Any

from dashboard import wording
from dashboard.charts import starts as charts
from dashboard.parts import page
from dashboard.parts.block_rows import COLUMNS, blocks_between, lanes_of
from dashboard.parts.calls import Row, main_progress, why_no_trend
from dashboard.parts.figure import Column, chart, explain, finding, scheme, table
from dashboard.parts.marks import caution, empty, prose
from dashboard.reads import Opened
from dashboard.screens.starts import words
from dashboard.screens.starts.pair import caveat, numbers
from schemas.html import Markup, html, join_html

SERIES = ("start_kind", "clock_start", "timing_kind", "measured_by")
LINE = (*SERIES, "set_up")
RACE_WRITTEN: dict[str, Callable[[Any], str] | None] = {
    "time_s": lambda v: wording.number(v, 2),
    "corrected_s": lambda v: wording.number(v, 2),
    "wind_ms": lambda v: wording.number(v, 1, signed=True),
    "event": None,
    "notes": None,
}


def trend(opened: Opened, athlete_id: str) -> None:
    """Show the main trend with the blocks of work that went with it as thin bars below."""
    progress = main_progress(opened, athlete_id)
    days = (
        opened.rows(
            "start_trend",
            {"athlete_id": athlete_id, "metric": progress["metric"], **{name: progress[name] for name in LINE}},
            order_by=["session_date"],
        )
        if progress
        else []
    )
    if not progress or len(days) < 2:
        page.show(
            html('<div class="finding"><h2>{}</h2>{}</div>', words.TREND_TITLE, empty(why_no_trend(opened, athlete_id)))
        )
        return
    first, last = days[0]["session_date"], days[-1]["session_date"]
    blocks = blocks_between(opened, athlete_id, first, last)
    beside = [b for b in blocks if b["end_on"] >= progress["reference_on"]]
    blank = dict.fromkeys(("level", "lower_95", "upper_95", "observed", *COLUMNS))
    drawn: list[Row] = [
        {
            **blank,
            "kind": "day",
            "on": r["session_date"],
            **{k: r[k] for k in ("level", "lower_95", "upper_95", "observed")},
        }
        for r in days
    ]
    drawn += [{**blank, **row} for row in lanes_of(blocks, first, last)]
    name = wording.series_name(progress["metric"], *(progress[c] for c in LINE))
    finding(words.TREND_TITLE, wording.trend_caption(name, progress))
    chart(
        charts.trend_with_blocks(scheme(), progress["unit"] or "s", progress["better_is"] or "lower", len(blocks)),
        drawn,
        f"{words.TREND_TITLE}. {wording.trend_alt(days)} {words.blocks_sentence(beside)}",
    )
    page.show(html('<p>{}</p><p class="soft">{}</p>', words.blocks_sentence(beside), words.TREND_KEY))
    keys = ("kind", "start_on", "end_on", "weeks", "days", "amount", "typical_load_kg")
    numbers(
        "trend",
        lambda: (
            table(
                [{**b, "kind": wording.BLOCK_KINDS[b["kind"]]} for b in blocks],
                [(k, wording.heading(k, None), wording.cell) for k in keys],
            )
            + table(
                days[::-1][:20],
                [
                    (k, wording.heading(k, None), wording.cell)
                    for k in ("session_date", "reps", "observed", "level", "level_se")
                ],
            )
        ),
    )
    explain(
        opened,
        "lab_trend",
        ("start_trend", "training_block"),
        lambda: [
            ("training_block", blocks),
            ("start_trend", days[::-1][:20]),
            ("rep", _sled_runs(opened, athlete_id)),
        ],
    )


def squad(opened: Opened, athlete_id: str) -> None:
    """Show the athlete's own line drawn towards the squad's, among those this viewer may see."""
    progress = main_progress(opened, athlete_id)
    where = {name: progress[name] for name in SERIES} if progress else {}
    rows = opened.rows("squad_trend", where, order_by=["athlete_id"]) if progress else []
    own = next((r for r in rows if r["athlete_id"] == athlete_id), None)
    if own is None or own["pooled_slope_s_per_week"] is None:
        why = caveat(opened, own["model_reason"] if own else "few_own_days")
        page.show(
            html('<div class="finding"><h2>{}</h2>{}</div>', words.SQUAD_TITLE, empty(words.NO_SQUAD.format(why)))
        )
        return
    names = {r["athlete_id"]: r["display_name"] for r in opened.board.allowed_athletes(opened.viewer).to_dicts()}
    said = own["sentence"]
    if own["model_reason"]:
        said += f" {caveat(opened, own['model_reason'])}"
    finding(words.SQUAD_TITLE, said)
    drawn = [
        {
            "name": names[r["athlete_id"]],
            "is_own": r["athlete_id"] == athlete_id,
            "pooled_ms": r["pooled_slope_s_per_week"] * 1000,
            "raw_ms": None if r["raw_slope_s_per_week"] is None else r["raw_slope_s_per_week"] * 1000,
            "low_ms": r["pooled_slope_low_s_per_week"] * 1000,
            "high_ms": r["pooled_slope_high_s_per_week"] * 1000,
            "squad_ms": r["squad_slope_s_per_week"] * 1000,
        }
        for r in sorted(rows, key=lambda r: names[r["athlete_id"]])
        if r["pooled_slope_s_per_week"] is not None
    ]
    chart(charts.squad_slopes(scheme(), len(drawn)), drawn, f"{words.SQUAD_TITLE}. {said}")
    page.show(html('<p class="soft">{}</p>', words.SQUAD_CAPTION))
    keys = (
        "days",
        "raw_slope_s_per_week",
        "raw_slope_s_per_week_se",
        "pooled_slope_s_per_week",
        "pooled_slope_s_per_week_se",
        "shrinkage_weight",
    )
    docs = {d["column_name"]: d for d in opened.rows("column_doc", {"table_name": "squad_trend"})}
    numbers(
        "squad",
        lambda: table(
            [{**r, "name": names[r["athlete_id"]]} for r in rows],
            [
                ("name", "athlete", None),
                *(
                    (
                        k,
                        wording.heading(k, docs.get(k)),
                        (lambda v: wording.number(v, 4, signed=True))
                        if k.endswith("week")
                        else (lambda v: wording.number(v, 4))
                        if k.endswith("_se")
                        else wording.cell,
                    )
                    for k in keys
                ),
            ],
        ),
    )
    explain(
        opened,
        "squad",
        ("squad_trend",),
        lambda: [
            ("squad_trend", [own]),
            (
                "start_trend",
                opened.rows(
                    "start_trend",
                    {"athlete_id": athlete_id, "metric": "t_10_s", **where},
                    order_by=["-session_date"],
                    limit=24,
                ),
            ),
        ],
    )


def followed(opened: Opened, athlete_id: str) -> None:
    """List the decisions on the start with what was done and what changed since."""
    rows = opened.rows("focus_followup", {"athlete_id": athlete_id}, order_by=["-week_of"], limit=6)
    if not rows:
        page.show(html('<div class="finding"><h2>{}</h2>{}</div>', words.FOLLOWED_TITLE, empty(words.NO_FOLLOWED)))
        return
    items = join_html(html("<li>{}</li>", _followed(r)) for r in rows)
    page.show(
        html(
            '<div class="finding"><h2>{}</h2><ul class="notes">{}</ul><p class="soft">{}</p></div>',
            words.FOLLOWED_TITLE,
            items,
            words.FOLLOWED_KEY,
        )
    )
    explain(
        opened,
        "followed",
        ("focus_followup",),
        lambda: [
            ("focus_followup", rows),
            (
                "decision",
                opened.rows(
                    "decision", {"athlete_id": athlete_id, "topic": "start_work"}, order_by=["-week_of"], limit=6
                ),
            ),
        ],
    )


def _followed(row: Row) -> Markup:
    call = wording.sentence_case(row["call"] or "")
    return html(
        "<span class='soft'>{}</span><br><b>{}</b>. {} <small>{}</small>",
        wording.week_title(row["week_of"]),
        call,
        prose(row["done_sentence"]),
        prose(row["change_sentence"] or ""),
    )


def sled(opened: Opened, athlete_id: str) -> None:
    """Show the line of speed on load, loads for a slow-down, and the guidance on heavy sleds with its cautions."""
    rows = opened.rows("sled_profile", {"athlete_id": athlete_id}, order_by=["-fitted_on", "surface"])
    if not rows:
        page.show(html('<div class="finding"><h2>{}</h2>{}</div>', words.SLED_TITLE, empty(words.NO_SLED)))
    else:
        line = next((r for r in rows if r["slope_mps_per_kg"] is not None), rows[0])
        finding(words.SLED_TITLE, words.sled_caption(line))
        if line["slope_mps_per_kg"] is None:
            page.show(empty(caveat(opened, line["reason"])))
        else:
            loads = words.sled_rows(line)
            drawn: list[Row] = []
            for percent in (10, 25, 50):
                if line[f"load_{percent}_kg"] is not None:
                    drawn.append(
                        {
                            "kind": "target",
                            "v0": line["v0_mps"],
                            "percent": float(percent),
                            "load_kg": line[f"load_{percent}_kg"],
                            "low_kg": line[f"load_{percent}_low_kg"],
                            "high_kg": line[f"load_{percent}_high_kg"],
                            "part": "",
                            "said": f"{percent} % slower",
                        }
                    )
            last = max((d["load_kg"] for d in drawn), default=line["tested_to_kg"])
            slope = {"v0": line["v0_mps"], "slope": line["slope_mps_per_kg"]}
            for part, ends in (
                ("tested", (0.0, line["tested_to_kg"])),
                ("beyond", (line["tested_to_kg"], max(last, line["tested_to_kg"]))),
            ):
                drawn += [{"kind": "line", "load_kg": end, "part": part, "said": "", **slope} for end in ends]
            names = ("kind", "v0", "slope", "percent", "load_kg", "low_kg", "high_kg", "part", "said")
            chart(
                charts.sled(scheme()),
                [{n: d.get(n) for n in names} for d in drawn],
                f"{words.SLED_TITLE}. "
                + "; ".join(
                    f"{r['slow_down']} slower at {r['load_kg']} kg ({r['low_kg']} to {r['high_kg']})" for r in loads
                )
                + ".",
            )
            page.show(table(loads, [(k, label, None) for k, label in words.SLED_COLUMNS]))
            if line["reason"]:
                page.show(html('<p class="soft">{}</p>', caveat(opened, line["reason"])))
        explain(
            opened,
            "sled",
            ("sled_profile",),
            lambda: [("sled_profile", rows[:6]), ("rep", _sled_runs(opened, athlete_id))],
        )
    page.show(html("<p>{}</p>{}", words.SLED_GUIDE, caution(words.SLED_CAUTION)))


def _sled_runs(opened: Opened, athlete_id: str) -> list[Row]:
    where = {"athlete_id": athlete_id, "resistance_kind": ["sled"]}
    return opened.rows("rep", where, order_by=["-session_date", "rep_no"], limit=40)


def races(opened: Opened, athlete_id: str) -> None:
    """List the races with corrected marks, points and what is to be minded."""
    rows = opened.rows("race_mark", {"athlete_id": athlete_id}, order_by=["-raced_on"], limit=14)
    if not rows:
        page.show(html('<div class="finding"><h2>{}</h2>{}</div>', words.RACES_TITLE, empty(words.NO_RACES)))
        return
    caveats = {c["code"]: c["sentence"] for c in opened.rows("caveat")}

    def notes(row: Row) -> str:
        codes = [*(row["note"] or "").split(), row["points_reason"]]
        if row["event"] == "100":
            codes.insert(0, row["reason"])
        return " ".join(dict.fromkeys(caveats.get(c, c) for c in codes if c))

    finding(words.RACES_TITLE, words.RACES_CAPTION)
    shown = [{**r, "notes": notes(r)} for r in rows]
    columns: list[Column] = [
        (k, label, RACE_WRITTEN.get(k, wording.cell))
        for k, label in words.RACE_COLUMNS
        if k != "notes" or any(r["notes"] for r in shown)
    ]
    page.show(table(shown, columns))
    explain(
        opened,
        "races",
        ("race_mark",),
        lambda: [
            ("race_mark", rows),
            ("race_result", opened.rows("race_result", {"athlete_id": athlete_id}, order_by=["-raced_on"], limit=14)),
        ],
    )
