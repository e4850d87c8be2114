"""The search of a fit: least squares on polynomials through coarse runs, and more runs where it leads.

A search that follows runs one by one makes a hundred, of which each alone costs three of those that go through the
solver together. Here all runs serve all steps: the first are made to both sides of the start, then each round makes
some at what the polynomials through all of them say, and about it. What the coarse cut misses is taken from one run as
finely cut as the scenario asks, at the start, and again at the end.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Protocol

import numpy as np
from scipy.special import ndtri

from coolsim.model.section import Array
from coolsim.studies.fit.estimate import NOISE_SETTLED, Data, Estimate, deviation_of, estimate, noise_of
from coolsim.studies.fit.surface import Polynomials, Runs, polynomials_through

_ROUNDS = 12
_REACH, _LONGER = 1.0, 2.0  # How far a round may go, in standard deviations before the fit, and by how much that grows.
_WIDER, _AT_LEAST = 2.0, 0.05  # Runs about a place reach further than the search believes.
_FARTHEST = 3.0  # standard deviations
_NOTHING = 1.0  # A gain in the cost that is none: a standard deviation [-].


class Runnable(Protocol):
    """A model that is run."""

    def predict(self, parameters: Array) -> Array:
        """Predict all data for values of the parameters."""

    def timing(self, parameters: Array) -> Array:
        """Say how far each datum would move within the trust in the model's times."""

    def near(self, fields: Array, *, needed: int = 0) -> tuple[Array, Array]:
        """Predict all data on a coarser grid for thermometers without errors, for values of the fields, (m, p).

        Give the values that can be run, of the first so many as are needed [-], and the predictions.
        """

    def by_errors(self, parameters: Array) -> Array:
        """Give the derivatives of all data by the errors of the thermometer, (n, k)."""


@dataclass(frozen=True, eq=False, slots=True, kw_only=True)
class Searched:
    """What a search found, and its coarse runs: values of their fields, (m, p) [-], and what they show, (m, n).

    `missed` is what their cut leaves out where it ended, (n,).
    """

    found: Estimate
    fields: Array
    shown: Array
    missed: Array


@dataclass(frozen=True, eq=False, slots=True)
class _Laid:
    """A model made of polynomials, with what the coarse cut misses, and straight in the errors of the thermometer."""

    laid: Polynomials
    missed: Array
    slopes: Array
    moves: Array

    def predict(self, parameters: Array) -> Array:
        count = len(self.laid.centre)
        found: Array = self.laid.at(parameters[None, :count])[0] + self.missed + self.slopes @ parameters[count:]
        return found

    def jacobian(self, parameters: Array) -> Array:
        count = len(self.laid.centre)
        # Of a polynomial of second order a difference to both sides is exact, however wide.
        ends = [self.laid.at(parameters[:count] + side * np.eye(count)) for side in (1.0, -1.0)]
        return np.column_stack([0.5 * (ends[0] - ends[1]).T, self.slopes])

    def timing(self, parameters: Array) -> Array:
        return self.moves


def search(model: Runnable, data: Data, *, fields: int, low: Array, high: Array) -> Searched:
    """Find the most probable parameters, of which the first are the `fields`, the others errors of the thermometer.

    `low` and `high` bound them, (p,) [-]. It is done when
    polynomials through all runs promise no lower cost than the last run at their lowest place has.
    """
    start = np.clip(np.zeros(len(low)), low, high)
    predicted, slopes, moves = model.predict(start), model.by_errors(start), model.timing(start)
    best, reach, scale, ends = start[:fields], _REACH, np.eye(fields), (low[:fields], high[:fields])
    first = best + np.vstack([np.zeros(fields), np.eye(fields), -np.eye(fields)])
    tried, shown = model.near(np.clip(first, *ends), needed=1)
    missed = predicted - shown[0] - slopes @ start[fields:]
    noise = np.ones(int(data.group.max(initial=-1)) + 1)
    deviation, parameters, last = deviation_of(data, noise, moves), start, 0

    def cost(tried: Array, shown: Array) -> Array:
        off = (shown + missed - data.values) / deviation
        return Runs(fields=tried, off=off, slopes=slopes / deviation[:, None]).cost()

    for _ in range(_ROUNDS):
        costs = cost(tried, shown)
        best = tried[costs.argmin()]
        laid = polynomials_through(tried, shown, costs, scale, least=min(2 * fields + 1, len(tried)))
        within = np.clip(best - reach, *ends), np.clip(best + reach, *ends)
        bounds = [np.concatenate([own, end[fields:]]) for own, end in zip(within, (low, high), strict=True)]
        begun = np.concatenate([best, parameters[fields:]])
        found = estimate(_Laid(laid, missed, slopes, moves), data, low=bounds[0], high=bounds[1], start=begun)
        before, noise = noise, np.array(found.noise) * np.array(found.together)
        deviation, at = found.deviation, found.parameters[:fields]
        gain = cost(tried[last, None], shown[last, None]) - cost(at[None], laid.at(at[None]))
        if last and gain < _NOTHING and np.all(np.abs(noise / before - 1.0) < NOISE_SETTLED):
            break
        parameters, last = found.parameters, len(tried)
        if np.abs(at - best).max() > 0.9 * reach:
            reach *= _LONGER
        scale = scale_of(found, fields)
        added = model.near(np.vstack([at, about(at, scale, ends, fields, begun=last)]), needed=1)
        tried, shown = np.vstack([tried, added[0]]), np.vstack([shown, added[1]])
    else:
        found = replace(found, settled=False)
    # The last round was run where it led, so what the coarse cut misses there is known.
    predicted = model.predict(parameters)
    return Searched(
        found=renewed(model, data, found, parameters, predicted),
        fields=tried,
        shown=shown,
        missed=predicted - shown[last] - model.by_errors(parameters) @ parameters[fields:],
    )


def scale_of(found: Estimate, fields: int) -> Array:
    """Tell how far the fields may be off what was found: the root of their covariance, (p, p) [-]."""
    return np.asarray(np.linalg.cholesky(found.covariance[:fields, :fields] + _AT_LEAST**2 * np.eye(fields)), float)


def about(at: Array, scale: Array, ends: tuple[Array, Array], count: int, *, begun: int = 0) -> Array:
    """Spread a count of runs [-] evenly over a normal distribution wider than its scale, as if some had `begun` [-].

    They fill the unit cube by multiples of powers of the golden ratio of so many columns. Written here because
    scipy.stats takes as long to import as ten runs.
    """
    columns = len(at)
    ratio = float(np.roots([1.0, *[0.0] * (columns - 1), -1.0, -1.0]).real.max())
    even = (0.5 + np.outer(begun + np.arange(1, count + 1), ratio ** -np.arange(1.0, columns + 1.0))) % 1.0
    away = np.clip(ndtri(even), -_FARTHEST, _FARTHEST)
    spread: Array = np.clip(at + _WIDER * away @ scale.T, *ends)
    return spread


def renewed(
    model: Runnable, data: Data, found: Estimate, parameters: Array, predicted: Array, leverage: Array | None = None
) -> Estimate:
    """Put an estimate where the model itself was run, with the noise as it is there."""
    timing = model.timing(parameters)
    before = np.array(found.noise) * np.array(found.together)
    told = np.zeros(len(data.values)) if leverage is None else leverage
    noise, together = noise_of(data, predicted - data.values, timing, told, before)
    return replace(
        found,
        parameters=parameters,
        predicted=predicted,
        deviation=deviation_of(data, noise * together, timing),
        noise=tuple(map(float, noise)),
        together=tuple(map(float, together)),
    )
