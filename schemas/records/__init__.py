"""The record: every table that is stored, by its name, in the order in which tables need each other."""

from schemas.base import RecordTable
from schemas.records.consent import Consent
from schemas.records.films import Film
from schemas.records.gym import Exercise, ForceTest, JumpTest, LiftSet
from schemas.records.library import Drill, RestDay, SeasonPhase, WeekTemplate
from schemas.records.other import OtherMeasure
from schemas.records.people import Athlete, BodyMeasure
from schemas.records.races import RaceResult
from schemas.records.reference import ReferenceValue
from schemas.records.reviews import ReviewLine
from schemas.records.runs import Rep, Split
from schemas.records.sessions import DayLog, Decision, Plan, Session
from schemas.records.steps import SetPosition, Step, TechniqueNote
from schemas.records.trials import StartTrial, TrialLot
from schemas.records.wellness import Checkin, Injury, ReturnStep

# Names that columns had in earlier versions, in files that were kept and in rows typed then: read for ever.
FORMER_NAMES: dict[str, str] = {"effort_cr10": "effort_0_10", "planned_effort_cr10": "planned_effort_0_10"}

RECORDS: dict[str, type[RecordTable]] = {
    "athlete": Athlete,
    "exercise": Exercise,
    "body_measure": BodyMeasure,
    "session": Session,
    "day_log": DayLog,
    "rep": Rep,
    "split": Split,
    "step": Step,
    "set_position": SetPosition,
    "film": Film,
    "technique_note": TechniqueNote,
    "start_trial": StartTrial,
    "trial_lot": TrialLot,
    "lift_set": LiftSet,
    "force_test": ForceTest,
    "jump_test": JumpTest,
    "checkin": Checkin,
    "injury": Injury,
    "return_step": ReturnStep,
    "race_result": RaceResult,
    "plan": Plan,
    "rest_day": RestDay,
    "season_phase": SeasonPhase,
    "drill": Drill,
    "week_template": WeekTemplate,
    "decision": Decision,
    "review_line": ReviewLine,
    "consent": Consent,
    "other_measure": OtherMeasure,
    "reference_value": ReferenceValue,
}
