"""The heart of the batched fit: one non-linear unknown, found by grid and Gauss-Newton steps for all runs at once.

Every run takes its own path: its fit is the same to the last bit whichever runs are fitted with it. Only so can one
athlete's new runs be fitted without the others (``pipelines.board.derivation``).

Model of a run's times: T_i = t0 + tau g_i(k) + error, k = V tau, g_i = u(x_i/k), or u((x_i + d)/k) - u(d/k) where the
clock starts as the body passes a gate d in front of it. For a fixed k the model is linear in tau and t0, so only
log k is searched (variable projection). An offset t0 with prior N(mu, s^2) is integrated out: with y = T - mu,
unit-weight inner product <a, b> = sum(ab) - c sum(a) sum(b), c = 1/(m + sigma^2/s^2): c = 0 is a known offset,
c = 1/m a free one. Then tau = <g, y>/<g, g> and the sum of squares is <y, y> - <g, y>^2/<g, g>.

Sources: "golub_pereyra_1973" (variable projection), "kaufman_1975" (the projected Jacobian used in the steps).
"""

from dataclasses import dataclass, fields

import numpy as np
import numpy.typing as npt

from pipelines.derived.sprint.motion import FloatArray, solve_scaled_time, step_scaled_time

LEAST_K_M = 0.4  # m, least V tau searched (4 m/s with 0.1 s)
GREATEST_K_M = 120.0  # m, greatest V tau searched
LOG_K = (float(np.log(LEAST_K_M)), float(np.log(GREATEST_K_M)))
GRID = 51  # log-spaced k that start values are looked for on
START_DIGITS = 5  # of a start value: the two ways to find it differ in their last bits, their start values do not
LARGEST_STEP = 0.5  # of log k, in one step
CLOSE_STEP = 0.03  # of log k: up to here one Halley step carries u from point to point without loss
STEP_TOLERANCE = 1e-6  # of log k: from here the optimum stands to about 1e-8 of V
STEPS_TOGETHER = 2  # steps taken by all runs before only those still moving go on
MOST_STEPS = 60
FEW_RUNS = 64  # for which all values of the grid are tried at once; own choice


@dataclass(frozen=True)
class Layout:
    """Runs with equally many splits, one row each."""

    moved_m: FloatArray  # (n, m) distance the body has moved at each gate, distance behind the line included
    hidden_m: FloatArray  # (n, 1) distance moved before the clock started; 0 where the clock starts with the body
    y: FloatArray  # (n, m) times less the mean of the offset
    c: FloatArray  # (n,) see the module

    def rows(self, chosen: npt.NDArray[np.bool_] | slice) -> "Layout":
        """Return some of the runs."""
        return Layout(self.moved_m[chosen], self.hidden_m[chosen], self.y[chosen], self.c[chosen])


@dataclass
class Point:
    """Where each run stands at its log k: shape g, slope h = dg/dlog k, and their inner products."""

    log_k: FloatArray
    u: FloatArray
    u_slope: FloatArray
    g: FloatArray
    h: FloatArray
    gg: FloatArray
    gh: FloatArray
    hh: FloatArray
    gy: FloatArray
    hy: FloatArray
    yy: FloatArray

    @property
    def tau_s(self) -> FloatArray:
        """Best time constant for this k."""
        return np.asarray(self.gy / self.gg)

    @property
    def rss(self) -> FloatArray:
        """Sum of squares in s^2, offset integrated out."""
        return np.asarray(self.yy - self.gy * self.gy / self.gg)

    def next_step(self) -> FloatArray:
        """Gauss-Newton step of log k with the projected Jacobian."""
        tau = self.tau_s
        with np.errstate(divide="ignore", invalid="ignore"):
            step = (self.hy - tau * self.gh) / (tau * (self.hh - self.gh * self.gh / self.gg))
        return np.clip(np.nan_to_num(step, nan=0.0), -LARGEST_STEP, LARGEST_STEP)

    def take(self, other: "Point", where: npt.NDArray[np.bool_]) -> None:
        """Put the rows of another point here: all of it if it has our height, else in the rows named."""
        for field in fields(self):
            mine, theirs = getattr(self, field.name), getattr(other, field.name)
            mine[where] = theirs[where] if len(theirs) == len(where) else theirs


def stand(runs: Layout, log_k: FloatArray, near: Point | None = None) -> Point:
    """Evaluate all runs at their log k; a nearby point lends its u as a start value."""
    k = np.exp(log_k)[:, None]
    xi = runs.moved_m / k
    if near is None:
        u = solve_scaled_time(xi)
    else:
        shift = log_k - near.log_k
        u = step_scaled_time(near.u + near.u_slope * shift[:, None], xi)
        far = ~(np.abs(shift) < CLOSE_STEP)
        if far.any():
            u[far] = solve_scaled_time(xi[far])
    u_slope = xi / (np.exp(-u) - 1.0)
    g, h = u, u_slope
    if runs.hidden_m.any():
        xi_hidden = runs.hidden_m / k
        u_hidden = solve_scaled_time(xi_hidden)
        g = u - u_hidden
        h = u_slope - np.where(u_hidden > 0, xi_hidden / np.where(u_hidden > 0, np.expm1(-u_hidden), -1.0), 0.0)
    sum_g, sum_h, sum_y, c = g.sum(axis=1), h.sum(axis=1), runs.y.sum(axis=1), runs.c

    def inner(a: FloatArray, b: FloatArray, sum_a: FloatArray, sum_b: FloatArray) -> FloatArray:
        return np.asarray(np.einsum("ij,ij->i", a, b) - c * sum_a * sum_b)

    return Point(
        log_k=log_k.copy(),
        u=u,
        u_slope=u_slope,
        g=g if g is not u else u.copy(),
        h=h if h is not u_slope else u_slope.copy(),
        gg=inner(g, g, sum_g, sum_g),
        gh=inner(g, h, sum_g, sum_h),
        hh=inner(h, h, sum_h, sum_h),
        gy=inner(g, runs.y, sum_g, sum_y),
        hy=inner(h, runs.y, sum_h, sum_y),
        yy=inner(runs.y, runs.y, sum_y, sum_y),
    )


