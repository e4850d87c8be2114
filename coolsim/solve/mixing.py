"""Stratified melt: how molten wax stirs itself.

Wax cooled at the glass sinks and spreads on the floor, hot wax stays on top. In the mobile wax each step moves every
cell towards the state in which the coldest lies lowest, level by level, each level uniform: the adiabatic
rearrangement used as reference state of stratified flows (Winters et al. 1995, J. Fluid Mech. 289:115) reached as in
a filling box (Baines & Turner 1969, J. Fluid Mech. 37:51), both from memory. The time to get there, and the liquid
fraction above which wax takes part, are fields of `Melt`.
"""

from __future__ import annotations

import numpy as np

from coolsim.model.section import Array, Integers


def stratify(enthalpy: Array, volume: Array, level: Integers, *, share: float) -> Array:
    """Move mobile wax towards its layered state.

    Parameters
    ----------
    enthalpy : (n,) ndarray
        Enthalpy of the mobile cells in row order, that is from the lowest level upwards [J/m3].
    volume : (n,) ndarray
        Their volumes [m3].
    level : (n,) ndarray of int
        Grid row of each, ascending.
    share : float
        How far to go, 1 - exp(-dt/tau) [-].

    Returns
    -------
    (n,) ndarray
        New enthalpies [J/m3]; the sum of volume times enthalpy is kept to round-off.
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
    layered = np.diff(np.interp(upto, filled, heat)) / level_volume
    cells = np.diff(np.concatenate([first, [len(volume)]]))
    return enthalpy + share * (np.repeat(layered, cells) - enthalpy)
