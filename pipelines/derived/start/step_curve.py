"""The exponential over the steps of a run, fitted to all runs at once."""

import numpy as np
import numpy.typing as npt
import polars as pl

from pipelines.derived.common.step_error import REP_KEY

Array = npt.NDArray[np.float64]

LEAST_STEPS = 6
RUNS_TOGETHER = 2000  # whose arrays stay in the processor's cache
CONSTANT_RANGE = (0.3, 30.0)  # steps; outside, the curve is a jump or a straight line and says nothing
LARGEST_CONDITION = 1e14  # of the normal equations: beyond it no digit of an error would be left
_GRID = 24
_GOLDEN = (5**0.5 - 1) / 2
_REFINEMENTS = 14  # of the range of the constant's logarithm, to 5e-4
_FIRST_STEPS = 6  # of Newton's method from the best of the grid: they bring all but a few runs to rest
_LAST_STEPS = 3  # from where a search of the others ends: a comparison of costs would end at some eighth digit, another
# on another processor
_AT_REST = 1e-9  # of the constant's logarithm: a step so small ends the search


def _solve(x: Array, y: Array, mask: Array, constant: Array) -> tuple[Array, Array, Array]:
    """Return limit, amplitude and sum of squares of the best y = limit + amplitude * exp(-x / constant) per column."""
    e = np.exp(-x / constant) * mask
    n, s_e, s_ee = mask.sum(0), e.sum(0), (e * e).sum(0)
    s_y, s_ey = (y * mask).sum(0), (e * y).sum(0)
    det = n * s_ee - s_e * s_e
    with np.errstate(divide="ignore", invalid="ignore"):
        amplitude = (n * s_ey - s_e * s_y) / det
        limit = (s_y - amplitude * s_e) / n
    rest = (y - limit - amplitude * e) * mask
    return limit, amplitude, (rest * rest).sum(0)


def _slopes(x: Array, y: Array, mask: Array, log_constant: Array) -> tuple[Array, Array]:
    """Return how half the sum of squares of the best curve rises with the logarithm of its constant, and how that does.

    With e = exp(-x / c), f and g its first and second derivatives by ln c, and limit l and amplitude a best for each c:
    slope = -a (sum yf - l sum f - a sum ef); l and a move with c as their normal equations say.
    """
    way = x / np.exp(log_constant)
    e = np.exp(-way) * mask
    f = e * way
    g = f * (way - 1.0)
    n, s_e, s_ee, s_y, s_ey = mask.sum(0), e.sum(0), (e * e).sum(0), y.sum(0), (e * y).sum(0)
    s_f, s_ef, s_fy, s_ff = f.sum(0), (e * f).sum(0), (f * y).sum(0), (f * f).sum(0)
    s_g, s_eg, s_gy = g.sum(0), (e * g).sum(0), (g * y).sum(0)
    with np.errstate(divide="ignore", invalid="ignore"):
        det = n * s_ee - s_e * s_e
        amplitude = (n * s_ey - s_e * s_y) / det
        limit = (s_y - amplitude * s_e) / n
        given_1, given_2 = -amplitude * s_f, s_fy - limit * s_f - 2.0 * amplitude * s_ef
        turn = (n * given_2 - s_e * given_1) / det  # of the amplitude
        shift = (given_1 - turn * s_e) / n  # of the limit
        rest_f = s_fy - limit * s_f - amplitude * s_ef
        rest_g = s_gy - limit * s_g - amplitude * s_eg
        moved_f = -(shift * s_f + turn * s_ef + amplitude * s_ff)
        return -amplitude * rest_f, -(turn * rest_f + amplitude * (moved_f + rest_g))


def _costs(x: Array, y: Array, mask: Array, constants: Array) -> Array:
    """Return the sum of squares of the best curve per column and constant; columns whose x are the same at once.

    Where x is that of the steps, as it mostly is, the exponential of a constant is one for all runs, and the sums are
    products of matrices. They tell which constant is best and enter no result: their last digits do not matter.
    """
    if not x.shape[1] or (x != x[:, :1]).any():
        return np.stack([_solve(x, y, mask, np.full(x.shape[1], c))[2] for c in constants], axis=1)
    e = np.exp(-x[:, 0] / constants[:, None])
    n, s_y, s_yy = mask.sum(0), y.sum(0), (y * y).sum(0)
    s_e, s_ee, s_ey = (e @ mask).T, ((e * e) @ mask).T, (e @ y).T
    with np.errstate(divide="ignore", invalid="ignore"):
        of_line = s_yy - s_y**2 / n
        return of_line[:, None] - (s_ey - s_e * (s_y / n)[:, None]) ** 2 / (s_ee - s_e**2 / n[:, None])


