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

_APART = 1e11
"""More than the enthalpies of any wax differ [J/m3]: it keeps the pools of several runs apart in one sort."""


class Levels:
    """Mobile cells in row order, pool after pool, each from its lowest level upwards.

    Their volumes [m3], the level of each, and where each pool begins among them.
    """

    def __init__(self, volume: Array, level: Integers, pools: Integers) -> None:
        self._volume, self.pools = volume, pools
        new = np.concatenate([[True], level[1:] != level[:-1]])
        new[pools] = True
        first = np.flatnonzero(new)
        self._level_volume = np.add.reduceat(volume, first)
        self._cells = np.diff(np.concatenate([first, [len(volume)]]))
        # Where pools begin and end among the edges of levels, and among those of cells.
        self._edges = np.concatenate([np.searchsorted(first, pools), [len(first)]])
        self._ends = np.concatenate([pools, [len(volume)]])
        self._upto = np.concatenate([[0.0], np.cumsum(self._level_volume)])
        self.lengths = np.diff(self._ends)
        self._apart = np.repeat(_APART * np.arange(len(pools)), self.lengths) if len(pools) > 1 else None

    def layered(self, enthalpy: Array) -> Array:
        """Lay enthalpies [J/m3] out from the coldest on the floor to the hottest on top, uniform across each level.

        The sum of volume times enthalpy of each pool is kept to round-off.
        """
        coldest_first = np.argsort(enthalpy if self._apart is None else enthalpy + self._apart)
        volume = self._volume.take(coldest_first)
        filled = np.empty(len(volume) + 1)
        heat = np.empty(len(volume) + 1)
        filled[0] = heat[0] = 0.0
        np.cumsum(volume, out=filled[1:])
        volume *= enthalpy.take(coldest_first)
        np.cumsum(volume, out=heat[1:])
        at_edges = np.interp(self._upto, filled, heat)
        # A pool ends where its last level ends, so that no heat is lost to rounding of the volumes.
        at_edges[self._edges] = heat[self._ends]
        return np.repeat((at_edges[1:] - at_edges[:-1]) / self._level_volume, self._cells)


@dataclass(frozen=True, slots=True, kw_only=True)
class Moved:
    """Heat that the melt moves: flows that sum to zero in each pool of melt.

    The mobile cells, pool after pool; the heat that comes to each with the wax of its level [W], and what leaves it,
    per enthalpy of its own [m3/s]; where each pool begins, and how many cells it has.
    """

    cells: Integers
    arriving: Array
    leaving: Array
    pools: Integers
    lengths: Integers

    def surplus(self, enthalpy: Array) -> Array:
        """Find what comes to each cell too much [W] if these [J/m3], and not those foreseen, are the enthalpies of all.

        The surplus of a pool, by what leaves each cell.
        """
        moved = self.arriving - self.leaving * enthalpy.take(self.cells)
        rate = np.add.reduceat(moved, self.pools) / np.add.reduceat(self.leaving, self.pools)
        surplus: Array = self.leaving * np.repeat(rate, self.lengths)
        return surplus


class Stirring:
    """Heat carried about by the melt: each mobile cell moves towards its level's enthalpy, as (h_layered - h)/tau.

    The stepper takes the levels as they are at the middle of each step, as it does conductivities; mixing applied
    between conduction steps instead would let cells at the glass drop out of the melt in steps, an error of first order
    (measured: 1 % in the closing of the top at half the relaxation time).

    Equation (15) of `coolsim.theory`.
    """

    def __init__(self, network: Network) -> None:
        cells, threshold, level, first = [], [], [], []
        pools = 0
        relaxation = np.ones(len(network.volume))
        for run in network.runs:
            melt = run.problem.melt
            if melt.mixing != "stratified":
                continue
            relaxation[run.cells] = melt.relaxation
            blocks = network.block[run.cells]
            for index in np.unique(blocks):
                if not isinstance(network.blocks[index].material, Wax):
                    continue
                found = run.cells.start + np.flatnonzero(blocks == index)
                cells.append(found)
                threshold.append(enthalpy_at_fraction(network.tables[index], melt.circulates_above))
                level.append(network.grid.row[found])
                first.append(pools)
                pools += len(found)
        lengths = [len(one) for one in cells]
        none = np.zeros(0, dtype=np.int64)
        self._cells = np.concatenate(cells or [none])
        self._level = np.concatenate(level or [none])
        self._threshold = np.repeat(threshold, lengths) if cells else np.zeros(0)
        self._pool = np.repeat(np.arange(len(cells)), lengths)
        self._per_time = (network.volume / relaxation).take(self._cells)
        self._volume = network.volume.take(self._cells)
        self._mobile = np.zeros(len(self._cells), dtype=np.bool_)
        self._found: tuple[Integers, Array, Levels] | None = None
        self._count = len(network.volume)

    def at(self, enthalpy: Array) -> Moved | None:
        """Find what the melt moves, by the enthalpies of all cells [J/m3]; None if nothing circulates."""
        if not len(self._cells):
            return None
        content = enthalpy.take(self._cells)
        mobile = content > self._threshold
        if not np.array_equal(mobile, self._mobile):
            self._mobile, self._found = mobile, self._looked_at(mobile)
        if self._found is None:
            return None
        cells, leaving, levels = self._found
        arriving = levels.layered(content.compress(mobile))
        arriving *= leaving
        return Moved(cells=cells, arriving=arriving, leaving=leaving, pools=levels.pools, lengths=levels.lengths)

    def source(self, enthalpy: Array) -> Array | None:
        """Heat that the melt brings to each cell of these enthalpies [J/m3]: flows [W] that sum to zero.

        None if nothing circulates.
        """
        moved = self.at(enthalpy)
        if moved is None:
            return None
        source = np.zeros_like(enthalpy)
        source[moved.cells] = moved.arriving - moved.leaving * enthalpy.take(moved.cells)
        return source

    def _looked_at(self, mobile: NDArray[np.bool_]) -> tuple[Integers, Array, Levels] | None:
        at = np.flatnonzero(mobile)
        if not len(at):
            return None
        pool = self._pool.take(at)
        first = np.flatnonzero(np.concatenate([[True], pool[1:] != pool[:-1]]))
        levels = Levels(self._volume.take(at), self._level.take(at), first)
        return self._cells.take(at), self._per_time.take(at), levels
