"""The numbers of the rules that a head coach may change, each with the range it may lie in."""

import hashlib
from dataclasses import dataclass
from typing import Literal

from schemas.settings import SquadSettings

FLAG_RULE = "at least one of the four families speaks"  # what counts as a flag; chosen before any look back
Bearing = Literal["readiness", "hamstring"]


@dataclass(frozen=True)
class RuleSetting:
    """One number of a rule. ``low`` and ``high`` bound what makes sense, not what is usual; common practice.

    ``bears_on`` is empty where it changes neither call nor flag: no version of theirs depends on it.
    """

    name: str
    words: str
    unit: str
    low: float
    high: float
    bears_on: tuple[Bearing, ...]


_BOTH: tuple[Bearing, ...] = ("readiness", "hamstring")
_CALL: tuple[Bearing, ...] = ("readiness",)
_FLAG: tuple[Bearing, ...] = ("hamstring",)

RULE_SETTINGS: tuple[RuleSetting, ...] = (
    RuleSetting("pain_talk_level", "pain from which the call is 'talk first'", "of 10", 1, 10, _CALL),
    RuleSetting("tight_talk_level", "hamstring tightness from which the call is 'talk first'", "of 10", 1, 10, _BOTH),
    RuleSetting("tight_adapt_level", "least tightness at which 'tighter than usual' counts", "of 10", 1, 10, _BOTH),
    RuleSetting(
        "tight_running_days",
        "check-ins running tighter than usual that make it 'talk first'",
        "check-ins",
        2,
        14,
        _CALL,
    ),
    RuleSetting("return_adapt_weeks", "weeks after a return that ask to adapt", "weeks", 0, 26, _CALL),
    RuleSetting(
        "attention_athletes",
        "athletes a week, of 24 with nothing wrong, brought up for the hamstring at most",
        "athletes",
        0.5,
        6,
        _BOTH,
    ),
    RuleSetting(
        "adapt_by_chance", "calls 'adapt' a day, of 24 with nothing wrong, by chance at most", "calls", 0.25, 4, _CALL
    ),
    RuleSetting("unusual_z", "robust z from which an answer is unusual for the athlete", "", 1, 4, _BOTH),
    RuleSetting("jump_drop_probability", "how sure a drop of the jump must be", "of 1", 0.5, 0.99, _CALL),
    RuleSetting("own_range_low", "lower end of the own range of a week, as a quantile", "of 1", 0, 0.45, _BOTH),
    RuleSetting("own_range_high", "upper end of the own range of a week, as a quantile", "of 1", 0.55, 1, _BOTH),
    RuleSetting("checkin_stale_days", "days a check-in stays good for", "days", 0, 7, _BOTH),
    RuleSetting("baseline_days", "days that make an athlete's own usual", "days", 14, 180, _BOTH),
    RuleSetting("baseline_least_days", "answers needed before one is called unusual", "days", 5, 90, _BOTH),
    RuleSetting("eccentric_note_days", "days without isolated eccentric work: a note", "days", 3, 90, _FLAG),
    RuleSetting("eccentric_flag_days", "days without isolated eccentric work: it speaks", "days", 7, 180, _FLAG),
    RuleSetting("test_overdue_days", "days after which a test is overdue", "days", 7, 365, _FLAG),
    RuleSetting(
        "exposure_gap_days", "days without a run at 95 % of own best that are a long gap", "days", 3, 60, _FLAG
    ),
    RuleSetting("return_marked_weeks", "weeks after a return that are marked", "weeks", 1, 52, _FLAG),
    RuleSetting(
        "hinge_outgrown_kg", "hip-hinge lift beyond which it works back and grip more than hamstring", "kg", 60, 400, ()
    ),
    RuleSetting(
        "progress_probability",
        "how sure a change of the start, or a drop in strength, must be",
        "of 1",
        0.5,
        0.99,
        _FLAG,
    ),
    RuleSetting("progress_weeks", "weeks back that the start is set against", "weeks", 2, 26, ()),
)

# The first may not lie above the second; the words complete "... may not lie above ...".
ORDERED: tuple[tuple[str, str], ...] = (
    ("tight_adapt_level", "tight_talk_level"),
    ("baseline_least_days", "baseline_days"),
    ("eccentric_note_days", "eccentric_flag_days"),
    ("own_range_low", "own_range_high"),
)


def rule_setting(name: str) -> RuleSetting | None:
    """Return one number of the rules, null where there is none of that name."""
    return next((rule for rule in RULE_SETTINGS if rule.name == name), None)


def version_of(settings: SquadSettings, bears_on: Bearing) -> str:
    """Return the name of a rule's version: six letters and digits, the same for the same numbers."""
    told = [(rule.name, float(getattr(settings, rule.name))) for rule in RULE_SETTINGS if bears_on in rule.bears_on]
    return hashlib.blake2b(repr(told).encode(), digest_size=3).hexdigest()