def _newton(x: Array, y: Array, mask: Array, start: Array, low: Array, high: Array, steps: int) -> tuple[Array, Array]:
    """Return the logarithms of the constants after so many steps within their bounds, and the size of the last step."""
    at, step = start, np.zeros_like(start)
    for _ in range(steps):
        slope, bend = _slopes(x, y, mask, at)
        low, high = np.where(slope < 0, at, low), np.where(slope > 0, at, high)
        moved = at - np.divide(slope, bend, out=np.full_like(slope, np.nan), where=bend > 0)
        is_between = (moved >= low) & (moved <= high)  # else half way down
        moved = np.where(is_between, moved, (low + high) / 2)
        step, at = np.abs(moved - at), moved
    return at, step


def _search(x: Array, y: Array, mask: Array, low: Array, high: Array) -> Array:
    """Return the logarithms of the best constants between bounds, by golden section and Newton's method."""
    ends = (low, high)
    left, right = high - _GOLDEN * (high - low), low + _GOLDEN * (high - low)
    at_left, at_right = (_solve(x, y, mask, np.exp(at))[2] for at in (left, right))
    for _ in range(_REFINEMENTS):
        keep_left = at_left < at_right
        low, high = np.where(keep_left, low, left), np.where(keep_left, right, high)
        probe = np.where(keep_left, high - _GOLDEN * (high - low), low + _GOLDEN * (high - low))
        cost = _solve(x, y, mask, np.exp(probe))[2]
        left, right = np.where(keep_left, probe, right), np.where(keep_left, left, probe)
        at_left, at_right = np.where(keep_left, cost, at_right), np.where(keep_left, at_left, cost)
    return _newton(x, y, mask, (low + high) / 2, *ends, _LAST_STEPS)[0]


def fit_steps(x: Array, y: Array) -> dict[str, Array]:
    """Fit y = limit + (first - limit) * exp(-x / constant) to every row of a matrix, NaN where a step is missing.

    x is the step number less that of the first step of the series. For a given constant the curve is linear in two
    parameters; the constant is found on a grid and by Newton's method (all rows together), by golden section where that
    does not come to rest. Standard errors from the residual variance with n - 3 degrees of freedom.
    Source: Ettema et al. 2016 for the shape.

    Returns first, limit, constant, their ``_se``, rmse, and ``fitted`` (1 where the fit stands). NaN where fewer than
    six steps are known or the constant runs to the edge of its range: the curve is then not identified.
    """
    starts = range(0, max(len(y), 1), RUNS_TOGETHER)
    parts = [_fit_some(x[start : start + RUNS_TOGETHER], y[start : start + RUNS_TOGETHER]) for start in starts]
    return {name: np.concatenate([part[name] for part in parts]) for name in parts[0]}


def _fit_some(x: Array, y: Array) -> dict[str, Array]:
    if len(y) == 1:  # sums over one row alone would be taken in another order
        return {name: found[:1] for name, found in _fit_some(np.repeat(x, 2, axis=0), np.repeat(y, 2, axis=0)).items()}
    # A column a run from here: each sum goes from step to step, so that a run's last bits hang neither on how many runs
    # are fitted with it nor on how many steps the longest of them has.
    x, y = np.ascontiguousarray(x.T), np.ascontiguousarray(y.T)
    mask = np.isfinite(y).astype(np.float64)
    y0 = np.where(mask > 0, y, 0.0)
    grid = np.linspace(float(np.log(CONSTANT_RANGE[0])), float(np.log(CONSTANT_RANGE[1])), _GRID)
    best = np.nan_to_num(_costs(x, y0, mask, np.exp(grid)), nan=np.inf).argmin(1)
    low, high = grid[np.maximum(best - 1, 0)], grid[np.minimum(best + 1, _GRID - 1)]
    log_constant, step = _newton(x, y0, mask, grid[best], low, high, _FIRST_STEPS)
    is_inside = (log_constant > low) & (log_constant < high)
    left = np.flatnonzero(~((step < _AT_REST) & is_inside))
    if len(left):
        some = np.append(left, left[:1]) if len(left) == 1 else left  # sums over one alone: see above
        found = _search(x[:, some], y0[:, some], mask[:, some], low[some], high[some])
        log_constant[left] = found[: len(left)]
    constant = np.exp(log_constant)
    limit, amplitude, cost = _solve(x, y0, mask, constant)

    n = mask.sum(0)
    e = np.exp(-x / constant)
    slopes = (mask, e * mask, amplitude / constant**2 * x * e * mask)
    normal = np.stack([np.stack([(one * other).sum(0) for other in slopes], axis=1) for one in slopes], axis=1)
    inside = (best > 0) & (best < _GRID - 1) & (n >= LEAST_STEPS)
    inside &= _is_regular(normal)
    covariance = np.full_like(normal, np.nan)
    variance = cost / np.maximum(n - 3, 1)
    if inside.any():
        covariance[inside] = np.linalg.inv(normal[inside]) * variance[inside, None, None]
    first_variance = covariance[:, 0, 0] + covariance[:, 1, 1] + 2 * covariance[:, 0, 1]

    def kept(values: Array) -> Array:
        return np.where(inside, values, np.nan)

    return {
        "first": kept(limit + amplitude),
        "first_se": np.sqrt(np.maximum(first_variance, 0.0)),
        "limit": kept(limit),
        "limit_se": np.sqrt(covariance[:, 0, 0]),
        "constant": kept(constant),
        "constant_se": np.sqrt(covariance[:, 2, 2]),
        "rmse": kept(np.sqrt(cost / np.maximum(n, 1))),
        "fitted": inside.astype(np.float64),
    }


