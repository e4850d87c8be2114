r"""What the wax does as it contracts: the shape of the top, and the voids inside.

The *softness rule* is this project's own reduced model of a creeping mush with a yield stress :math:`\tau`; a resolved
computation of that mush is what `tests/verification/test_creeping_mush.py` holds it to. In each step:

1. Wax with any liquid whose :math:`\tau` is below 0.4 of the suction :math:`p_c` that it bears is *fed*: it stays full,
   and the mass that it draws, summed, comes from the surface. What stiffer wax loses stays as void where it is. What
   is solid through and through shrinks away from the glass.
2. The surface above each column sinks in proportion to :math:`G^{-5/3} - (0.4 p_c)^{-5/3}`, at least 0, G the
   geometric mean of :math:`\tau` over the height of the column, none below 1 Pa and G not below 10 Pa. This is
   smoothed radially, over 0.02 of the depth of the wax while the softest column is melt, over 0.075 more when suction
   hardly moves it: stiff mush shears worse, and takes its neighbours along. Where no column is soft enough as a
   whole, that counts which lies open at the top: melt, or mush that is fed, sinks on what has set below it. Where
   that is stiff, too, a void opens in the softest, highest place.

The constants 0.4, 5/3, 0.02 and 0.075 were fitted to 31 cases of the resolved computation. A column gives its wax from
where it is softest, and its surface sinks with it. Mass is conserved to round-off, and with it the volume ledger. With
a sharp front the rule is exact: what is liquid sinks evenly, what is solid stays.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from coolsim.model.freezing import CellTables
from coolsim.model.section import Array, Integers
from coolsim.model.softness import FLOWING, Softness
from coolsim.model.volume import VolumeLaw
from coolsim.solve.contraction import NEAR_AXIS, Shrinkage, VolumeLedger
from coolsim.solve.wax_body import WaxBody

_POWER = 5.0 / 3.0
_SOFTEST = 10.0
_SMOOTHED_OVER, _AND_OVER = 0.02, 0.075
_STEPS = 150
_NEWTON = 3
_NO_VOLUME = 1e-15


class _Body:
    """The wax as it shrinks.

    The thermal problem keeps its surface where the wax was poured, so the cells keep their places, and `filled` says
    how much of each is still there. `void` is the share of that which is void.
    """

    def __init__(self, wax: WaxBody, density: Array, softness: Softness) -> None:
        self._wax, self._softness = wax, softness
        self.thickness = np.diff(wax.z_edges)[:, None]
        self.area = np.pi * np.diff(wax.r_edges**2)
        self.filled = np.ones_like(wax.volume)
        self.void = np.zeros_like(wax.volume)
        self.sunk = np.zeros(len(self.area))
        self.density = density
        self.owed = 0.0
        self._was_fed = np.ones_like(wax.volume, dtype=bool)
        self._apart = -0.5 * (wax.r[:, None] - wax.r[None, :]) ** 2
        self._bears = softness.feeds_below

    def mass(self) -> Array:
        """Mass of each cell, relative to that of the reference liquid [m3]."""
        mass: Array = self._wax.volume * self.filled * (1.0 - self.void) * self.density
        return mass

    def contract(self, density: Array, liquid: Array, wet: NDArray[np.bool_]) -> None:
        """Follow one step to a density, with the liquid share in its middle and where there is any.

        Equation (34) of `coolsim.theory`.
        """
        stress = self._softness.yield_stress(liquid)
        fed = wet & (stress <= self._bears)
        before = self.mass()
        self._shrink_in_place(~fed, wet, density)
        # Voids of what has become soft again are filled.
        self.void[fed & ~self._was_fed] = 0.0
        self._was_fed = fed
        self.density = density
        wanted = self.owed + float((self.mass() - before)[fed].sum())
        stress = np.maximum(stress, FLOWING)
        columns = self._softness_of_columns(stress)
        if not columns.any():
            top = np.maximum(stress[-1], _SOFTEST)
            columns = np.where(top <= max(self._bears, _SOFTEST), top**-_POWER, 0.0)
        self.owed = wanted - self._sink(wanted, columns, stress) if columns.any() else wanted
        if not columns.any() or self.owed > 1e-6 * abs(wanted):
            self._open_void(fed, stress)

    def _shrink_in_place(self, stiff: NDArray[np.bool_], wet: NDArray[np.bool_], density: Array) -> None:
        """Keep the mass of wax that nothing feeds: as void while it holds liquid, else as a smaller solid.

        Equation (35) of `coolsim.theory`.
        """
        left = (self.density / density)[stiff]
        solid = (1.0 - self.void[stiff]) * left
        # Wax that grows where there is no void is pressed outwards.
        grown = np.maximum(solid, 1.0)
        mushy = wet[stiff]
        self.filled[stiff] *= np.where(mushy, grown, left)
        self.void[stiff] = np.where(mushy, 1.0 - solid / grown, self.void[stiff])

    def _softness_of_columns(self, stress: Array) -> Array:
        """By how much the surface above each column takes part in the sinking [any unit].

        Equation (37) of `coolsim.theory`.
        """
        height = self.thickness * self.filled
        mean = np.exp((height * np.log(stress)).sum(axis=0) / np.maximum(height.sum(axis=0), 1e-12))
        if self._bears <= _SOFTEST:
            return np.zeros_like(mean)
        mean = np.maximum(mean, _SOFTEST)
        soft = np.maximum(0.0, mean**-_POWER - self._bears**-_POWER)
        stiffness = min(1.0, math.log(float(mean.min()) / _SOFTEST) / math.log(self._bears / _SOFTEST))
        width = (_SMOOTHED_OVER + _AND_OVER * stiffness) * float(self.thickness.sum())
        near = np.exp(self._apart / width**2) * self.area
        columns: Array = (near @ soft) / near.sum(axis=1)
        return columns

    def _sink(self, wanted: float, columns: Array, stress: Array) -> float:
        """Lower the surface until it has given a mass, and return what it gave, within a part in a million.

        Each column gives from where it is softest: thickness times softness, which no cell outlasts.

        Equation (38) of `coolsim.theory`.
        """
        height = self.thickness * self.filled
        soft = (stress.min(axis=0) / stress) ** _POWER
        able = (height * soft).sum(axis=0)
        dense = (height * soft * (1.0 - self.void) * self.density).sum(axis=0) / able
        # Wax that grows, warmed by hot glass, lifts the surface, and no faster than it would sink.
        depth = np.clip(wanted / float(columns @ (self.area * dense)) * columns, -0.5 * able, 0.5 * able)
        rate = depth / able
        for _ in range(_NEWTON):
            kept = np.exp(-rate * soft)
            rate += (depth - (height * (1.0 - kept)).sum(axis=0)) / (height * soft * kept).sum(axis=0)
        kept = np.exp(-rate * soft)
        before = float(self.mass().sum())
        self.filled *= kept
        self.sunk += (height * (1.0 - kept)).sum(axis=0)
        return before - float(self.mass().sum())

    def _open_void(self, fed: NDArray[np.bool_], stress: Array) -> None:
        """Leave what is owed as void in the softest fed places, the highest of them first."""
        rows, cells = np.nonzero(fed)
        order = np.lexsort((-self._wax.z[rows], stress[rows, cells]))
        rows, cells = rows[order], cells[order]
        there = self.mass()[rows, cells]
        taken = np.clip(self.owed - (np.cumsum(there) - there), 0.0, there)
        share = np.divide(taken, there, out=np.zeros_like(there), where=there > 0.0)
        self.void[rows, cells] += (1.0 - self.void[rows, cells]) * share
        self.owed -= float(taken.sum())


def shrink(
    time: Array,
    enthalpy: Array,
    wax: WaxBody,
    *,
    law: VolumeLaw,
    softness: Softness,
    void_shows: float,
    at: Sequence[float] = (math.inf,),
) -> list[Shrinkage]:
    """Follow the contraction of the wax through a run, and tell what has become of it at ascending times `at` [s].

    Times of the steps [s], and at each the enthalpy of the wax cells [J/m3]. Void is called a cavity where it is at
    least a share `void_shows` of the place [-].
    """
    time, enthalpy = _worthwhile(time, enthalpy, wax, law)
    temperature, liquid = _states(enthalpy, wax)
    density = law.density(temperature, liquid)
    body = _Body(wax, density[0], softness)
    start = float(body.mass().sum())
    # Between two of these steps the top hardly moves: at a time it is that of the last step before.
    told_after = np.maximum(np.searchsorted(time, at, side="right") - 1, 0)
    found = []
    for step in range(len(time)):
        if step:
            wet = (liquid[step - 1] > 0.0) | (liquid[step] > 0.0)
            body.contract(density[step], 0.5 * (liquid[step - 1] + liquid[step]), wet)
        found += [_summary(body, wax, start, void_shows) for one in told_after if one == step]
    return found


def _worthwhile(time: Array, enthalpy: Array, wax: WaxBody, law: VolumeLaw) -> tuple[Array, Array]:
    """Choose times between which the wax contracts equally, and give the state there, straight between the steps.

    The thermal steps are mostly finer than that needs, but where the last columns get stiff they are not: a step more
    or less moved the hole by 7 %.
    """
    mean = np.tensordot(enthalpy, wax.volume, axes=2) / wax.volume.sum()
    temperature, liquid = _states(mean[:, None, None], wax)
    density = law.density(temperature, liquid).ravel()
    grown = np.maximum.accumulate(density)
    marks = np.interp(np.linspace(grown[0], grown[-1], _STEPS + 1), grown, time)
    chosen = np.unique(np.concatenate([time[[0, -1]], marks, time[_of_melting(grown, density)]]))
    after = np.clip(np.searchsorted(time, chosen), 1, len(time) - 1)
    share = ((chosen - time[after - 1]) / (time[after] - time[after - 1]))[:, None, None]
    return chosen, (1.0 - share) * enthalpy[after - 1] + share * enthalpy[after]


def _of_melting(grown: Array, density: Array) -> Integers:
    """Choose steps where wax that was denser grows and shrinks again, as close together as those of its contraction."""
    there = np.concatenate([[0.0], np.cumsum(np.abs(np.diff(grown - density)))])
    whole = grown[-1] - grown[0] + there[-1]
    count = int(_STEPS * there[-1] / whole) if whole > 0.0 else 0
    return np.minimum(np.searchsorted(there, np.linspace(0.0, there[-1], count)), len(there) - 1)


def _states(enthalpy: Array, wax: WaxBody) -> tuple[Array, Array]:
    tables = CellTables((wax.table,), np.zeros(enthalpy.shape[1:], dtype=np.int64))
    piece = tables.piece(enthalpy)
    return tables.temperature(enthalpy, piece), tables.liquid(enthalpy, piece)


def _summary(body: _Body, wax: WaxBody, start: float, void_shows: float) -> Shrinkage:
    occupied = wax.volume * body.filled
    shows = (body.void >= void_shows) & (occupied > _NO_VOLUME)
    cavity, pores = np.where(shows, body.void, 0.0), np.where(shows, 0.0, body.void)
    cavities = float(np.sum(occupied * cavity))
    void = float(np.sum(occupied * body.void))
    surface = float(body.area @ body.sunk)
    level = float(wax.z_edges[-1]) - body.sunk
    near = wax.r <= max(NEAR_AXIS, wax.r[0])
    radius = wax.r_edges[-1]
    pour_level = float(wax.z_edges[-1])
    # What was squeezed out above it is no longer there: the wax over a cavity is what is left over it.
    over = np.vstack([np.cumsum((body.filled * body.thickness)[::-1], axis=0)[::-1], np.zeros_like(body.area)])
    highest = len(wax.z) - 1 - np.argmax(shows[::-1], axis=0)
    roof = np.where(shows.any(axis=0), over[highest + 1, np.arange(len(wax.r))], np.nan)
    place: tuple[float, float] | None = None
    if cavities > _NO_VOLUME:
        weight = occupied * cavity / cavities
        place = float(np.sum(weight * wax.r[None, :])), float(np.sum(weight * wax.z[:, None]))
    return Shrinkage(
        level=level,
        r=wax.r,
        area=body.area,
        pour_level=pour_level,
        cavity=cavity * body.filled,
        pores=pores * body.filled,
        rim_dip=float(body.sunk[-1]),
        half_dip=float(np.interp(0.5 * radius, wax.r, body.sunk)),
        centre_dip=float(np.average(body.sunk[near], weights=body.area[near])),
        cavity_volume=cavities,
        hollow=(cavity * body.filled * body.thickness).sum(axis=0),
        roof=roof,
        cavity_roof=None if place is None else float(np.nanmin(roof)),
        cavity_place=place,
        ledger=VolumeLedger(
            total=float(np.sum(wax.volume - occupied * (1.0 - body.void))),
            surface=surface,
            cavities=cavities,
            pores=void - cavities,
            solid=float(np.sum(wax.volume - occupied)) - surface,
            open_share=abs(float(body.mass().sum()) - body.owed - start) / start,
        ),
    )
