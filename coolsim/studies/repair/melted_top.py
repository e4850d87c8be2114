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
    """Depth that has melted of each column since the first time, (nt, nr) [m].

    Mush counts by the share of it that has melted, so the depth follows the heat taken up and does not go with the
    cells. What is liquid in set wax from the start, the softest of a fat, does not count.
    """
    wax = result.required_wax()
    tables = CellTables(result.tables, result.block[wax.cells])
    enthalpy = result.history.enthalpy[:, wax.cells]
    liquid = tables.liquid(enthalpy, tables.piece(enthalpy))
    depth: Array = np.einsum("tzr,z->tr", (liquid - liquid[0]) / (1.0 - liquid[0]), np.diff(wax.z_edges))
    return depth


def stands_over_melt(level: Array, depth: Array, area: Array, *, run_off: float = 0.0) -> float:
    """How far the highest place that has not melted stands over the levelled melt [m]; zero or less if that covers all.

    Levels and melted depths [m] and areas [m2] are those of the rings, (m,); `run_off` is the melt that runs into
    the cavity [m3].
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
