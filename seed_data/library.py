"""The squad's own library: drills for each limit of the start, weeks to plan by, phases. Invented, common practice."""

import datetime as dt

from seed_data.programme import BLOCKS, TO_RACE, USUAL, Slot
from seed_data.squad import ATHLETES, week_start

# Drill, limit, cue, why, how much, what to mind.
_DRILLS = (
    ("falling_start", "push_cut_short", "fall until you must step, then push long",
     "the fall sets the angle, so the first push can last", "2 x 4 x 10 m", "on grass or track, not with a sore calf"),
    ("sled_three_steps", "push_cut_short", "three pushes, each as long as the leg",
     "the load leaves time to finish each push", "5 x 5 m, 3 min between",
     "build the load up over weeks; light and supervised under 18"),
    ("hill_start", "push_cut_short", "chest to the hill, push behind you",
     "the slope gives the ground time to answer", "6 x 15 m, walk back", "walk down; mind the Achilles"),
    ("cable_knee_drive", "push_too_long", "knee first, foot follows",
     "the load is greatest where the leg has to leave the ground", "3 x 6 each side",
     "pain-free at the front of the hip"),
    ("quick_leave_march", "push_too_long", "leave the ground before the knee locks",
     "shows how early the leg may come through", "3 x 15 m", "slow enough to feel it"),
    ("set_and_hold", "set_too_high", "hips down until the front shin holds still",
     "a shin that waits in set does not sink at the gun", "6 holds of 2 s", "one change at a time, film it"),
    ("set_a_hand_higher", "set_too_low", "hips up until the front leg is ready to push",
     "too deep and the front leg has first to stand up", "6 holds of 2 s", "one change at a time, film it"),
    ("stiff_hops", "ankle_gives", "hot ground: short, straight, quiet",
     "the ankle learns to hold before it has to at speed", "4 x 10 contacts", "few at first; not with a sore Achilles"),
    ("straight_leg_bounds", "ankle_gives", "claw back under you, ankle firm",
     "the foot lands firm under the hip", "3 x 20 m", "away from full-speed days"),
    ("low_heel_steps", "reaches_ahead", "step down, not out",
     "the foot lands under the body and pushes at once", "4 x 20 m", "build up slowly, away from fast days"),
    ("nordic_lowering", "hamstring_capacity", "slow all the way, hips long",
     "strength while the muscle lengthens", "3 x 4",
     "two days from full speed; stop at pain and see a clinician"),
    ("sliding_curl", "hamstring_capacity", "hips up, heels away slowly",
     "a lighter way into the same work", "2 x 8", "stop at cramp or pain"),
    ("arms_from_the_shoulder", "head_or_arms_apart", "hands from hip to chin, shoulders down",
     "long arms give the leg time", "3 x 10 s standing, then 2 x 10 m", "mend the push first"),
    ("eyes_on_the_line", "head_or_arms_apart", "look where the third step lands",
     "the head stays in line with the back", "4 x 10 m", "mend the push first"),
    ("three_point_start_filmed", "any", "one thing in your head, the rest is film",
     "what changed is seen, not guessed", "3 x 20 m", "full rest between"),
)  # fmt: skip


def drills() -> list[dict[str, object]]:
    """Return the drills of the library, all in use."""
    names = ("drill", "limit", "cue", "why", "amount", "caution")
    return [{**dict(zip(names, row, strict=True)), "is_used": True, "proposed_by": "coach"} for row in _DRILLS]


def week_templates() -> list[dict[str, object]]:
    """Return two weeks to plan by: an ordinary one of the short sprints, and the week of a race."""
    rows: list[dict[str, object]] = []
    for name, week in (("short_sprints_usual", USUAL["short_sprints"]), ("race_week", TO_RACE["short_sprints"])):
        for day, slots in enumerate(week, start=1):
            rows.extend(_session(name, day, no, slot) for no, slot in enumerate(slots, start=1))
    rows.append(_session("race_week", 6, 1, ("race", 120, 8)))
    return rows


def season_phases() -> list[dict[str, object]]:
    """Return the phases of the season, as the head coach set them for everybody."""
    return [
        {"athlete_id": one.athlete_id, "from_on": week_start(block.first),
         "until_on": week_start(block.last + 1) - dt.timedelta(days=1), "phase": block.phase, "aim": block.aim}
        for one in ATHLETES for block in BLOCKS
    ]  # fmt: skip


_WORDS = {
    "acceleration": "4 x 30 m from blocks",
    "top_speed": "3 x flying 30 m",
    "strength": "squat, hinge, hamstrings: after the track, or two days before the next fast one",
}
_FAST = {"acceleration": 40, "top_speed": 90}


def _session(name: str, day: int, number: int, slot: Slot) -> dict[str, object]:
    kind, minutes, effort = slot
    return {
        "template": name, "weekday": day, "plan_no": number, "kind": kind, "fast_metres": _FAST.get(kind, 0),
        "planned_min": minutes, "planned_effort_0_10": effort, "note": _WORDS.get(kind), "saved_by": "coach",
    }  # fmt: skip
