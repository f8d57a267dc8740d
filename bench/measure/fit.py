"""Least squares in plain Python: coefficients with their standard uncertainties, and predictions.

Source of the method: JCGM 100:2008 (GUM) H.3 for a line; the general case is the same sum of squares
solved by orthogonalising the columns twice, which keeps ten digits on the NIST StRD linear sets.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

from msgspec import Struct

from bench.errors import SoldersideError
from bench.parts.english import counted


class FitError(SoldersideError):
    """The points do not settle the coefficients that were asked for."""


class Fit(Struct, frozen=True, kw_only=True):
    """Coefficients of a linear model with what the scatter of the points says about them."""

    coefficients: tuple[float, ...]
    """One for each column, in the columns' order, in unit of y per unit of the column."""
    covariance: tuple[tuple[float, ...], ...]
    """Of the coefficients; all zero when `freedom` is 0."""
    residuals: tuple[float, ...]
    """Measured minus fitted, one for each point, unit of y."""
    freedom: int
    """Points minus coefficients; 0 means an exact map that says nothing about its own uncertainty."""
    scatter: float | None
    """Standard deviation of the residuals, unit of y; None when `freedom` is 0."""

    def uncertainty(self, index: int) -> float | None:
        """Standard uncertainty of one coefficient; None when `freedom` is 0."""
        return None if self.freedom == 0 else math.sqrt(max(0.0, self.covariance[index][index]))

    def uncertainty_at(self, row: Sequence[float]) -> float | None:
        """Standard uncertainty of the fitted value (of the curve, not of a new reading)."""
        if self.freedom == 0:
            return None
        terms = (a * b * self.covariance[i][j] for i, a in enumerate(row) for j, b in enumerate(row))
        return math.sqrt(max(0.0, math.fsum(terms)))


def least_squares(rows: Sequence[Sequence[float]], y: Sequence[float]) -> Fit:
    """Fit `y[i] = sum of coefficient[k] * rows[i][k]` with equal weights.

    Raises FitError when there are fewer points than columns or when columns depend on each other.

    >>> fit = least_squares([(1.0, 0.0), (1.0, 1.0), (1.0, 2.0)], [1.0, 3.0, 5.0])
    >>> [round(c, 12) for c in fit.coefficients]
    [1.0, 2.0]
    """
    count, width = len(rows), len(rows[0]) if rows else 0
    if count < width or width == 0:
        raise FitError(
            f"{counted(count, 'point')} cannot determine {width} coefficients", hint="measure more points"
        )
    columns = [[float(row[k]) for row in rows] for k in range(width)]
    q, r = _orthogonal(columns)
    solution = _back_substitute(r, [_dot(column, y) for column in q])
    residuals = _residuals(rows, y, solution)
    mend = _back_substitute(r, [_dot(column, residuals) for column in q])
    solution = [c + d for c, d in zip(solution, mend, strict=True)]
    residuals = _residuals(rows, y, solution)
    freedom = count - width
    variance = _dot(residuals, residuals) / freedom if freedom else 0.0
    inverse = _inverse(r)
    covariance = tuple(
        tuple(
            variance * math.fsum(a * b for a, b in zip(inverse[i], inverse[j], strict=True))
            for j in range(width)
        )
        for i in range(width)
    )
    return Fit(
        coefficients=tuple(solution),
        covariance=covariance,
        residuals=tuple(residuals),
        freedom=freedom,
        scatter=math.sqrt(variance) if freedom else None,
    )


def fit_line(x: Sequence[float], y: Sequence[float]) -> Fit:
    """Fit `y = offset + slope * x`; the coefficients are (offset, slope).

    The uncertainty at any x, also outside the points, is `uncertainty_at((1.0, x))`: GUM H.3.4.
    """
    return least_squares([(1.0, value) for value in x], y)


def _residuals(rows: Sequence[Sequence[float]], y: Sequence[float], solution: Sequence[float]) -> list[float]:
    return [value - _dot(solution, row) for value, row in zip(y, rows, strict=True)]


def _dot(a: Sequence[float], b: Sequence[float]) -> float:
    return math.fsum(p * q for p, q in zip(a, b, strict=True))


def _orthogonal(columns: list[list[float]]) -> tuple[list[list[float]], list[list[float]]]:
    """Orthonormal columns and the upper triangle that turns them back; each column is cleaned twice."""
    width = len(columns)
    q: list[list[float]] = []
    r = [[0.0] * width for _ in range(width)]
    for k, column in enumerate(columns):
        rest = list(column)
        for _ in range(2):
            for j, done in enumerate(q):
                part = _dot(done, rest)
                r[j][k] += part
                rest = [value - part * d for value, d in zip(rest, done, strict=True)]
        length = math.sqrt(_dot(rest, rest))
        if length <= 1e-11 * math.sqrt(_dot(column, column)):
            raise FitError("the points do not determine all coefficients", hint="measure at other inputs too")
        r[k][k] = length
        q.append([value / length for value in rest])
    return q, r


def _back_substitute(r: list[list[float]], right: list[float]) -> list[float]:
    solution = [0.0] * len(right)
    for i in reversed(range(len(right))):
        known = math.fsum(r[i][j] * solution[j] for j in range(i + 1, len(right)))
        solution[i] = (right[i] - known) / r[i][i]
    return solution


def _inverse(r: list[list[float]]) -> list[list[float]]:
    """Rows of the inverse of an upper triangle."""
    width = len(r)
    columns = [_back_substitute(r, [1.0 if i == k else 0.0 for i in range(width)]) for k in range(width)]
    return [[columns[k][i] for k in range(width)] for i in range(width)]
