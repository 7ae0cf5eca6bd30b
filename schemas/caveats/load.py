"""Caveats of the area: load."""

CAVEATS: dict[str, str] = {
    "day_not_logged": "No session is logged for this day, and nobody has marked the day complete.",
    "day_marked_incomplete": "The day is marked as not complete: a session is missing from the log.",
    "session_without_minutes": "A session of this day has no minutes.",
    "session_without_effort": "A session of this day has no effort rating.",
    "week_not_over": "The week is not over, so its load is not complete yet.",
    "days_unknown": "At least one day of the week is unknown, so the load is 'at least'.",
    "days_all_equal": "All seven days are equal, so monotony and strain have no value.",
    "return_before_onset": "An injury has a return date before its onset; it is read as still open until corrected.",
    "no_session_logged": "No session is logged for this week, so nothing is known of its running.",
    "runs_not_timed": "A running session of this week has no run with a speed, so the counts are 'at least'.",
    "speed_unclassified": "Runs of this week could not be judged by speed (hand-timed, other timing, or no section).",
    "best_not_settled": "Own best speed rests on fewer than three timed days, so shares of it read high.",
    "best_from_start": "All timed sections of the year lie within 40 m of a start: own best is below top speed and "
    "the counts read high.",
    "no_judged_speed": "No run with an electronic or video section of 5 m or more yet: no own best to compare with.",
    "lifting_unknown": "Not every strength session of the week has its sets logged: unknown, or 'at least'.",
    "exercise_family_unknown": "An exercise of the log has no family: say on the Data page (type in, Exercises) which "
    "it is. Until then eccentric work is unknown, not 0.",
    "jumps_unknown": "Not every jump session of the week has its sets logged: unknown, or 'at least'.",
    "runs_unknown": "Not every running session of the week has its runs logged: unknown, or 'at least'.",
    "set_load_unknown": "A set of the week has no load, so the tonnage of its family is unknown.",
    "sled_load_unknown": "A resisted run of the week has no distance or no load.",
}