def quadratic_form(slope: FloatArray, matrix: FloatArray) -> FloatArray:
    """Return s' M s of each row: (n, p) and (n, p, p) to (n,).

    Added up term by term: over a single row the library's product of three takes another order than over many.
    """
    places = range(slope.shape[1])
    with np.errstate(over="ignore", invalid="ignore"):  # a run without a curve has no error either
        terms = [slope[:, i] * matrix[:, i, j] * slope[:, j] for i in places for j in places]
        return np.asarray(sum(terms[1:], terms[0]))


def _top_of_grid(score: FloatArray, grid: FloatArray) -> FloatArray:
    """Return log k of the greatest score per row, by a parabola through the best grid value and its neighbours."""
    best = score.argmax(axis=1)
    inside = np.clip(best, 1, len(grid) - 2)
    rows = np.arange(len(score))
    left, middle, right = score[rows, inside - 1], score[rows, inside], score[rows, inside + 1]
    bend = left - 2.0 * middle + right
    with np.errstate(divide="ignore", invalid="ignore"):
        shift = np.where(bend < 0, 0.5 * (left - right) / bend, 0.0)
    shift = np.where(best == inside, np.clip(np.nan_to_num(shift), -1.0, 1.0), 0.0)
    return np.round(grid[best] + shift * (grid[1] - grid[0]), START_DIGITS)


def start_shared(runs: Layout) -> FloatArray:
    """Return start values of log k for runs that share gates, hidden distance and c: one matrix product."""
    grid = np.linspace(*LOG_K, GRID)
    k = np.exp(grid)[:, None]
    shape = solve_scaled_time(runs.moved_m[:1] / k) - solve_scaled_time(runs.hidden_m[:1] / k)
    centred = shape - runs.c[0] * shape.sum(axis=1, keepdims=True)
    length = np.einsum("ij,ij->i", centred, shape)
    score = runs.y @ (centred / np.sqrt(length)[:, None]).T  # above 0 near the optimum: times rise as the shape does
    return _top_of_grid(score, grid)


def start_own(runs: Layout) -> FloatArray:
    """Return start values of log k for runs that each have their own gates."""
    grid = np.linspace(*LOG_K, GRID)
    if len(runs.y) <= FEW_RUNS:
        k = np.exp(grid)[:, None, None]
        shape = solve_scaled_time(runs.moved_m / k) - solve_scaled_time(runs.hidden_m / k)
        centred = shape - runs.c[:, None] * shape.sum(axis=2, keepdims=True)
        length = np.einsum("gij,gij->gi", centred, shape)
        return _top_of_grid((np.einsum("ij,gij->gi", runs.y, centred) / np.sqrt(length)).T, grid)
    score = np.empty((len(runs.y), GRID))
    for column, log_k in enumerate(grid):
        k = np.exp(log_k)
        shape = solve_scaled_time(runs.moved_m / k) - solve_scaled_time(runs.hidden_m / k)
        centred = shape - runs.c[:, None] * shape.sum(axis=1, keepdims=True)
        length = np.einsum("ij,ij->i", centred, shape)
        score[:, column] = np.einsum("ij,ij->i", runs.y, centred) / np.sqrt(length)
    return _top_of_grid(score, grid)


def _walk(runs: Layout, point: Point, step: FloatArray, steps: int) -> FloatArray:
    """Take so many steps from a point, in place. A step that makes the fit worse is cut to a quarter."""
    for _ in range(steps):
        trial = stand(runs, np.clip(point.log_k + step, *LOG_K), near=point)
        better = trial.rss <= point.rss + 1e-14 * point.yy  # rounding of the sum of squares
        if better.all():
            for field in fields(point):
                setattr(point, field.name, getattr(trial, field.name))
            step = point.next_step()
        else:
            point.take(trial, better)
            step = np.where(better, point.next_step(), 0.25 * step)
    return step


def refine(runs: Layout, log_k: FloatArray) -> tuple[Point, npt.NDArray[np.bool_]]:
    """Return the optimum of each run from start values near it, and whether each run came to rest."""
    point = stand(runs, np.clip(log_k, *LOG_K))
    step = _walk(runs, point, point.next_step(), STEPS_TOGETHER)
    for _ in range(STEPS_TOGETHER, MOST_STEPS):
        at_wall = ((point.log_k <= LOG_K[0]) & (step < 0)) | ((point.log_k >= LOG_K[1]) & (step > 0))
        moving = (np.abs(step) > STEP_TOLERANCE) & ~at_wall
        if not moving.any():
            return point, ~moving
        part = Point(**{field.name: getattr(point, field.name)[moving] for field in fields(point)})
        step[moving] = _walk(runs.rows(moving), part, step[moving], 1)
        point.take(part, moving)
    return point, np.abs(step) <= STEP_TOLERANCE
