"""Labels of the slugs that the record and the derived tables store."""

EVENT_GROUPS = {
    "short_sprints": "short sprints",
    "long_sprints": "long sprints",
    "hurdles": "hurdles",
    "horizontal_jumps": "horizontal jumps",
    "combined_events": "combined events",
    "other": "other events",
}
TRAINING = {"as_planned": "as planned", "adapt": "adapt", "talk_first": "talk first", "no_call": "no call"}
TRAINING_HEADLINES = {
    "as_planned": "Train as planned",
    "adapt": "Adapt today",
    "talk_first": "Talk first, before you run",
    "no_call": "No call today",
}
TRAINING_OWN = {
    "as_planned": "Nothing is unusual for you today. Train as your plan says.",
    "adapt": "Something is unusual for you. Ask your coach what to change before you start.",
    "talk_first": "Talk to your coach before you warm up. Pain goes to a clinician.",
    "no_call": "There is no fresh check-in, so nothing can be said. Check in, then look again.",
}
HAMSTRING = {
    "none": "none",
    "one_family": "one family",
    "several_families": "several families",
    "cannot_say": "cannot say",
}
FAMILIES = {
    "history": "history",
    "capacity": "capacity",
    "exposure": "exposure",
    "state": "state",
    "start_pattern": "start pattern",
}
FAMILY_STATES = {"speaks": "speaks", "quiet": "quiet", "cannot_say": "cannot say"}
PROGRESS = {"improving": "improving", "holding": "holding", "slipping": "slipping", "not_clear": "not clear yet"}
STRENGTHS = {
    "published": "published",
    "published_weak": "published, weak",
    "common_practice": "common practice",
    "opinion": "coaching opinion",
}
PATTERNS = {
    "too_quick_too_early": "Too quick, too early",
    "pushes_too_long": "Pushes too long",
    "shin_drops": "Shin drops before the push",
    "shin_rises": "Shin rises before the push",
    "ankle_gives": "Ankle gives",
    "reaches_ahead": "Reaches ahead",
    "head_or_arms_apart": "Head or arms apart from the rest",
    "even_growing_rhythm": "Even, growing rhythm",
}
TOPICS = {"training": "training", "hamstring": "hamstring", "start_work": "start work"}
START_KINDS = {
    "blocks": "blocks",
    "three_point": "three-point start",
    "standing": "standing start",
    "falling": "falling start",
    "rolling": "rolling start",
}
CLOCKS = {
    "gun": "from the gun",
    "first_movement": "from first movement",
    "hand_release": "from hand release",
    "first_gate": "from the first gate",
}
TIMING = {"electronic": "electronic", "video": "video", "hand": "hand timed"}
TRUSTS = {"good": "good", "thin": "thin", "poor": "poor"}
METRICS = {
    "t_5_s": "5 m time",
    "t_10_s": "10 m time",
    "t_20_s": "20 m time",
    "t_30_s": "30 m time",
    "v_5_mps": "speed at 5 m",
    "v_10_mps": "speed at 10 m",
    "vmax_mps": "top speed of the fit",
    "contact_1_s": "first contact",
    "contact_2_s": "second contact",
    "contact_3_s": "third contact",
    "contact_sum_s": "first three contacts together",
    "speed_after_3_mps": "speed after three steps",
    "three_step_distance_m": "distance of three steps",
    "rhythm_10m": "rhythm at 10 m",
    "pmax_w_per_kg": "greatest power",
    "f0_n_per_kg": "greatest push",
}
ITEMS = {
    "eccentric_hamstring": "eccentric hamstring",
    "hip_flexor": "hip flexor",
    "calf_isometric": "calf, isometric",
    "mid_thigh_pull": "mid-thigh pull",
    "countermovement": "countermovement jump",
    "drop": "drop jump",
    "repeated_hop": "repeated hops",
}
SIDES = {"l": "left", "r": "right", "both": "both"}
SORTS = {"exceptions": "Exceptions first", "name": "By name", "group": "By event group"}
ROLES = {"head_coach": "Head coach", "staff": "Staff", "athlete": "Athlete", "guardian": "Guardian"}


def series_name(metric: str, start_kind: str, clock_start: str, timing_kind: str) -> str:
    """Name a series so that like is only compared with like: 10 m time, blocks, from first movement, electronic."""
    return ", ".join(
        (
            METRICS.get(metric, metric.replace("_", " ")),
            START_KINDS.get(start_kind, start_kind),
            CLOCKS.get(clock_start, clock_start),
            TIMING.get(timing_kind, timing_kind),
        )
    )


WORDS_OF = {**TRAINING, **HAMSTRING, **PROGRESS, **EVENT_GROUPS, **START_KINDS, **CLOCKS, **TIMING, **SIDES, **ITEMS}
RECORD_TITLES = {
    "athlete": "athletes",
    "checkin": "morning check-ins",
    "session": "sessions",
    "rep": "reps",
    "split": "split times",
    "step": "step timings",
    "set_position": "set positions",
    "technique_note": "technique notes",
    "lift_set": "lifts",
    "exercise": "exercises",
    "force_test": "force tests",
    "jump_test": "jumps and hops",
    "body_measure": "body measures",
    "injury": "injuries",
    "return_step": "steps back to running",
    "race_result": "races",
    "plan": "plan",
    "day_log": "complete days",
    "decision": "decisions",
    "consent": "consent",
    "other_measure": "other measures",
}
