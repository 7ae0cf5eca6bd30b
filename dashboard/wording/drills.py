"""Words of the squad's own drills, wherever they stand."""

from collections.abc import Mapping
from typing import Any

LIMIT_WORDS = {
    "push_cut_short": "the push cut short",
    "push_too_long": "the push that lasts too long",
    "set_too_high": "the set position too high",
    "set_too_low": "the set position too low",
    "ankle_gives": "the giving ankle",
    "reaches_ahead": "the reach ahead",
    "hamstring_capacity": "eccentric hamstring force",
    "head_or_arms_apart": "head and arms",
    "any": "any start",
}
DRILLS_OFFERED = "One of your drills for it"
DRILL_CUE, DRILL_WHY, DRILL_AMOUNT, DRILL_MIND, DRILL_LINK = "Cue", "Why", "How much", "Mind", "See it"
DRILLS_TO_CHOOSE = "Your drills for it; ‘change’ on This week chooses one:"
DRILL_GONE = "That drill is not in use any more. Choose another one."
DRILL_PAIN = "Stop where it hurts, and say so."


def drill_title(slug: str) -> str:
    """Write the name of a drill: Falling start."""
    said = slug.replace("_", " ")
    return said[:1].upper() + said[1:]


def drill_short(drill: Mapping[str, Any]) -> str:
    """Write a drill with its cue on one line, for a button's hint."""
    return ": ".join(part for part in (drill_title(drill["drill"]), drill["cue"]) if part)
