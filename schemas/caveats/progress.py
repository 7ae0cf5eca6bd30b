"""Caveats of the area: progress."""

CAVEATS: dict[str, str] = {
    "too_few_reps": "Too few reps: fewer than three sessions with this start, clock and timing.",
    "reference_too_near": "The first session of this kind was less than two weeks ago.",
    "no_recent_session": "No session of this kind since the day it is compared with.",
    "no_better_direction": "Neither longer nor shorter is better in itself, so a change is only described.",
    "no_noise_estimate": "The squad has too few sessions of this kind to tell change from noise.",
    "no_smallest_change": "Neither the spread between athletes nor a typical error is known, so no smallest worthwhile "
    "change can be stated.",
    "swc_from_own_variation": "Fewer than five athletes have this measure, so the smallest worthwhile change is 0.3 of "
    "the typical error.",
    "not_sure_enough": "The change is neither surely beyond the smallest worthwhile one nor surely within it.",
    "squad_too_small": "Fewer than six athletes have three or more days of this kind in the window, so the spread "
    "between athletes cannot be told and no line is drawn towards the squad's.",
    "few_own_days": "Fewer than three own days in the window, or less than two weeks between them: no own line.",
    "slopes_not_separable": "Most athletes have fewer than five days in the window, so one slope is shared by all.",
    "slopes_alike": "No spread between the athletes' slopes can be told from noise (a singular fit): all get the "
    "squad's slope. That is a finding about the data, not an error.",
    "levels_alike": "No spread between the athletes' levels can be told from noise (a singular fit).",
    "level_and_slope_tied": "Level and slope differ between athletes along one line only (a singular fit): too few "
    "data to part them, so single slopes are to be read with care.",
    "nothing_to_count": "Keeping the work as it is leaves nothing to count.",
    "call_not_understood": "The decision names no kind of work that the record counts.",
    "work_log_incomplete": "The week's log is not complete, so what was not seen may still have been done.",
    "no_day_before": "No measured day in the four weeks before the decision.",
    "not_measured_since": "Not measured since the work was done.",
}
