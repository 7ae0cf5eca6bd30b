"""Caveats of the area: strength."""

CAVEATS: dict[str, str] = {
    "not_a_maximum_lift": "Jumps, sleds and eccentric work have no one-repetition maximum.",
    "set_without_load": "No set of this exercise has a load.",
    "no_outer_load": "The sets were done without a load besides the body, so no maximum is estimated.",
    "too_many_reps": "Every set has more than 10 repetitions, those left in reserve counted: too many for an estimate.",
    "set_effort_unknown": "Nobody said how many repetitions were left: the estimate is 'at least'.",
    "body_mass_not_recent": "No body mass within the 180 days before, so nothing per kilogram.",
    "squad_noise_unknown": "The squad has too few repeated tests of this kind to know the noise.",
    "squad_spread_unknown": "Too few athletes have done this test to know the smallest change that matters.",
    "no_earlier_test": "No test in the 12 months before to compare with.",
    "few_own_tests": "Fewer than four own test days in the days before: no usual height yet.",
    "no_flight_time": "No trial has a flight time.",
    "one_side_only": "Only one side was tested on this day.",
    "boxes_mixed": "Trials from different box heights on one day are not set against other days.",
    "too_few_heights": "Fewer than three heights over half a year: no speed of growth yet.",
}
