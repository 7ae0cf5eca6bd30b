"""The known patterns that show in a start (``start_pattern``)."""

import polars as pl

from pipelines.derived.common.kept import kept
from pipelines.derived.common.step_error import REP_KEY
from pipelines.derived.start.signs import find_patterns
from schemas.derived.start import StartPattern

_patterns = kept(find_patterns)  # a run that was timed and not filmed changes nothing of them


def start_pattern(
    start_phase: pl.DataFrame,
    start_steps: pl.DataFrame,
    technique_note: pl.DataFrame,
    set_position: pl.DataFrame,
    rep: pl.DataFrame,
) -> pl.DataFrame:
    """Say which known patterns show in each start, with what triggered them and how strongly.

    Measured signs: z = (value - mean of the athlete's own best runs) / (error of the value * sqrt(1 + 1 / runs)), where
    the best runs are the fastest quarter after three steps among the athlete's free runs of the last 180 days with the
    same start and method (five others at least), and the error holds frames, marking by eye and lengths. |z| >= 1.645
    is beyond error, >= 2.576 clear. A fastest quarter is picked partly for its luck, so a speed 'below the best
    runs' is asked for only together with signs in the step times. A sign that can stand alone (long contacts at no
    more than the usual speed, a straighter knee, a shin further back) is held against the larger of its error and
    the athlete's own spread from run to run.

    Source: common_practice throughout. A run without a pattern has no row; that is not a clean bill.
    """
    runs = rep.select(*REP_KEY, "resistance_load_kg").join(start_phase, on=REP_KEY, how="semi")
    frame = _patterns(start_phase, start_steps, technique_note, set_position, runs)
    return frame.select(list(StartPattern.to_schema().columns))
