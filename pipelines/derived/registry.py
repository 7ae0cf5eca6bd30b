"""Every derived table with the function that computes it. Functions are imported when they are needed.

A function bears the name of its table. Its parameter names are the tables it reads (record or derived), besides
``settings`` and ``as_of``; ``<table>_settled`` is a table without the running week. The order of computation follows
from them; see ``pipelines.board.derivation``.
"""

from collections.abc import Callable
from dataclasses import dataclass

import polars as pl

from schemas.derived.registry import DERIVED

# Tables in which an athlete's rows depend on others' too; they are computed whole. In every other table an athlete's
# rows follow from that athlete's rows (and from tables without athletes) alone: tests/demo/test_one_athlete.py and,
# for the list, test_of_the_squad.py. A test is in use when anybody has done it, so the test calendar and what a week
# lacks are the squad's.
OF_THE_SQUAD = frozenset(
    {
        "strength_state", "spring_state", "sprint_noise", "start_noise", "start_shift", "squad_trend",
        "readiness_noise", "attention_rate", "attention_budget",
        "flag_backtest", "group_spread", "group_load", "group_test_calendar", "completeness_week", "squad_week",
        "never_entered",
    }
)  # fmt: skip
# Athlete by athlete, but of past weeks and read by nobody in a hurry: after a write it comes with the squad's tables.
LOOKING_BACK = frozenset({"flag_backtest_week"})
WITH_THE_SQUAD = OF_THE_SQUAD | LOOKING_BACK
BY_ATHLETE = tuple(name for name in DERIVED if name not in OF_THE_SQUAD)

Derivation = Callable[..., pl.DataFrame]


@dataclass(frozen=True)
class InParts:
    """How a table of the squad is made where no process holds all rows it rests on: its function comes to the same."""

    part: Derivation  # of some athletes' rows, what the whole needs of them
    whole: Derivation  # from ``parts``, in the order of athletes, and other tables that it names


def in_parts() -> dict[str, InParts]:
    """Return the tables of the squad that can be made in parts."""
    from pipelines.derived.start.noise import noise_from
    from pipelines.derived.start.noise_runs import start_noise_runs

    return {"start_noise": InParts(start_noise_runs, noise_from)}


def columns_read() -> dict[str, dict[str, tuple[str, ...]]]:
    """Return which columns of wide tables are read: the others need not be in memory.

    By function and what it asks for; what is not named is handed over whole.
    """
    from pipelines.derived.start.shift import TREND_READ
    from pipelines.derived.start.trend_runs import PHASE_READ, PROFILE_READ

    return {
        "start_noise_runs": {"sprint_profile_settled": PROFILE_READ, "start_phase_settled": PHASE_READ},
        "start_shift": {"start_trend_settled": TREND_READ},
    }


def derivations() -> dict[str, Derivation]:  # noqa: PLR0915 - an import for each
    """Return the function of every derived table, by the name of the table."""
    from pipelines.derived.group.load import group_load
    from pipelines.derived.group.spread import group_spread
    from pipelines.derived.hamstring.flag import hamstring_flag
    from pipelines.derived.hindsight.attention import attention_budget, attention_rate
    from pipelines.derived.hindsight.backtest import flag_backtest
    from pipelines.derived.hindsight.replay import flag_backtest_week
    from pipelines.derived.load.amounts import load_day, load_week
    from pipelines.derived.load.blocks import training_block
    from pipelines.derived.load.calendar import completeness_week, group_test_calendar
    from pipelines.derived.load.exposure import speed_exposure
    from pipelines.derived.load.exposure_calendar import exposure_calendar
    from pipelines.derived.load.plan_done import plan_done
    from pipelines.derived.load.season import season_week
    from pipelines.derived.load.work import work_week
    from pipelines.derived.readiness.call import readiness_day, readiness_reason
    from pipelines.derived.readiness.chance import readiness_noise
    from pipelines.derived.readiness.checkin_answers import checkin_answer
    from pipelines.derived.readiness.due import answer_due
    from pipelines.derived.readiness.ladder import return_ladder
    from pipelines.derived.sprint.bests import gate_best
    from pipelines.derived.sprint.curve import sprint_curve
    from pipelines.derived.sprint.marks import race_mark
    from pipelines.derived.sprint.profile import sprint_profile, sprint_session
    from pipelines.derived.sprint.run_error import sprint_noise
    from pipelines.derived.sprint.sled import sled_profile
    from pipelines.derived.start.beside_others import start_beside_others
    from pipelines.derived.start.best_contacts import start_best_contact
    from pipelines.derived.start.focus import start_focus
    from pipelines.derived.start.followup import focus_followup
    from pipelines.derived.start.left_out import start_left_out
    from pipelines.derived.start.noise import start_noise
    from pipelines.derived.start.pattern import start_pattern
    from pipelines.derived.start.phase import start_phase, start_steps
    from pipelines.derived.start.progress import start_progress
    from pipelines.derived.start.shift import start_shift
    from pipelines.derived.start.squad_trend import squad_trend
    from pipelines.derived.start.technique import technique_seen
    from pipelines.derived.start.trend import start_trend
    from pipelines.derived.start.trial import start_trial_result
    from pipelines.derived.strength.spring import spring_state
    from pipelines.derived.strength.state import strength_state
    from pipelines.derived.strength.stature import body_growth
    from pipelines.derived.week.advice import advice, advised_work
    from pipelines.derived.week.decided import decision_state
    from pipelines.derived.week.never_entered import never_entered
    from pipelines.derived.week.plan_caution import plan_caution, standing_decision
    from pipelines.derived.week.plan_change import plan_change
    from pipelines.derived.week.sheet import squad_week, week_sheet
    from pipelines.derived.week.since_review import review_change, review_since

    functions: tuple[Derivation, ...] = (
        sprint_noise,
        sprint_profile,
        sprint_session,
        sprint_curve,
        gate_best,
        sled_profile,
        race_mark,
        start_steps,
        start_phase,
        start_pattern,
        start_best_contact,
        start_noise,
        start_trend,
        start_shift,
        start_left_out,
        never_entered,
        start_progress,
        start_trial_result,
        start_beside_others,
        technique_seen,
        start_focus,
        squad_trend,
        training_block,
        focus_followup,
        load_day,
        load_week,
        speed_exposure,
        exposure_calendar,
        work_week,
        strength_state,
        spring_state,
        body_growth,
        checkin_answer,
        readiness_day,
        readiness_reason,
        readiness_noise,
        hamstring_flag,
        attention_rate,
        attention_budget,
        flag_backtest,
        flag_backtest_week,
        answer_due,
        return_ladder,
        group_spread,
        group_load,
        group_test_calendar,
        completeness_week,
        plan_done,
        season_week,
        advice,
        advised_work,
        standing_decision,
        decision_state,
        plan_caution,
        plan_change,
        week_sheet,
        squad_week,
        review_change,
        review_since,
    )
    return {function.__name__: function for function in functions}
