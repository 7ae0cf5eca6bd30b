"""Words of the table that says how often the interval of one run holds the truth."""

RUN_ERROR = "How far the numbers of one run may be trusted"
RUN_ERROR_LEDE = (
    "How often the 95 % interval of one run holds what was true, in percent of runs: 93 to 97 is right, less is too "
    "sure of itself, more is wider than it need be. Runs of a body with a force line and air drag, stepped through "
    "time and timed with errors; no model of ours made them. The error is of the timing and of when the body began to "
    "move; what the curve itself misses is stated apart. Found on simulated data only."
)
RUN_ERROR_WHY = (
    "A number counts where the program shows it: with coarse timing a 10 m off the curve is shown of some runs only, "
    "and of those the interval holds more often. By hand release the spread of release times is the published one "
    "(Haugen et al. 2012: standard deviation 0.09 s); a hand that leaves the ground more evenly makes the interval "
    "wider than it need be."
)
RULES = {
    "gun_reaction": "gun, reaction known",
    "first_movement": "first movement",
    "gate_known": "gate, place behind it known to 5 cm",
    "hand_release": "hand release",
}
RUN_ERROR_COLUMNS = (
    ("rule", "Clock"),
    ("noise_ms", "Noise of a time, ms"),
    ("gates", "Gates"),
    ("vmax_mps", "Top speed"),
    ("tau_s", "Time constant"),
    ("t_10_s", "10 m"),
    ("vmax_mps_known", "Runs with a top speed, %"),
    ("t_10_s_known", "… with a 10 m, %"),
    ("noise_found_ms", "Noise found, ms"),
)
