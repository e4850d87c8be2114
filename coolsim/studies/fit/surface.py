r"""The cost of a fit on a response surface: a polynomial of second order for each datum, laid through runs.

Errors of the thermometer are integrated out: to first order they are a covariance between the data. How far the runs
lie off the polynomials is one, too, so that a surface that does not meet them makes nobody sure.

References
----------
Box, G. E. P., Wilson, K. B. (1951). On the experimental attainment of optimum conditions. J. R. Stat. Soc. B 13 (from
memory).
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy.linalg import cho_factor, cho_solve, solve_triangular

from coolsim.model.section import Array

NEAR = 4.0
"""A run counts half where its cost is this much above the least, for each field [-]."""

_STIFF = 1e-3  # Holds curvatures that too few runs tell near nothing.
_SMALL = 1e-9


@dataclass(frozen=True, eq=False, slots=True, kw_only=True)
class Runs:
    """Runs that a surface is laid through: their fields, (m, p), and predicted minus measured, (m, n).

    Differences are in standard deviations of the noise [-], and so are `slopes`, (n, k), their derivatives by the
    errors of the thermometer; they are those of a thermometer without errors.
    """

    fields: Array
    off: Array
    slopes: Array

    def cost(self) -> Array:
        """Twice the negative logarithm of the posterior of each run, (m,), without a constant [-]."""
        own = np.eye(self.slopes.shape[1]) + self.slopes.T @ self.slopes
        side = self.off @ self.slopes
        explained = np.einsum("ij,ij->i", side, np.linalg.solve(own, side.T).T)
        cost: Array = (self.off**2).sum(axis=1) - explained + (self.fields**2).sum(axis=1)
        return cost


@dataclass(frozen=True, eq=False, slots=True, kw_only=True)
class Polynomials:
    """Polynomials of second order through data of runs, one for each datum.

    They are centred, and `scaled` by the inverse of the root of a covariance; `weight` is how much each run counts,
    `used` how far the polynomials have it as it is [-].
    """

    centre: Array
    scaled: Array
    coefficients: Array
    weight: Array
    used: Array

    def terms(self, fields: Array) -> Array:
        """Terms of the polynomials, (m, q), for values of the fields, (m, p) [-]."""
        return _terms((fields - self.centre) @ self.scaled)

    def at(self, fields: Array) -> Array:
        """Give all data, (m, n), for values of the fields, (m, p) [-]."""
        found: Array = self.terms(fields) @ self.coefficients
        return found


def polynomials_through(fields: Array, data: Array, cost: Array, scale: Array, *, least: int = 0) -> Polynomials:
    """Lay polynomials through data, (m, n), of runs, the nearer to the least cost the closer.

    At `least` so many runs [-] are taken for near. What too few runs tell is taken to be as straight as they allow.
    """
    count = fields.shape[1]
    over = cost - cost.min()
    near = max(NEAR * count, float(np.partition(over, least - 1)[least - 1]) if least else 0.0)
    weight = 1.0 / (1.0 + (over / near) ** 2)
    centre = np.average(fields, axis=0, weights=weight)
    scaled = np.asarray(np.linalg.inv(scale).T, float)
    terms, root = _terms((fields - centre) @ scaled), np.sqrt(weight)[:, None]
    stiff = np.zeros(terms.shape[1])
    stiff[count + 1 :] = _STIFF
    inverse = np.linalg.pinv((root * terms).T @ (root * terms) + np.diag(stiff), hermitian=True)
    return Polynomials(
        centre=centre,
        scaled=scaled,
        coefficients=inverse @ (root * terms).T @ (root * data),
        weight=weight,
        used=np.einsum("ij,jk,ik->i", root * terms, inverse, root * terms),
    )


@dataclass(frozen=True, eq=False, slots=True)
class Surface:
    """A surface: its centre, its scale and its inverse; the cost is a sum of squares of `shape` times its terms.

    It holds within `low` and `high`, and no farther from the runs than the farthest of them; `errors` gives those of
    the thermometer from the terms, with the root of their covariance there. `leverage` says how far the runs' spread
    tells each datum [-].
    """

    centre: Array
    scale: Array
    scaled: Array
    shape: Array
    low: Array
    high: Array
    reach: Array
    farthest: float
    errors: Array
    errors_root: Array
    coefficients: Array

    def terms(self, fields: Array) -> Array:
        """Terms of the polynomial, (m, q), for values of the fields, (m, p) [-]."""
        return _terms((fields - self.centre) @ self.scaled)

    def cost(self, fields: Array) -> Array:
        """Twice the negative logarithm of the posterior, (m,), for values of the fields, (m, p); none outside [-]."""
        off = self.terms(fields) @ self.shape.T
        away = fields - self.centre
        outside = (
            np.any((fields < self.low) | (fields > self.high), axis=1)
            | (((away @ self.reach) ** 2).sum(axis=1) > self.farthest)
        )  # fmt: skip
        cost: Array = np.where(outside, np.inf, (off**2).sum(axis=1) + (fields**2).sum(axis=1))
        return cost

    def leverage(self, fields: Array) -> Array:
        """How much draws of the fields, (m, p), move each datum: its variance in that of its noise, (n,) [-]."""
        found: Array = (self.terms(fields) @ self.coefficients).var(axis=0)
        return found


def surface_through(runs: Runs, scale: Array, low: Array, high: Array, *, further: float = 1.0) -> Surface:
    """Lay a surface through runs, the nearer to the least cost the closer.

    `scale` is the root of a covariance about as wide as what is asked for, (p, p); `low` and `high` bound the fields.
    It goes `further` than the runs by this factor [-], which is for finding out where to make more.
    """
    fields, count = runs.fields, runs.fields.shape[1]
    laid = polynomials_through(fields, runs.off, runs.cost(), scale)
    centre, weight, coefficients, root = laid.centre, laid.weight, laid.coefficients, np.sqrt(laid.weight)[:, None]
    missed = root * (runs.off - laid.at(fields)) / np.sqrt(max(float(weight @ (1.0 - laid.used)), 1.0))
    # All that matters lies in the span of these: as many directions as there are runs and terms, not data.
    basis = np.linalg.qr(np.vstack([coefficients, runs.slopes.T, missed]).T)[0]
    shape, slopes, missed = coefficients @ basis, runs.slopes.T @ basis, missed @ basis
    own = np.eye(basis.shape[1]) + missed.T @ missed
    lower = np.linalg.cholesky(own + slopes.T @ slopes)
    gain = cho_solve(cho_factor(own, lower=True), slopes.T)
    left = np.linalg.inv(np.eye(len(slopes)) + slopes @ gain)
    away = fields - centre
    spread = (away * weight[:, None]).T @ away / weight.sum() + _SMALL * np.eye(count)
    reach = np.linalg.cholesky(np.linalg.inv(spread))
    return Surface(
        centre=centre,
        scale=scale,
        scaled=laid.scaled,
        shape=_less(solve_triangular(lower, shape.T, lower=True)),
        low=low,
        high=high,
        reach=reach,
        farthest=further**2 * float(((away @ reach) ** 2).sum(axis=1).max()),
        errors=-left @ gain.T @ shape.T,
        errors_root=np.linalg.cholesky(left),
        coefficients=coefficients,
    )


def _less(shape: Array) -> Array:
    """Keep as many rows as there are terms, with the same sums of squares."""
    rows: Array = np.linalg.qr(shape)[1]
    return rows


def _terms(x: Array) -> Array:
    """One, each direction, and each pair of them."""
    rows, columns = np.triu_indices(x.shape[1])
    return np.hstack([np.ones((len(x), 1)), x, x[:, rows] * x[:, columns]])
