"""Lengths and angles off a film, each with its error from the clicks, the lane marks and what a side view cannot see.

A measure is a function of a view of the phone, of clicked pixels and of how far across the lane they lie. Its
variance is the sum over those of (slope x standard deviation) squared, the phone's seven numbers with their covariance.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np

from pipelines.readers.film.camera import STEP_SIZES, Camera, View
from pipelines.readers.film.marks import Array

POINT_CLICK_SD_PX = 2.0  # px, a joint or the tip of the shoe on a moving picture; common practice, no source
ACROSS_SD_M = 0.10  # m, how far a foot or a hip may lie beside the middle of the lane; common practice, no source
SHOE_TIP_M = 0.012  # m, the tip of a spike shoe's sole above the track as it is clicked; common practice, no source
BESIDE_M = 0.01  # m, step for the slope by how far across the lane something lies
TURNS = 4  # of Gauss-Newton; the second already moves a foot by less than 1e-6 m

Measure = Callable[[View, Sequence[Array], float], float]


@dataclass(frozen=True)
class Foot:
    """The tip of a shoe on the track.

    ``along`` are x in m by the phone as found and by each of its views around (1 + 2 x 7); ``y_m`` and ``covariance``
    (2 x 2, x and y) are what clicking leaves with the phone known.
    """

    along: Array
    y_m: float
    covariance: Array

    @property
    def y_sd_m(self) -> float:
        """How well it is known how far across the lane it stands."""
        return float(self.covariance[1, 1] ** 0.5)


@dataclass(frozen=True)
class Measured:
    """A value and its standard error."""

    value: float
    error: float


def find_foot(camera: Camera, pixel: Array) -> Foot:
    """Return where the tip of a shoe stands on the track: its click, and that a foot lands near the middle of the lane.

    Gauss-Newton on (u, v) = seen(x, y) with SD 2 px and y about 0 with SD 0.10 m, at the height of the shoe's tip.
    """
    at, covariance = _foot(camera.view, pixel)
    around = [_foot(view, pixel)[0][0] for pair in camera.views_around for view in pair]
    return Foot(camera.mirror * np.array([at[0], *around]), float(at[1]), covariance)


def _foot(view: View, pixel: Array) -> tuple[Array, Array]:
    at, step = np.array([view.on_upright_plane(pixel, 0.0)[0], 0.0]), 1e-5
    weight = np.eye(2)
    for _ in range(TURNS):
        near = np.array([at, at + np.array([step, 0.0]), at + np.array([0.0, step])])
        seen = view.see(np.c_[near, np.full(3, SHOE_TIP_M)])
        slope = (seen[1:] - seen[0]).T / step / POINT_CLICK_SD_PX
        weight = slope.T @ slope + np.diag([0.0, ACROSS_SD_M**-2])
        pull = slope.T @ ((pixel - seen[0]) / POINT_CLICK_SD_PX) - [0.0, at[1] / ACROSS_SD_M**2]
        at = at + np.linalg.solve(weight, pull)
    return at, np.linalg.inv(weight)


def _by_phone(camera: Camera, around: Array) -> float:
    """Return the variance that the phone's own uncertainty gives: slope' covariance slope; ``around``: at each view."""
    slope = (around[0::2] - around[1::2]) / (2 * STEP_SIZES)
    return float(slope @ camera.covariance @ slope)


def step_length(camera: Camera, before: Foot | None, foot: Foot) -> Measured:
    """Return the length from one touchdown to the next, tip to tip along the lane; from the start line for the first.

    length = x(foot) - x(before). Its variance is that of both clicks and of the phone, which both share.
    """
    lengths = foot.along - (before.along if before is not None else 0.0)
    clicks = foot.covariance[0, 0] + (before.covariance[0, 0] if before is not None else 0.0)
    return Measured(float(lengths[0]), float(np.sqrt(clicks + _by_phone(camera, lengths[1:]))))


def _measured(
    camera: Camera, measure: Measure, pixels: Sequence[Array], across_m: float, across_sd_m: float
) -> Measured:
    """Return a measure with its error from clicks, place across the lane and phone."""
    around = np.array([measure(view, pixels, across_m) for pair in camera.views_around for view in pair])
    variance = _by_phone(camera, around)
    for place in range(len(pixels)):
        for shift in np.eye(2):
            more, less = (_moved(pixels, place, sign * shift) for sign in (1, -1))
            slope = (measure(camera.view, more, across_m) - measure(camera.view, less, across_m)) / 2
            variance += (slope * POINT_CLICK_SD_PX) ** 2
    beside = measure(camera.view, pixels, across_m + BESIDE_M) - measure(camera.view, pixels, across_m - BESIDE_M)
    variance += (beside / (2 * BESIDE_M) * across_sd_m) ** 2
    return Measured(measure(camera.view, pixels, across_m), float(np.sqrt(variance)))


def _moved(points: Sequence[Array], place: int, shift: Array) -> list[Array]:
    return [point + shift if at == place else point for at, point in enumerate(points)]


def segment_angle(camera: Camera, ends: Sequence[Array], across_m: float, across_sd_m: float) -> Measured:
    """Return the angle of a segment (lower end, upper end) from the forward horizontal in degrees: 90 is upright.

    Both ends are taken to lie equally far across the lane: a shin that leans sideways by 10 degrees reads 0.8 degrees
    wrong (simulated).
    """

    def measure(view: View, pixels: Sequence[Array], across: float) -> float:
        rise = view.on_upright_plane(pixels[1], across) - view.on_upright_plane(pixels[0], across)
        return float(np.degrees(np.arctan2(rise[1], camera.mirror * rise[0])))

    return _measured(camera, measure, ends, across_m, across_sd_m)


def joint_angle(camera: Camera, points: Sequence[Array], across_m: float, across_sd_m: float) -> Measured:
    """Return the inner angle at the middle of three points in degrees; 180 is straight."""

    def measure(view: View, pixels: Sequence[Array], across: float) -> float:
        one, joint, other = (view.on_upright_plane(pixel, across) for pixel in pixels)
        ahead, back = one - joint, other - joint
        turn = ahead[0] * back[1] - ahead[1] * back[0]
        return float(np.degrees(np.arctan2(abs(turn), ahead @ back)))

    return _measured(camera, measure, points, across_m, across_sd_m)


def touchdown_distance(camera: Camera, foot: Foot, hip: Array) -> Measured:
    """Return how far ahead of the hip the tip of the shoe lands, along the lane, in m; below 0 it lands behind.

    The hip is taken to lie over the middle of the lane, with SD 0.10 m across it.
    """

    def hip_along(view: View, pixels: Sequence[Array], across: float) -> float:
        return float(camera.mirror * view.on_upright_plane(pixels[0], across)[0])

    alone = _measured(camera, hip_along, [hip], 0.0, ACROSS_SD_M)
    around = np.array([hip_along(view, [hip], 0.0) for pair in camera.views_around for view in pair])
    # The phone moves foot and hip together: its part is that of their difference, not of each.
    variance = alone.error**2 - _by_phone(camera, around) + _by_phone(camera, foot.along[1:] - around)
    return Measured(float(foot.along[0]) - alone.value, float(np.sqrt(variance + foot.covariance[0, 0])))
