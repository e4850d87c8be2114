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
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from coolsim.model.freezing import CellTables
from coolsim.model.section import Array, Integers
from coolsim.model.softness import FLOWING, Softness
from coolsim.model.volume import VolumeLaw
from coolsim.solve.contraction import NEAR_AXIS, Shrinkage, VolumeLedger
from coolsim.solve.surface import mean_within
from coolsim.solve.wax_body import WaxBody

_POWER = 5.0 / 3.0
_LOG_SOFTEST = math.log(10.0)
_SMOOTHED_OVER, _AND_OVER = 0.02, 0.075
# Steps of a contraction that moves the surface throughout, how many instead of one where it moves little, and the
# liquid share of columns that still sink alike.
_STEPS, _FEWER, _HARDLY_SET = 150, 0.3, 0.85
# Below these shares of a column that sink in a step, the rate is right to 1e-6: to third order, and after one iteration
# of Newton's method, and two.
_RIGHT_BELOW = (0.01, 0.1, 0.1)
_NO_VOLUME = 1e-15
_LEAST, _TINY = 1e-300, 1e-9
Flags = NDArray[np.bool_]
# So many steps are looked up at once: few calls, and what they leave is still near when it is used.
_AT_ONCE = 16


@dataclass(frozen=True, slots=True, kw_only=True)
class Course:
    """What the contraction of a run follows from.

    - `time` (nt,): Of the steps of the run [s].
    - `enthalpy` (nt, nz, nr): Of the wax cells at each of them [J/m3].
    - `wax`, `law`, `softness`: The wax, its volume, and how stiff mush is.
    - `void_shows`: Void is called a cavity where it is at least this share of the place [-].
    - `at`: Ascending times at which to tell what has become of the wax [s]; infinite is the end.
    """

    time: Array
    enthalpy: Array
    wax: WaxBody
    law: VolumeLaw
    softness: Softness
    void_shows: float
    at: Sequence[float] = (math.inf,)


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
    """Follow the contraction of the wax through one run, as `shrink_together` does, by the fields of a `Course`.

    Void is called a cavity where it is at least a share `void_shows` of the place [-], and `at` are times [s].
    """
    course = Course(time=time, enthalpy=enthalpy, wax=wax, law=law, softness=softness, void_shows=void_shows, at=at)
    return shrink_together([course])[0]


def shrink_together(courses: Sequence[Course]) -> list[list[Shrinkage]]:
    """Follow the contraction of the wax through runs, and tell of each what has become of it at its times.

    Runs whose wax has as many cells go from step to step together: a step of several takes little longer than that of
    one. What comes out does not depend on the others.
    """
    alike: dict[tuple[int, ...], list[int]] = {}
    for index, course in enumerate(courses):
        alike.setdefault(course.wax.volume.shape, []).append(index)
    found: list[list[Shrinkage]] = [[] for _ in courses]
    for members in alike.values():
        # The longest first, so that those that go on are always the first ones.
        ways = sorted(((_Way(courses[index]), index) for index in members), key=lambda one: -one[0].steps)
        for (_, index), told in zip(ways, _followed([way for way, _ in ways]), strict=True):
            found[index] = told
    return found


def _followed(ways: Sequence[_Way]) -> list[list[Shrinkage]]:
    rows, width = ways[0].course.wax.volume.shape
    bodies = _Bodies(ways)
    # Between two steps the top hardly moves: at a time it is that of the last step before.
    due: dict[int, list[int]] = {}
    for run, way in enumerate(ways):
        for step in way.told_after:
            due.setdefault(step, []).append(run)
    found: list[list[Shrinkage]] = [[] for _ in ways]
    for run in due.get(0, ()):
        found[run].append(bodies.told(run))
    first, live, fed = 1, len(ways), np.ones((rows, width * len(ways)), dtype=np.bool_)
    while live := sum(way.steps > first for way in ways[:live]):
        stretch = _Stretch(ways[:live], first, min(first + _AT_ONCE, ways[0].steps), fed)
        for step in range(len(stretch.fed)):
            live = sum(way.steps > first + step for way in ways[:live])
            bodies.contract(stretch, step, live)
            for run in due.get(first + step, ()):
                found[run].append(bodies.told(run))
        first, fed = first + len(stretch.fed), stretch.fed[-1]
    return found


