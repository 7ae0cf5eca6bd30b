"""What an athlete of sixteen reads instead of formulas and rows: the same facts, in sentences."""

import datetime as dt
from collections.abc import Mapping, Sequence
from typing import Any

from dashboard.wording.forms import day, long_day, number, sentence_case
from schemas.labels import METRICS, START_KINDS, TIMING

PLAIN_HOW = "What this means"
PLAIN_OWN = "It sets what you say beside your own days before, never beside other people."
PLAIN_OF_ATHLETE = "It sets what was said beside the athlete’s own days before, never beside other people."
PLAIN_DECIDES = "It knows only what was said and timed. The coach knows more, and decides."
PLAIN_METHODS, PLAIN_ROWS = "The rules and formulas, on the page Methods:", "The rows it rests on, to take away:"
TREND_KEY_OWN = "Dots: single sessions. Line: the level. Pale band: how far times jump about by themselves."
NOT_DECIDED_OWN = "This comes from your answers. Your coaches can read them; none has decided anything on them yet."
NOT_DECIDED = "This comes from the check-in. The coaches can read it; none has decided anything on it yet."
# By reason of the rule; {} is the number in force.
_WHY = {
    "pain": "From {} of 10 for pain on, the coach is asked to talk with the athlete first.",
    "tight_high": "From {} of 10 for one tight hamstring on, the coach is asked to talk with the athlete first.",
    "ill": "Who is ill talks with the coach before any training.",
}
_PUSHES = {
    "talk_first": "So the coach is asked to talk with the athlete first.",
    "adapt": "So the coach may change today’s training a little.",
}
_TO_ATHLETE = (
    ("the coach is asked to talk with the athlete", "your coach is asked to talk with you"),
    ("the coach may change", "your coach may change"),
)
PLAIN_SETTINGS = {"pain": "pain_talk_level", "tight_high": "tight_talk_level"}  # reason -> setting with its number
_LEAST_S = 0.005  # s; less than half a hundredth is said as none


def to_you(sentence: str) -> str:
    """Say a figure's sentence to the one it is about: 'the usual range' is 'your usual range'."""
    for own, yours in (("the usual range", "your usual range"), ("own range", "your usual range"),
                       ("of own best", "of your best"), ("own usual", "your usual")):  # fmt: skip
        sentence = sentence.replace(own, yours)
    return sentence


def own_words(sentence: str, own: bool) -> str:
    """Say a reason to the one it is about: 'own usual' is 'your usual'."""
    return sentence_case(sentence.replace("own usual", "your usual") if own else sentence)


def plain_reasons(reasons: Sequence[Mapping[str, Any]], levels: Mapping[str, float], *, own: bool) -> list[str]:
    """Say each reason of a day's call, and what follows from it by the rule.

    Args:
        reasons: The reasons of the day, strongest first.
        levels: The numbers of the rule in force, by reason.
        own: Whether the athlete reads it, not a guardian.
    """
    lines = []
    for one in reasons:
        follows = _WHY.get(one["item"], _PUSHES.get(one["pushes_to"], ""))
        if "{}" in follows:
            follows = follows.format(f"{levels[one['item']]:g}") if one["item"] in levels else _PUSHES["talk_first"]
        for plain, spoken in _TO_ATHLETE if own else ():
            follows = follows.replace(plain, spoken)
        lines.append(f"{own_words(one['sentence'] or '', own).rstrip('.')}. {follows}".strip())
    return [*lines, PLAIN_OWN if own else PLAIN_OF_ATHLETE, PLAIN_DECIDES]


def _what(progress: Mapping[str, Any]) -> str:
    """Name what is timed: 10 m."""
    label = METRICS.get(progress["metric"], "")
    return label.removesuffix(" time") if label.endswith(" time") else ""


def plain_title(progress: Mapping[str, Any], own: bool) -> str:
    """Answer whether somebody is getting faster, in one sentence."""
    what = _what(progress) or "start"
    who = f"Your {what}" if own else f"The {what}"
    return {
        "improving": f"{who} has become faster",
        "slipping": f"{who} has become slower",
        "holding": f"{who} is about the same as before",
    }.get(progress["word"] or "", f"{who}: too early to be sure")


def plain_caption(progress: Mapping[str, Any]) -> str:
    """Say how much, since when, and of which runs."""
    runs = [START_KINDS.get(progress["start_kind"] or "", ""), TIMING.get(progress["timing_kind"] or "", "")]
    of = sentence_case(", ".join(part for part in runs if part))
    change, since = progress["change"], day(progress["reference_on"]) if progress["reference_on"] else ""
    if change is None or not since:
        return f"{of}. Too few sessions to compare yet." if of else "Too few sessions to compare yet."
    if not _what(progress) or progress["unit"] != "s":
        return f"{of}. The last four weeks beside the time up to {since}."
    if abs(change) < _LEAST_S:
        much, than = "About the same", "as"
    else:
        hundredths = round(100 * abs(change)) or 1
        count = "a hundredth" if hundredths == 1 else f"{number(hundredths, 0)} hundredths"
        much, than = f"About {count} of a second {'faster' if change < 0 else 'slower'}", "than"
    unsure = "" if progress["word"] in ("improving", "slipping") else "; times move that much by themselves"
    return f"{much} in the last four weeks {than} up to {since}{unsure}. {of}."


def plain_contacts(last_on: dt.date, own: bool) -> str:
    """Say what the first contacts show."""
    whose = "your" if own else "the athlete’s"
    of_day = f"the fastest start of {long_day(last_on)}"
    return f"Milliseconds on the ground. Grey: {whose} five best starts. Blue: {of_day}."


def decided_by(names: Sequence[str], own: bool) -> str:
    """Say that somebody has decided on the running week, and who."""
    who = ", ".join(names) or ("your coach" if own else "the coach")
    return f"Decided for this week by {who}; it stands below."
