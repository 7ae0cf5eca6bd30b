"""The squad's settings: every number a rule uses that a head coach may change. Kept in the home's settings.toml."""

import datetime as dt
from dataclasses import dataclass


@dataclass(frozen=True)
class SquadSettings:
    """Settings in force. Each has its unit in its name; the methods page prints them with their comments."""

    squad_name: str = "Your squad"
    as_of: dt.date | None = None  # the day the tool looks from; null: today (the demo is frozen at its last day)

    # Review
    review_days: int = 56  # days back for which calls and flags are computed
    checkin_stale_days: int = 2  # no check-in within so many days: no call

    # Attention: how much the rules may ask for where nothing is wrong; their thresholds follow from it
    attention_athletes: float = 2.0  # athletes a week, of 24 with nothing wrong, brought up for the hamstring at most
    adapt_by_chance: float = 1.0  # calls 'adapt' a day, of 24 with nothing wrong, that chance may give at most

    # Own baseline
    baseline_days: int = 42  # days before today that make an athlete's own baseline
    baseline_least_days: int = 14  # days with an answer needed before anything is called unusual
    unusual_z: float = 2.0  # robust z (prediction form) from which an item is called unusual

    # Readiness: levels of the rule
    pain_talk_level: float = 3.0  # pain (0-10) from which the call is 'talk first'
    tight_talk_level: float = 5.0  # tightness (0-10) of one hamstring from which the call is 'talk first'
    tight_adapt_level: float = 3.0  # least tightness (0-10) at which 'tighter than usual' counts
    tight_running_days: int = 3  # check-ins running tighter than usual that make it 'talk first'
    return_adapt_weeks: int = 4  # weeks after a return from injury that ask to adapt
    jump_drop_probability: float = 0.80  # P(the drop of the jump is real) from which it is a reason

    # Progress
    progress_probability: float = 0.80  # P(change beyond the smallest worthwhile one) that makes a word of it
    progress_weeks: int = 6  # weeks back to the reference
    swc_share: float = 0.2  # smallest worthwhile change as a share of the spread between athletes

    # Load and exposure
    percentile_least_weeks: int = 8  # complete weeks needed before a personal percentile is shown
    own_range_low: float = 0.10  # own range of week load: this quantile ...
    own_range_high: float = 0.90  # ... to this one

    # Strength and hamstring
    eccentric_note_days: int = 14  # days without isolated eccentric hamstring work: first note
    eccentric_flag_days: int = 28  # ... from which the capacity family speaks
    test_overdue_days: int = 42  # days since the last test of a kind, from which the next is overdue
    exposure_gap_days: int = 10  # days without a run at >= 95 % of own best
    return_marked_weeks: int = 8  # weeks after a return that are marked
    hinge_outgrown_kg: float = 185.0  # hip-hinge lift beyond which it works back and grip more than hamstring

    # Privacy
    welfare_contact: str = ""  # whom an athlete can turn to beside the coach; shown on the check-in page
    keep_health_days: int = 1095  # days after which health rows are listed as past their keeping (0: never)
    keep_left_days: int = 365  # days after an athlete left, or was last heard of, until the same (0: never)

    # Air, where a session does not say
    air_temperature_c: float = 20.0
    air_pressure_torr: float = 760.0
