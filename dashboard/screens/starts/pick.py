"""Choosing an athlete and two of their starts; the choice is kept in the address."""

from dataclasses import dataclass, field
from typing import Any

import streamlit as st

from dashboard.parts.calls import Row, main_progress
from dashboard.reads import Opened, query_value
from dashboard.screens.starts import words

REP_KEY = ("athlete_id", "session_date", "session_no", "rep_no")
KIND = ("start_kind", "clock_start", "timing_kind")
MOST_RUNS = 400  # newest first; older runs are reached by choosing another kind


@dataclass(frozen=True)
class Start:
    """One start: its curve's row, its first three steps' row, its steps; empty where they are not there."""

    run: Row
    profile: Row
    phase: Row
    steps: list[Row] = field(default_factory=list)

    @property
    def key(self) -> Row:
        """Key of the run."""
        return {name: self.run[name] for name in REP_KEY}

    @property
    def whole(self) -> Row:
        """Columns of curve and first steps together."""
        return {**self.phase, **self.profile}


def slug(run: Row) -> str:
    """Write a run for the address: 2026-11-16.1.2."""
    return f"{run['session_date'].isoformat()}.{run['session_no']}.{run['rep_no']}"


def kind_slug(kind: tuple[Any, ...]) -> str:
    """Write a kind of start for the address: blocks.gun.electronic."""
    return ".".join(part or "-" for part in kind)


def free_runs(opened: Opened, athlete_id: str) -> list[Row]:
    """Return the unresisted starts that have a curve or marked steps, newest first."""
    columns = [*REP_KEY, *KIND, "t_10_s", "trust", "fit_status"]
    profiles = opened.rows(
        "sprint_profile",
        {"athlete_id": athlete_id, "is_free": True},
        columns=[c for c in columns if c in opened.board.columns("sprint_profile")],
    )
    phases = opened.rows(
        "start_phase", {"athlete_id": athlete_id, "is_free": True}, columns=[*REP_KEY, *KIND, "contact_1_s"]
    )
    with_steps = {tuple(r[c] for c in REP_KEY): r for r in phases if r["contact_1_s"] is not None}
    found = {
        tuple(r[c] for c in REP_KEY): {**r, "has_steps": tuple(r[c] for c in REP_KEY) in with_steps}
        for r in profiles
        if r["start_kind"] != "rolling"
    }
    for key, row in with_steps.items():
        found.setdefault(key, {**row, "t_10_s": None, "trust": None, "has_steps": True})
    shown = [r for r in found.values() if r["has_steps"] or r["t_10_s"] is not None]
    return sorted(shown, key=lambda r: (r["session_date"], r["session_no"], r["rep_no"]), reverse=True)


def choose_kind(opened: Opened, athlete_id: str, runs: list[Row]) -> list[Row]:
    """Offer the kinds of start there are and return the runs of the one chosen."""
    kinds: dict[str, list[Row]] = {}
    for run in runs:
        kinds.setdefault(kind_slug(tuple(run[c] for c in KIND)), []).append(run)
    main = main_progress(opened, athlete_id)
    first = kind_slug(tuple(main[c] for c in KIND)) if main else ""
    if first not in kinds:
        first = max(kinds, key=lambda k: len(kinds[k]))
    now = query_value("kind", set(kinds)) or first
    options = sorted(kinds, key=lambda k: -len(kinds[k]))
    chosen = st.selectbox(
        words.KIND_LABEL,
        options,
        index=options.index(now),
        key=f"kind_{athlete_id}_{now}",
        width=330,
        format_func=lambda k: words.kind_name(tuple(kinds[k][0][c] for c in KIND), len(kinds[k])),
    )
    if chosen != now:
        st.query_params["kind"] = chosen
        for name in ("a", "b"):
            st.query_params.pop(name, None)
        st.rerun()
    return kinds[now][:MOST_RUNS]


def choose_two(runs: list[Row]) -> tuple[Row, Row] | None:
    """Offer two starts; without a choice B is the fastest of the last session with steps, A the own best before it."""
    by_slug = {slug(r): r for r in runs}
    if len(by_slug) < 2:
        return None
    with_steps = [r for r in runs if r["has_steps"]] or runs
    last_on = with_steps[0]["session_date"]
    later = _fastest([r for r in with_steps if r["session_date"] == last_on])
    earlier = [r for r in with_steps if r["session_date"] < last_on] or [r for r in runs if r is not later]
    first = {"a": slug(_fastest(earlier)), "b": slug(later)}
    chosen = {}
    for name, label in (("a", words.A_LABEL), ("b", words.B_LABEL)):
        now = query_value(name, set(by_slug)) or first[name]
        options = list(by_slug)
        picked = st.selectbox(
            label,
            options,
            index=options.index(now),
            key=f"{name}_{now}",
            width=400,
            format_func=lambda s: words.run_name(by_slug[s]),
        )
        if picked != now:
            st.query_params[name] = picked
            st.rerun()
        chosen[name] = by_slug[now]
    return chosen["a"], chosen["b"]


def _fastest(runs: list[Row]) -> Row:
    return min(runs, key=lambda r: (r["t_10_s"] is None, r["t_10_s"] or 0.0))


def read_start(opened: Opened, run: Row) -> Start:
    """Read everything there is of one start."""
    key = {name: run[name] for name in REP_KEY}
    profile, phase = opened.rows("sprint_profile", key), opened.rows("start_phase", key)
    steps = opened.rows("start_steps", key, order_by=["step_no"])
    return Start(run, profile[0] if profile else {}, phase[0] if phase else {}, steps)
