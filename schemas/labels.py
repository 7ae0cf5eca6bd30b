"""What people read for the words of ``schemas.vocabulary``: sentences and pages take them from here."""

from schemas.vocabulary import ADAPTATIONS, CALL_WORDS

EVENT_GROUPS = {
    "short_sprints": "short sprints",
    "long_sprints": "long sprints",
    "hurdles": "hurdles",
    "horizontal_jumps": "horizontal jumps",
    "combined_events": "combined events",
    "other": "other events",
}
TRAINING = CALL_WORDS
ADAPTED = {f"adapt_{slug}": f"adapt: {words}" for slug, words in ADAPTATIONS.items()}
DECIDED = TRAINING | ADAPTED  # what may be decided on training: an 'adapt' may say how
NO_ADVICE_HEADLINE = "Check in first"
NO_ADVICE = "Nothing can be said of today yet. Check in, then look again."
# Where what is watched rests on an injury that the reader may not see, 'watch' stands alone.
HAMSTRING = {"none": "nothing seen", "one_family": "watch", "several_families": "watch", "cannot_say": "cannot say"}
FAMILIES = {
    "history": "history",
    "capacity": "capacity",
    "exposure": "exposure",
    "state": "state",
    "start_pattern": "start pattern",
}
FAMILY_STATES = {"speaks": "speaks", "quiet": "quiet", "cannot_say": "cannot say"}
PROGRESS = {"improving": "improving", "holding": "holding", "slipping": "slipping", "not_clear": "cannot tell yet"}
STRENGTHS = {
    "published": "published",
    "published_weak": "published, weak",
    "common_practice": "common practice",
    "opinion": "coaching opinion",
}
PHASES = {
    "general_preparation": "general preparation",
    "special_preparation": "special preparation",
    "pre_competition": "pre-competition",
    "competition": "competition",
    "transition": "transition",
}
PATTERNS = {
    "push_cut_short": "Push cut short",
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
    "hip_adduction": "hip adduction",
    "calf_isometric": "calf, isometric",
    "mid_thigh_pull": "mid-thigh pull",
    "countermovement": "countermovement jump",
    "squat": "squat jump",
    "drop": "drop jump",
    "repeated_hop": "repeated hops",
    "standing_long_jump": "standing long jump",
}
BLOCK_KINDS = {
    "sled": "sled runs",
    "eccentric": "eccentric hamstring",
    "hip_flexor": "hip flexor",
    "ankle": "calf and ankle",
    "jump": "jumps",
}
SESSION_KINDS = {
    "acceleration": "acceleration",
    "top_speed": "top speed",
    "speed_endurance": "speed endurance",
    "tempo": "tempo",
    "strength": "strength",
    "plyometric": "jumps",
    "technique": "technique",
    "race": "race",
    "recovery": "recovery",
    "other": "other",
}
CALENDAR_TESTS = {
    "eccentric_hamstring": "Eccentric hamstring",
    "hip_flexor": "Hip flexor",
    "hip_adduction": "Hip adduction",
    "calf_isometric": "Calf, isometric",
    "mid_thigh_pull": "Mid-thigh pull",
    "countermovement": "Counter­movement jump",
    "squat": "Squat jump",
    "drop": "Drop jump",
    "repeated_hop": "Repeated hops",
    "standing_long_jump": "Standing long jump",
    "timed_start": "Timed start",
    "body_mass": "Body mass",
}
SIDES = {"l": "left", "r": "right", "both": "both"}
SORTS = {"exceptions": "Exceptions first", "name": "By name", "group": "By event group"}
ROLES = {"head_coach": "Head coach", "staff": "Staff", "athlete": "Athlete", "guardian": "Guardian"}


MEASURED_BY = {
    "gate": "timed at the gate",
    "gate_less_reaction": "timed at the gate, less the reaction",
    "curve": "read off the curve",
    "film": "off film",
}
NOT_STATED = "not_stated"


def series_name(
    metric: str, start_kind: str, clock_start: str, timing_kind: str, measured_by: str = "", set_up: str = ""
) -> str:
    """Name a series so that like is only compared with like: 10 m time, blocks, from first movement, electronic."""
    parts = (
        METRICS.get(metric, metric.replace("_", " ")),
        START_KINDS.get(start_kind, start_kind.replace("_", " ")),
        CLOCKS.get(clock_start, clock_start.replace("_", " ")),
        TIMING.get(timing_kind, timing_kind),
        MEASURED_BY.get(measured_by, measured_by),
        set_up if set_up != NOT_STATED else "",
    )
    return ", ".join(part for part in parts if part)


LEVELS = {
    level: words for level, words in HAMSTRING.items() if level != "none"
}  # 'none' is a word of other columns too
WORDS_OF = {**TRAINING, **LEVELS, **PROGRESS, **EVENT_GROUPS, **START_KINDS, **CLOCKS, **TIMING, **SIDES, **ITEMS}
CONSENT_TOPICS = {"health": "health answers", "video": "video", "sharing": "sharing with others than the coaches"}
RECORD_TITLES = {
    "athlete": "athletes",
    "checkin": "morning check-ins",
    "session": "sessions",
    "rep": "reps",
    "split": "split times",
    "step": "step timings",
    "set_position": "set positions",
    "technique_note": "technique notes",
    "start_trial": "trials of two starts",
    "trial_lot": "lots of trials",
    "lift_set": "lifts",
    "exercise": "exercises",
    "reference_value": "reference values of a federation",
    "force_test": "force tests",
    "jump_test": "jumps and hops",
    "body_measure": "body measures",
    "injury": "injuries",
    "return_step": "steps back to running",
    "race_result": "races",
    "plan": "plan",
    "rest_day": "days always off",
    "season_phase": "phases of the season",
    "drill": "drills",
    "week_template": "week templates",
    "day_log": "complete days",
    "decision": "decisions",
    "consent": "consent",
    "other_measure": "other measures",
}
