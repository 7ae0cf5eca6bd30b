"""The blocks of work that went with a trend: which, and as rows to draw along its foot."""

import datetime as dt

from dashboard.parts.calls import Row
from dashboard.reads import Opened
from schemas.labels import BLOCK_KINDS

ORDER = ("sled", "eccentric", "hip_flexor", "ankle", "jump")  # lowest lane first
COLUMNS = ("until", "work", "lane", "is_named")
FIRST_LANE, LANE = 0.6, 1.5  # twelfths of the picture


def blocks_between(opened: Opened, athlete_id: str, first: dt.date, last: dt.date) -> list[Row]:
    """Return an athlete's blocks that reach into a span of days."""
    return [
        block
        for block in opened.rows("training_block", {"athlete_id": athlete_id}, order_by=["kind", "start_on"])
        if block["end_on"] >= first and block["start_on"] <= last
    ]


def lanes_of(blocks: list[Row], first: dt.date, last: dt.date) -> list[Row]:
    """Return the blocks as rows to draw, one lane a kind of work, cut to the days of the trend."""
    kinds = [kind for kind in ORDER if any(block["kind"] == kind for block in blocks)]
    drawn, named = [], set()
    for block in blocks:
        drawn.append(
            {
                "kind": "block",
                "on": max(block["start_on"], first),
                "until": min(block["end_on"], last),
                "work": BLOCK_KINDS[block["kind"]],
                "lane": FIRST_LANE + LANE * kinds.index(block["kind"]),
                "is_named": block["kind"] not in named,
            }
        )
        named.add(block["kind"])
    return drawn
