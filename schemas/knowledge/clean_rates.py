"""Thresholds and rates of alarms. Written by ``python -m tests.bench.bench_alarms --write``."""

MADE_ON = "2026-11-30"
SET_ON = (101, 102, 103, 104, 105, 106, 107, 108)  # seeds of the squads that thresholds are set on
JUDGED_ON = (201, 202, 203, 204, 205, 206)  # seeds of the squads they are judged on
WEEKS = 24  # judged of each squad, after the weeks in which own usual becomes known
# Athletes of 24 a week: sum of tightness, how sure one test must be, fast metres above what was expected.
HAMSTRING: tuple[tuple[float, float, float, float], ...] = (
    (0.5, 12.62, 0.999, 2.63),
    (1.0, 12.62, 0.999, 2.63),
    (1.5, 12.62, 0.999, 2.63),
    (2.0, 6.95, 0.9781, 2.04),
    (3.0, 4.56, 0.9578, 1.87),
    (4.0, 3.75, 0.9381, 1.79),
    (6.0, 2.89, 0.9159, 1.66),
)
# Calls of 24 a day: how far answers lie on the worse side, week load above what was expected, jump.
ADAPT: tuple[tuple[float, float, float, float], ...] = (
    (0.25, 4.22, 1.66, 0.9691),
    (0.5, 3.96, 1.56, 0.9508),
    (1.0, 3.68, 1.35, 0.9153),
    (2.0, 3.41, 1.19, 0.8543),
    (4.0, 3.11, 0.98, 0.7475),
)
# Athletes of 24 brought up a week; share found of a strain building, of a drop of force, of a growth.
COST: tuple[tuple[float, float, float, float, float], ...] = (
    (0.5, 1.21, 0.861, 0.611, 1.0),
    (1.0, 1.21, 0.861, 0.611, 1.0),
    (1.5, 1.21, 0.861, 0.611, 1.0),
    (2.0, 1.6, 0.944, 0.722, 1.0),
    (3.0, 2.33, 0.944, 0.806, 1.0),
    (4.0, 2.99, 0.972, 0.806, 1.0),
    (6.0, 4.06, 0.972, 0.806, 1.0),
)
# Rule, what; of 24 athletes a week (families) or a day (reasons to adapt), or the share found in time of
# what was planted; the share that the same days bring up in the squad with nothing planted; days late.
RATES: tuple[tuple[str, str, float, float, float | None], ...] = (
    ("without_budget", "capacity", 8.299, 0.0, None),
    ("without_budget", "exposure", 6.965, 0.0, None),
    ("without_budget", "state", 4.681, 0.0, None),
    ("without_budget", "any_family", 15.097, 0.0, None),
    ("without_budget", "answers", 1.472, 0.0, None),
    ("without_budget", "load", 5.271, 0.0, None),
    ("without_budget", "jump", 0.851, 0.0, None),
    ("without_budget", "any_adapt", 7.047, 0.0, None),
    ("without_budget", "strain", 0.944, 0.111, 2.0),
    ("without_budget", "drop", 1.0, 0.694, 9.0),
    ("without_budget", "growth", 1.0, 0.639, 6.0),
    ("without_budget", "fatigue", 0.833, 0.25, 0.5),
    ("budget", "capacity", 0.688, 0.0, None),
    ("budget", "exposure", 0.208, 0.0, None),
    ("budget", "state", 0.757, 0.0, None),
    ("budget", "any_family", 1.597, 0.0, None),
    ("budget", "answers", 0.24, 0.0, None),
    ("budget", "load", 0.505, 0.0, None),
    ("budget", "jump", 0.28, 0.0, None),
    ("budget", "any_adapt", 1.004, 0.0, None),
    ("budget", "strain", 0.944, 0.0, 3.0),
    ("budget", "drop", 0.722, 0.111, 30.0),
    ("budget", "growth", 1.0, 0.056, 13.0),
    ("budget", "fatigue", 0.639, 0.056, 2.0),
)
