"""Freezing curves as rows of temperature and liquid share: the straight line with its tail, and a curve moved.

A range of freezing has two ends that can be told apart in a jar: where the first crystals form, and where 90 % is
solid. What is left then freezes over a long tail.
"""

from __future__ import annotations

from itertools import pairwise

import numpy as np

Curve = tuple[tuple[float, float], ...]
"""Temperatures [°C] and the liquid shares there [-], ascending."""

END = 0.1
"""Liquid share at which freezing counts as ended: 90 % of the heat is out [-]."""


def straight_curve(starts: float, ends: float) -> Curve:
    """Draw the curve of which only the two ends are known [°C]: a straight line, and a tail as long as the range.

    Equation (3) of `coolsim.theory`.

    Examples
    --------
    >>> straight_curve(55.0, 50.0)
    ((45.0, 0.0), (50.0, 0.1), (55.0, 1.0))
    """
    return ((ends - (starts - ends), 0.0), (ends, END), (starts, 1.0))


def temperature_at(curve: Curve, share: float) -> float:
    """Lowest temperature at which more than this share is liquid [°C]; the start of freezing if there is none."""
    for (cold, less), (warm, more) in pairwise(curve):
        if more > share:
            return cold + (warm - cold) * (share - less) / (more - less)
    return curve[-1][0]


def liquid_at(curve: Curve, temperature: float) -> float:
    """Liquid share [-] at a temperature [°C]."""
    temperatures, shares = zip(*curve, strict=True)
    return float(np.interp(temperature, temperatures, shares))


def moved_curve(curve: Curve, *, starts: float, ends: float) -> Curve:
    """Move and stretch a curve evenly in temperature, so that freezing starts and ends at other temperatures [°C].

    A straight line with its tail becomes that of the new ends.

    Examples
    --------
    >>> moved_curve(straight_curve(55.0, 50.0), starts=60.0, ends=50.0)
    ((40.0, 0.0), (50.0, 0.1), (60.0, 1.0))
    """
    started = curve[-1][0]
    stretch = (starts - ends) / (started - temperature_at(curve, END))
    return tuple((starts - stretch * (started - temperature), share) for temperature, share in curve)
