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
    (2.0, 7.13, 0.9798, 2.04),
    (3.0, 4.58, 0.9589, 1.87),
    (4.0, 3.77, 0.9406, 1.79),
    (6.0, 2.9, 0.9159, 1.66),
)
# Calls of 24 a day: how far answers lie on the worse side, week load above what was expected, jump.
ADAPT: tuple[tuple[float, float, float, float], ...] = (
    (0.25, 4.08, 1.66, 0.9691),
    (0.5, 3.84, 1.56, 0.9508),
    (1.0, 3.62, 1.35, 0.9153),
    (2.0, 3.36, 1.19, 0.8543),
    (4.0, 3.07, 0.98, 0.7475),
)
# Athletes of 24 brought up a week; share found of a strain building, of a drop of force, of a growth.
COST: tuple[tuple[float, float, float, float, float], ...] = (
    (0.5, 1.24, 0.861, 0.611, 1.0),
    (1.0, 1.24, 0.861, 0.611, 1.0),
    (1.5, 1.24, 0.861, 0.611, 1.0),
    (2.0, 1.62, 0.944, 0.722, 1.0),
    (3.0, 2.31, 0.944, 0.806, 1.0),
    (4.0, 3.03, 0.972, 0.806, 1.0),
    (6.0, 4.1, 0.972, 0.806, 1.0),
)
# Rule, what; of 24 athletes a week (families) or a day (reasons to adapt), or the share found in time of
# what was planted; the share that the same days bring up in the squad with nothing planted; days late.
RATES: tuple[tuple[str, str, float, float, float | None], ...] = (
    ("without_budget", "capacity", 8.299, 0.0, None),
    ("without_budget", "exposure", 6.965, 0.0, None),
    ("without_budget", "state", 4.625, 0.0, None),
    ("without_budget", "any_family", 15.062, 0.0, None),
    ("without_budget", "answers", 1.452, 0.0, None),
    ("without_budget", "load", 5.271, 0.0, None),
    ("without_budget", "jump", 0.851, 0.0, None),
    ("without_budget", "any_adapt", 7.034, 0.0, None),
    ("without_budget", "strain", 0.944, 0.111, 2.0),
    ("without_budget", "drop", 1.0, 0.694, 9.0),
    ("without_budget", "growth", 1.0, 0.639, 6.0),
    ("without_budget", "fatigue", 0.806, 0.25, 0.0),
    ("budget", "capacity", 0.674, 0.0, None),
    ("budget", "exposure", 0.25, 0.0, None),
    ("budget", "state", 0.75, 0.0, None),
    ("budget", "any_family", 1.618, 0.0, None),
    ("budget", "answers", 0.224, 0.0, None),
    ("budget", "load", 0.505, 0.0, None),
    ("budget", "jump", 0.28, 0.0, None),
    ("budget", "any_adapt", 0.987, 0.0, None),
    ("budget", "strain", 0.944, 0.0, 3.0),
    ("budget", "drop", 0.722, 0.111, 33.5),
    ("budget", "growth", 1.0, 0.056, 13.0),
    ("budget", "fatigue", 0.694, 0.056, 2.0),
)
