"""The one home of a readiness item: what the check-in asks, how it is read in files, judged, said and answered to.

An item is one entry here and one column of the check-in (``schemas/records/wellness.py``). The form, the strip of days,
the reading of sheets, the rule and its words follow from the entry.
"""

from dataclasses import dataclass
from typing import Literal

Scale = Literal["five", "ten", "hours"]


@dataclass(frozen=True)
class Item:
    """One question of the check-in with a number for an answer.

    On a scale of five 5 is the best answer, on one of ten 0 is.
    """

    name: str  # its column
    scale: Scale
    heading: str  # over its answers
    label: str  # in sheets and templates
    question: str
    first: str = ""  # what the first answer of the scale means
    last: str = ""  # and the last
    means: str = ""  # what is rated, in the dictionary; the heading where that says it
    said: str = ""  # in a sentence, before the answer; "" where it is not held against own usual
    unusual: str = ""  # the line of the rule; "" where it has none of its own
    adapt: str = ""  # how a day is adapted when it alone speaks
    is_of_hamstring: bool = False  # the hamstring flag reads it too
    names: Literal["good", "bad", ""] = ""  # whether its plain name in a header is a good or a bad thing

    @property
    def is_judged(self) -> bool:
        """Whether an answer is held against the athlete's own usual."""
        return bool(self.said)


# In the order of the rule: of several that speak the first leads. Hours of sleep speak last.
ITEMS: tuple[Item, ...] = (
    Item(
        "sleep_quality", "five", "Sleep", "Sleep quality", "How was your sleep?", "very bad", "very good",
        said="sleep quality", unusual="sleep quality lower than usual for this athlete", adapt="less_intensity",
        names="good",
    ),
    Item(
        "fatigue", "five", "Freshness", "Freshness", "How fresh are you?", "worn out", "fresh", said="freshness",
        unusual="freshness lower than usual for this athlete", adapt="less_intensity", is_of_hamstring=True,
    ),
    Item(
        "soreness", "five", "Muscles", "Muscles", "How do your muscles feel?", "very sore", "not sore", said="muscles",
        unusual="muscles sorer than usual for this athlete", adapt="no_maximal_runs", is_of_hamstring=True, names="bad",
    ),
    Item(
        "stress", "five", "Calm", "Calm", "How calm are you?", "very stressed", "relaxed", said="calm",
        unusual="calm lower than usual for this athlete", adapt="less_intensity", names="bad",
    ),
    Item(
        "mood", "five", "Mood", "Mood", "How is your mood?", "very low", "very good", said="mood",
        unusual="mood lower than usual for this athlete", adapt="less_intensity", names="good",
    ),
    Item(
        "sleep_h", "hours", "Sleep, h", "Sleep", "How many hours did you sleep?", said="slept",
        unusual="slept less than usual for this athlete", adapt="less_intensity",
    ),
    Item(
        "hamstring_tightness_l", "ten", "Left hamstring", "Left hamstring tight", "Left hamstring, how tight?",
        "not tight", "as tight as can be", "Tightness of the left hamstring", said="left hamstring tight",
        is_of_hamstring=True,
    ),
    Item(
        "hamstring_tightness_r", "ten", "Right hamstring", "Right hamstring tight", "Right hamstring, how tight?",
        "not tight", "as tight as can be", "Tightness of the right hamstring", said="right hamstring tight",
        is_of_hamstring=True,
    ),
    Item(
        "pain", "ten", "Pain", "Pain", "Pain anywhere?", "none", "worst imaginable", "Pain anywhere",
        is_of_hamstring=True,
    ),
)  # fmt: skip
BY_NAME = {item.name: item for item in ITEMS}


def of_scale(scale: Scale) -> tuple[Item, ...]:
    """Return the items answered on one scale."""
    return tuple(item for item in ITEMS if item.scale == scale)
