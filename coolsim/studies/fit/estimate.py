r"""The statistics of a fit: least squares with priors and bounds, noise read off the residuals, what the data say.

Parameters are counted from their prior in its standard deviations, so that the prior is a unit ball. With the
Jacobian J of the predictions and the noise W = diag(1/s^2), F = J^T W J is what the data say; the covariance after the
fit is (F + 1)^-1.

References
----------
Tarantola, A. (2005). Inverse Problem Theory and Methods for Model Parameter Estimation. SIAM (from memory).
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Protocol

import numpy as np
from scipy.optimize import least_squares

from coolsim.model.section import Array, Integers

INSIDE = 0.95
"""Share of the true values that lie in a stated interval [-]."""

SIGMAS_EITHER_WAY = 1.96
"""Standard deviations that such an interval reaches either way, where all is Gaussian [-]."""

NOISE_SETTLED = 0.1
"""The noise has settled when it changes by less than this share [-]."""

_FIRST_NOISE = 1.0  # K
_ROUNDS = 10
_PARAMETERS_SETTLED = 0.4
_FEWEST_INDEPENDENT = 3.0
_MOST_TRIALS = 20
_COST_SETTLED = 1e-4
_STEP_SETTLED = 2e-3


class Model(Protocol):
    """What predicts the data, at next to no price."""

    def predict(self, parameters: Array) -> Array:
        """Predict all data for values of the parameters."""

    def jacobian(self, parameters: Array) -> Array:
        """Give the derivatives of all data by the parameters."""

    def timing(self, parameters: Array) -> Array:
        """Say how far each datum would move within the trust in the model's times."""


@dataclass(frozen=True, eq=False, slots=True, kw_only=True)
class Data:
    """What was measured: readings [°C] and times of events [s], (n,).

    `group` is the number of the probe, whose noise is not known, and -1 for values whose deviation is known; each
    probe's readings stand in order of time. `deviation` is the standard deviation of the values where it is known, and
    the least noise of the others [unit of the value].
    """

    values: Array
    group: Integers
    deviation: Array


@dataclass(frozen=True, eq=False, slots=True, kw_only=True)
class Estimate:
    """What a fit found.

    `parameters`, (p,), are in standard deviations of their priors from their centres [-], with their
    `covariance`, (p, p), and the ends of their 95 % intervals, (p, 2) [-]; `predicted` are the data as the model has
    them there, `deviation` what each counted with, (n,). `noise` is the scatter of each probe's readings about the
    model [K], `together` the factor on it in the fit, because neighbouring readings err together [-]; `settled` tells
    whether the search came to an end.
    """

    parameters: Array
    covariance: Array
    interval: Array
    predicted: Array
    deviation: Array
    noise: tuple[float, ...]
    together: tuple[float, ...]
    settled: bool

    @property
    def told(self) -> Array:
        """Width of the intervals as a share of that before the fit, (p,) [-]."""
        share: Array = (self.interval[:, 1] - self.interval[:, 0]) / (2.0 * SIGMAS_EITHER_WAY)
        return share


