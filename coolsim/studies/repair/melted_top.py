r"""How deep a set top has melted, and whether what has melted levels it.

The set top has a level z(r); hot air melts it down to a depth d(r). The melt runs together over the floor z − d that is
left and stands level at the height h with :math:`\int \max(0, h - z + d)\,dA = \int d\,dA`. The top is level once no
place of the floor stands over that, which for a melt of one depth is when it is as deep as the highest place stands
over the mean.
"""

from __future__ import annotations

import numpy as np

from coolsim.model.freezing import CellTables
from coolsim.model.section import Array
from coolsim.solve.result import Result

_RUNS, _HOLDS = 9.0, 1e3
"""Yield stresses that let a dip of 1 mm run level by its weight, and that bear a fingertip [Pa]."""

_PIECES = 4
"""Of each cell, where what has melted is counted [-]."""


def melted_depth(result: Result) -> Array:
    """Depth of what has melted in each column at each time, (nt, nr) [m].

    Melted is mush so soft that a dip of 1 mm in it runs level, and nothing of mush that bears a fingertip; in between
    it counts in part. Wax that the room leaves partly liquid is firm. Within a cell the heat is taken as straight from
    middle to middle, so the depth does not jump from cell to cell.

    Equation (41) of `coolsim.theory`.
    """
    wax = result.required_wax()
    edges, thickness = wax.z_edges, np.diff(wax.z_edges)
    places = (edges[:-1, None] + thickness[:, None] * (np.arange(_PIECES) + 0.5) / _PIECES).ravel()
    enthalpy = _between_middles(result.history.enthalpy[:, wax.cells], wax.z, places)
    tables = CellTables((wax.table,), np.zeros(enthalpy.shape[1:], dtype=np.int64))
    liquid = tables.liquid(enthalpy, tables.piece(enthalpy))
    holds, runs = (result.melt.softness.liquid_at(stress) for stress in (_HOLDS, _RUNS))
    melted = np.clip((liquid - holds) / max(runs - holds, 1e-9), 0.0, 1.0)
    depth: Array = np.einsum("tzr,z->tr", melted, np.repeat(thickness / _PIECES, _PIECES))
    return depth


def _between_middles(enthalpy: Array, middles: Array, places: Array) -> Array:
    """Enthalpy at places of each column (nt, places, nr) [J/m3], drawn on beyond the outermost middles."""
    if len(middles) == 1:
        return np.repeat(enthalpy, len(places), axis=1)
    before = np.clip(np.searchsorted(middles, places) - 1, 0, len(middles) - 2)
    share = ((places - middles[before]) / (middles[before + 1] - middles[before]))[:, None]
    found: Array = (1.0 - share) * enthalpy[:, before] + share * enthalpy[:, before + 1]
    return found


def stands_over_melt(level: Array, depth: Array, area: Array, *, run_off: float = 0.0) -> float:
    """How far the highest place that has not melted stands over the levelled melt [m]; zero or less if that covers all.

    Levels and melted depths [m] and areas [m2] are those of the rings, (m,); `run_off` is the melt that runs into
    the cavity [m3].

    Equation (41) of `coolsim.theory`.
    """
    floor = level - depth
    melt = max(float(area @ depth) - run_off, 0.0)
    lowest_first = np.argsort(floor)
    heights, areas = floor[lowest_first], np.cumsum(area[lowest_first])
    # Volume that stands level at each of these heights.
    holds = np.concatenate([[0.0], np.cumsum(areas[:-1] * np.diff(heights))])
    under = int(np.searchsorted(holds, melt, side="right")) - 1
    surface = heights[under] + (melt - holds[under]) / areas[under]
    return float(heights[-1] - surface)


def reached(time: Array, short_of: Array) -> float | None:
    """First time [s] at which nothing is short of its goal, (nt,), straight between two; None if there is none."""
    there = np.flatnonzero(short_of <= 0.0)
    if not len(there):
        return None
    at = int(there[0])
    if at == 0:
        return float(time[0])
    before, after = short_of[at - 1], short_of[at]
    return float(time[at - 1] + (time[at] - time[at - 1]) * before / (before - after))
