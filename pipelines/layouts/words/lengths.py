"""Numbers that a heading calls a length and that are none: legs of a relay, places of steps."""

from pipelines.layouts.words.evidence import Evidence, to_number
from pipelines.layouts.words.headings import METRES_IN_A_YARD

LENGTHS, MOST_LEGS = ("leg_length_m", "distance_m"), 20
MOST = 0.8
NEAR = 0.006  # yards: what two decimals of a metre leave open


def is_no_length(name: str, seen: Evidence) -> bool:
    """Return whether numbers are no lengths of a leg or of a run: 'Leg' 1 to 4 of a relay; 1.05, 2.25, 3.6 m of steps,
    where distances are run in whole or half metres and in whole yards.
    """
    if name not in LENGTHS or seen.numbers < MOST or seen.filled < 2:
        return False
    if name == "leg_length_m":
        return seen.whole == 1 and seen.most <= MOST_LEGS
    said = [number for text in seen.texts if (number := to_number(text)) is not None]
    return all(2 * one % 1 and abs(one / METRES_IN_A_YARD - round(one / METRES_IN_A_YARD)) > NEAR for one in said)
