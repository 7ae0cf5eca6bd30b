"""A linear mixed model of repeated measures: lines of many athletes that share a mean line (``fit_mixed``).

    y = X beta + Z_i b_i + e,   b_i ~ N(0, sigma^2 L L'),   e ~ N(0, sigma^2)

X holds what all share, Z_i what may differ between groups (a level, or a level and a slope), L is lower triangular.
Beta and sigma are found in closed form for each L, so only the one or three numbers of L are searched for. All groups
are reckoned at once from their sums of products: the roots of their small matrices L' Z'Z L + 1 are written out, number
by number, over all groups. No matrix of the size of the data is made.

Source: "bates_2015" (profiled criterion), "laird_ware_1982" (the model and its predictions).
"""

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt
import scipy

from pipelines.derived.common.settling import settle

Array = npt.NDArray[np.float64]

SINGULAR_SHARE = 1e-3  # of the residual SD: an SD between groups below it is nought, source: "bates_2015"
STEP = 1e-8  # of a number of L, for the slope of the criterion: what the search uses by itself
STARTS = (1.0, 0.2, 0.02)  # relative SDs the search begins from: a criterion near 0 can have two valleys


@dataclass(frozen=True)
class Sums:
    """Sums of products per group (first index) and over all, which hold all the model needs of the data."""

    rows: int
    groups: int
    zz: Array  # (groups, q, q)
    zd: Array  # (groups, q, p + 1): of z with x, and with y in the last place
    dd: Array  # (p + 1, p + 1): of x and y, y in the last place

    @classmethod
    def of(cls, y: Array, x: Array, z: Array, group: npt.NDArray[np.int64]) -> "Sums":
        """Add up the products; ``group`` numbers the groups from 0."""
        count, data = int(group.max()) + 1, np.column_stack([x, y])
        zz = np.zeros((count, z.shape[1], z.shape[1]))
        zd = np.zeros((count, z.shape[1], data.shape[1]))
        np.add.at(zz, group, z[:, :, None] * z[:, None, :])
        np.add.at(zd, group, z[:, :, None] * data[:, None, :])
        return cls(len(y), count, zz, zd, data.T @ data)


@dataclass(frozen=True)
class MixedFit:
    """What was found: shared numbers, differences of each group, and the variances."""

    beta: Array
    beta_covariance: Array
    effects: Array  # (groups, q): difference of each group from the shared line
    effect_covariance: Array  # (groups, q, q): what is left unknown of it when beta is known
    zx_weight: Array  # (groups, q, p): how much of a group's difference hangs on beta
    between: Array  # (q, q): covariance of the differences between groups
    residual_variance: float
    criterion: float  # -2 log likelihood, restricted where asked for

    @property
    def between_sd(self) -> Array:
        """SD of each difference between groups."""
        return np.asarray(np.sqrt(np.diag(self.between)))

    @property
    def correlation(self) -> float | None:
        """Correlation of level and slope between groups; null where a variance is nought or there is no slope."""
        if self.between.shape[0] < 2 or self.between_sd.min() <= 0:
            return None
        return float(self.between[0, 1] / (self.between_sd[0] * self.between_sd[1]))

    def value(self, shared: Array, own: Array) -> tuple[Array, Array]:
        """Return shared' beta + own' b of each group, and its standard error of prediction.

        ``shared`` is (groups, p), ``own`` (q,). The error counts both the group's own difference and beta.
        """
        centre = shared @ self.beta + self.effects @ own
        rest = shared - np.einsum("q,gqp->gp", own, self.zx_weight)
        variance = np.einsum("q,gqr,r->g", own, self.effect_covariance, own)
        variance = variance + np.einsum("gp,pr,gr->g", rest, self.beta_covariance, rest)
        return np.asarray(centre), np.asarray(np.sqrt(np.maximum(variance, 0.0)))

    def weight(self, place: int) -> Array:
        """Return per group how much of its own difference is kept: 1 - (variance left) / (variance between)."""
        whole = self.between[place, place]
        if whole <= 0:
            return np.zeros(len(self.effects))
        return np.asarray(1.0 - self.effect_covariance[:, place, place] / whole)


def _lower(theta: Array, size: int) -> Array:
    factor = np.zeros((size, size))
    factor[np.tril_indices(size)] = theta
    return factor


