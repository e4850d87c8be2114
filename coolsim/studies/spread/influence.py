"""Which inputs an answer depends on: main effects by regression on a sample."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.polynomial import legendre

from coolsim.model.section import Array

MOST_DEGREES = 3
"""Highest degree of the polynomials that an input is given [-]."""

RUNS_FOR_EACH = 3
"""Runs that each coefficient of the regression needs [-]."""

_LEAST_VARIANCE = 1e-18


@dataclass(frozen=True, eq=False, slots=True, kw_only=True)
class MainEffects:
    """How much of the variance of an answer each input explains by itself, as shares (p,) [-].

    `trends` (p,) are above zero where the answer grows with the input on the whole [standard deviations of the
    answer]. `unexplained` is what the inputs taken singly do not explain [-]: inputs acting together, steps, and
    curves of a higher degree. Shares up to `noise` [-] may be chance; `degree` is that of the polynomials [-].
    """

    shares: Array
    trends: Array
    unexplained: float
    noise: float
    degree: int


def main_effects(levels: Array, answer: Array, *, degrees: int = MOST_DEGREES) -> MainEffects | None:
    """Estimate the first-order sensitivity indices of an answer.

    Of the probability level of each input in each run, (n, p) [-], on the answer in each run, (n,), by polynomials of
    up to some degree. None if there are too few runs for the number of inputs, or the answer does not vary.

    Notes
    -----
    Equation (45) of `coolsim.theory`.
    The answer is fitted by least squares with y = c0 + sum_i sum_k c_ik P_k(2 u_i - 1), P_k the Legendre polynomials
    up to the degree d and u_i the levels, which are even between 0 and 1 and independent of each other whatever the
    distribution of the input is. These terms are orthogonal, so the variance of what input i is given, over that of
    the answer, estimates its first-order Sobol index S_i = Var(E(y|x_i)) / Var(y). What noise alone would give, d
    s^2/n with s^2 the variance of the residuals, is taken off; a share that is nothing after that is nothing. `noise`
    is what is left of it where the chance is about one in twenty (two standard deviations of a chi-squared variable).
    The degree is lower where there are fewer than three runs for each coefficient.

    Only main effects are told apart: what inputs do together is left in `unexplained`.

    References
    ----------
    Sudret, B. (2008). Global sensitivity analysis using polynomial chaos expansions. Reliability Engineering & System
    Safety 93(7), 964-979: indices from the coefficients of an orthogonal expansion; here without products of inputs.
    Sobol', I. M. (1993). Sensitivity estimates for nonlinear mathematical models. Mathematical Modelling and
    Computational Experiments 1, 407-414. Both from memory.

    Examples
    --------
    >>> levels = (np.arange(1, 200)[:, None] * np.array([0.618034, 0.754878])) % 1.0
    >>> found = main_effects(levels, 3.0 * levels[:, 0] - levels[:, 1])
    >>> found.shares.round(1), found.trends > 0.0
    (array([0.9, 0.1]), array([ True, False]))
    """
    runs, inputs = levels.shape
    degree = min(degrees, (runs // RUNS_FOR_EACH - 1) // inputs)
    mean = float(np.mean(answer))
    spread = float(np.var(answer, ddof=1)) if runs > 1 else 0.0
    if degree < 1 or spread <= _LEAST_VARIANCE * max(mean**2, np.finfo(float).tiny):
        return None
    # (n, p, d), without the constant.
    terms = legendre.legvander(2.0 * levels - 1.0, degree)[:, :, 1:]
    design = np.column_stack([np.ones(runs), terms.reshape(runs, inputs * degree)])
    coefficients, *_ = np.linalg.lstsq(design, answer, rcond=None)
    rest = float(np.sum((answer - design @ coefficients) ** 2)) / (runs - design.shape[1])
    by_input = coefficients[1:].reshape(inputs, degree)
    parts = np.einsum("npd,pd->np", terms, by_input)
    chance = degree * rest / runs
    return MainEffects(
        shares=np.maximum(np.var(parts, axis=0) - chance, 0.0) / spread,
        trends=by_input[:, 0] / np.sqrt(spread),
        unexplained=rest / spread,
        noise=2.0 * np.sqrt(2.0 * degree) * rest / runs / spread,
        degree=degree,
    )
