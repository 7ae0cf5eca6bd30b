"""Every derived table by name, with the function that computes it. Functions are imported when they are needed.

A function's parameter names are the tables it reads (record or derived), besides ``settings`` and ``as_of``;
``<table>_settled`` is a table without the running week. The order of computation follows from them; see
``pipelines.board.derivation``.
"""

from collections.abc import Callable
from importlib import import_module

import polars as pl

DERIVATIONS: dict[str, str] = {
    "sprint_profile": "pipelines.derived.sprint.profile:sprint_profile",
    "sprint_session": "pipelines.derived.sprint.profile:sprint_session",
    "sprint_curve": "pipelines.derived.sprint.curve:sprint_curve",
    "sled_profile": "pipelines.derived.sprint.sled:sled_profile",
    "race_mark": "pipelines.derived.sprint.marks:race_mark",
    "start_steps": "pipelines.derived.start.phase:start_steps",
    "start_phase": "pipelines.derived.start.phase:start_phase",
    "start_pattern": "pipelines.derived.start.phase:start_pattern",
    "start_noise": "pipelines.derived.start.noise:start_noise",
    "start_trend": "pipelines.derived.start.progress:start_trend",
    "start_progress": "pipelines.derived.start.progress:start_progress",
    "start_focus": "pipelines.derived.start.focus:start_focus",
    "squad_trend": "pipelines.derived.start.squad_trend:squad_trend",
    "training_block": "pipelines.derived.load.blocks:training_block",
    "focus_followup": "pipelines.derived.start.followup:focus_followup",
    "load_day": "pipelines.derived.load.amounts:load_day",
    "load_week": "pipelines.derived.load.amounts:load_week",
    "speed_exposure": "pipelines.derived.load.exposure:speed_exposure",
    "exposure_calendar": "pipelines.derived.load.calendar:exposure_calendar",
    "work_week": "pipelines.derived.load.work:work_week",
    "strength_state": "pipelines.derived.strength.state:strength_state",
    "spring_state": "pipelines.derived.strength.spring:spring_state",
    "checkin_answer": "pipelines.derived.readiness.checkin_answers:checkin_answer",
    "readiness_day": "pipelines.derived.readiness.call:readiness_day",
    "readiness_reason": "pipelines.derived.readiness.call:readiness_reason",
    "readiness_noise": "pipelines.derived.readiness.chance:readiness_noise",
    "hamstring_flag": "pipelines.derived.hamstring.flag:hamstring_flag",
    "attention_rate": "pipelines.derived.hindsight.attention:attention_rate",
    "attention_budget": "pipelines.derived.hindsight.attention:attention_budget",
    "flag_backtest": "pipelines.derived.hindsight.backtest:flag_backtest",
    "flag_backtest_week": "pipelines.derived.hindsight.replay:flag_backtest_week",
    "return_ladder": "pipelines.derived.readiness.ladder:return_ladder",
    "group_spread": "pipelines.derived.group.spread:group_spread",
    "group_load": "pipelines.derived.group.spread:group_load",
    "group_test_calendar": "pipelines.derived.load.calendar:group_test_calendar",
    "completeness_week": "pipelines.derived.load.calendar:completeness_week",
    "plan_done": "pipelines.derived.load.planning:plan_done",
    "week_sheet": "pipelines.derived.week.sheet:week_sheet",
    "squad_week": "pipelines.derived.week.sheet:squad_week",
    "review_change": "pipelines.derived.week.since_review:review_change",
}

# Tables in which an athlete's rows depend on others' too; they are computed whole. In every other table an athlete's
# rows follow from that athlete's rows (and from tables without athletes) alone: tests/demo/test_one_athlete.py.
OF_THE_SQUAD = frozenset(
    {
        "strength_state", "spring_state", "start_noise", "squad_trend", "readiness_noise", "flag_backtest",
        "attention_rate", "attention_budget",
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
