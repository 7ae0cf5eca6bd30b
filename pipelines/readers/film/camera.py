"""Where the phone stood and how it looked, from marks on both lane lines; and from there to metres and degrees.

World: x along the lane in the direction of the run from the start line, y across it from its middle away from the
phone, z up; metres. Picture: u to the right, v down; pixels of the upright picture. A pinhole with square pixels and
its axis in the middle of the picture; the lens of a phone bends lines a little, which is not corrected.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from scipy.optimize import least_squares
from scipy.spatial.transform import Rotation
from scipy.stats import chi2

from pipelines.readers.film.marks import Array, LaneMark

LANE_CLICK_SD_PX = 0.75  # px, a cross or line's edge clicked on a still picture, enlarged; common practice, no source
TAPE_SD_M = 0.01  # m, a mark laid with a tape; common practice, no source
USUAL_FOCAL = 0.85  # of the picture's longer side, main lens of a phone while filming; common practice, no source
FOCAL_LOG_SD = 0.25  # so that lenses from about half to twice as long are all possible
LEAST_HEIGHT_M = 0.3  # below it the far line hides the near one
WORST_MISFIT = 0.001  # chance of marks that lie so badly, below which they are taken for wrongly clicked
FEWEST_MARKS = 4
STEP_SIZES = np.array([1e-6, 1e-6, 1e-6, 1e-6, 1e-6, 1e-6, 1e-7])  # for slopes by the seven numbers of the phone


@dataclass(frozen=True)
class Camera:
    """A phone that was found, with how well.

    ``numbers`` are rotation vector (3), place of the world's origin before the lens (3, m) and log of the focal length
    in px; ``covariance`` is theirs (7 x 7). ``mirror`` is -1 where the run goes to the left of the picture: x is turned
    over then, so that the world stays right-handed.
    """

    numbers: Array
    covariance: Array
    middle: Array
    mirror: float
    misfit_px: float  # root mean square of what is left between marks and picture

    @cached_property
    def view(self) -> "View":
        """The phone as it was found."""
        return view_of(self.numbers, self.middle)

    @cached_property
    def views_around(self) -> list[tuple["View", "View"]]:
        """The phone with each of its numbers a little more and a little less, for slopes by them."""
        steps = np.diag(STEP_SIZES)
        return [(view_of(self.numbers + one, self.middle), view_of(self.numbers - one, self.middle)) for one in steps]

    @property
    def place(self) -> Array:
        """Where the phone stood: x, y, z in m."""
        return self.view.origin * [self.mirror, 1, 1]

    @property
    def height_m(self) -> float:
        """How high it stood."""
        return float(self.place[2])

    @property
    def off_square_deg(self) -> float:
        """How far its view is turned from straight across the lane."""
        ahead = self.view.turn[2]
        return float(abs(np.degrees(np.arctan2(ahead[0], ahead[1]))))


@dataclass(frozen=True)
class View:
    """A phone ready to look through: turn (3 x 3), shift (m), focal length (px), middle of the picture, place (m)."""

    turn: Array
    shift: Array
    focal: float
    middle: Array
    origin: Array

    def see(self, points: Array) -> Array:
        """Return where world points (n x 3, x turned over where the run goes left) are seen: n x 2 px."""
        seen = points @ self.turn.T + self.shift
        return np.asarray(self.focal * seen[:, :2] / seen[:, 2:] + self.middle)

    def on_upright_plane(self, pixel: Array, across_m: float) -> Array:
        """Return x and z (m) of what is seen at a pixel, if it lies so far across the lane."""
        direction = self.turn.T @ np.append((pixel - self.middle) / self.focal, 1.0)
        found = self.origin + direction * ((across_m - self.origin[1]) / direction[1])
        return found[[0, 2]]


def view_of(numbers: Array, middle: Array) -> View:
    """Return a phone by its seven numbers."""
    turn = Rotation.from_rotvec(numbers[:3]).as_matrix()
    return View(turn, numbers[3:6], float(np.exp(numbers[6])), middle, -turn.T @ numbers[3:6])


class NoCamera(ValueError):  # noqa: N818 - reads as a sentence where it is raised
    """The marks give no camera; the code says why."""

    def __init__(self, code: str) -> None:
        super().__init__(code)
        self.code = code


def find_homography(ground: Array, picture: Array) -> Array:
    """Return the 3 x 3 matrix from ground to picture points (both n x 2, n >= 4): normalised direct linear transform.

    Source: Hartley and Zisserman 2004, Multiple View Geometry, 2nd ed., algorithm 4.2 (from memory).
    """

    def normalised(points: Array) -> tuple[Array, Array]:
        centre = points.mean(axis=0)
        scale = 2**0.5 / np.linalg.norm(points - centre, axis=1).mean()
        shift = np.array([[scale, 0, -scale * centre[0]], [0, scale, -scale * centre[1]], [0, 0, 1]])
        return shift, np.c_[points, np.ones(len(points))] @ shift.T

    from_shift, sources = normalised(ground)
    to_shift, targets = normalised(picture)
    rows = [
        row
        for source, target in zip(sources, targets, strict=True)
        for row in (
            np.r_[np.zeros(3), -source, target[1] * source],
            np.r_[source, np.zeros(3), -target[0] * source],
        )
    ]
    solved = np.linalg.svd(np.array(rows))[2][-1].reshape(3, 3)
    found = np.linalg.inv(to_shift) @ solved @ from_shift
    return np.asarray(found / found[2, 2])


def focal_of(homography: Array, middle: Array) -> float:
    """Return the focal length in px that makes the first two columns of a rotation; nan where none does.

    Source: Zhang 2000, IEEE Trans. Pattern Anal. 22:1330-1334, the two constraints of one plane (from memory), with
    square pixels and a known centre, in least squares.
    """
    first, second = (np.array([[1, 0, -middle[0]], [0, 1, -middle[1]], [0, 0, 1]]) @ homography).T[:2]
    on = np.array(
        [first[0] * second[0] + first[1] * second[1], first[0] ** 2 + first[1] ** 2 - second[0] ** 2 - second[1] ** 2]
    )
    off = -np.array([first[2] * second[2], first[2] ** 2 - second[2] ** 2])
    inverse = float(on @ off / (on @ on))
    return inverse**-0.5 if inverse > 0 else float("nan")


def pose_of(homography: Array, focal: float, middle: Array) -> Array:
    """Return rotation vector and translation (6 numbers) of the phone from a homography and a focal length.

    Source: Zhang 2000, as above, section 3.1: columns of K^-1 H, made a rotation by the nearest one (SVD).
    """
    inside = np.array([[focal, 0, middle[0]], [0, focal, middle[1]], [0, 0, 1]])
    columns = np.linalg.inv(inside) @ homography
    columns /= np.sqrt(np.linalg.norm(columns[:, 0]) * np.linalg.norm(columns[:, 1]))
    columns *= np.sign(columns[2, 2])
    left, _, right = np.linalg.svd(np.c_[columns[:, 0], columns[:, 1], np.cross(columns[:, 0], columns[:, 1])])
    turn = left @ np.diag([1, 1, np.linalg.det(left @ right)]) @ right
    return np.r_[Rotation.from_matrix(turn).as_rotvec(), columns[:, 2]]


def find_camera(marks: Sequence[LaneMark], width_px: float, height_px: float) -> Camera:
    """Find the phone from marks on both lane lines, with the error of every number of it.

    Least squares over the seven numbers and where each mark really lies: clicks to 0.75 px, marks laid to 0.01 m, focal
    length loosely about 0.85 of the longer side. The start is the homography's own pose. The covariance is that of the
    linearised fit; the marks' true places are integrated out.

    Source: Hartley and Zisserman 2004, chapters 4 and 6 (from memory): Gold-standard estimate and its covariance.

    Raises:
        NoCamera: ``few_lane_marks`` (fewer than four, or all on one line or at one distance), ``lane_lines_swapped``
            (near and far exchanged), ``camera_too_low``, ``lane_marks_do_not_fit``.
    """
    told = np.array([[one.along_m, one.across_m] for one in marks]).reshape(-1, 2)
    seen = np.array([[one.u, one.v] for one in marks]).reshape(-1, 2)
    if len(marks) < FEWEST_MARKS or min(len(np.unique(told[:, 0])), len(np.unique(told[:, 1]))) < 2:
        raise NoCamera("few_lane_marks")
    if len(np.unique(told, axis=0)) < FEWEST_MARKS:
        raise NoCamera("few_lane_marks")
    middle = np.array([width_px, height_px]) / 2
    mirror = float(np.sign(np.polyfit(told[:, 0], seen[:, 0], 1)[0])) or 1.0
    ground = told * [mirror, 1]
    begun = _begin(ground, seen, middle, max(width_px, height_px))
    fitted = _fit(begun, ground, seen, middle, max(width_px, height_px))
    camera = Camera(fitted.numbers, fitted.covariance, middle, mirror, fitted.misfit_px)
    if camera.height_m < 0:
        raise NoCamera("lane_lines_swapped")
    if camera.height_m < LEAST_HEIGHT_M:
        raise NoCamera("camera_too_low")
    if fitted.chance < WORST_MISFIT:
        raise NoCamera("lane_marks_do_not_fit")
    return camera


def _begin(ground: Array, seen: Array, middle: Array, longer_px: float) -> Array:
    try:
        homography = find_homography(ground, seen)
        focal = focal_of(homography, middle)
        if not 0.4 * longer_px < focal < 3 * longer_px:
            focal = USUAL_FOCAL * longer_px
        return np.r_[pose_of(homography, focal, middle), np.log(focal)]
    except np.linalg.LinAlgError as trouble:
        raise NoCamera("lane_marks_do_not_fit") from trouble


@dataclass(frozen=True)
class _Fitted:
    numbers: Array
    covariance: Array
    misfit_px: float
    chance: float


def _fit(begun: Array, ground: Array, seen: Array, middle: Array, longer_px: float) -> _Fitted:
    count = len(ground)

    def left_over(numbers: Array) -> Array:
        places = ground + numbers[7:].reshape(count, 2)
        off = (view_of(numbers[:7], middle).see(np.c_[places, np.zeros(count)]) - seen) / LANE_CLICK_SD_PX
        lens = (numbers[6] - np.log(USUAL_FOCAL * longer_px)) / FOCAL_LOG_SD
        return np.r_[off.ravel(), lens, numbers[7:] / TAPE_SD_M]

    solved = least_squares(left_over, np.r_[begun, np.zeros(2 * count)], method="lm", x_scale="jac", max_nfev=4000)
    if not np.all(np.isfinite(solved.x)):
        raise NoCamera("lane_marks_do_not_fit")
    covariance = np.linalg.pinv(solved.jac.T @ solved.jac)[:7, :7]
    off = view_of(solved.x[:7], middle).see(np.c_[ground, np.zeros(count)]) - seen
    # Pseudo-observations (lens, places of the marks) count as many as they add unknowns, but for the lens: 2n + 1 - 7.
    chance = float(chi2.sf(2 * solved.cost, 2 * count + 1 - 7))
    return _Fitted(solved.x[:7], covariance, float(np.sqrt((off**2).sum(axis=1).mean())), chance)