def estimate(model: Model, data: Data, *, low: Array, high: Array, start: Array | None = None) -> Estimate:
    """Find the most probable parameters, between bounds in standard deviations from the centre, (p,) [-].

    The search is the trust-region method of `scipy.optimize.least_squares`. The noise of each probe is the scatter
    of its residuals, less the parameters that they determine, and the search is repeated until it stays. Residuals
    of a model that is not quite right go together, so a thermometer read twice as often does not tell twice as much:
    n readings count as n / tau independent ones, tau the sum of their autocorrelation over all distances. So their
    noise counts tau^1/2 times. To it comes what a small error of the model's times would do to each reading. The
    intervals are Gaussian here.

    Equation (46) of `coolsim.theory`.
    """
    parameters = np.clip(np.zeros(len(low)) if start is None else start, low, high)
    groups = range(int(data.group.max(initial=-1)) + 1)
    noise = np.array([_FIRST_NOISE for _ in groups])
    together = np.ones(len(noise))
    settled = False
    covariance: Array = np.eye(len(parameters))
    for _ in range(_ROUNDS):
        timing = model.timing(parameters)
        deviation = deviation_of(data, noise * together, timing)
        found = least_squares(
            lambda at, deviation=deviation: np.concatenate([(model.predict(at) - data.values) / deviation, at]),
            parameters,
            jac=lambda at, deviation=deviation: np.vstack([model.jacobian(at) / deviation[:, None], np.eye(len(at))]),
            bounds=(low, high),
            method="trf",
            ftol=_COST_SETTLED,
            xtol=_STEP_SETTLED,
            gtol=None,
            max_nfev=_MOST_TRIALS,
        )
        told = model.jacobian(found.x) / deviation[:, None]
        covariance = np.asarray(np.linalg.inv(told.T @ told + np.eye(len(parameters))))
        deviation = np.sqrt(np.diag(covariance))
        moved = float(np.abs((found.x - parameters) / deviation).max())
        parameters, before = found.x, noise * together
        leverage = np.einsum("ij,jk,ik->i", told, covariance, told)
        residual = model.predict(parameters) - data.values
        noise, together = noise_of(data, residual, timing, leverage, before)
        steady = bool(np.all(np.abs(noise * together / before - 1.0) < NOISE_SETTLED))
        settled = found.status > 0 and steady and moved < _PARAMETERS_SETTLED
        if settled:
            break
    reaches = SIGMAS_EITHER_WAY * np.sqrt(np.diag(covariance))
    return Estimate(
        parameters=parameters,
        covariance=covariance,
        interval=np.column_stack([parameters - reaches, parameters + reaches]),
        predicted=model.predict(parameters),
        deviation=deviation_of(data, noise * together, model.timing(parameters)),
        noise=tuple(float(one) for one in noise),
        together=tuple(float(one) for one in together),
        settled=settled,
    )


def directions(covariance: Array) -> tuple[tuple[float, Array], ...]:
    """List the combinations of parameters from the least to the best known, as unit vectors (p,).

    Before each stands the standard deviation along it as a share of that of the prior [-].
    """
    variances, vectors = np.linalg.eigh(covariance)
    return tuple((float(np.sqrt(variances[at])), vectors[:, at]) for at in range(len(variances) - 1, -1, -1))


def deviation_of(data: Data, noise: Array, timing: Array) -> Array:
    """Tell the standard deviation of each datum, (n,), from the noise of its probe and what the times may do.

    Equation (46) of `coolsim.theory`.
    """
    deviation: Array = np.where(data.group >= 0, np.append(noise, 0.0)[data.group], data.deviation)
    return np.hypot(np.maximum(deviation, data.deviation), timing)


def noise_of(data: Data, residual: Array, timing: Array, leverage: Array, before: Array) -> tuple[Array, Array]:
    """Scatter of each probe's readings, and the factor on it because neighbours err together.

    Readings on a steep piece count as little as in the fit.
    """
    noise, together = np.empty(len(before)), np.ones(len(before))
    for group in range(len(before)):
        mine = data.group == group
        weight = before[group] ** 2 / (before[group] ** 2 + timing[mine] ** 2)
        own = residual[mine] * np.sqrt(weight)
        free = max(float(weight.sum()) - float(leverage[mine].sum()), 1.0)
        noise[group] = max(float(np.sqrt((own**2).sum() / free)), float(data.deviation[mine].max()))
        together[group] = np.sqrt(_readings_for_one(own))
    return noise, together


def _readings_for_one(residual: Array) -> float:
    """How many of these readings count as an independent one: the sum of their autocorrelation over all distances [-].

    It is cut where the sum of two neighbours falls below nothing (Geyer 1992, from memory): beyond is chance.

    Equation (47) of `coolsim.theory`.
    """
    centred = residual - residual.mean()
    square = float(centred @ centred)
    if square <= 0.0:
        return 1.0
    count = len(centred)
    spectrum = np.fft.rfft(centred, 2 * count)
    linked = np.fft.irfft(spectrum * spectrum.conj(), 2 * count)[: count - count % 2] / square
    pairs = linked[0::2] + linked[1::2]
    ends = int(np.argmax(pairs <= 0.0)) if np.any(pairs <= 0.0) else len(pairs)
    return float(np.clip(2.0 * pairs[:ends].sum() - 1.0, 1.0, max(count / _FEWEST_INDEPENDENT, 1.0)))
