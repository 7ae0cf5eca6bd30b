"""What a guardian reads where the athlete reads words of their own: about the athlete, and what a guardian may do."""

from collections.abc import Mapping
from typing import Any

from schemas.vocabulary import ADAPTATIONS

# By standing of the advice: headline and sentence.
TO_GUARDIAN: dict[str, tuple[str, str]] = {
    "injury": (
        "A doctor or physio sees it before any running",
        "An injury is open. A doctor or physio sees it before any running and says when running begins again; the "
        "coach does not decide this one.",
    ),
    "talk": (
        "A talk with the coach comes first today",
        "Something in today’s check-in asks the coach to talk with the athlete before the warm-up. If it hurts, a "
        "doctor or physio should see it.",
    ),
    "return": (
        "On the way back: one step at a time",
        "Only the step that was given, nothing beyond it. Who treats the injury signs each step. If it hurts, a "
        "doctor or physio should see it.",
    ),
    "return_planned": (
        "As planned, within the steps back",
        "Nothing unusual was answered today. Training goes as far as the steps back allow; the coach is asked before "
        "anything fast or heavy beyond them.",
    ),
    "ask": (
        "No check-in yet today",
        "There is no fresh check-in, so nothing can be said. The athlete answers it; the coach asks before anything "
        "fast or heavy.",
    ),
    "too_few": (
        "Too early to say",
        "There are too few check-ins to compare with yet. The coach asks before the start.",
    ),
    "adapt": (
        "Today’s training is adapted: {how}",
        "Something is unusual for the athlete: {how}. The coach says what changes before the start.",
    ),
    "go_on": ("Training as planned", "Nothing unusual was answered today."),
    "go_on_watching": (
        "Training as planned",
        "Nothing unusual was answered today. The coach asks how the hamstrings feel before fast running.",
    ),
}
CONSENT_AND_DATA = "Consent and data"
THE_START, THE_WORK = "The start", "The work"
PLAN_TO_GUARDIAN = {
    "injury": "This waits: a doctor or physio sees the injury before any running.",
    "talk": "The coach talks with the athlete before the start: this was planned before today’s answers.",
    "ask": "The coach will ask something first: this was planned before today’s answers.",
    "return": "The steps back count, and this plan only where the coach says so.",
    "return_planned": "The steps back count, and this plan only where the coach says so.",
    "adapt": "The coach adapts this today.",
    "too_few": "Too little is known to say more about today than the plan does.",
}
NO_ADVICE_HEADLINE_TO_GUARDIAN = "No check-in yet"
NO_ADVICE_TO_GUARDIAN = "Nothing can be said of today yet: the check-in is the athlete’s to answer."
NO_PLAN_TO_GUARDIAN = "Nothing is written for today. The coach can say whether there is training."
DECIDED_TO_GUARDIAN = "What the coach decided"
DECIDED_OTHERWISE_TO_GUARDIAN = "The coach decided otherwise, below: the talk comes first, all the same."
READ_WITH_DECIDED = "To be read with what the coach decided, below."


def told_guardian(told: Mapping[str, Any] | None) -> tuple[str, str]:
    """Return headline and sentence of the advice for a guardian."""
    if told is None:
        return NO_ADVICE_HEADLINE_TO_GUARDIAN, NO_ADVICE_TO_GUARDIAN
    headline, sentence = TO_GUARDIAN.get(told["stands"], (told["headline"], told["sentence"]))
    how = ADAPTATIONS.get(told.get("adaptation") or "", "ask the coach how")
    return headline.replace("{how}", how), sentence.replace("{how}", how)
