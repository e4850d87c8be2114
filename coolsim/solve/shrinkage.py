r"""What the wax does as it contracts: the shape of the top, the hidden cavity, the pores.

The terms are those of the casting trade. A place is *mobile* while its liquid fraction is above the coherency fraction.
A *pool* is connected mobile wax; frozen mush that touches it is fed by it. What the pool and that mush lose
is taken from the free surface as long as some of it is open; a place of the surface is locked once a skin under it
holds. A pool with no open surface above it opens a cavity at its highest mobile place instead. Mush that touches no
pool keeps its loss as pores, and the contraction of the solid opens the gap at the wall: neither is fed.

Places are fixed in space: a cell that is fed keeps its volume and gains mass, so one volume of solid formed draws
:math:`\beta/(1-\beta)` volumes of liquid, :math:`\beta = 1 - \rho_l/\rho_s`. Mass is conserved to round-off, and with
it the volume ledger.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from coolsim.model.freezing import CellTables
from coolsim.model.properties import Wax
from coolsim.model.section import Array, Integers
from coolsim.solve.contraction import NEAR_AXIS, Shrinkage, VolumeLedger
from coolsim.solve.surface import locking_time
from coolsim.solve.wax_body import WaxBody

_SOLID_REFERENCE = 20.0
_SHORTEST_SOLID_RANGE = 5.0
_NO_VOLUME = 1e-15
_RINGS = 8
_STEPS = 150
_CLOSINGS = 24
_SIDE_BY_SIDE = np.array([[0, 1, 0], [1, 1, 1], [0, 1, 0]])


@dataclass(frozen=True, slots=True, kw_only=True)
class VolumeLaw:
    """Specific volume of a wax [-], relative to the liquid at a reference temperature [°C].

    The liquid expands by `expansion` [1/K]; where freezing ends [°C] the solid has the volume `solid_at_end` [-], and
    it expands by `solid_slope`, referred to the same liquid [1/K].
    """

    reference: float
    expansion: float
    solid_at_end: float
    freezing_ends: float
    solid_slope: float

    def density(self, temperature: Array, liquid: Array) -> Array:
        """Density relative to the liquid at the reference temperature [-], by temperature [°C] and liquid [-]."""
        as_liquid = 1.0 + self.expansion * (temperature - self.reference)
        as_solid = self.solid_at_end + self.solid_slope * (temperature - self.freezing_ends)
        density: Array = 1.0 / (as_solid + liquid * (as_liquid - as_solid))
        return density


def volume_law(wax: Wax) -> VolumeLaw:
    """Volume law of a wax from its total and its solid shrinkage.

    What its liquid does not lose down to the start of freezing, nor its solid after the end, it loses while it freezes.
    The solid's part is spread evenly from the end of freezing to 20 °C, over 5 K where the two are closer.
    """
    ends = wax.freezing_ends
    return VolumeLaw(
        reference=wax.density_liquid_at,
        expansion=wax.expansion_liquid,
        solid_at_end=1.0 - wax.total_shrinkage + wax.solid_shrinkage,
        freezing_ends=ends,
        solid_slope=wax.solid_shrinkage / max(ends - _SOLID_REFERENCE, _SHORTEST_SOLID_RANGE),
    )


class _Body:
    """The wax as it shrinks.

    The thermal problem keeps its surface where the wax was poured, so a depth in it is a depth below the surface as it
    is. When the surface sinks, the skin on it sinks with it, and what goes is the melt next below.
    """

    def __init__(self, wax: WaxBody, density: Array, skin: float) -> None:
        self.volume = wax.volume
        self.thickness = np.diff(wax.z_edges)
        self.filled = np.ones_like(wax.volume)
        self.density = density.copy()
        self.short_pores = np.zeros_like(wax.volume)
        self.short_solid = np.zeros_like(wax.volume)
        self.cavity = np.zeros_like(wax.volume)
        in_skin = wax.z_edges[-1] - wax.z <= skin
        if not in_skin.any():
            in_skin[-1] = True
        below, within = np.flatnonzero(~in_skin), np.flatnonzero(in_skin)
        # A place locks when the wax at the lower face of the skin does: melt just below it still reaches the surface.
        self.reaches = in_skin.copy()
        self.reaches[below[-1:]] = True
        self._order = np.concatenate([below[::-1], within[::-1]])
        self._area = np.pi * np.diff(wax.r_edges**2)
        self._depth = float(wax.z_edges[-1] - wax.z_edges[0])
        self.sunk = np.zeros(len(self._area) * _RINGS)
        self.owed = 0.0

    def mass(self) -> float:
        return float(np.sum(self.volume * self.filled * self.density))

    def made_whole(self, places: NDArray[np.bool_]) -> Array:
        """Close pores and the gap beside wax that is melt again; return by how much that raises its density."""
        lost = np.where(places, self.short_pores + self.short_solid, 0.0)
        self.short_pores[places] = self.short_solid[places] = 0.0
        return lost

    def lower_surface(self, mass: float, rings: Array, mobile: NDArray[np.bool_]) -> float:
        """Take mass next below the skin of the open rings, evenly; return what they could not give.

        `rings` is the share of the step for which each ring of the surface was open.
        """
        mass += self.owed
        self.owed = 0.0
        if mass <= 0.0:
            # The melt has grown by a trace (stirring warms a place): the next loss pays for it.
            self.owed = mass
            return 0.0
        while mass > 0.0:
            # A ring that has sunk to the bottom has nothing left to give, even if its column has.
            left_over = self._depth - self.sunk
            giving_rings = np.where(left_over > 1e-12 * self._depth, rings, 0.0)
            share = giving_rings.reshape(-1, _RINGS).mean(axis=1)
            open_columns = np.flatnonzero(share > 0.0)
            able = (mobile & (self.filled > 0.0))[np.ix_(self._order, open_columns)]
            giving = able.any(axis=0)
            if not giving.any():
                return mass
            columns = open_columns[giving]
            rows = self._order[np.argmax(able[:, giving], axis=0)]
            weight = share[columns] * self._area[columns] * self.density[rows, columns]
            wanted = mass / float(weight.sum())
            there = self.filled[rows, columns] * self.thickness[rows]
            sinking = np.repeat(np.isin(np.arange(len(share)), columns), _RINGS) & (giving_rings > 0.0)
            lowest = float((left_over[sinking] / giving_rings[sinking]).min())
            most = min(float((there / share[columns]).min()), lowest)
            depth = min(wanted, most)
            left = there - depth * share[columns]
            self.filled[rows, columns] = np.where(left > 1e-12 * self.thickness[rows], left / self.thickness[rows], 0.0)
            taken = np.zeros(len(share))
            taken[columns] = depth
            self.sunk += np.repeat(taken, _RINGS) * giving_rings
            mass = 0.0 if wanted <= most else mass - depth * float(weight.sum())
        return 0.0

    def open_cavity(self, mass: float, pool: NDArray[np.bool_]) -> float:
        """Take mass from the highest places of a closed pool; return what it could not give.

        A pool that grows, because wax melts again, fills the hollow places that it touches, from the lowest on. What
        finds no place is pressed: the next loss pays for it.
        """
        mass += self.owed
        self.owed = 0.0
        if mass <= 0.0:
            self.owed = -self._fill_cavity(-mass, pool)
            return 0.0
        for row in np.flatnonzero(pool.any(axis=1))[::-1]:
            cells = np.flatnonzero(pool[row])
            there = float(np.sum(self.volume[row, cells] * self.density[row, cells] * self.filled[row, cells]))
            if there <= 0.0:
                continue
            share = min(1.0, mass / there)
            self.cavity[row, cells] += self.filled[row, cells] * share
            self.filled[row, cells] *= 1.0 - share
            mass -= share * there
            if share < 1.0:
                return 0.0
        return mass

    def _fill_cavity(self, mass: float, pool: NDArray[np.bool_]) -> float:
        """Put mass into the hollow places that a pool touches; return what has no room there."""
        from scipy.ndimage import binary_dilation

        touched = binary_dilation(pool, _SIDE_BY_SIDE) & (self.cavity > 0.0)
        # What comes into a place that was emptied is wax as it is now.
        self.density += self.made_whole(touched & (self.filled <= 0.0))
        for row in np.flatnonzero(touched.any(axis=1)):
            cells = np.flatnonzero(touched[row])
            room = float(np.sum(self.volume[row, cells] * self.density[row, cells] * self.cavity[row, cells]))
            share = min(1.0, mass / room)
            self.filled[row, cells] += self.cavity[row, cells] * share
            self.cavity[row, cells] *= 1.0 - share
            mass -= share * room
            if share < 1.0:
                return 0.0
        return mass


def shrink(
    time: Array, enthalpy: Array, wax: WaxBody, *, law: VolumeLaw, feeds_above: float, skin: float, locks: Array
) -> Shrinkage:
    """Follow the contraction of the wax through a run.

    Times of the steps [s], and at each the enthalpy of the wax cells [J/m3]; wax is mobile above the liquid fraction
    `feeds_above` [-], and a skin of a thickness [m] locks a column of the surface at the time `locks` [s], NaN for
    never. The surface is followed on rings finer than the columns, each open for the share of a step before it locks.
    """
    edges = _ring_edges(wax)
    ring_locks = locking_time(wax, locks, np.sqrt(0.5 * (edges[1:] ** 2 + edges[:-1] ** 2)))
    time, enthalpy = _worthwhile(time, enthalpy, wax, law, ring_locks)
    temperature, liquid = _states(enthalpy, wax)
    density = law.density(temperature, liquid)
    body = _Body(wax, density[0], skin)
    start_mass = body.mass()
    for step in range(len(time) - 1):
        # What melts again within the step takes part in it.
        wet = ((liquid[step] > 0.0) | (liquid[step + 1] > 0.0)) & (body.filled > 0.0)
        if not wet.any() and not (liquid[step:] > 0.0).any():
            body.short_solid += density[-1] - density[step]
            break
        was, is_now = (liquid[at] > feeds_above for at in (step, step + 1))
        rings = np.clip((ring_locks - time[step]) / (time[step + 1] - time[step]), 0.0, 1.0)
        gain = density[step + 1] - density[step] + body.made_whole(is_now & ~was & wet)
        _feed(body, gain, wet, was | is_now, rings)
    return _summary(body, wax, density[-1], start_mass)


def _worthwhile(time: Array, enthalpy: Array, wax: WaxBody, law: VolumeLaw, ring_locks: Array) -> tuple[Array, Array]:
    """Choose times between which the wax contracts or the open surface shrinks noticeably, and give the state there.

    The thermal steps are finer than the one needs, and coarser than the other while the last of the surface closes.
    """
    mean = np.tensordot(enthalpy, wax.volume, axes=2) / wax.volume.sum()
    temperature, liquid = _states(mean[:, None, None], wax)
    density = law.density(temperature, liquid).ravel()
    grown = np.maximum.accumulate(density)
    marks = np.searchsorted(grown, np.linspace(grown[0], grown[-1], _STEPS))
    chosen = np.minimum(marks, len(time) - 1)
    closing = np.sort(ring_locks[np.isfinite(ring_locks)])
    # Rings of a column are equal in area; the last ones to lock are the innermost, so counting them goes by area.
    left = np.unique((len(closing) * 0.7 ** np.arange(_CLOSINGS)).astype(int))
    extra = closing[len(closing) - left[(left > 0) & (left <= len(closing))]] if len(closing) else closing
    extra = extra[(extra > time[0]) & (extra < time[-1])]
    times = np.unique(np.concatenate([time[[0, -1]], time[chosen], time[_of_melting(grown, density)], extra]))
    after = np.clip(np.searchsorted(time, times), 1, len(time) - 1)
    share = ((times - time[after - 1]) / (time[after] - time[after - 1]))[:, None, None]
    return times, enthalpy[after - 1] + share * (enthalpy[after] - enthalpy[after - 1])


def _of_melting(grown: Array, density: Array) -> Integers:
    """Choose steps where wax that was denser grows and shrinks again, as close together as those of its contraction."""
    there = np.concatenate([[0.0], np.cumsum(np.abs(np.diff(grown - density)))])
    whole = grown[-1] - grown[0] + there[-1]
    count = int(_STEPS * there[-1] / whole) if whole > 0.0 else 0
    return np.minimum(np.searchsorted(there, np.linspace(0.0, there[-1], count)), len(there) - 1)


def _ring_edges(wax: WaxBody) -> Array:
    """Radii that cut each column of the surface into rings of equal area [m]."""
    squares = wax.r_edges**2
    parts = squares[:-1, None] + np.diff(squares)[:, None] * np.arange(_RINGS) / _RINGS
    edges: Array = np.sqrt(np.append(parts.ravel(), squares[-1]))
    return edges


def _states(enthalpy: Array, wax: WaxBody) -> tuple[Array, Array]:
    tables = CellTables((wax.table,), np.zeros(enthalpy.shape[1:], dtype=np.int64))
    piece = tables.piece(enthalpy)
    return tables.temperature(enthalpy, piece), tables.liquid(enthalpy, piece)


def _feed(
    body: _Body,
    gain: Array,
    wet: NDArray[np.bool_],
    above: NDArray[np.bool_],
    rings: Array,
) -> None:
    """Give each wet place the mass it draws, from the surface or from the top of its pool."""
    body.short_solid += np.where(wet, 0.0, gain)
    mobile = wet & above
    # Where melt was squeezed out, the skin rests on what lies below: the place is gone, and what it parted touches.
    gone = (body.filled <= 0.0) & (body.cavity <= 0.0)
    # Here, because it takes longer to import than a run without this question lasts.
    from scipy.ndimage import label

    passable, linked = mobile | gone, wet | gone
    if not mobile.any():
        body.short_pores += np.where(wet, gain, 0.0)
        return
    pools, pool_count = (passable.astype(int), 1) if passable.all() else label(passable, _SIDE_BY_SIDE)
    regions, region_count = (linked.astype(int), 1) if linked.all() else label(linked, _SIDE_BY_SIDE)
    drawn = body.volume * body.filled * gain
    open_columns = rings.reshape(-1, _RINGS).any(axis=1)
    at_surface = set(np.unique(pools[np.ix_(body.reaches, open_columns)]).tolist())
    fed: list[tuple[NDArray[np.bool_], list[int]]] = []
    for region in range(1, region_count + 1):
        places = wet & (regions == region) if region_count > 1 else wet
        inside = [1] if pool_count == 1 and region_count == 1 else np.unique(pools[places & mobile]).tolist()
        if inside:
            fed.append((places, inside))
            body.density += np.where(places, gain, 0.0)
        else:
            body.short_pores += np.where(places, gain, 0.0)
    # All have drawn their mass before any is taken: the surface that feeds one region also sinks in another.
    for places, inside in fed:
        wanted = float(drawn[places].sum())
        missing = 0.0
        if at_surface.intersection(inside):
            # One surface feeds the region: the mush between its pools passes the liquid on.
            missing = body.lower_surface(wanted, rings, mobile)
        else:
            parts = [mobile & (pools == pool) for pool in inside]
            sizes = [float(body.volume[part].sum()) for part in parts]
            for part, size in zip(parts, sizes, strict=True):
                missing += body.open_cavity(wanted * size / sum(sizes), part)
        if missing > 0.0:
            left = float(np.sum((body.volume * body.filled * gain)[places]))
            unfed = np.where(places, gain, 0.0) * (missing / left)
            body.density -= unfed
            body.short_pores += unfed


def _summary(body: _Body, wax: WaxBody, density: Array, start_mass: float) -> Shrinkage:
    occupied = body.volume * body.filled
    # Mush that has grown where nothing gave way is pressed, and has no pores.
    pores, pressed = (np.clip(body.short_pores / density, *ends) for ends in ((0.0, None), (None, 0.0)))
    cavities = float(np.sum(body.volume * body.cavity))
    level = float(wax.z_edges[-1]) - body.sunk
    surface = float(np.sum(body.volume * (1.0 - body.filled - body.cavity)))
    edges = _ring_edges(wax)
    radius = np.sqrt(0.5 * (edges[1:] ** 2 + edges[:-1] ** 2))
    near = radius <= max(NEAR_AXIS, radius[0])
    area = np.pi * np.diff(edges**2)
    pour_level = float(wax.z_edges[-1])
    centre = float(np.average(level[near], weights=area[near]))
    roof: float | None = None
    place: tuple[float, float] | None = None
    if cavities > _NO_VOLUME:
        # What was squeezed out above it is no longer there: the wax over a cavity is what is left over it.
        hollow = body.volume * body.cavity > _NO_VOLUME
        over = np.cumsum((body.filled * body.thickness[:, None])[::-1], axis=0)[::-1]
        highest = len(wax.z) - 1 - np.argmax(hollow[::-1], axis=0)
        columns = np.flatnonzero(hollow.any(axis=0))
        above = np.vstack([over, np.zeros(over.shape[1])])[highest[columns] + 1, columns]
        roof = float(above.min())
        weight = body.volume * body.cavity
        place = (
            float(np.sum(weight * wax.r[None, :]) / weight.sum()),
            float(np.sum(weight * wax.z[:, None]) / weight.sum()),
        )
    mass = float(np.sum(occupied * body.density))
    return Shrinkage(
        level=level,
        r=radius,
        area=area,
        pour_level=pour_level,
        cavity=body.cavity,
        pores=pores * body.filled,
        rim_dip=float(body.sunk[-1]),
        centre_dip=pour_level - centre,
        cavity_volume=cavities,
        cavity_roof=roof,
        cavity_place=place,
        ledger=VolumeLedger(
            total=float(np.sum(body.volume) - np.sum(occupied * body.density / density)),
            surface=surface,
            cavities=cavities,
            pores=float(np.sum(occupied * pores)),
            solid=float(np.sum(occupied * (body.short_solid / density + pressed))),
            open_share=abs(mass - body.owed - start_mass) / start_mass,
        ),
    )
