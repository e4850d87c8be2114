"""When each place of the surface locks, between and beyond the middles of the columns."""

from __future__ import annotations

import numpy as np

from coolsim.model.section import Array
from coolsim.solve.wax_body import WaxBody

_ROUND_AXIS = 0.4
_LEAST_COLUMNS = 5


def locking_time(wax: WaxBody, locks: Array, radius: Array) -> Array:
    """Locking time [s] of places of the surface at these radii [m]; infinite where a column never locks.

    Straight in r² between columns and on to the wall: the middle of the outermost column lies half a cell from the
    wall, and taken as it is it would move with the grid. Round the axis the time goes as t0 - c r² (it is smooth and
    even in r), and the little differences that decide how deep the middle sinks are smaller than the time step. There a
    polynomial of second degree in r² is fitted to the columns within 0.4 R.
    """
    known = np.where(np.isnan(locks), np.inf, locks)
    if len(known) < 2:
        return np.full(len(radius), known[0])
    if not np.isfinite(known).all():
        nearest = np.abs(radius[:, None] - wax.r[None, :]).argmin(axis=1)
        return np.asarray(known[nearest], dtype=np.float64)
    squares, wanted = wax.r**2, radius**2
    found = np.interp(wanted, squares, known)
    beyond = wanted > squares[-1]
    slope = (known[-1] - known[-2]) / (squares[-1] - squares[-2])
    found[beyond] = known[-1] + slope * (wanted[beyond] - squares[-1])
    inside = np.flatnonzero(wax.r <= _ROUND_AXIS * wax.r_edges[-1])
    if len(inside) >= _LEAST_COLUMNS:
        scale = squares[inside[-1]]
        polynomial = np.polyfit(squares[inside] / scale, known[inside], 2)
        fitted = wanted <= scale
        found[fitted] = np.polyval(polynomial, wanted[fitted] / scale)
    locked: Array = np.maximum(found, 0.0)
    return locked