class _Way:
    """The steps in which the contraction of a run is followed, and the state of the wax at each."""

    def __init__(self, course: Course) -> None:
        self.course = course
        table, law = course.wax.table, course.law
        self._tables = CellTables((table,), np.zeros((), dtype=np.int64))
        # Volume is as good as straight in enthalpy on a piece of the table: to 1e-8.
        width = table.base[2] - table.base[1]
        start = law.volume(table.temperature, table.liquid)
        end = law.volume(table.temperature + width * table.temperature_slope, table.liquid + width * table.liquid_slope)
        self._volume_slope = (end - start) / width
        self._volume_at_zero = start - self._volume_slope * table.base
        time = self._worthwhile()
        self.steps = len(time)
        self._after = np.clip(np.searchsorted(course.time, time), 1, len(course.time) - 1)
        before, after = course.time[self._after - 1], course.time[self._after]
        self._share = ((time - before) / (after - before))[:, None, None]
        self.told_after = np.maximum(np.searchsorted(time, course.at, side="right") - 1, 0).tolist()

    def states(self, first: int, last: int) -> tuple[Array, Array]:
        """Volume [-] and liquid share [-] of the cells at some of the steps, straight between those of the run."""
        after = self._after[first:last]
        before, enthalpy = self.course.enthalpy[after - 1], self.course.enthalpy[after]
        enthalpy -= before
        enthalpy *= self._share[first:last]
        enthalpy += before
        return self._looked_up(enthalpy)

    def _looked_up(self, enthalpy: Array) -> tuple[Array, Array]:
        """Volume [-] and liquid share [-] of wax by its enthalpy [J/m3]."""
        piece = self._tables.piece(enthalpy)
        volume = self._volume_slope.take(piece)
        volume *= enthalpy
        volume += self._volume_at_zero.take(piece)
        return volume, self._tables.liquid(enthalpy, piece)

    def _worthwhile(self) -> Array:
        """Choose times between which the wax contracts equally, in longer steps where that moves little.

        That is before any column has set by much, when all sink alike, and once nothing is fed. The thermal steps are
        mostly finer than that needs, but where the last columns get stiff they are not.
        """
        time, wax, softness, enthalpy = self.course.time, self.course.wax, self.course.softness, self.course.enthalpy
        columns = np.diff(wax.z_edges) @ enthalpy / wax.z_edges[-1]
        mean = columns @ np.diff(wax.r_edges**2) / (wax.r_edges[-1] ** 2 - wax.r_edges[0] ** 2)
        volume, liquid = self._looked_up(np.array([mean, columns.min(axis=1), enthalpy.max(axis=(1, 2))]))
        density = 1.0 / volume[0]
        alike = liquid[1, 1:] > _HARDLY_SET
        stiff = softness.yield_stress(liquid[2, :-1]) > 2.0 * softness.feeds_below
        grown = np.maximum.accumulate(density)
        whole = max(float(grown[-1] - grown[0]), _TINY)
        path = np.append(0.0, np.cumsum(np.where(alike | stiff, _FEWER, 1.0) * np.diff(grown) / whole))
        marks = np.interp(np.linspace(0.0, path[-1], math.ceil(_STEPS * path[-1]) + 1), path, time)
        return np.unique(np.concatenate([time[[0, -1]], marks, time[_of_melting(grown, density)]]))


