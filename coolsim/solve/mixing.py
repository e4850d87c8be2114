"""Stratified melt: how molten wax stirs itself.

Wax cooled at the glass sinks and spreads on the floor, hot wax stays on top. In the mobile wax each step moves every
cell towards the state in which the coldest lies lowest, level by level, each level uniform: the adiabatic
rearrangement used as reference state of stratified flows (Winters et al. 1995, J. Fluid Mech. 289:115) reached as in
a filling box (Baines & Turner 1969, J. Fluid Mech. 37:51), both from memory. The time to get there, and the liquid
fraction above which wax takes part, are fields of `Melt`.
"""

from __future__ import annotations

import numpy as np

from coolsim.model.freezing import enthalpy_at_fraction
from coolsim.model.materials import Wax
from coolsim.model.section import Array, Integers
from coolsim.solve.network import Network


class Stirring:
    """Heat carried about by the melt, as a source in each cell.

    Parameters
    ----------
    network : Network
        The cut problem.

    Notes
    -----
    (h_layered - h)/tau in mobile cells. The stepper takes it at the middle of each step, as it does conductivities;
    mixing applied between conduction steps instead would let cells at the glass drop out of the melt in steps, an
    error of first order (measured: 1 % in the closing of the top at half the relaxation time).
    """

    def __init__(self, network: Network) -> None:
        melt, blocks = network.problem.melt, network.problem.section.blocks
        self._relaxation = melt.relaxation
        self._pools = [
            (
                cells,
                network.volume[cells],
                network.grid.row[cells],
                enthalpy_at_fraction(table, melt.flows_above),
            )
            for index, (block, table) in enumerate(zip(blocks, network.tables, strict=True))
            if isinstance(block.material, Wax) and melt.mixing == "stratified"
            for cells in (np.flatnonzero(network.block == index),)
        ]

    def source(self, enthalpy: Array) -> Array | None:
        """Heat that the melt brings to each cell.

        Parameters
        ----------
        enthalpy : (n,) ndarray
            Enthalpy of all cells [J/m3].

        Returns
        -------
        (n,) ndarray or None
            Heat flow into each cell [W], which sums to zero; None if nothing circulates.
        """
        source: Array | None = None
        for cells, volume, level, threshold in self._pools:
            content = enthalpy.take(cells)
            inside = content > threshold
            if not inside.any():
                continue
            if source is None:
                source = np.zeros_like(enthalpy)
            mobile = content[inside]
            filled = volume[inside]
            source[cells[inside]] = filled * (layered(mobile, filled, level[inside]) - mobile) / self._relaxation
        return source


def layered(enthalpy: Array, volume: Array, level: Integers) -> Array:
    """Lay mobile wax out from the coldest on the floor to the hottest on top.

    Parameters
    ----------
    enthalpy : (n,) ndarray
        Enthalpy of the mobile cells in row order, that is from the lowest level upwards [J/m3].
    volume : (n,) ndarray
        Their volumes [m3].
    level : (n,) ndarray of int
        Grid row of each, ascending.

    Returns
    -------
    (n,) ndarray
        Enthalpy of each cell in that state, uniform across each level [J/m3]; the sum of volume times enthalpy is
        kept to round-off.
    """
    coldest_first = np.argsort(enthalpy, kind="stable")
    sorted_volume = volume[coldest_first]
    filled = np.empty(len(volume) + 1)
    filled[0] = 0.0
    np.cumsum(sorted_volume, out=filled[1:])
    heat = np.empty(len(volume) + 1)
    heat[0] = 0.0
    np.cumsum(sorted_volume * enthalpy[coldest_first], out=heat[1:])
    first = np.flatnonzero(np.concatenate([[True], level[1:] != level[:-1]]))
    level_volume = np.add.reduceat(volume, first)
    upto = np.concatenate([[0.0], np.cumsum(level_volume)])
    # The last level takes what is left, so that no heat is lost to rounding of the volumes.
    upto[-1] = filled[-1]
    means = np.diff(np.interp(upto, filled, heat)) / level_volume
    return np.repeat(means, np.diff(np.concatenate([first, [len(volume)]])))
