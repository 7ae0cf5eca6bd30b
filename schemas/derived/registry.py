"""Every derived table by name, in the order in which a coach meets them, with the model that describes it."""

from schemas.base import Table
from schemas.derived.advice import Advice, AdvisedWork
from schemas.derived.attention import AttentionBudget, AttentionRate
from schemas.derived.backtest import FlagBacktest, FlagBacktestWeek
from schemas.derived.beside_others import StartBesideOthers
from schemas.derived.best_contacts import StartBestContact
from schemas.derived.blocks import FocusFollowup, TrainingBlock
from schemas.derived.calendar import CompletenessWeek, ExposureCalendar, GroupTestCalendar
from schemas.derived.curve import SprintCurve
from schemas.derived.decided import DecisionState
from schemas.derived.due import AnswerDue
from schemas.derived.exposure import SpeedExposure
from schemas.derived.focus import StartFocus
from schemas.derived.gate_best import GateBest
from schemas.derived.group import GroupLoad, GroupSpread
from schemas.derived.growth import BodyGrowth
from schemas.derived.hamstring import HamstringFlag
from schemas.derived.left_out import StartLeftOut
from schemas.derived.load import LoadDay, LoadWeek
from schemas.derived.marks import RaceMark
from schemas.derived.never_entered import NeverEntered
from schemas.derived.noise import StartNoise
from schemas.derived.plan_caution import PlanCaution, StandingDecision
from schemas.derived.plan_change import PlanChange
from schemas.derived.planning import PlanDone
from schemas.derived.progress import StartProgress, StartTrend
from schemas.derived.readiness import CheckinAnswer, ReadinessDay, ReadinessNoise, ReadinessReason
from schemas.derived.returning import ReturnLadder
from schemas.derived.review import ReviewChange, ReviewSince
from schemas.derived.season import SeasonWeek
from schemas.derived.shift import StartShift
from schemas.derived.sled import SledProfile
from schemas.derived.spring import SpringState
from schemas.derived.sprint import SprintNoise, SprintProfile, SprintSession
from schemas.derived.squad_trend import SquadTrend
from schemas.derived.start import StartPattern, StartPhase, StartSteps
from schemas.derived.strength import StrengthState
from schemas.derived.technique import TechniqueSeen
from schemas.derived.trial import StartTrialResult
from schemas.derived.week import SquadWeek, WeekSheet
from schemas.derived.work import WorkWeek

DERIVED: dict[str, type[Table]] = {
    "sprint_noise": SprintNoise,
    "sprint_profile": SprintProfile,
    "sprint_session": SprintSession,
    "sprint_curve": SprintCurve,
    "gate_best": GateBest,
    "sled_profile": SledProfile,
    "race_mark": RaceMark,
    "start_steps": StartSteps,
    "start_phase": StartPhase,
    "start_pattern": StartPattern,
    "start_best_contact": StartBestContact,
    "start_noise": StartNoise,
    "start_trend": StartTrend,
    "start_shift": StartShift,
    "start_left_out": StartLeftOut,
    "start_progress": StartProgress,
    "start_trial_result": StartTrialResult,
    "start_beside_others": StartBesideOthers,
    "technique_seen": TechniqueSeen,
    "start_focus": StartFocus,
    "squad_trend": SquadTrend,
    "training_block": TrainingBlock,
    "focus_followup": FocusFollowup,
    "load_day": LoadDay,
    "load_week": LoadWeek,
    "speed_exposure": SpeedExposure,
    "exposure_calendar": ExposureCalendar,
    "work_week": WorkWeek,
    "strength_state": StrengthState,
    "spring_state": SpringState,
    "body_growth": BodyGrowth,
    "checkin_answer": CheckinAnswer,
    "readiness_day": ReadinessDay,
    "readiness_reason": ReadinessReason,
    "readiness_noise": ReadinessNoise,
    "hamstring_flag": HamstringFlag,
    "attention_rate": AttentionRate,
    "attention_budget": AttentionBudget,
    "flag_backtest": FlagBacktest,
    "flag_backtest_week": FlagBacktestWeek,
    "answer_due": AnswerDue,
    "return_ladder": ReturnLadder,
    "group_spread": GroupSpread,
    "group_load": GroupLoad,
    "group_test_calendar": GroupTestCalendar,
    "completeness_week": CompletenessWeek,
    "plan_done": PlanDone,
    "season_week": SeasonWeek,
    "advice": Advice,
    "advised_work": AdvisedWork,
    "standing_decision": StandingDecision,
    "decision_state": DecisionState,
    "plan_caution": PlanCaution,
    "plan_change": PlanChange,
    "never_entered": NeverEntered,
    "week_sheet": WeekSheet,
    "squad_week": SquadWeek,
    "review_change": ReviewChange,
    "review_since": ReviewSince,
}


def derived_models() -> dict[str, type[Table]]:
    """Return the model of every derived table."""
    return dict(DERIVED)
