"""Sources of knowledge for the area: readiness, and the rule that turns reasons into a call, kept as data."""

from dataclasses import dataclass
from typing import Literal

from schemas.checkin import ITEMS, Scale, of_scale
from schemas.knowledge.source import Source

SOURCES: dict[str, Source] = {
    "leys_2013": Source(
        "Leys, Ley, Klein, Bernard, Licata 2013, J Exp Soc Psychol 49(4):764-766: median and 1.4826 x MAD instead of "
        "mean and SD.",
        note="The prediction form, x sqrt(1 + 1/n), is textbook statistics, from memory.",
    ),
    "prediction_interval": Source(
        "Prediction interval for one further value of a normal sample, textbook statistics.", read="memory"
    ),
    "saw_2016": Source(
        "Saw, Main, Gastin 2016, Br J Sports Med 50(5):281-291: 56 studies; self-report follows training load with "
        "better sensitivity and consistency than objective measures."
    ),
    "jeffries_2020": Source(
        "Jeffries et al. 2020, IJSPP 15(9): measurement error and content validity of self-report items are "
        "inadequate; no validity study of single items was found.",
        note="Why a single item is a reason to ask, not a finding.",
    ),
    "claudino_2017": Source(
        "Claudino et al. 2017, J Sci Med Sport 20(4):397-402 (151 articles): the mean of the trials of a "
        "countermovement jump shows fatigue better than the best trial.",
        note="A fixed drop of 5 or 10 % is often noise; thirdstep reads a probability against the measured noise.",
    ),
    "milewski_2014": Source(
        "Milewski et al. 2014, J Pediatr Orthop 34(2):129-133: under 8 h of sleep went with 1.7 times (1.0-3.0) the "
        "injury history in 112 adolescents.",
        note="Retrospective; the lower bound touches 1. Context only: sleep is judged against the athlete's own usual.",
    ),
    "normal_tail": Source(
        "Chance that at least one of k independent normal items falls beyond z: 1 - (1 - P(Z < -z))^k.",
        strength="definition",
        read="source",
        note="Items of one person hang together, and short scales are coarser: read it as an order of size.",
    ),
}

Call = Literal["talk_first", "adapt"]


@dataclass(frozen=True)
class CheckinItem:
    """An item of the check-in that is judged against the athlete's own usual.

    ``step`` is one step of its scale, ``worse`` the direction that speaks, ``of`` the top of its scale in words.
    """

    item: str
    words: str
    step: float
    worse: Literal["low", "high"]
    of: str


# Of one scale five 5 is the best answer, of one of ten 0. Hours of sleep come in halves or wholes: the coarser step.
_OF = {"five": " of 5", "ten": " of 10", "hours": " h"}
CHECKIN_ITEMS: tuple[CheckinItem, ...] = tuple(
    CheckinItem(item.name, item.said, 1.0, "high" if item.scale == "ten" else "low", _OF[item.scale])
    for item in ITEMS
    if item.is_judged
)


@dataclass(frozen=True)
class ReadinessRule:
    """One line of the rule: when the reason stands, and which call it pushes to.

    ``setting`` names the squad's setting that holds the number ``{level}`` of the line; null where it needs none.
    """

    item: str
    when: str
    pushes_to: Call
    source: str
    setting: str | None = None


def _unusual(scale: Scale) -> list[ReadinessRule]:
    """Return the lines of the items of a scale that have a line of their own."""
    return [ReadinessRule(i.name, i.unusual, "adapt", "leys_2013") for i in of_scale(scale) if i.unusual]


# Strongest first. This is the whole rule; nothing else makes a reason.
READINESS_RULE: tuple[ReadinessRule, ...] = (
    ReadinessRule("pain", "pain of at least {level} of 10", "talk_first", "common_practice", "pain_talk_level"),
    ReadinessRule("ill", "says they are ill", "talk_first", "common_practice"),
    ReadinessRule(
        "open_injury",
        "an injury that stopped training, or may have, has no return day",
        "talk_first",
        "common_practice",
    ),
    ReadinessRule(
        "tight_high", "one hamstring tight at least {level} of 10", "talk_first", "common_practice", "tight_talk_level"
    ),
    ReadinessRule(
        "tight_running",
        "one hamstring tighter than usual in at least {level} check-ins running",
        "talk_first",
        "common_practice",
        "tight_running_days",
    ),
    ReadinessRule(
        "recent_return",
        "back from an injury for less than {level} weeks",
        "adapt",
        "wangensteen_2016",
        "return_adapt_weeks",
    ),
    ReadinessRule(
        "injury_trained_through",
        "an injury that did not stop training began less than {level} weeks ago",
        "adapt",
        "common_practice",
        "return_adapt_weeks",
    ),
    ReadinessRule(
        "tight_unusual",
        "one hamstring tighter than usual for this athlete, and at least {level} of 10",
        "adapt",
        "leys_2013",
        "tight_adapt_level",
    ),
    *_unusual("five"),
    ReadinessRule(
        "jump_drop",
        "countermovement jump under own usual, real with a probability of at least {level}",
        "adapt",
        "claudino_2017",
        "jump_drop_probability",
    ),
    ReadinessRule(
        "week_load",
        "load of the last complete week far above plan and the athlete's own growth",
        "adapt",
        "clean_squads",
    ),
    *_unusual("hours"),
)

# How reasons become the call: the first line that fits decides.
CALL_RULE: tuple[tuple[str, str], ...] = (
    ("talk_first", "at least one reason that pushes to 'talk first'"),
    ("no_call", "no check-in and no test in the days set as too old"),
    ("adapt", "at least one reason that pushes to 'adapt'"),
    ("cannot_say", "a check-in, but too few own answers to compare it with"),
    ("as_planned", "otherwise"),
)

MINOR_CAUTION = (
    "Under 18: read against own past only, never against adults. With pain, tell a guardian, and a licensed "
    "professional sees them; nobody is told by itself."
)
