"""Caveats of the area: group, calendars and planning."""

CAVEATS: dict[str, str] = {
    "too_few_athletes": "Fewer than three athletes of this group and sex have a level by the same start and clock.",
    "level_error_unknown": "The error of these levels is not known yet, so the spread cannot be held against it.",
    "runs_not_logged": "A running session of this day has no run logged, so the counts are 'at least'.",
    "runs_not_judged": "Runs of this day could not be judged by speed (hand-timed, other timing, or no section).",
    "resisted_length_unknown": "A resisted run of this day has no distance, so the metres are 'at least'.",
    "no_plan_week": "Nothing is planned for this week.",
    "plan_incomplete": "A planned session lacks minutes or effort, so the week's planned load has no value.",
    "fast_metres_unplanned": "A planned running session does not say its fast metres.",
    "work_unknown": "The week's load is not known whole, so it cannot be held against the plan.",
    "fast_metres_unknown": "The week's fast metres are not known whole, so they cannot be held against the plan.",
    "own_weeks_too_few": "Too few complete own weeks yet for an own range.",
    "no_judged_run_since_onset": "No run timed well enough to be set against own best since the injury began.",
    "no_best_before_onset": "No run timed well enough in the year before the injury, hence no own best to compare.",
    "step_without_injury": "A step is noted for an injury that is not on record: check its onset, site and side.",
}
