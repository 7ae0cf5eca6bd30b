"""Every derived table by name, in the order in which a coach meets them, with the model that describes it."""

from importlib import import_module

from schemas.base import Table

MODELS: dict[str, str] = {
    "sprint_profile": "schemas.derived.sprint:SprintProfile",
    "sprint_session": "schemas.derived.sprint:SprintSession",
    "sprint_curve": "schemas.derived.curve:SprintCurve",
    "sled_profile": "schemas.derived.sled:SledProfile",
    "race_mark": "schemas.derived.marks:RaceMark",
    "start_steps": "schemas.derived.start:StartSteps",
    "start_phase": "schemas.derived.start:StartPhase",
    "start_pattern": "schemas.derived.start:StartPattern",
    "start_noise": "schemas.derived.noise:StartNoise",
    "start_trend": "schemas.derived.progress:StartTrend",
    "start_progress": "schemas.derived.progress:StartProgress",
    "start_focus": "schemas.derived.focus:StartFocus",
    "squad_trend": "schemas.derived.squad_trend:SquadTrend",
    "training_block": "schemas.derived.blocks:TrainingBlock",
    "focus_followup": "schemas.derived.blocks:FocusFollowup",
    "load_day": "schemas.derived.load:LoadDay",
    "load_week": "schemas.derived.load:LoadWeek",
    "speed_exposure": "schemas.derived.exposure:SpeedExposure",
    "exposure_calendar": "schemas.derived.calendar:ExposureCalendar",
    "work_week": "schemas.derived.work:WorkWeek",
    "strength_state": "schemas.derived.strength:StrengthState",
    "spring_state": "schemas.derived.spring:SpringState",
    "checkin_answer": "schemas.derived.readiness:CheckinAnswer",
    "readiness_day": "schemas.derived.readiness:ReadinessDay",
    "readiness_reason": "schemas.derived.readiness:ReadinessReason",
    "readiness_noise": "schemas.derived.readiness:ReadinessNoise",
    "hamstring_flag": "schemas.derived.hamstring:HamstringFlag",
    "attention_rate": "schemas.derived.attention:AttentionRate",
    "attention_budget": "schemas.derived.attention:AttentionBudget",
    "flag_backtest": "schemas.derived.backtest:FlagBacktest",
    "flag_backtest_week": "schemas.derived.backtest:FlagBacktestWeek",
    "return_ladder": "schemas.derived.returning:ReturnLadder",
    "group_spread": "schemas.derived.group:GroupSpread",
    "group_load": "schemas.derived.group:GroupLoad",
    "group_test_calendar": "schemas.derived.calendar:GroupTestCalendar",
    "completeness_week": "schemas.derived.calendar:CompletenessWeek",
    "plan_done": "schemas.derived.planning:PlanDone",
    "week_sheet": "schemas.derived.week:WeekSheet",
    "squad_week": "schemas.derived.week:SquadWeek",
    "review_change": "schemas.derived.review:ReviewChange",
}


def derived_model(name: str) -> type[Table]:
    """Return the model of one derived table.

    Raises:
        LookupError: The table is not registered, or its module or class is not there.
    """
    if name not in MODELS:
        raise LookupError(f"there is no derived table '{name}'")
    module, _, wanted = MODELS[name].partition(":")
    try:
        found: type[Table] = getattr(import_module(module), wanted)
    except ModuleNotFoundError as missing:
        if missing.name is None or not module.startswith(missing.name):
            raise
        raise LookupError(f"the model of '{name}' is missing: {MODELS[name]}") from missing
    except AttributeError as missing:
        raise LookupError(f"the model of '{name}' is missing: {MODELS[name]}") from missing
    return found


def derived_models() -> dict[str, type[Table]]:
    """Return the model of every derived table."""
    return {name: derived_model(name) for name in MODELS}
