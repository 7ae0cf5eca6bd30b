"""The exponential over the steps of a run, fitted to all runs at once."""

import numpy as np
import numpy.typing as npt
import polars as pl

from pipelines.derived.common.step_error import REP_KEY

Array = npt.NDArray[np.float64]

LEAST_STEPS = 6
CONSTANT_RANGE = (0.3, 30.0)  # steps; outside, the curve is a jump or a straight line and says nothing
_GRID = 24
_GOLDEN = (5**0.5 - 1) / 2
_REFINEMENTS = 14  # of the range of the constant's logarithm, to 5e-4
_LAST_STEPS = 3  # of Newton's method from there: a comparison of costs would end at some eighth digit, another on
# another processor
_DIFFERENCE = 1e-4  # of the constant's logarithm, for the curvature


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


def _slope(x: Array, y: Array, mask: Array, log_constant: Array) -> Array:
    """Return how half the sum of squares of the best curve rises with the logarithm of its constant, per column."""
    constant = np.exp(log_constant)
    e = np.exp(-x / constant) * mask
    limit, amplitude, _ = _solve(x, y, mask, constant)
    return -((y - limit - amplitude * e) * amplitude * e * x / constant).sum(0)


def fit_steps(x: Array, y: Array) -> dict[str, Array]:
    """Fit y = limit + (first - limit) * exp(-x / constant) to every row of a matrix, NaN where a step is missing.

    x is the step number less that of the first step of the series. For a given constant the curve is linear in two
    parameters; the constant is found on a grid, by golden section and by Newton's method (all rows together). Standard
    errors from the residual variance with n - 3 degrees of freedom. Source: Ettema et al. 2016 for the shape.

    Returns first, limit, constant, their ``_se``, rmse, and ``fitted`` (1 where the fit stands). NaN where fewer than
    six steps are known or the constant runs to the edge of its range: the curve is then not identified.
    """
    if len(y) == 1:  # sums over one row alone would be taken in another order
        return {name: found[:1] for name, found in fit_steps(np.repeat(x, 2, axis=0), np.repeat(y, 2, axis=0)).items()}
    # A column a run from here: each sum goes from step to step, so that a run's last bits hang neither on how many runs
    # are fitted with it nor on how many steps the longest of them has.
    x, y = np.ascontiguousarray(x.T), np.ascontiguousarray(y.T)
    mask = np.isfinite(y).astype(np.float64)
    y0 = np.where(mask > 0, y, 0.0)
    runs = y.shape[1]
    grid = np.linspace(float(np.log(CONSTANT_RANGE[0])), float(np.log(CONSTANT_RANGE[1])), _GRID)
    costs = np.stack([_solve(x, y0, mask, np.full(runs, np.exp(g)))[2] for g in grid], axis=1)
    best = costs.argmin(1)
    low, high = grid[np.maximum(best - 1, 0)], grid[np.minimum(best + 1, _GRID - 1)]
    left, right = high - _GOLDEN * (high - low), low + _GOLDEN * (high - low)
    at_left, at_right = (_solve(x, y0, mask, np.exp(at))[2] for at in (left, right))
    for _ in range(_REFINEMENTS):
        keep_left = at_left < at_right
        low, high = np.where(keep_left, low, left), np.where(keep_left, right, high)
        probe = np.where(keep_left, high - _GOLDEN * (high - low), low + _GOLDEN * (high - low))
        cost = _solve(x, y0, mask, np.exp(probe))[2]
        left, right = np.where(keep_left, probe, right), np.where(keep_left, left, probe)
        at_left, at_right = np.where(keep_left, cost, at_right), np.where(keep_left, at_left, cost)
    log_constant = (low + high) / 2
    for _ in range(_LAST_STEPS):
        before, at, after = (_slope(x, y0, mask, log_constant + off) for off in (-_DIFFERENCE, 0.0, _DIFFERENCE))
        bend = (after - before) / (2 * _DIFFERENCE)
        step = np.divide(-at, bend, out=np.zeros_like(at), where=bend > 0)
        log_constant = np.clip(log_constant + step, low, high)
    constant = np.exp(log_constant)
    limit, amplitude, cost = _solve(x, y0, mask, constant)

    n = mask.sum(0)
    e = np.exp(-x / constant)
    slopes = (mask, e * mask, amplitude / constant**2 * x * e * mask)
    normal = np.stack([np.stack([(one * other).sum(0) for other in slopes], axis=1) for one in slopes], axis=1)
    inside = (best > 0) & (best < _GRID - 1) & (n >= LEAST_STEPS)
    inside &= np.linalg.cond(np.where(np.isfinite(normal), normal, 0.0)) < 1e14 if runs else inside
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