class _Stretch:
    """What some steps do to the wax, before it is asked what has become of it: columns of cells, run behind run.

    - `volume` (steps, nz, columns): Volume at the end of the step [-].
    - `denser` (steps, 2, nz, columns): How much denser wax with any liquid gets in it, and wax that is fed [-].
    - `stress`: Logarithm of the yield stress in the middle of the step [Pa].
    - `soft`: How soft that is, beside the softest of its column [-].
    - `fed`, `again`: Whether it is fed, and was not in the step before.
    - `open_top` (steps, columns): How soft the column is at its top alone, 0 where suction does not move it.
    - `swells`, `fills`, `opens` (steps,): Whether any wax that is not fed grows, any is fed again, any top is open.
    """

    def __init__(self, ways: Sequence[_Way], first: int, last: int, fed_before: Flags) -> None:
        rows, width = ways[0].course.wax.volume.shape
        steps, columns = last - first, width * len(ways)
        self.denser = np.empty((steps, 2, rows, columns))
        self.volume, self.stress, self.soft = np.empty((3, steps, rows, columns))
        self.open_top = np.zeros((steps, columns))
        self.fed = np.zeros((steps, rows, columns), dtype=np.bool_)
        self.swells = np.zeros(steps, dtype=np.bool_)
        for index, way in enumerate(ways):
            here = np.s_[: min(last, way.steps) - first, :, index * width : (index + 1) * width]
            self.swells[here[0]] |= self._put(way, first, here)
        self.again: Flags = np.greater(self.fed, np.concatenate([fed_before[None, :, :columns], self.fed[:-1]]))
        self.fills = np.asarray(self.again.any(axis=(1, 2)))
        self.opens = np.asarray(self.open_top.any(axis=1))

    def _put(self, way: _Way, first: int, here: tuple[slice, slice, slice]) -> Flags:
        softness = way.course.softness
        volume, liquid = way.states(first - 1, first + here[0].stop)
        # The share that is solid, beyond that at which crystals begin to hold together.
        holds = liquid[:-1] + liquid[1:]
        wet = holds > 0.0
        holds *= -0.5
        holds += 1.0 - softness.gels_at
        fed = wet & (holds <= (softness.feeds_below / softness.stiffness) ** (1.0 / softness.exponent))
        denser = np.where(wet, volume[:-1] / volume[1:], 1.0)
        fed_denser = np.where(fed, denser, 1.0)
        self.denser[here[0], 0, :, here[2]], self.denser[here[0], 1, :, here[2]] = denser, fed_denser
        self.volume[here], self.fed[here] = volume[1:], fed
        np.maximum(holds, _LEAST, out=holds)
        stress = np.log(holds, out=holds)
        stress *= softness.exponent
        stress += math.log(softness.stiffness)
        np.maximum(stress, math.log(FLOWING), out=stress)
        self.stress[here] = stress
        top = np.maximum(stress[:, -1], _LOG_SOFTEST)
        limit = max(math.log(max(softness.feeds_below, FLOWING)), _LOG_SOFTEST)
        self.open_top[here[0], here[2]] = np.where(top <= limit, np.exp(-_POWER * top), 0.0)
        stress -= stress.min(axis=1, keepdims=True)
        stress *= -_POWER
        np.exp(stress, out=self.soft[here])
        return np.asarray((denser < fed_denser).any(axis=(1, 2)))


