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

from coolsim.model.section import Array
from coolsim.studies.fit.estimate import Data, Estimate, deviation_of, estimate, noise_of
from coolsim.studies.fit.surface import Polynomials, Runs, polynomials_through

_ROUNDS = 12
_REACH, _LONGER = 1.0, 2.0  # How far a round may go, in standard deviations before the fit, and by how much that grows.
_WIDER, _AT_LEAST = 1.0, 0.05  # The runs about what a round finds reach as far as it believes, or a little.
_FARTHEST = 1.5
_SETTLED = 0.4
_SEED = 1


class Runnable(Protocol):
    """A model that is run."""

    def predict(self, parameters: Array) -> Array:
        """Predict all data for values of the parameters."""

    def timing(self, parameters: Array) -> Array:
        """Say how far each datum would move within the trust in the model's times."""

    def near(self, fields: Array) -> tuple[Array, Array]:
        """Predict all data on a coarser grid for thermometers without errors, for values of the fields, (m, p).

        Give the values that can be run, the first of them always, and the predictions.
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

    `low` and `high` bound them, (p,) [-]. It is done when a round moves nothing by more than some of its doubt.
    """
    random = np.random.default_rng(_SEED)
    start = np.clip(np.zeros(len(low)), low, high)
    predicted, slopes, moves = model.predict(start), model.by_errors(start), model.timing(start)
    best, errors, reach, scale = start[:fields], start[fields:], _REACH, np.eye(fields)
    ends = (low[:fields], high[:fields])
    first = np.clip(best + np.vstack([np.zeros(fields), np.eye(fields), -np.eye(fields)]), *ends)
    tried, shown = model.near(first)
    missed = predicted - shown[0] - slopes @ errors
    deviation = deviation_of(data, np.ones(int(data.group.max(initial=-1)) + 1), moves)
    before: Estimate | None = None
    for _ in range(_ROUNDS):
        cost = Runs(
            fields=tried, off=(shown + missed - data.values) / deviation, slopes=slopes / deviation[:, None]
        ).cost()
        best = tried[cost.argmin()]
        laid = polynomials_through(tried, shown, cost, scale, least=min(2 * fields + 1, len(tried)))
        box = [np.concatenate([np.clip(best + side * reach, *ends), end[fields:]]) for side, end in ((-1, low), (1, high))]
        found = estimate(_Laid(laid, missed, slopes, moves), data, low=box[0], high=box[1])
        deviation = found.deviation
        doubt = np.sqrt(np.diag(found.covariance))
        settled = before is not None and bool(np.all(np.abs(found.parameters - before.parameters) < _SETTLED * doubt))
        settled = settled and found.settled
        before = found
        if settled:
            break
        if np.abs(found.parameters[:fields] - best).max() > 0.9 * reach:
            reach *= _LONGER
        scale = np.asarray(np.linalg.cholesky(found.covariance[:fields, :fields] + _AT_LEAST**2 * np.eye(fields)))
        away = np.clip(random.normal(size=(fields, fields)), -_FARTHEST, _FARTHEST)
        about = np.vstack([np.zeros(fields), _WIDER * away @ scale.T])
        added = model.near(np.clip(found.parameters[:fields] + about, *ends))
        tried, shown = np.vstack([tried, added[0]]), np.vstack([shown, added[1]])
    predicted = model.predict(found.parameters)
    at, errors = found.parameters[:fields], found.parameters[fields:]
    return Searched(
        found=renewed(model, data, found, found.parameters, predicted),
        fields=tried,
        shown=shown,
        missed=predicted - laid.at(at[None])[0] - model.by_errors(found.parameters) @ errors,
    )


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
