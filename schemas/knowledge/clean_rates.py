"""Thresholds and rates on squads with nothing wrong. Written by ``python -m tests.bench.bench_alarms --write``."""

MADE_ON = "2026-11-30"
SEEDS = (1,)
CHECK_SEEDS = (2,)
# of 24 athletes a week: sum of tightness, how sure a fall of force, fast metres above what was to be expected
HAMSTRING: tuple[tuple[float, float, float, float], ...] = ((2.0, 7.5, 0.975, 1.75),)
# of 24 athletes a day: z of an answer, week load above what was to be expected, how sure a drop of the jump
ADAPT: tuple[tuple[float, float, float, float], ...] = ((1.0, 3.4, 1.3, 0.92),)
RATES: tuple[tuple[str, str, float, float, float | None], ...] = ()
COST: tuple[tuple[float, float, float, float, float], ...] = ()
