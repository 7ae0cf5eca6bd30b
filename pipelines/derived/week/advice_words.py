"""The words of the one advice: common practice, no source."""

from dataclasses import dataclass
from typing import Literal

from schemas.checkin import ITEMS

Demand = Literal["none", "light", "full_effort", "heavy"]


@dataclass(frozen=True)
class Terms:
    """What a kind of work asks of an athlete, and how it is said to a minor where the usual words do not fit."""

    demand: Demand
    caution_short: str
    minor_headline: str = ""
    minor_work: str = ""


SUPERVISED = "Supervised, technique first: "
MINOR_WORK = "Under 18: only with the coach beside them, technique before load and speed. "
MINOR_CAUTION_SHORT = "Under 18: supervised, technique first."

# By limit of ``start_focus``.
TERMS: dict[str, Terms] = {
    "push_cut_short": Terms(
        "heavy",
        "Build up over weeks, supervised.",
        "light sled starts, three steps",
        "Sled starts so light that the first three steps keep their shape, full rest between; the load grows only with "
        "the technique.",
    ),
    "push_too_long": Terms("light", "Start light, pain-free at the hip."),
    "set_too_high": Terms("full_effort", "Change one thing at a time."),
    "set_too_low": Terms("full_effort", "Change one thing at a time."),
    "ankle_gives": Terms("heavy", "Few contacts first; mind the Achilles."),
    "reaches_ahead": Terms("heavy", "Build up slowly, away from fast days."),
    "hamstring_capacity": Terms("heavy", "Build up slowly, away from fast days."),
    "head_or_arms_apart": Terms("full_effort", "Mend the push first."),
    "keep": Terms("none", "Only what was filmed or timed is seen."),
    "measure": Terms("full_effort", "Timed electronically, not by hand."),
}
DEMANDING: tuple[Demand, ...] = ("full_effort", "heavy")

# What a finding is called while its work waits.
FINDINGS: dict[str, str] = {
    "push_cut_short": "the push cut short",
    "push_too_long": "the push that lasts too long",
    "set_too_high": "the set position (too high)",
    "set_too_low": "the set position (too low)",
    "ankle_gives": "the giving ankle",
    "reaches_ahead": "the reach ahead",
    "hamstring_capacity": "the eccentric hamstring force",
    "head_or_arms_apart": "head and arms",
    "measure": "filming and timing of starts",
}

# By reason of the readiness rule: how the strongest of those that push to 'adapt' asks to adapt.
ADAPT_BY: dict[str, str] = {
    "recent_return": "no_maximal_runs",
    "injury_trained_through": "no_maximal_runs",
    "tight_unusual": "no_maximal_runs",
    "jump_drop": "no_maximal_runs",
    "week_load": "less_volume",
    **{item.name: item.adapt for item in ITEMS if item.adapt},
}


@dataclass(frozen=True)
class Standing:
    """The words of one standing, for the coach and for the athlete; ``until`` ends 'waits until ...'."""

    headline: str
    sentence: str
    own_headline: str
    own_sentence: str
    until: str


STANDINGS: dict[str, Standing] = {
    "injury": Standing(
        "A licensed professional sees it before any running; the coach does not decide this one",
        "An injury is open. A licensed professional sees it before any running and says when running begins again; the "
        "coach does not decide this one, and the tool clears nobody.",
        "A doctor or physio sees it before you run",
        "An injury of yours is open. A doctor or physio sees it before any running and says when you run again; your "
        "coach does not decide this one.",
        "a licensed professional has seen it",
    ),
    "talk": Standing(
        "No maximal runs before the talk",
        "Talk first. Until then nothing heavy and nothing at full effort; pain goes to a licensed professional.",
        "Talk first, before you run",
        "Talk to your coach before you warm up. If it hurts, see a doctor or physio.",
        "after the talk",
    ),
    "return": Standing(
        "The next step of the way back, no more",
        "On the way back to running: what the steps allow and nothing beyond them. Who treats the athlete signs each "
        "step; the tool clears nobody.",
        "The next step of your way back",
        "Do the step you were given, nothing beyond it: ask before anything fast or heavy. If it hurts, stop, "
        "tell your coach, and see a doctor or physio.",
        "the steps back are done",
    ),
    "return_planned": Standing(
        "As planned, within the steps back",
        "Nothing unusual today, and still within the weeks after a return: what the steps back allow, nothing heavy "
        "and nothing at full effort beyond what is signed. The tool clears nobody.",
        "Your plan, within your steps back",
        "Nothing unusual today, and you are still on your way back: do what your steps allow, and ask before anything "
        "fast or heavy beyond them.",
        "the steps back are done",
    ),
    "ask": Standing(
        "Ask for a check-in",
        "Nobody knows how they are today: ask before anything fast or heavy.",
        "Check in first",
        "There is no fresh check-in of yours, so nothing can be said. Check in, then look again.",
        "they are asked",
    ),
    "too_few": Standing(
        "Ask how they are",
        "Too few check-ins to compare with: ask before anything fast or heavy.",
        "Too early to say",
        "Too few check-ins of yours to compare with yet. Tell your coach how you feel before you start.",
        "they are asked",
    ),
    "adapt": Standing(
        "Adapt: {how}",
        "Something is unusual for this athlete: {how}. Nothing heavy and nothing at full effort is proposed meanwhile.",
        "Adapt today: {how}",
        "Something is unusual for you: {how}. Ask your coach what to change before you start.",
        "the call is as planned",
    ),
    "go_on": Standing(
        "",
        "Go on as planned.",
        "Train as planned",
        "Nothing in your answers is unusual for you. Train as your plan says.",
        "",
    ),
    "go_on_watching": Standing(
        "",
        "Go on as planned, and ask about the hamstring before fast running.",
        "Train as planned",
        "Train as your plan says, and tell your coach how your hamstrings feel before you run fast.",
        "",
    ),
}
FLAG_CAUTION = "A flag is a reason to talk, not a prediction: published risk factors predict individuals poorly."
AGE_UNKNOWN = "No birth date is on record: under 18 only supervised, technique first."
NO_MASS = "No body mass of the last 180 days is on record: no load can be named."
