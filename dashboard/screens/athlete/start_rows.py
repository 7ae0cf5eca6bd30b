"""Rows to draw of the start, gathered for the page and for the printed sheet alike."""

from dataclasses import dataclass, field
from typing import Any, Literal

from dashboard import wording
from dashboard.charts import start as charts
from dashboard.parts.block_rows import COLUMNS, blocks_between, lanes_of
from dashboard.parts.calls import Row, main_progress
from dashboard.reads import Opened

REP_KEY = ("athlete_id", "session_date", "session_no", "rep_no")
SERIES = ("start_kind", "clock_start", "timing_kind")
LINE = (*SERIES, "measured_by", "set_up")  # what tells one line over time from another


def series_of(progress: Row) -> dict[str, Any]:
    """Return what tells one series from another: athlete, start, clock, timing."""
    return {name: progress[name] for name in ("athlete_id", *SERIES)}


def line_of(progress: Row) -> dict[str, Any]:
    """Return what tells one line over time from another: also what it is measured by, and the set-up."""
    return {name: progress[name] for name in ("athlete_id", *LINE)}


def rep_key(row: Row) -> dict[str, Any]:
    """Return the key of a row's run."""
    return {name: row[name] for name in REP_KEY}


@dataclass(frozen=True)
class Drawing:
    """What a figure shows: its finding, how it is drawn, its rows and what it says to those who do not see it."""

    title: str
    caption: str
    rows: list[Row]
    alt: str
    behind: list[Row]  # the rows of the table it is made from
    progress: Row | None
    better_is: str = "lower"
    unit: str = "s"
    word_side: Literal["left", "right"] = "left"
    blocks: list[Row] = field(default_factory=list)  # of work, in the days of a trend
    name: str = ""  # of the series, in full

    def trend_spec(self, scheme: str) -> dict[str, Any]:
        """Return the specification of a trend in these colours."""
        return charts.start_trend(scheme, self.unit, self.better_is, self.word_side, bool(self.blocks))


def trend_drawing(opened: Opened, athlete_id: str, own: bool = False) -> Drawing | None:
    """Gather the trend of the main series; null where there are fewer than two sessions."""
    progress = main_progress(opened, athlete_id)
    rows = (
        opened.rows("start_trend", {**line_of(progress), "metric": progress["metric"]}, order_by=["session_date"])
        if progress
        else []
    )
    if not progress or len(rows) < 2:
        return None
    sheet = opened.rows("week_sheet", {"athlete_id": athlete_id}, order_by=["-week_of"], limit=1)
    same = bool(sheet) and sheet[0]["progress_metric"] == progress["metric"]
    noise = [
        next((v for v in reversed(sheet[0][edge] or []) if v is not None), None) if same else None
        for edge in ("trend_low", "trend_high")
    ]
    first, last = rows[0]["session_date"], rows[-1]["session_date"]
    tied = opened.viewer.is_tied
    blocks = [] if tied else blocks_between(opened, athlete_id, first, last)
    blank = dict.fromkeys(("level", "lower_95", "upper_95", "observed", "noise_low", "noise_high", "reference_on"))
    drawn: list[Row] = [
        {
            **dict.fromkeys(COLUMNS),
            "kind": "day",
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
    drawn += [{**blank, **row} for row in lanes_of(blocks, first, last)]
    name = wording.series_name(progress["metric"], *(progress[c] for c in LINE))
    title, said = wording.trend_title(progress["word"], own), wording.trend_caption(name, progress)
    if tied or own:
        title, said = wording.plain_title(progress, own), wording.plain_caption(progress)
    return Drawing(
        title,
        said,
        drawn,
        f"{title}. {said} {wording.trend_alt(rows)}",
        rows,
        progress,
        progress["better_is"] or "lower",
        progress["unit"] or "s",
        "right" if progress["word"] == "improving" else "left",
        blocks,
        name,
    )


def best_reps(opened: Opened, athlete_id: str, progress: Row | None) -> list[Row]:
    """Return key and 10 m time of the reps of the main series that have step timings, fastest first."""
    where: dict[str, Any] = {
        **(series_of(progress) if progress else {"athlete_id": athlete_id}),
        "is_free": True,
    }
    phases = {tuple(row.values()) for row in opened.rows("start_phase", where, columns=REP_KEY)}
    profiles = opened.rows(
        "sprint_profile", {**where, "t_10_s": (">", 0)}, columns=(*REP_KEY, "t_10_s"), order_by=["t_10_s"]
    )
    return [r for r in profiles if tuple(rep_key(r).values()) in phases]


def contacts_drawing(opened: Opened, athlete_id: str, own: bool = False, on_paper: bool = False) -> Drawing | None:
    """Gather the first three contacts of the last day with step timings; null where there is none."""
    progress = main_progress(opened, athlete_id)
    where: dict[str, Any] = series_of(progress) if progress else {"athlete_id": athlete_id}
    phases = opened.rows("start_phase", {**where, "is_free": True}, order_by=["-session_date", "rep_no"])
    if not phases:
        return None
    last_on = phases[0]["session_date"]
    by_time = [tuple(rep_key(r).values()) for r in best_reps(opened, athlete_id, progress)]
    fastest = next((k for k in by_time if k[1] == last_on), tuple(rep_key(phases[0]).values()))
    steps = opened.rows(
        "start_steps",
        {"athlete_id": athlete_id, "session_date": last_on, "step_no": [1, 2, 3]},
        columns=(*REP_KEY, "step_no", "contact_s", "contact_low_s", "contact_high_s"),
        order_by=["session_date", "rep_no", "step_no"],
    )
    shown = progress or next(p for p in phases if tuple(rep_key(p).values()) == fastest)
    own_best = {row["step_no"]: row for row in opened.rows("start_best_contact", series_of(shown))}
    drawn: list[Row] = []
    for number in (1, 2, 3):
        name = f"step {number}"
        if number in own_best:
            low, high = (_ms(own_best[number][end]) for end in ("low_s", "high_s"))
            drawn.append(
                {"step": name, "who": "own", "low_ms": low, "high_ms": high, "own_text": f"{low:.0f}–{high:.0f}"}
            )
        for r in steps:
            if r["step_no"] == number and r["contact_s"] is not None:
                who = "last" if tuple(rep_key(r).values()) == fastest else "other"
                low, high = _ms(r["contact_low_s"]), _ms(r["contact_high_s"])
                value = _ms(r["contact_s"])
                drawn.append({"step": name, "who": who, "value_ms": value, "error_low_ms": low, "error_high_ms": high})
    if not drawn:
        return None
    said = wording.contacts_caption(last_on, own, on_paper)
    if opened.viewer.is_tied and not on_paper:
        said = wording.plain_contacts(last_on, own)
    title = wording.CONTACTS_TITLE
    return Drawing(
        title, said, _even(drawn), f"{title}. {said}", [p for p in phases if p["session_date"] == last_on], progress
    )


def _ms(seconds: float | None) -> float | None:
    return None if seconds is None else seconds * 1000


def _even(rows: list[Row]) -> list[Row]:
    """Give every row every column, so that the chart finds them all."""
    names = ("step", "who", "low_ms", "high_ms", "own_text", "value_ms", "error_low_ms", "error_high_ms")
    return [{name: row.get(name) for name in names} for row in rows]
