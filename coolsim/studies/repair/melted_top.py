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


def melted_depth(result: Result) -> Array:
    """How deep the wax of a run has melted.

    Parameters
    ----------
    result : Result
        A run in which the wax is heated from its surface.

    Returns
    -------
    (nt, nr) ndarray
        Depth that the liquid of each column fills [m]; mush counts by its liquid share, so the depth follows the heat
        taken up and does not go with the cells.
    """
    wax = result.required_wax()
    tables = CellTables(result.tables, result.block[wax.cells])
    enthalpy = result.history.enthalpy[:, wax.cells]
    liquid = tables.liquid(enthalpy, tables.piece(enthalpy))
    depth: Array = np.einsum("tzr,z->tr", liquid, np.diff(wax.z_edges))
    return depth


def stands_over_melt(level: Array, depth: Array, area: Array, *, run_off: float = 0.0) -> float:
    """How far the highest place that has not melted stands over the levelled melt.

    Parameters
    ----------
    level : (m,) ndarray
        Height of the set top, ring by ring [m].
    depth : (m,) ndarray
        How deep each ring has melted [m].
    area : (m,) ndarray
        Areas of the rings [m2].
    run_off : float, optional
        Volume of melt that runs into the cavity [m3].

    Returns
    -------
    float
        Zero or less once the melt covers all and stands level [m].
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
    """When something is no longer short of its goal.

    Parameters
    ----------
    time : (nt,) ndarray
        Times [s].
    short_of : (nt,) ndarray
        What is still missing, any unit; zero or less when the goal is reached.

    Returns
    -------
    float or None
        The first such time, straight between two [s]; None if it is never reached.
    """
    there = np.flatnonzero(short_of <= 0.0)
    if not len(there):
        return None
    at = int(there[0])
    if at == 0:
        return float(time[0])
    before, after = short_of[at - 1], short_of[at]
    return float(time[at - 1] + (time[at] - time[at - 1]) * before / (before - after))
