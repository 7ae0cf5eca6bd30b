"""The words a column may hold. Slugs are stored; pages show the labels of ``dashboard.wording``."""

SEXES = ("f", "m", "x")
EVENT_GROUPS = ("short_sprints", "long_sprints", "hurdles", "horizontal_jumps", "combined_events", "other")
SIDES = ("l", "r")
TEST_SIDES = ("l", "r", "both")

SESSION_KINDS = (
    "acceleration",
    "top_speed",
    "speed_endurance",
    "tempo",
    "strength",
    "plyometric",
    "technique",
    "race",
    "recovery",
    "other",
)
# Phases of a season, as coaches name them. Common practice, no source.
PHASES = (
    "general_preparation",
    "special_preparation",
    "pre_competition",
    "competition",
    "transition",
)
START_KINDS = ("blocks", "three_point", "standing", "falling", "rolling")
CLOCK_STARTS = ("gun", "first_movement", "hand_release", "first_gate")
TIMING_KINDS = ("electronic", "video", "hand")
RESISTANCE_KINDS = ("none", "sled", "incline", "other")
REP_OUTCOMES = ("completed", "stopped", "false_start")
RACE_OUTCOMES = ("finished", "not_started", "not_finished", "disqualified")  # DNS, DNF, DQ on a result list

RATE_KNOWN_BY = ("camera", "confirmed", "asked")
FILM_REASONS = (
    "no_lane_marks",
    "few_lane_marks",
    "lane_lines_swapped",
    "lane_marks_do_not_fit",
    "camera_too_low",
    "camera_moved",
    "view_too_slanted",
)

TECHNIQUE_ITEMS = (
    "leg_lifts_behind",
    "knee_locks_at_toeoff",
    "ankle_gives",
    "reaches_ahead",
    "head_moves_alone",
    "arms_out_of_time",
    "shin_drops_before_push",
    "shin_rises_before_push",
    "even_growing_rhythm",
)

EXERCISE_FAMILIES = (
    "squat",
    "hinge",
    "hamstring_eccentric",
    "hip_flexor",
    "calf_ankle",
    "sled",
    "jump",
    "upper",
    "trunk",
)
FORCE_TESTS = ("eccentric_hamstring", "hip_flexor", "hip_adduction", "calf_isometric", "mid_thigh_pull")
JUMP_TESTS = ("countermovement", "squat", "drop", "repeated_hop", "standing_long_jump")

INJURY_SITES = (
    "hamstring",
    "quadriceps",
    "adductor",
    "calf",
    "achilles",
    "ankle",
    "foot",
    "knee",
    "hip",
    "back",
    "shin",
    "other",
)
# Rungs of the return-to-running ladder, 1 to 9, in our own words. Common practice, no source; a coach may keep others.
RETURN_RUNGS = (
    "walk_and_jog",
    "running_drills",
    "easy_runs_half_speed",
    "build_ups_to_70",
    "build_ups_to_85",
    "flying_runs_at_90",
    "starts_and_bends",
    "flying_runs_at_95",
    "whole_session",
)
RETURN_SYMPTOMS = ("none", "slight", "stopped")
CONSENT_TOPICS = ("health", "video", "sharing")
REFERENCE_QUESTIONS = ("typical_error", "norm", "flags", "improvement")
DECISION_TOPICS = ("training", "hamstring", "start_work")

# Words that derived tables use.
TRUSTS = ("good", "thin", "poor")
CALL_WORDS = {
    "as_planned": "as planned",
    "adapt": "adapt",
    "talk_first": "talk first",
    "cannot_say": "cannot say",
    "no_call": "no call",
}
TRAINING_CALLS = tuple(CALL_WORDS)
CALLS_BY_CARE = ("as_planned", "adapt", "talk_first")  # from the least that a call asks for to the most
ADVICE = ("injury", "talk", "return", "return_planned", "ask", "too_few", "adapt", "go_on_watching", "go_on")
# What limits a start, by the patterns and tests that speak for it; a drill of the library is for one of the first eight
# or for any.
START_LIMITS = (
    "push_cut_short", "push_too_long", "set_too_high", "set_too_low", "ankle_gives", "reaches_ahead",
    "hamstring_capacity", "head_or_arms_apart", "keep", "measure",
)  # fmt: skip
DRILL_LIMITS = (*START_LIMITS[:8], "any")
ADAPTATIONS = {
    "less_volume": "less volume",
    "less_intensity": "less intensity",
    "no_maximal_runs": "no maximal runs",
}
HAMSTRING_LEVELS = ("none", "one_family", "several_families", "cannot_say")
HAMSTRING_FAMILIES = ("history", "capacity", "exposure", "state", "start_pattern")
# What there is to watch when a family of hamstring evidence speaks.
FAMILY_WATCHED = {"history": "injury", "capacity": "strength", "exposure": "fast running", "state": "tightness"}
FAMILY_STATES = ("speaks", "quiet", "cannot_say")
PROGRESS_WORDS = ("improving", "holding", "slipping", "not_clear")
PATTERNS = (
    "push_cut_short",
    "pushes_too_long",
    "shin_drops",
    "shin_rises",
    "ankle_gives",
    "reaches_ahead",
    "head_or_arms_apart",
    "even_growing_rhythm",
)
CALENDAR_TESTS = (*FORCE_TESTS, *JUMP_TESTS, "timed_start", "body_mass")
TEST_STATES = ("in_time", "overdue", "never")
COMPLETENESS_ITEMS = ("days", "checkins", "effort", "splits", "gym_sets", "tests", "plan")
PLACES_IN_RANGE = ("below", "within", "above")
EVIDENCE_STRENGTHS = ("published", "published_weak", "common_practice", "opinion")
BACKTEST_OUTCOMES = ("hit", "false_flag", "missed", "quiet", "no_flag_possible", "left_out")
BACKTEST_RULES = (
    "flag_in_force",
    "without_budget",
    "acted_on",
    "not_acted_on",
    "history_alone",
    "random",
    "always",
    "never",
)
ATTENTION_KINDS = ("family", "reason", "planted")
ATTENTION_ITEMS = (
    "capacity", "exposure", "state", "any_family", "answers", "load", "jump", "any_adapt", "strain", "drop", "growth",
    "fatigue",
)  # fmt: skip
