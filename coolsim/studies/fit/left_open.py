"""What the data leave open: draws from the posterior of a fit, and 95 % intervals as their quantiles.

The curvature of the cost at its least value, the usual measure of a standard deviation, is too sure of itself here: the
valley bends, has a second floor, or ends at a wall (`melt.flows_above` cannot pass 1), and the search stops a little
off its floor. A profile of the cost would need a search along each crooked valley. So runs are made where the
posterior is, first about what the search found, then at draws from what they say, and all draws that count are made on
a surface through them (`surface.py`): those cost nothing, and their quantiles follow a valley wherever it goes.

References
----------
Goodman, J., Weare, J. (2010). Ensemble samplers with affine invariance. Comm. App. Math. Comp. Sci. 5 (from memory).
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from scipy.optimize import minimize

from coolsim.model.section import Array
from coolsim.studies.fit.estimate import INSIDE, Data, Estimate
from coolsim.studies.fit.search import Runnable, Searched, about, renewed, scale_of
from coolsim.studies.fit.surface import NEAR, Runs, Surface, surface_through

_ROUNDS = 2
_FIRST, _NEXT = 4, 4  # runs beyond one for each term of a surface, and beyond one for three of them
_BEYOND, _FURTHER = 2.0, 1.25  # The next ones are made at draws from a surface that goes beyond the runs.
_WALKERS, _EVERY = 200, 10
_STEPS, _LAST_STEPS = 300, 1000  # of which the first half is not kept
_STRETCH = 2.0
_SEED = 0  # The draws are the same each time.


def left_open(model: Runnable, data: Data, searched: Searched, *, low: Array, high: Array) -> Estimate:
    """Find what the data leave open about an estimate: its intervals and covariance, and a better one if there is.

    `low` and `high` bound the parameters, (p,) [-]. Runs of the search that serve are not made again.

    Equation (48) of `coolsim.theory`.
    """
    random = np.random.default_rng(_SEED)
    found, missed, fields = searched.found, searched.missed, searched.fields.shape[1]
    at = found.parameters[:fields]
    ends = (low[:fields], high[:fields])
    scale = scale_of(found, fields)
    slopes = model.by_errors(found.parameters)
    terms = (fields + 1) * (fields + 2) // 2
    # A difference of two runs needs no fine grid; what the coarser one misses is the same near by.
    cost = _runs(searched.fields, searched.shown, data, found, slopes, missed).cost()
    serve = cost - cost.min() < NEAR * fields
    tried, shown = searched.fields[serve], searched.shown[serve]
    added = model.near(about(at, scale, ends, max(terms + _FIRST - len(tried), terms // 2)))
    tried, shown, draws = np.vstack([tried, added[0]]), np.vstack([shown, added[1]]), None
    for _ in range(_ROUNDS):
        runs = _runs(tried, shown, data, found, slopes, missed)
        draws, _ = _draw(surface_through(runs, scale, *ends, further=_BEYOND), runs, random, steps=_STEPS, begun=draws)
        further = draws[random.choice(len(draws), terms // 3 + _NEXT, replace=False)]
        further = np.clip(further + (_FURTHER - 1.0) * (further - draws.mean(axis=0)), *ends)
        added = model.near(further)
        tried, shown = np.vstack([tried, added[0]]), np.vstack([shown, added[1]])
    runs = _runs(tried, shown, data, found, slopes, missed)
    surface = surface_through(runs, scale, *ends)
    draws, costs = _draw(surface, runs, random, steps=_STEPS, begun=draws)
    best = minimize(lambda one: float(surface.cost(one[None])[0]), draws[costs.argmin()], method="Nelder-Mead").x
    there = np.clip((surface.terms(best[None]) @ surface.errors.T)[0], low[fields:], high[fields:])
    found = _moved(model, data, found, np.array([*best, *there]), surface.leverage(draws))
    runs = _runs(tried, shown, data, found, slopes, missed)
    surface = surface_through(runs, scale, *ends)
    draws, _ = _draw(surface, runs, random, steps=_LAST_STEPS, begun=draws)
    others = surface.terms(draws) @ surface.errors.T
    others += random.normal(size=others.shape) @ surface.errors_root.T
    everything = np.hstack([draws, others])
    low, high = np.quantile(everything, [0.5 - 0.5 * INSIDE, 0.5 + 0.5 * INSIDE], axis=0)
    interval = np.column_stack([np.minimum(low, found.parameters), np.maximum(high, found.parameters)])
    return replace(found, covariance=np.atleast_2d(np.cov(everything.T)), interval=interval)


def _runs(tried: Array, shown: Array, data: Data, found: Estimate, slopes: Array, missed: Array) -> Runs:
    off = shown + missed - data.values
    return Runs(fields=tried, off=off / found.deviation, slopes=slopes / found.deviation[:, None])


def _moved(model: Runnable, data: Data, found: Estimate, best: Array, leverage: Array) -> Estimate:
    """Take the better of two places as the model itself has them, with the noise as it is there."""

    def cost(parameters: Array, predicted: Array) -> float:
        return float((((predicted - data.values) / found.deviation) ** 2).sum() + (parameters**2).sum())

    predicted = model.predict(best)
    if cost(best, predicted) >= cost(found.parameters, found.predicted):
        best, predicted = found.parameters, found.predicted
    return renewed(model, data, found, best, predicted, leverage)


def _draw(
    on: Surface, runs: Runs, random: np.random.Generator, *, steps: int, begun: Array | None = None
) -> tuple[Array, Array]:
    """Draw fields from the posterior on a surface, (m, p) [-], and their costs: walkers that stretch their distances.

    They start where earlier draws ended, or at the better half of the runs, a little apart.
    """
    count, half = runs.fields.shape[1], _WALKERS // 2
    if begun is None:
        good = np.argsort(runs.cost())[: max(len(runs.fields) // 2, 1)]
        begun = runs.fields[good[np.arange(_WALKERS) % len(good)]]
    walkers = begun[-_WALKERS:] + 0.1 * random.normal(size=(_WALKERS, count)) @ on.scale.T
    cost = on.cost(walkers)
    outside = ~np.isfinite(cost)
    walkers[outside] = begun[-_WALKERS:][outside]
    cost = on.cost(walkers)
    lost = ~np.isfinite(cost)
    walkers[lost], cost[lost] = walkers[cost.argmin()], cost.min()
    kept, costs = [], []
    for step in range(steps):
        for mine, other in ((slice(0, half), slice(half, None)), (slice(half, None), slice(0, half))):
            stretch = ((_STRETCH - 1.0) * random.random(half) + 1.0) ** 2 / _STRETCH
            partner = walkers[other][random.integers(half, size=half)]
            tried = partner + stretch[:, None] * (walkers[mine] - partner)
            new = on.cost(tried)
            take = np.log(random.random(half)) < (count - 1) * np.log(stretch) - 0.5 * (new - cost[mine])
            walkers[mine] = np.where(take[:, None], tried, walkers[mine])
            cost[mine] = np.where(take, new, cost[mine])
        if step >= steps // 2 and step % _EVERY == 0:
            kept.append(walkers.copy())
            costs.append(cost.copy())
    return np.vstack(kept), np.concatenate(costs)
