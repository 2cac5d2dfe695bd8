"""General linear least squares for a few thousand rows, accurate enough for certified reference sets.

Columns are scaled, the system is solved by QR, and the answer is refined with residuals in extended
precision, so that a badly conditioned polynomial keeps its digits. Knows nothing of angles.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from analysis.errors import NotDecidable

Floats = NDArray[np.float64]

_LARGEST_CONDITION = 1e12
_REFINEMENTS = 3


@dataclass(frozen=True)
class LeastSquares:
    """A solved linear model y = X b + e."""

    estimates: Floats
    """Coefficients b, shape (p,)."""
    covariance: Floats
    """Covariance of b, shape (p, p); NaN where no degree of freedom is left."""
    residual_sd: float
    """Residual standard deviation, root of RSS / dof; NaN where dof is 0."""
    dof: int
    """Rows less coefficients."""
    condition: float
    """Condition number of X with its columns scaled to one length."""
    residuals: Floats
    """y - X b, shape (n,)."""

    @property
    def standard_errors(self) -> Floats:
        """Standard uncertainty of each coefficient, shape (p,)."""
        return np.sqrt(np.diag(self.covariance))


def least_squares(design: ArrayLike, y: ArrayLike) -> LeastSquares:
    """Solve y = X b by least squares.

    Parameters: ``design`` X, shape (n, p); ``y`` shape (n,). Raises ValueError for shapes that do not fit
    and NotDecidable where there are fewer rows than columns or the columns cannot be told apart.
    Source: QR with iterative refinement of the augmented system, A. Bjoerck, Iterative refinement of linear
    least squares solutions I, BIT 7 (1967) (from memory).
    """
    x = np.asarray(design, dtype=np.float64)
    rhs = np.asarray(y, dtype=np.float64)
    if x.ndim != 2 or rhs.shape != (x.shape[0],):
        raise ValueError(f"design {x.shape} and y {rhs.shape} do not fit: expected (n, p) and (n,)")
    rows, columns = x.shape
    if rows < columns:
        raise NotDecidable(f"{rows} readings for {columns} unknowns: take at least {columns}")
    # Powers of two scale without rounding.
    scale = np.exp2(np.round(np.log2(np.linalg.norm(x, axis=0) + np.finfo(float).tiny)))
    scaled = x / scale
    q, r = np.linalg.qr(scaled)
    singular = np.linalg.svd(r, compute_uv=False)
    condition = float(singular[0] / singular[-1]) if singular[-1] > 0 else float("inf")
    if condition > _LARGEST_CONDITION:
        raise NotDecidable(
            f"the {columns} unknowns cannot be told apart by these readings (condition {condition:.1e}, "
            f"at most {_LARGEST_CONDITION:.0e}): spread the readings or ask for fewer unknowns"
        )
    estimates = np.zeros(columns, np.longdouble)
    residuals = np.zeros(rows, np.longdouble)
    wide, wide_y = scaled.astype(np.longdouble), rhs.astype(np.longdouble)
    for _ in range(1 + _REFINEMENTS):
        f = (wide_y - residuals - wide @ estimates).astype(np.float64)
        g = -(wide.T @ residuals).astype(np.float64)
        h = np.linalg.solve(r.T, g)
        along = q.T @ f
        estimates += np.linalg.solve(r, along - h)
        residuals += f - q @ (along - h)
    dof = rows - columns
    rss = float(residuals @ residuals)
    variance = rss / dof if dof else float("nan")
    inverse = np.linalg.inv(r)
    covariance = variance * (inverse @ inverse.T) / np.outer(scale, scale)
    return LeastSquares(
        estimates=(estimates / scale).astype(np.float64),
        covariance=covariance,
        residual_sd=float(np.sqrt(variance)),
        dof=dof,
        condition=condition,
        residuals=residuals.astype(np.float64),
    )
