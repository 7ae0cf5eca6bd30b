"""Caveats of the area: hamstring."""

CAVEATS: dict[str, str] = {
    "no_eccentric_test": "No eccentric hamstring test in the record.",
    "eccentric_test_overdue": "The last eccentric hamstring test is older than the squad's limit.",
    "test_noise_unknown": "The eccentric test cannot be held against its noise yet: too few own tests.",
    "loss_not_retested": "The last eccentric test showed a loss that no further test has confirmed or cleared.",
    "own_exposure_unknown": "Too few weeks to know the athlete's own usual of metres at 90 % and more.",
    "no_plan": "Long without a near-maximal run, and no plan is entered for the coming days.",
    "no_recent_checkin": "No check-in in the last days.",
    "hamstring_not_answered": "The last check-in leaves out the hamstring items.",
    "exposure_week_unknown": "The metres at 90 % and more of the last week are not known.",
    "already_injured": "Not back from an injury on the evening the flag was asked.",
    "flag_not_possible": "Too little was known on the evening for a flag: cannot say.",
    "too_few_injuries": "Under ten injuries nothing can be concluded.",
    "no_weeks_to_judge": "No past week with a flag and the seven days after it is in the record yet.",
    "no_start_pattern_noted": "No pattern of any kind was noted in a start of the last weeks; whether starts were "
    "looked at is not known.",
}
