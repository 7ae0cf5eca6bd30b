"""Every derived table by name, with the function that computes it. Functions are imported when they are needed.

A function's parameter names are the tables it reads (record or derived), besides ``settings`` and ``as_of``;
``<table>_settled`` is a table without the running week. The order of computation follows from them; see
``pipelines.derive``.
"""

from collections.abc import Callable
from importlib import import_module

import polars as pl

DERIVATIONS: dict[str, str] = {
    "sprint_profile": "pipelines.derived.sprint:sprint_profile",
    "sprint_session": "pipelines.derived.sprint:sprint_session",
    "sprint_curve": "pipelines.derived.curve:sprint_curve",
    "sled_profile": "pipelines.derived.sled:sled_profile",
    "race_mark": "pipelines.derived.marks:race_mark",
    "start_steps": "pipelines.derived.start:start_steps",
    "start_phase": "pipelines.derived.start:start_phase",
    "start_pattern": "pipelines.derived.start:start_pattern",
    "start_noise": "pipelines.derived.start_noise:start_noise",
    "start_trend": "pipelines.derived.progress:start_trend",
    "start_progress": "pipelines.derived.progress:start_progress",
    "start_focus": "pipelines.derived.focus:start_focus",
    "squad_trend": "pipelines.derived.squad_trend:squad_trend",
    "training_block": "pipelines.derived.blocks:training_block",
    "focus_followup": "pipelines.derived.followup:focus_followup",
    "load_day": "pipelines.derived.load:load_day",
    "load_week": "pipelines.derived.load:load_week",
    "speed_exposure": "pipelines.derived.exposure:speed_exposure",
    "exposure_calendar": "pipelines.derived.calendar:exposure_calendar",
    "work_week": "pipelines.derived.work:work_week",
    "strength_state": "pipelines.derived.strength:strength_state",
    "spring_state": "pipelines.derived.spring:spring_state",
    "checkin_answer": "pipelines.derived.checkin_answers:checkin_answer",
    "readiness_day": "pipelines.derived.readiness:readiness_day",
    "readiness_reason": "pipelines.derived.readiness:readiness_reason",
    "readiness_noise": "pipelines.derived.readiness:readiness_noise",
    "hamstring_flag": "pipelines.derived.hamstring:hamstring_flag",
    "flag_backtest": "pipelines.derived.backtest:flag_backtest",
    "flag_backtest_week": "pipelines.derived.replay:flag_backtest_week",
    "return_ladder": "pipelines.derived.returning:return_ladder",
    "group_spread": "pipelines.derived.group:group_spread",
    "group_load": "pipelines.derived.group:group_load",
    "group_test_calendar": "pipelines.derived.calendar:group_test_calendar",
    "completeness_week": "pipelines.derived.calendar:completeness_week",
    "plan_done": "pipelines.derived.planning:plan_done",
    "week_sheet": "pipelines.derived.week:week_sheet",
    "squad_week": "pipelines.derived.week:squad_week",
    "review_change": "pipelines.derived.since_review:review_change",
}

# Tables in which an athlete's rows depend on others' too; they are computed whole. In every other table an athlete's
# rows follow from that athlete's rows (and from tables without athletes) alone: tests/demo/test_one_athlete.py.
OF_THE_SQUAD = frozenset(
    {
        "strength_state", "spring_state", "start_noise", "squad_trend", "readiness_noise", "flag_backtest",
        "group_spread", "group_load", "squad_week",
    }
)  # fmt: skip
BY_ATHLETE = tuple(name for name in DERIVATIONS if name not in OF_THE_SQUAD)

Derivation = Callable[..., pl.DataFrame]


def derivation(name: str) -> Derivation:
    """Return the function that computes one derived table.

    Raises:
        LookupError: The table is not registered, or its module or function is not there.
    """
    if name not in DERIVATIONS:
        raise LookupError(f"there is no derived table '{name}'")
    module, _, wanted = DERIVATIONS[name].partition(":")
    try:
        found: Derivation = getattr(import_module(module), wanted)
    except ModuleNotFoundError as missing:
        if missing.name is None or not module.startswith(missing.name):
            raise
        raise LookupError(f"the function of '{name}' is missing: {DERIVATIONS[name]}") from missing
    except AttributeError as missing:
        raise LookupError(f"the function of '{name}' is missing: {DERIVATIONS[name]}") from missing
    return found


def derivations() -> dict[str, Derivation]:
    """Return the function of every derived table."""
    return {name: derivation(name) for name in DERIVATIONS}
