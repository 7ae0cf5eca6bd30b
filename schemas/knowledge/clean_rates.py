"""Thresholds and rates of alarms. Written by ``python -m tests.bench.bench_alarms --write``."""

MADE_ON = "2026-11-30"
SET_ON = tuple(range(101, 125))  # seeds of the squads that thresholds are set on
JUDGED_ON = tuple(range(201, 225))  # seeds of the squads they are judged on
WEEKS = 24  # judged of each squad, after the weeks in which own usual becomes known
# Athletes of 24 a week: sum of tightness, how sure one test must be, fast metres above what was expected.
HAMSTRING: tuple[tuple[float, float, float, float], ...] = (
    (0.5, 13.91, 0.999, 2.72),
    (1.0, 13.91, 0.999, 2.72),
    (1.5, 13.9, 0.999, 2.63),
    (2.0, 6.42, 0.9768, 2.07),
    (3.0, 4.32, 0.9529, 1.87),
    (4.0, 3.52, 0.9361, 1.78),
    (6.0, 2.67, 0.9096, 1.64),
)
# Calls of 24 a day: how far answers lie on the worse side, week load above what was expected, jump.
ADAPT: tuple[tuple[float, float, float, float], ...] = (
    (0.25, 4.22, 1.7, 0.9743),
    (0.5, 3.95, 1.56, 0.9559),
    (1.0, 3.67, 1.4, 0.9176),
    (2.0, 3.37, 1.2, 0.8498),
    (4.0, 3.06, 1.0, 0.7357),
)
# Athletes of 24 brought up a week; share found of a strain building, of a drop of force, of a growth.
COST: tuple[tuple[float, float, float, float, float], ...] = (
    (0.5, 1.14, 0.75, 0.667, 0.972),
    (1.0, 1.14, 0.75, 0.667, 0.972),
    (1.5, 1.15, 0.75, 0.667, 1.0),
    (2.0, 1.65, 0.944, 0.778, 1.0),
    (3.0, 2.62, 0.958, 0.847, 1.0),
    (4.0, 3.24, 0.972, 0.847, 1.0),
    (6.0, 4.51, 0.986, 0.847, 1.0),
)
# Rule, what; of 24 athletes a week (families) or a day (reasons to adapt), or the share found in time of
# what was planted; its simulation error (standard error over the squads judged, or of the share); the share that the
# same days bring up in the squad with nothing planted; days late.
RATES: tuple[tuple[str, str, float, float, float, float | None], ...] = (
    ("without_budget", "capacity", 8.299, 0.308, 0.0, None),
    ("without_budget", "exposure", 7.047, 0.107, 0.0, None),
    ("without_budget", "state", 4.799, 0.161, 0.0, None),
    ("without_budget", "any_family", 15.083, 0.199, 0.0, None),
    ("without_budget", "answers", 1.46, 0.036, 0.0, None),
    ("without_budget", "load", 5.318, 0.066, 0.0, None),
    ("without_budget", "jump", 0.754, 0.039, 0.0, None),
    ("without_budget", "any_adapt", 7.021, 0.073, 0.0, None),
    ("without_budget", "strain", 0.931, 0.03, 0.125, 2.0),
    ("without_budget", "drop", 0.986, 0.014, 0.583, 9.0),
    ("without_budget", "growth", 1.0, 0.0, 0.625, 6.0),
    ("without_budget", "fatigue", 0.764, 0.05, 0.194, 0.0),
    ("budget", "capacity", 0.601, 0.079, 0.0, None),
    ("budget", "exposure", 0.179, 0.022, 0.0, None),
    ("budget", "state", 0.931, 0.059, 0.0, None),
    ("budget", "any_family", 1.655, 0.078, 0.0, None),
    ("budget", "answers", 0.219, 0.011, 0.0, None),
    ("budget", "load", 0.381, 0.027, 0.0, None),
    ("budget", "jump", 0.239, 0.016, 0.0, None),
    ("budget", "any_adapt", 0.828, 0.035, 0.0, None),
    ("budget", "strain", 0.944, 0.027, 0.014, 3.0),
    ("budget", "drop", 0.778, 0.049, 0.069, 30.0),
    ("budget", "growth", 1.0, 0.0, 0.028, 13.0),
    ("budget", "fatigue", 0.694, 0.054, 0.042, 1.5),
)
