"""The wax of a section as one rectangle of cells, and when something in it was the case for the last time."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from coolsim.model.freezing import EnthalpyTable
from coolsim.model.section import Array, Integers


@dataclass(frozen=True, slots=True, kw_only=True)
class WaxBody:
    """The wax of a section: one rectangle of cells.

    - `cells` (nz, nr): Row-order index of each of its cells, from the bottom up and from the axis outwards.
    - `r`, `z` (nr,): Where the cells' middles are, z from the bottom of the wax [m].
    - `r_edges`, `z_edges` (nr + 1,): Where their edges are, z from the bottom of the wax [m].
    - `bottom`: Height of the bottom of the wax in the section [m].
    - `volume` (nz, nr): Cell volumes [m3].
    - `table`: The wax.
    """

    cells: Integers
    r: Array
    z: Array
    r_edges: Array
    z_edges: Array
    bottom: float
    volume: Array
    table: EnthalpyTable


def last_above(time: Array, excess: Array) -> Array:
    """When each quantity was above zero for the last time [s], straight between steps.

    That is the first time where it never was, NaN where it still is. The excess may be in any unit that is straight in
    time: enthalpy rather than temperature.

    Equation (39) of `coolsim.theory`.
    """
    above = excess > 0.0
    ever, still = above.any(axis=0), above[-1]
    last = len(time) - 1 - np.argmax(above[::-1], axis=0)
    before = np.where(ever & ~still, last, 0)
    here = np.take_along_axis(excess, before[None], axis=0)[0]
    after = np.take_along_axis(excess, before[None] + 1, axis=0)[0]
    step = time[before + 1] - time[before]
    with np.errstate(divide="ignore", invalid="ignore"):
        crossing = time[before] + step * here / (here - after)
    found: Array = np.where(still, np.nan, np.where(ever, crossing, time[0]))
    return found