def _solve(sums: Sums, factor: Array, restricted: bool) -> tuple[float, Array, Array, float]:
    """Return criterion, beta, the matrix whose inverse is its relative covariance, and residual variance for one L."""
    half_log, taken = _take_out(sums, factor)
    left: Array = sums.dd - taken.T @ taken
    beta: Array = np.asarray(np.linalg.solve(left[:-1, :-1], left[:-1, -1]))
    squares = max(float(left[-1, -1] - beta @ left[:-1, -1]), 1e-300)
    freedom = sums.rows - (len(beta) if restricted else 0)
    criterion = 2.0 * half_log
    if restricted:
        criterion += float(np.linalg.slogdet(left[:-1, :-1])[1])
    criterion += freedom * (1.0 + np.log(2.0 * np.pi * squares / freedom))
    return float(criterion), beta, left[:-1, :-1], squares / freedom


def _take_out(sums: Sums, factor: Array) -> tuple[float, Array]:
    """Return the logarithms of the roots' diagonals added up, and root^-1 L' Z'(X, y), a row a group and difference.

    Root root' = A_i = L' Z'Z L + 1. The search asks for this some hundred times: by calls for whole matrices it took
    ten times as long.
    """
    one, first = factor[0, 0], sums.zd[:, 0]
    top = sums.zz[:, 0, 0]
    if factor.shape[0] == 1:
        root = np.sqrt(one * one * top + 1.0)
        return float(np.log(root).sum()), one * first / root[:, None]
    across, two = factor[1]
    side, end, second = sums.zz[:, 1, 0], sums.zz[:, 1, 1], sums.zd[:, 1]
    root = np.sqrt(one * (one * top + 2.0 * across * side) + across * across * end + 1.0)
    below = two * (one * side + across * end) / root
    last = np.sqrt(two * two * end + 1.0 - below * below)
    upper = (one * first + across * second) / root[:, None]
    lower = (two * second - below[:, None] * upper) / last[:, None]
    return float(np.log(root).sum() + np.log(last).sum()), np.concatenate([upper, lower])


def fit_mixed(y: Array, x: Array, z: Array, group: npt.NDArray[np.int64], *, restricted: bool = True) -> MixedFit:
    """Fit the model by restricted (or full) maximum likelihood.

    Args:
        y: Measured values.
        x: What all share, (rows, p), of full rank.
        z: What differs between groups, (rows, 1) or (rows, 2).
        group: Number of each row's group, from 0.
        restricted: REML, which does not make variances too small for the numbers spent on beta; else ML.
    """
    size = z.shape[1]
    scale = np.sqrt((z**2).mean(axis=0))
    sums = Sums.of(y, x, z / scale, group)
    is_diagonal = np.equal(*np.tril_indices(size))
    bounds = [(0.0, None) if diagonal else (None, None) for diagonal in is_diagonal]

    def criterion(theta: Array) -> float:
        return _solve(sums, _lower(theta, size), restricted)[0]

    def with_slope(theta: Array) -> tuple[float, Array]:
        """Return criterion and its slope by one step ahead in each number, as the search would ask for it itself."""
        here = criterion(theta)
        ahead = theta + STEP
        there = [criterion(np.where(np.arange(len(theta)) == place, ahead, theta)) for place in range(len(theta))]
        return here, (np.array(there) - here) / (ahead - theta)

    found = [
        scipy.optimize.minimize(
            with_slope, np.where(is_diagonal, start, 0.0), jac=True, method="L-BFGS-B", bounds=bounds
        )
        for start in STARTS
    ]
    best = min(found, key=lambda one: float(one.fun))
    # The criterion is of L L', so that a negative number on the diagonal says the same as its opposite.
    everywhere = np.full(len(best.x), np.inf)
    factor = _lower(settle(criterion, best.x, -everywhere, everywhere), size)
    # An SD that is nought but for the search's last digits is nought.
    factor = np.where(np.abs(factor).max(axis=1, keepdims=True) < SINGULAR_SHARE, 0.0, factor)
    return with_factor(sums, factor / scale[:, None], scale, restricted)


def with_factor(sums: Sums, factor: Array, scale: Array, restricted: bool = True) -> MixedFit:
    """Return the fit for a given L (in units of y per unit of z over sigma); ``sums`` are of z / scale."""
    scaled = factor * scale[:, None]
    value, beta, left, variance = _solve(sums, scaled, restricted)
    inner = scaled.T @ sums.zz @ scaled + np.eye(len(scaled))
    spread = factor @ np.linalg.inv(inner) @ factor.T  # L A^-1 L', per group
    drawn = spread @ (sums.zd * scale[:, None])
    weight = drawn[:, :, :-1]
    effects = drawn[:, :, -1] - weight @ beta
    return MixedFit(
        beta=beta,
        beta_covariance=np.asarray(variance * np.linalg.inv(left)),
        effects=effects,
        effect_covariance=variance * spread,
        zx_weight=weight,
        between=variance * factor @ factor.T,
        residual_variance=variance,
        criterion=value,
    )
