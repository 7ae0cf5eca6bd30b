"""The kinds of work, their cautions, and what would show that they worked: common practice unless a source is named."""

from dataclasses import dataclass


@dataclass(frozen=True)
class Work:
    """One kind of work for one limit."""

    headline: str
    work: str
    strength: str
    source: str
    caution: str
    would_show: str


PAIN = "Pain or a suspected injury goes to a licensed professional first."
LUCK = "Runs picked for a fault look better next time by luck alone: judge on several sessions."

WORKS: dict[str, Work] = {
    "push_cut_short": Work(
        "Heavy sled starts: three steps, then ten",
        "Heavy sled starts at full effort: about three steps first, up to ten once those are sound, "
        "full rest between. Set the load by the athlete's own slow-down on your own surface: without a sled test no "
        "load can be given.",
        "common_practice",
        "common_practice",
        f"Build the load up over weeks and supervise; heavy sleds cost some top speed in one trial of youths. {PAIN}",
        f"Contacts 1-3 longer and speed after three steps higher than now, beyond error, in free starts. {LUCK}",
    ),
    "push_too_long": Work(
        "Cable hip-flexor work, load greatest at the start",
        "Hip-flexor work on a cable whose load is greatest at the start of the movement, so that the "
        "leg learns to leave "
        "early and come through.",
        "common_practice",
        "common_practice",
        f"Start light and pain-free at the front of the hip. {PAIN}",
        f"Shorter contacts 1-3 at no less speed after three steps; fewer notes of the leg lifting behind. {LUCK}",
    ),
    "set_too_high": Work(
        "Lower the set position",
        "Lower the set position a little at a time until the front shin stays where it is when the push begins.",
        "common_practice",
        "common_practice",
        "Change one thing at a time and film the same side; under 3 degrees nothing can be told apart.",
        f"Angle hold back to within its error of 0, with no less speed after three steps. {LUCK}",
    ),
    "set_too_low": Work(
        "Raise the set position",
        "Raise the set position a little at a time until the front shin stays where it is when the push begins.",
        "common_practice",
        "common_practice",
        "Change one thing at a time and film the same side; under 3 degrees nothing can be told apart.",
        f"Angle hold back to within its error of 0, with no less speed after three steps. {LUCK}",
    ),
    "ankle_gives": Work(
        "Ankle stiffness work",
        "Ankle stiffness work: short stiff hops and straight-leg bounds, then loaded calf holds.",
        "common_practice",
        "common_practice",
        f"Few contacts at first and a day between; mind the Achilles tendon. {PAIN}",
        f"Fewer notes of a giving ankle; hop stiffness up beyond its own noise. {LUCK}",
    ),
    "reaches_ahead": Work(
        "Eccentric hamstring work; land under the hip",
        "Isolated eccentric hamstring work twice a week away from fast days, and starts with one cue: 'hips to the "
        "next mark, foot under them'.",
        "common_practice",
        "common_practice",
        f"Build up slowly; soreness peaks two days later. {PAIN}",
        f"Shin at touchdown of steps 1-3 back to that of the own best starts; fewer notes. {LUCK}",
    ),
    "hamstring_capacity": Work(
        "Isolated eccentric hamstring work",
        "Isolated eccentric hamstring work, few reps, twice a week away from fast days.",
        "published_weak",
        "start_eccentric_2011",
        f"Build up slowly; studied in football, not in sprinters, and no protection is promised. {PAIN}",
        "Eccentric force back at its own best of twelve months, beyond the noise of the test.",
    ),
    "head_or_arms_apart": Work(
        "Steady head and arms through the start",
        "A few starts at lower effort with one cue for head or arms, then full effort.",
        "opinion",
        "common_practice",
        "Often it follows from a push that is off: mend that first.",
        f"Fewer notes of head or arms. {LUCK}",
    ),
    "keep": Work(
        "Keep the work as it is",
        "Go on as planned.",
        "common_practice",
        "common_practice",
        "Only what was filmed and timed can be seen.",
        "The 10 m time stays the same or gets faster.",
    ),
    "measure": Work(
        "Film and time three starts",
        "Film three starts from the side with a stated frame rate, mark the steps, time them electronically, and write "
        "down what was seen.",
        "common_practice",
        "common_practice",
        "A hand time cannot show a change at 10 m.",
        "Three starts with steps, set position and times in one week.",
    ),
}
SLIP_HEADLINE = "Film three starts: find the slip"

# Which pattern speaks for which limit, and which force test.
PATTERN_LIMITS: dict[str, str] = {
    "push_cut_short": "push_cut_short",
    "pushes_too_long": "push_too_long",
    "shin_drops": "set_too_high",
    "shin_rises": "set_too_low",
    "ankle_gives": "ankle_gives",
    "reaches_ahead": "reaches_ahead",
    "head_or_arms_apart": "head_or_arms_apart",
}
TEST_LIMITS: dict[str, str] = {
    "eccentric_hamstring": "hamstring_capacity",
    "hip_flexor": "push_too_long",
    "calf_isometric": "ankle_gives",
}
PATTERN_WORDS: dict[str, str] = {
    "push_cut_short": "push cut short",
    "pushes_too_long": "pushes too long",
    "shin_drops": "shin drops before the push",
    "shin_rises": "shin rises before the push",
    "ankle_gives": "ankle gives",
    "reaches_ahead": "reaches ahead",
    "head_or_arms_apart": "head or arms apart",
}
EXTRA_WHY: dict[str, str] = {
    "push_cut_short": "Heavy sleds helped the first 10 m in two small studies; that they mend this pattern is common "
    "practice",
}
