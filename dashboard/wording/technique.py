"""Words of what is looked for in a start."""

TECHNIQUE = {
    "leg_lifts_behind": "leg lifts behind",
    "knee_locks_at_toeoff": "knee locks at toe-off",
    "ankle_gives": "ankle gives",
    "reaches_ahead": "reaches ahead",
    "head_moves_alone": "head moves before the body",
    "arms_out_of_time": "arms out of time",
    "shin_drops_before_push": "shin sinks before the push",
    "shin_rises_before_push": "shin rises before the push",
    "even_growing_rhythm": "even, growing rhythm",
}
TECHNIQUE_TITLE = "Arms, head, knee: looked for and seen"
TECHNIQUE_CAPTION = (
    "Last 90 days, from your notes and films. A thing is looked for because it was seen before, so these counts are no "
    "rate."
)
TECHNIQUE_COLUMNS = (
    ("item", "Looked for"),
    ("free", "Free starts, seen"),
    ("sled", "With a load, seen"),
    ("last_seen_on", "Last seen"),
)
NOT_UNDER_LOAD = (
    "Nothing was looked for under the sled in this time. Note it there too: what holds under a load is worth most."
)


def seen_of(seen: int, looked: int) -> str | None:
    """Write a count of starts: 3 of 8; unknown where nobody looked."""
    return f"{seen} of {looked}" if looked else None