class _Bodies:
    """The wax of several runs as it shrinks: columns of cells, run behind run.

    The thermal problem keeps its surface where the wax was poured, so the cells keep their places. Of each its `state`
    has what mass it would have without void, and what it has, over its area and relative to that of the reference
    liquid [m]: what is solid keeps both, whatever its temperature. The first times the volume is the height of a cell.
    """

    def __init__(self, ways: Sequence[_Way]) -> None:
        self._ways = ways
        rows, self._width = ways[0].course.wax.volume.shape
        waxes, laws = [way.course.wax for way in ways], [way.course.softness for way in ways]
        self._volume = np.concatenate([way.states(0, 1)[0][0] for way in ways], axis=1)
        mass = np.repeat(np.array([np.diff(wax.z_edges) for wax in waxes]).T, self._width, axis=1) / self._volume
        self._state = np.array([mass, mass])
        self._sunk = np.zeros(mass.shape[1])
        self._owed = np.zeros(len(ways))
        self._area = np.array([np.pi * np.diff(wax.r_edges**2) for wax in waxes])
        self._apart = np.array([-((wax.r[:, None] - wax.r) ** 2) for wax in waxes])
        self._weighed = np.stack([self._area, self._area], axis=2)
        self._depth = [float(wax.z_edges[-1]) for wax in waxes]
        self._bears = [math.log(max(law.feeds_below, FLOWING)) for law in laws]
        self._bear_softness = np.exp(-_POWER * np.array(self._bears))[:, None]
        self._softest, self._columns = [math.inf] * len(ways), np.zeros_like(self._area)
        self._rows, self._summed = np.ones(rows), np.empty((6, *mass.shape))
        self._column_mass = self._rows @ mass
        self._start = self._in_all(self._column_mass)

    def _in_all(self, of_columns: Array) -> Array:
        """Sum over the columns of each run what they have for their area [m3]."""
        each = of_columns.reshape(-1, 1, self._width)
        whole: Array = (each @ self._area[: len(each), :, None]).ravel()
        return whole

    def contract(self, stretch: _Stretch, step: int, live: int) -> None:
        """Follow one step of the first runs, so many as go on.

        Equations (34) and (35) of `coolsim.theory`.
        """
        count = live * self._width
        state = self._state[:, :, :count]
        full, mass = state[0], state[1]
        # Mass that nothing feeds is kept: as void while it holds liquid, else as a smaller solid.
        state *= stretch.denser[step, :, :, :count]
        if stretch.swells[step]:
            # Wax that grows where there is no void is pressed outwards.
            np.maximum(full, mass, out=full)
        if stretch.fills[step]:
            # Voids of what has become soft again are filled.
            np.copyto(mass, full, where=stretch.again[step, :, :count])
        self._volume = stretch.volume[step]
        before, self._column_mass = self._column_mass[:count], self._rows @ mass
        wanted = self._owed[:live] + self._in_all(self._column_mass - before)
        sums = self._sums(stretch, step, count)
        softest, columns = self._softness_of_columns(sums[5] / sums[0], live)
        # Where the last column gets stiff within the step, it sinks as long as it is soft.
        shares = [
            min(max(0.5 + (limit - now) / max(now - then, _TINY), 0.0), 1.0)
            for limit, now, then in zip(self._bears, softest, self._softest, strict=False)
        ]
        self._softest = softest
        owed: Array = wanted
        if any(shares):
            owed = wanted - self._sink(np.array(shares) * wanted, columns, sums, stretch.soft[step, :, :count])
        if stretch.opens[step] and min(shares) < 1.0:
            rest = np.where(np.array(shares) < 1.0, owed, 0.0)
            top = stretch.open_top[step, :count].reshape(live, -1)
            owed = owed - self._sink(rest, top, self._sums(stretch, step, count), stretch.soft[step, :, :count])
        self._owed[:live] = owed
        for run, (still, asked) in enumerate(zip(owed.tolist(), wanted.tolist(), strict=True)):
            if still > 1e-6 * abs(asked):
                self._open_void(run, stretch.fed[step], stretch.stress[step])
                self._column_mass = self._rows @ mass

    def _sums(self, stretch: _Stretch, step: int, count: int) -> Array:
        """Sum the columns: height, that times softness, its square and cube, mass times softness, height times stress.

        The summands of height and of it times softness stay in `_summed`.
        """
        full, mass = self._state[0, :, :count], self._state[1, :, :count]
        soft = stretch.soft[step, :, :count]
        height, by_soft, by_square, by_cube, of_mass, by_stress = summed = self._summed[:, :, :count]
        np.multiply(full, stretch.volume[step, :, :count], out=height)
        np.multiply(height, soft, out=by_soft)
        np.multiply(by_soft, soft, out=by_square)
        np.multiply(by_square, soft, out=by_cube)
        np.multiply(mass, soft, out=of_mass)
        np.multiply(height, stretch.stress[step, :, :count], out=by_stress)
        sums: Array = self._rows @ summed
        return sums

    def _softness_of_columns(self, stress: Array, live: int) -> tuple[list[float], Array]:
        """By how much the surface above each column takes part in the sinking, a row for each run [any unit].

        By the logarithm of the mean stress of the columns [Pa], which comes back for the softest of each run. Runs with
        none that is soft keep what they had. Equation (37) of `coolsim.theory`.
        """
        stress = np.maximum(stress, _LOG_SOFTEST).reshape(live, -1)
        softest: list[float] = stress.min(axis=1).tolist()
        columns, bears = self._columns[:live], self._bears[:live]
        sinks = [now < limit for now, limit in zip(softest, bears, strict=True)]
        if any(sinks):
            stiffness = (
                min((now - _LOG_SOFTEST) / max(limit - _LOG_SOFTEST, _TINY), 1.0)
                for now, limit in zip(softest, bears, strict=True)
            )
            widths = [
                (_SMOOTHED_OVER + _AND_OVER * stiff) * depth
                for stiff, depth in zip(stiffness, self._depth, strict=False)
            ]
            near = np.exp(self._apart[:live] / np.array([2.0 * width * width for width in widths])[:, None, None])
            soft = np.exp(-_POWER * stress)
            soft -= self._bear_softness[:live]
            soft *= self._area[:live]
            np.maximum(soft, 0.0, out=self._weighed[:live, :, 0])
            shares = near @ self._weighed[:live]
            np.divide(shares[:, :, 0], shares[:, :, 1], out=columns, where=np.array(sinks)[:, None])
        return softest, columns

    def _sink(self, wanted: Array, columns: Array, sums: Array, soft: Array) -> Array:
        """Lower the surfaces until each run has given a mass, and return what it gave, within a part in a million.

        Each column gives from where it is softest: thickness times softness, which no cell outlasts.
        Equation (38) of `coolsim.theory`.
        """
        count = columns.size
        there, able = sums[0], sums[1]
        each = columns.ravel() / able
        whole = self._in_all(each * sums[4])
        share = (each.reshape(columns.shape) * (wanted / np.where(whole > 0.0, whole, 1.0))[:, None]).ravel()
        size = np.abs(share)
        most = float(size.max())
        if most > 0.5:
            # Wax that grows, warmed by hot glass, lifts the surface, and no faster than it would sink.
            share = np.minimum(np.maximum(share, -0.5), 0.5)
        # Of each cell exp(-rate soft) is left: the rate to third order, where that is not enough by Newton's method.
        squares, cubes = sums[2:4] * share / able
        rate = share * (1.0 + 0.5 * squares * (1.0 + squares) - cubes * share / 6.0)
        height = self._summed[0, :, :count]
        kept = np.exp(-rate * soft)
        left = self._rows @ (height * kept)
        for right_below in _RIGHT_BELOW:
            if most < right_below:
                break
            missing = np.where(size < right_below, 0.0, share * able - there + left)
            rate += missing / (self._rows @ (self._summed[1, :, :count] * kept))
            np.exp(-rate * soft, out=kept)
            left = self._rows @ (height * kept)
        self._sunk[:count] += there - left
        state = self._state[:, :, :count]
        state *= kept
        before, self._column_mass = self._column_mass, self._rows @ state[1]
        return self._in_all(before - self._column_mass)

    def _open_void(self, run: int, fed: Flags, stress: Array) -> None:
        """Leave what a run owes as void in the softest fed places, the highest of them first."""
        here = np.s_[:, run * self._width : (run + 1) * self._width]
        mass, area, owed = self._state[1][here], self._area[run], float(self._owed[run])
        order = np.where((fed[here] & (mass > 0.0))[::-1], stress[here][::-1], np.inf)
        while owed > 0.0:
            below, column = divmod(int(order.argmin()), self._width)
            if order[below, column] == np.inf:
                break
            order[below, column] = np.inf
            there = float(mass[-1 - below, column] * area[column])
            mass[-1 - below, column] = max(there - owed, 0.0) / area[column]
            owed -= min(owed, there)
        self._owed[run] = owed

    def told(self, run: int) -> Shrinkage:
        """Tell what has become of the wax of a run."""
        here = np.s_[:, run * self._width : (run + 1) * self._width]
        course = self._ways[run].course
        wax, sunk, area = course.wax, self._sunk[here[1]], self._area[run]
        full, mass = self._state[(slice(None), *here)]
        height, void = full * self._volume[here], 1.0 - mass / full
        thickness = np.diff(wax.z_edges)[:, None]
        filled = height / thickness
        occupied, start = height * area, float(self._start[run])
        shows = (void >= course.void_shows) & (occupied > _NO_VOLUME)
        cavity, pores = np.where(shows, void, 0.0), np.where(shows, 0.0, void)
        cavities = float(np.sum(occupied * cavity))
        hollow = float(np.sum(occupied * void))
        surface = float(area @ sunk)
        level = float(wax.z_edges[-1]) - sunk
        radius = wax.r_edges[-1]
        pour_level = float(wax.z_edges[-1])
        # What was squeezed out above it is no longer there: the wax over a cavity is what is left over it.
        over = np.vstack([np.cumsum(height[::-1], axis=0)[::-1], np.zeros_like(area)])
        highest = len(wax.z) - 1 - np.argmax(shows[::-1], axis=0)
        roof = np.where(shows.any(axis=0), over[highest + 1, np.arange(len(wax.r))], np.nan)
        place: tuple[float, float] | None = None
        if cavities > _NO_VOLUME:
            weight = occupied * cavity / cavities
            place = float(np.sum(weight * wax.r[None, :])), float(np.sum(weight * wax.z[:, None]))
        return Shrinkage(
            level=level,
            r=wax.r,
            area=area,
            pour_level=pour_level,
            cavity=cavity * filled,
            pores=pores * filled,
            rim_dip=float(sunk[-1]),
            half_dip=float(np.interp(0.5 * radius, wax.r, sunk)),
            centre_dip=mean_within(wax.r_edges, sunk, NEAR_AXIS),
            cavity_volume=cavities,
            hollow=(cavity * height).sum(axis=0),
            roof=roof,
            cavity_roof=None if place is None else float(np.nanmin(roof)),
            cavity_place=place,
            ledger=VolumeLedger(
                total=float(np.sum(wax.volume - occupied * (1.0 - void))),
                surface=surface,
                cavities=cavities,
                pores=hollow - cavities,
                solid=float(np.sum(wax.volume - occupied)) - surface,
                open_share=abs(float(area @ mass.sum(axis=0) - self._owed[run] - start)) / start,
            ),
        )


def _of_melting(grown: Array, density: Array) -> Integers:
    """Choose steps where wax that was denser grows and shrinks again, as close together as those of its contraction."""
    there = np.concatenate([[0.0], np.cumsum(np.abs(np.diff(grown - density)))])
    whole = grown[-1] - grown[0] + there[-1]
    count = int(_STEPS * there[-1] / whole) if whole > 0.0 else 0
    return np.minimum(np.searchsorted(there, np.linspace(0.0, there[-1], count)), len(there) - 1)
