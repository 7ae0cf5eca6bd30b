"""How well step times, lengths and angles off video are known.

Frames: an event is seen in the first frame after it, so it is late by a uniform error on one frame (variance
1 / (12 fps^2)). An interval between two events has SD 1 / (fps sqrt 6); a contact and the flight after it share an
event and correlate -0.5; the time of n steps on end still holds two events only, so its SD is that of one interval.
"""

import polars as pl

REP_KEY = ["athlete_id", "session_date", "session_no", "rep_no"]

STEP_LENGTH_SD_M = 0.03  # m, reading one step length off video, sources: "step_length_error"
SHIN_ANGLE_SD_DEG = 1.5  # deg, two points +-1.5 px on a shank of 80 px, sources: "angle_error"
OPERATOR_EVENT_SD_FRAMES = 0.5  # frames, marking one event ("often one frame either way"), "video_operator_error"
# Marking and frames together, over frames alone: sqrt((1/12 + 0.5^2) / (1/12)) = 2.
OPERATOR_FACTOR = (1 + 12 * OPERATOR_EVENT_SD_FRAMES**2) ** 0.5

Z_BEYOND_ERROR = 1.645  # one-sided 5 %: a difference below this is called measurement error
Z_CLEAR = 2.576  # one-sided 0.5 %: from here a sign is called clear

FRAME_CLASS_EDGES_HZ = (100.0, 200.0)  # up to 100: low; up to 200: middle; above: high


def interval_sd_s(frame_rate: pl.Expr) -> pl.Expr:
    """SD of one interval between two events in s: 1 / (frame rate * sqrt 6). Null without a frame rate."""
    return 1.0 / (frame_rate * 6**0.5)


def method_class(frame_rate: pl.Expr, timing_kind: pl.Expr) -> pl.Expr:
    """Name the method by which steps were timed: the frame rate's class, or the timing kind where it is not known."""
    low, middle = FRAME_CLASS_EDGES_HZ
    return (
        pl.when(frame_rate <= low)
        .then(pl.lit("frames_low"))
        .when(frame_rate <= middle)
        .then(pl.lit("frames_middle"))
        .when(frame_rate > middle)
        .then(pl.lit("frames_high"))
        .otherwise(pl.concat_str(pl.lit("timing_"), timing_kind.fill_null("not_stated")))
    )
