"""Stratified melt: how molten wax stirs itself.

Wax cooled at the glass sinks and spreads on the floor, hot wax stays on top. In the mobile wax every cell moves towards
the state in which the coldest lies lowest, level by level, each level uniform: the adiabatic rearrangement used as
reference state of stratified flows (Winters et al. 1995, J. Fluid Mech. 289:115) reached as in a filling box
(Baines & Turner 1969, J. Fluid Mech. 37:51), both from memory. The time to get there, and the liquid fraction above
which wax takes part, are fields of `Melt`.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from coolsim.model.freezing import enthalpy_at_fraction
from coolsim.model.materials import Wax
from coolsim.model.section import Array, Integers
from coolsim.solve.network import Network


class Levels:
    """Mobile cells in row order, that is from the lowest level upwards: their volumes [m3] and the grid row of each."""

    def __init__(self, volume: Array, level: Integers) -> None:
        self._volume = volume
        first = np.flatnonzero(np.concatenate([[True], level[1:] != level[:-1]]))
        self._level_volume = np.add.reduceat(volume, first)
        self._upto = np.concatenate([[0.0], np.cumsum(self._level_volume)])
        self._cells = np.diff(np.concatenate([first, [len(volume)]]))

    def layered(self, enthalpy: Array) -> Array:
        """Lay enthalpies [J/m3] out from the coldest on the floor to the hottest on top, uniform across each level.

        The sum of volume times enthalpy is kept to round-off.
        """
        coldest_first = np.argsort(enthalpy)
        volume = self._volume.take(coldest_first)
        filled = np.empty(len(volume) + 1)
        heat = np.empty(len(volume) + 1)
        filled[0] = heat[0] = 0.0
        np.cumsum(volume, out=filled[1:])
        volume *= enthalpy.take(coldest_first)
        np.cumsum(volume, out=heat[1:])
        at_edges = np.interp(self._upto, filled, heat)
        # The last level takes what is left, so that no heat is lost to rounding of the volumes.
        at_edges[-1] = heat[-1]
        return np.repeat((at_edges[1:] - at_edges[:-1]) / self._level_volume, self._cells)


@dataclass(slots=True)
class _Pool:
    """Wax of one block, and which of it was mobile when it was last looked at."""

    cells: Integers
    volume: Array
    level: Integers
    threshold: float
    mobile: NDArray[np.bool_]
    levels: Levels | None


class Stirring:
    """Heat carried about by the melt, as a source in each cell: (h_layered - h)/tau in mobile cells.

    The stepper takes it at the middle of each step, as it does conductivities; mixing applied between conduction steps
    instead would let cells at the glass drop out of the melt in steps, an error of first order (measured: 1 % in the
    closing of the top at half the relaxation time).
    """

    def __init__(self, network: Network) -> None:
        melt, blocks = network.problem.melt, network.blocks
        self._relaxation = melt.relaxation
        self._pools = [
            _Pool(
                cells=cells,
                volume=network.volume[cells],
                level=network.grid.row[cells],
                threshold=enthalpy_at_fraction(table, melt.circulates_above),
                mobile=np.zeros(len(cells), dtype=bool),
                levels=None,
            )
            for index, (block, table) in enumerate(zip(blocks, network.tables, strict=True))
            if isinstance(block.material, Wax) and melt.mixing == "stratified"
            for cells in (np.flatnonzero(network.block == index),)
        ]

    def source(self, enthalpy: Array) -> Array | None:
        """Heat that the melt brings to each cell of these enthalpies [J/m3]: flows [W] that sum to zero.

        None if nothing circulates.
        """
        source: Array | None = None
        for pool in self._pools:
            content = enthalpy.take(pool.cells)
            mobile = content > pool.threshold
            if not mobile.any():
                continue
            if pool.levels is None or not np.array_equal(mobile, pool.mobile):
                pool.mobile, pool.levels = mobile, Levels(pool.volume[mobile], pool.level[mobile])
            if source is None:
                source = np.zeros_like(enthalpy)
            content = content[mobile]
            moved = pool.levels.layered(content)
            moved -= content
            moved *= pool.volume[mobile]
            moved /= self._relaxation
            source[pool.cells[mobile]] = moved
        return source