def _is_regular(normal: Array) -> npt.NDArray[np.bool_]:
    """Say which 3 x 3 matrices can be inverted: |A| |A^-1| under 1e14, by cofactors; by singular values it is slow."""
    a = [[normal[:, i, j] for j in range(3)] for i in range(3)]
    with np.errstate(all="ignore"):
        cofactors = np.stack(
            [
                a[(i + 1) % 3][(j + 1) % 3] * a[(i + 2) % 3][(j + 2) % 3]
                - a[(i + 1) % 3][(j + 2) % 3] * a[(i + 2) % 3][(j + 1) % 3]
                for i in range(3)
                for j in range(3)
            ],
            axis=1,
        )
        determinant = sum(a[0][j] * cofactors[:, j] for j in range(3))
        size = (normal**2).sum(axis=(1, 2)) * (cofactors**2).sum(axis=1)
        return np.asarray(np.sqrt(size) < LARGEST_CONDITION * np.abs(determinant))


def step_curves(steps: pl.DataFrame) -> pl.DataFrame:
    """Fitted exponential of contact, flight and length over step number, one row per run."""
    runs = steps.select(REP_KEY).unique(maintain_order=True).with_row_index("_row")
    placed = steps.join(runs, on=REP_KEY, how="left", maintain_order="left")
    shape = (runs.height, int(placed["step_no"].max() or 1))  # type: ignore[arg-type]
    where = (placed["_row"].to_numpy(), placed["step_no"].to_numpy() - 1)
    out = runs.drop("_row")
    # Step 1's length begins at the start line, so the lengths start their curve with step 2.
    for name, unit, first_step in (("contact", "s", 1), ("flight", "s", 1), ("length", "m", 2)):
        source = "step_length_m" if name == "length" else f"{name}_s"
        values = np.full(shape, np.nan)
        values[where] = placed[source].cast(pl.Float64).to_numpy()
        values = values[:, first_step - 1 :]
        x = np.broadcast_to(np.arange(values.shape[1], dtype=np.float64), values.shape)
        fit = fit_steps(np.ascontiguousarray(x), values)
        names = {"first": f"first_{unit}", "limit": f"limit_{unit}", "constant": "constant_steps"}
        columns = {f"{name}_fit_{to}": fit[key] for key, to in names.items()}
        columns |= {f"{name}_fit_{to}_se": fit[f"{key}_se"] for key, to in names.items()}
        columns[f"{name}_fit_rmse_{unit}"] = fit["rmse"]
        out = out.with_columns(pl.Series(key, value).fill_nan(None) for key, value in columns.items())
        if name == "contact":
            known = np.isfinite(values).sum(1) if runs.height else np.zeros(0)
            out = out.with_columns(_known=pl.Series(known, dtype=pl.Int64))
    return out.with_columns(
        fit_reason=pl.when(pl.col("_known") < LEAST_STEPS)
        .then(pl.lit("few_steps_for_fit"))
        .when(pl.col("contact_fit_constant_steps").is_null())
        .then(pl.lit("step_fit_not_identified"))
    ).drop("_known")
