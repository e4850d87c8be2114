"""Ends of a band from few cases: a plane over the inputs, drawn many times, with what it leaves of the cases.

Chance makes the ends of 72 cases err by some per cent, since eight of them lie beyond an end. The inputs of each case
are known: what a plane explains need not be left to chance, and what it leaves is small. Where the ends of the cases
themselves are not where the plane has those of the same cases, the answer is bent, or it is chance: the more cases, the
more of that counts.
"""

from __future__ import annotations

import numpy as np

from coolsim.model.section import Array

_STIFF = (1e-4, 3e-4, 1e-3, 3e-3, 1e-2, 3e-2, 0.1, 0.3)
"""Penalties of a slope that are tried, over the variance of an even input [-]."""

_LEAST_CASES = 1.5  # For each input.
_MOST_LEFT = 0.5  # Share of the variance that the plane may leave.
_RESTS = 32
_BELIEVED = 100  # Of so many cases, half of what they are off the plane is taken for its bend, not for chance.


def ends_by_plane(places: Array, answer: Array, everywhere: Array, shares: tuple[float, ...]) -> list[float] | None:
    """Values below which such shares of all cases lie [its unit], or None where a plane says too little.

    Of the places (n, p) of the inputs of each case, from -1 to 1 [-], of the answer (n,), and of the places of many
    other cases (m, p). The logarithm is taken where all answers are above zero. Of the penalties of slopes, which
    hold back what chance alone would give, the one counts with which each case is best told
    by the others (leave one out).

    Hoerl, A. E. and Kennard, R. W. (1970). Ridge regression: biased estimation for nonorthogonal problems.
    Technometrics 12(1), 55-67. From memory.
    """
    if len(answer) < _LEAST_CASES * places.shape[1]:
        return None
    positive = bool(answer.min() > 0.0)
    values = np.log(answer) if positive else answer
    middle, mean = places.mean(axis=0), float(values.mean())
    across, sizes, along = np.linalg.svd(places - middle, full_matrices=False)
    told = across.T @ (values - mean)
    best, slopes, rest = _MOST_LEFT * float(np.sum((values - mean) ** 2)), None, values
    for stiff in _STIFF:
        kept = sizes**2 / (sizes**2 + stiff * len(values))
        own = 1.0 / len(values) + across**2 @ kept
        left = values - mean - across @ (kept * told)
        if np.sum((left / (1.0 - own)) ** 2) < best:
            best = float(np.sum((left / (1.0 - own)) ** 2))
            slopes = along.T @ (sizes / (sizes**2 + stiff * len(values)) * told)
            # What a case is off beside its plane is less than what it would be off beside that of the others.
            rest = left / np.sqrt(1.0 - own)
    if slopes is None:
        return None
    rests = np.quantile(rest - rest.mean(), (np.arange(_RESTS) + 0.5) / _RESTS)

    def ends(where: Array) -> Array:
        found: Array = mean + np.quantile(np.add.outer((where - middle) @ slopes, rests), shares)
        return found

    bent = np.quantile(values, shares, method="hazen") - ends(places)
    found = ends(everywhere) + len(values) / (len(values) + _BELIEVED) * bent
    return [float(one) for one in (np.exp(found) if positive else found)]
