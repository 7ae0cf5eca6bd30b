"""Caveats of the area: progress."""

CAVEATS: dict[str, str] = {
    "too_few_reps": "Fewer than three days with this start, clock, timing and set-up.",
    "too_few_days_now": "Only one day in the last four weeks; two are needed.",
    "too_few_days_before": "Fewer than four days in the weeks that ended six weeks ago, so there is nothing to compare "
    "with.",
    "no_gate_and_no_curve": "No gate at 5, 10, 20 or 30 m, and too few or unfit times for a curve.",
    "stands_alone": "A time so far from the runs around it that a slip is likelier than a run: over 10 % and six "
    "robust standard deviations off. Neither trend nor noise counts it; mend the cell where it is one.",
    "shared_step": "All athletes' times stepped on one day: a gate, a clock or the ground was changed. Days on the two "
    "sides of it are not compared.",
    "reference_too_near": "The first session of this kind was less than two weeks ago.",
    "no_recent_session": "No day of this kind in the last four weeks.",
    "no_better_direction": "Neither longer nor shorter is better in itself, so a change is only described.",
    "no_noise_estimate": "The squad has too few sessions of this kind to tell change from noise.",
    "no_smallest_change": "Neither the spread between athletes nor a typical error is known, so no smallest worthwhile "
    "change can be stated.",
    "swc_from_own_variation": "Fewer than five athletes have this measure, so the smallest worthwhile change is 0.3 of "
    "the typical error.",
    "not_sure_enough": "The change is not surely real, nor surely within the smallest worthwhile one.",
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
