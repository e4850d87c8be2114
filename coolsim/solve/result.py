"""What a run found, kept so that every question can be asked again without running again."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from typing import Literal

import numpy as np

from coolsim.model.freezing import CellTables, EnthalpyTable, enthalpy_at_fraction
from coolsim.model.problem import Held, Melt, Path, Thresholds
from coolsim.model.section import Array, Grid, Integers
from coolsim.model.softness import AIRY_SUCTION, Softness
from coolsim.model.volume import VolumeLaw
from coolsim.overview import COMPUTED, Overview, OverviewTable, hours_minutes, time_cell
from coolsim.solve.contraction import Shrinkage
from coolsim.solve.history import History
from coolsim.solve.shrinkage import Course, shrink_together
from coolsim.solve.start import Start
from coolsim.solve.wax_body import WaxBody, last_above
from coolsim.units import format_quantity

LEDGER_CLOSES_TO = 1e-9
"""Largest share of the heat lost by which the energy ledger may be open [-]."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Skin:
    """A first skin of frozen wax at the glass, while the melt is still hot.

    Parameters
    ----------
    formed : float
        When the inner wall falls below the start of freezing [s].
    coldest : float
        Lowest temperature of the inner wall while the melt is still hot [°C].
    coldest_at : float
        When that was [s].
    melted_again : float or None
        When the whole wall is above the start of freezing again [s]; None if the skin stays.
    warmest : float
        Highest temperature of the inner wall from `coldest_at` on, while the melt is still hot, above the start of
        freezing [K]: how far the skin is from staying, or from melting again.
    rim_warmest : float
        Highest temperature of the surface at the glass from then on, above that at which it bears a fingertip [K].
    """

    formed: float
    coldest: float
    coldest_at: float
    melted_again: float | None
    warmest: float
    rim_warmest: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Events:
    """Times since the pour; None where the run ended before.

    Parameters
    ----------
    rim_set : float or None
        The first place of the surface bears a fingertip [s].
    wick_free_until : float or None
        The surface at the axis bears a leaning wick: until then it can be straightened [s].
    top_closed : float or None
        The last place of the surface bears a fingertip [s].
    fully_set : float or None
        No wax gives way in a jar that is carried: it may be moved with care [s].
    top_final : float or None
        Suction moves no more wax: the top has sunk as far as it will [s].
    solid_throughout : float or None
        All wax is as solid as this room makes it [s].
    cool : float or None
        The hottest wax is near the room: the jar may be lidded [s].
    first_skin : Skin or None
        None if no skin forms at the glass while the melt is hot.
    last_liquid : (float, float)
        Radius of the place that gets solid last, and its height above the bottom of the wax [m].

    Examples
    --------
    >>> from coolsim import built_in_pair, simulate, with_overrides
    >>> quick = with_overrides(built_in_pair()[0], {"run.refinement": 0.5, "run.tolerance": "1 K"})
    >>> events = simulate(quick.jar).events
    >>> events.rim_set < events.top_closed < events.fully_set < events.cool
    True
    """

    rim_set: float | None
    wick_free_until: float | None
    top_closed: float | None
    fully_set: float | None
    top_final: float | None
    solid_throughout: float | None
    cool: float | None
    first_skin: Skin | None
    last_liquid: tuple[float, float]


@dataclass(frozen=True, slots=True, kw_only=True)
class Ledger:
    """Where the heat went.

    What section and nodes have lost, and what was booked as having left to the room, less that of sources [J].
    `open_share` is the largest difference between the two at any time, as a share of the heat lost or moved inside, or
    of a hundred-thousandth of that stored if less was [-]; `by_path` has the shares through top, side and base [-].
    """

    given_off: float
    to_room: float
    open_share: float
    by_path: tuple[tuple[Path, float], ...]

    @property
    def closed(self) -> bool:
        """Whether the ledger closes."""
        return self.open_share <= LEDGER_CLOSES_TO


@dataclass(frozen=True, kw_only=True, repr=False)
class Result(Overview):
    """One run. A notebook shows it as a table; `print` writes the same as lines.

    Parameters
    ----------
    name : str
        What the report calls it.
    grid : Grid
        The cells.
    block : (n,) ndarray of int
        Block of each cell.
    parts : tuple of str
        Part of each block.
    tables : tuple of EnthalpyTable
        Material of each block.
    history : History
        All steps.
    boundaries : tuple of (str, str)
        Name and path of each boundary.
    nodes : tuple of (str, float)
        Name of each node and its heat capacity [J/K].
    melt, answers : Melt, Thresholds
        As in the problem.
    wax : WaxBody or None
        The wax, where the section has one rectangle of it.
    events : Events or None
        None without wax.
    ledger : Ledger
        The heat.
    warnings : tuple of str
        What the reader should know, in sentences.
    volume_law : VolumeLaw or None
        Specific volume of the wax; None without wax.
    surface_set : (nr,) ndarray or None
        When each column of the surface has set [s]; None without wax.
    changes : tuple of (float, str)
        When the jar began to stand otherwise [s], and what happened.
    held : tuple of Held
        As in the problem.

    Examples
    --------
    >>> from coolsim import built_in_pair, simulate, with_overrides
    >>> quick = with_overrides(built_in_pair()[0], {"run.refinement": 0.5, "run.tolerance": "1 K"})
    >>> result = simulate(quick.jar)
    >>> result
    <Result 'Tumbler, bare on the bench': top closed 0:42, fully set 1:49, ended 6:45 h>
    >>> print(result)
    Tumbler, bare on the bench [h:mm since the pour]
    Rim set                                0:12
    Wick free until                        0:42
    Top closed                             0:42
    Fully set: may be moved with care      1:49
    ...
    >>> middle = result.temperature_at(0.0, 0.03)
    >>> middle.shape == result.time.shape
    True
    """

    name: str
    grid: Grid
    block: Integers
    parts: tuple[str, ...]
    tables: tuple[EnthalpyTable, ...]
    history: History
    boundaries: tuple[tuple[str, Path], ...]
    nodes: tuple[tuple[str, float], ...]
    melt: Melt
    answers: Thresholds
    wax: WaxBody | None
    events: Events | None
    ledger: Ledger
    warnings: tuple[str, ...]
    volume_law: VolumeLaw | None = None
    surface_set: Array | None = None
    changes: tuple[tuple[float, str], ...] = ()
    held: tuple[Held, ...] = ()

    def __repr__(self) -> str:
        reached = [] if self.events is None else [("top closed", self.events.top_closed)]
        reached += [] if self.events is None else [("fully set", self.events.fully_set)]
        told = "".join(f"{name} {hours_minutes(time)}, " for name, time in reached if time is not None)
        return f"<Result {self.name!r}: {told}ended {hours_minutes(self.time[-1])} h>"

    def overview(self) -> OverviewTable:
        """Return the main answers, as a notebook shows them."""
        rows: list[tuple[str, ...]] = []
        if self.events is not None:
            events = self.events
            near = format_quantity(self.answers.cool_within, "temperature_difference")
            times = (
                ("Rim set", events.rim_set),
                ("Wick free until", events.wick_free_until),
                ("Top closed", events.top_closed),
                ("Fully set: may be moved with care", events.fully_set),
                ("Top has sunk for good", events.top_final),
                ("As solid as this room makes it", events.solid_throughout),
                (f"Within {near} of the room: may be lidded", events.cool),
            )
            rows += [(name, time_cell(time)) for name, time in times]
            r, z = (format_quantity(place, "length") for place in events.last_liquid)
            rows.append(("Last liquid", f"{r} from the axis, {z} above the bottom of the wax"))
        rows.append(("Heat given off", f"{self.ledger.given_off / 1e3:.1f} kJ"))
        why = "the wax was cool" if self.ended == "cool" else "the time was up"
        rows.append(("Ended", f"{hours_minutes(self.time[-1])}: {why}"))
        return OverviewTable(
            title=f"{self.name or 'A run'} [h:mm since the pour]",
            rows=tuple(rows),
            notes=(*(f"Warning: {warning}" for warning in self.warnings), COMPUTED),
        )

    @cached_property
    def shrinkage(self) -> Shrinkage | None:
        """The top and the inside of the wax at the end of the run; None without wax.

        Followed through the steps of this run when it is first asked for.
        """
        return None if self.wax is None or self.volume_law is None else self.shrunk(self.melt.softness)

    def shrunk(self, softness: Softness) -> Shrinkage:
        """Follow the contraction of this run with wax of another softness; `shrunk_together` takes several.

        Parameters
        ----------
        softness : Softness
            How stiff mush is. Where the melt circulates stays as it was in the run.

        Returns
        -------
        Shrinkage
            The top and the inside at the end.

        Raises
        ------
        ValueError
            If the section does not hold exactly one block of wax.
        """
        return shrunk_together([(self, (softness,))])[0][0]

    @cached_property
    def shrunk_otherwise(self) -> tuple[Shrinkage, ...]:
        """The same with stiffer and with softer wax, and with wax that bears less suction.

        Wax is stiffer and softer by as much as that may be off; the suction is down to 30 kPa, where air comes out of
        it. Kept, as a page asks for it several times.
        """
        law = self.melt.softness
        stiff, soft = (replace(law, stiffness=law.stiffness * law.sure_within**way) for way in (1, -1))
        airy = replace(law, suction=min(law.suction, AIRY_SUCTION))
        return tuple(shrunk_together([(self, (stiff, soft, airy))])[0])

    def tops_at(self, times: Sequence[float]) -> list[Shrinkage]:
        """Follow the top and the inside of the wax while they cool.

        Parameters
        ----------
        times : sequence of float
            Since the pour, from the earliest to the latest [s]; after the end of the run nothing moves.

        Returns
        -------
        list of Shrinkage
            The top and the inside at each of them, with what has contracted until then.

        Raises
        ------
        ValueError
            If the section does not hold exactly one block of wax.

        Examples
        --------
        >>> from coolsim import built_in_pair, simulate, with_overrides
        >>> quick = with_overrides(built_in_pair()[0], {"run.refinement": 0.5, "run.tolerance": "1 K"})
        >>> poured, later = simulate(quick.jar).tops_at([0.0, 7200.0])
        >>> poured.depth, later.depth > 1e-3
        (0.0, True)
        """
        return shrink_together([replace(self.course(), at=times)])[0]

    def course(self) -> Course:
        """Return what the contraction of this run follows from; ValueError if it is not known, or there is no wax."""
        wax = self.required_wax()
        if self.volume_law is None:
            raise ValueError(f"'{self.name}' has no law of the volume of its wax")
        return Course(
            time=self.history.time,
            enthalpy=self.history.enthalpy[:, wax.cells],
            wax=wax,
            law=self.volume_law,
            softness=self.melt.softness,
            void_shows=self.answers.void_shows,
        )

    @cached_property
    def solid_share(self) -> float:
        """Mean solid share of the wax when the run ended [-]."""
        wax = self.required_wax()
        liquid = self._looked_up(self.history.enthalpy[-1, wax.cells], wax.cells, "liquid")
        return 1.0 - float((liquid * wax.volume).sum() / wax.volume.sum())

    @property
    def sets_at(self) -> float:
        """Liquid fraction below which wax counts as set: what a jar that is carried does not move [-]."""
        return self.melt.softness.liquid_at(self.answers.carry)

    @property
    def stiff_at(self) -> float:
        """Liquid fraction below which suction draws wax down no more [-]."""
        return self.melt.softness.liquid_at(self.melt.softness.feeds_below)

    @property
    def time(self) -> Array:
        """Times of the steps, shape (nt,) [s]."""
        return self.history.time

    @property
    def ended(self) -> Literal["cool", "horizon", "until"]:
        """Why the run ended: the wax was cool, the time was up, or it was to stop then."""
        if self.history.ended == "cool":
            return "cool"
        return "until" if self.history.ended == "until" else "horizon"

    def _looked_up(self, enthalpy: Array, cells: Integers, what: Literal["temperature", "liquid"]) -> Array:
        tables = CellTables(self.tables, self.block[cells])
        # What a jar has left behind on its way is not there.
        absent = np.isnan(enthalpy) if self.changes else np.False_
        there = np.where(absent, 0.0, enthalpy) if absent.any() else enthalpy
        piece = tables.piece(there)
        found = tables.temperature(there, piece) if what == "temperature" else tables.liquid(there, piece)
        return np.where(absent, np.nan, found) if absent.any() else found

    def enthalpy_at(self, time: float) -> Array:
        """Enthalpy of the cells at a time, straight between steps.

        Parameters
        ----------
        time : float
            Since the pour [s]; must lie within the run.

        Returns
        -------
        (n,) ndarray
            [J/m3].

        Raises
        ------
        ValueError
            If the run does not reach that time.
        """
        after, share = self._step_at(time)
        before, behind = self.history.enthalpy[after - 1], self.history.enthalpy[after]
        enthalpy: Array = before + share * (behind - before)
        return enthalpy

    def _step_at(self, time: float) -> tuple[int, float]:
        """Index of the step that leads past a time, and how far on its way that time is."""
        times = self.history.time
        if not times[0] <= time <= times[-1]:
            raise ValueError(f"{time:.0f} s is outside the run, which goes from {times[0]:.0f} to {times[-1]:.0f} s")
        after = int(np.clip(np.searchsorted(times, time), 1, len(times) - 1))
        return after, float((time - times[after - 1]) / (times[after] - times[after - 1]))

    def state_at(self, time: float) -> Start:
        """State from which another run can go on; `simulate(…, start=…)` takes it.

        Parameters
        ----------
        time : float
            Since the pour [s]; between steps all is taken as straight, so the energy ledger stays closed.

        Returns
        -------
        Start
            Temperatures, and the heat booked so far.

        Raises
        ------
        ValueError
            If the run does not reach that time, or went through changes.

        Examples
        --------
        >>> from coolsim import built_in_pair, simulate, with_overrides
        >>> quick = with_overrides(built_in_pair()[0], {"run.refinement": 0.5, "run.tolerance": "1 K"})
        >>> start = simulate(quick.jar, until=3600.0).state_at(1800.0)
        >>> start.time, simulate(quick.jar, start=start).ended
        (1800.0, 'cool')
        """
        if self.changes:
            raise ValueError(f"'{self.name}' changes on the way: no other run can go on from it")
        after, share = self._step_at(time)
        history = self.history

        def between(rows: Array) -> Array:
            # Written so that the state at a step is that of the step, to the last bit.
            mixed: Array = (1.0 - share) * rows[after - 1] + share * rows[after]
            return mixed

        enthalpy, nodes, owed = between(history.enthalpy), between(history.nodes), between(history.owed)
        capacity = np.array([capacity for _, capacity in self.nodes])
        gone = (history.enthalpy[0] - enthalpy) @ self.grid.volume
        gone += (history.nodes[0] - nodes) @ capacity + float(np.sum(history.owed[0] - owed))
        return Start(
            time=float(time),
            enthalpy=enthalpy,
            nodes=nodes,
            owed=owed,
            owed_over=float(history.owed_over[after]),
            surface=between(history.surface),
            gaps=tuple((float(warm), float(cold)) for warm, cold in between(history.gaps)),
            lost=between(history.lost),
            to_nodes=between(history.to_nodes),
            carried=between(history.carried),
            released=float(between(history.released)),
            given_off=history.given_before + float(gone),
        )

    def temperature_map(self, time: float) -> Array:
        """Temperature of the whole section at a time.

        Parameters
        ----------
        time : float
            Since the pour [s].

        Returns
        -------
        (nz, nr) ndarray
            Temperature [°C], NaN in the air.
        """
        everywhere = np.arange(len(self.block))
        return self.grid.on_plane(self._looked_up(self.enthalpy_at(time), everywhere, "temperature"))

    def liquid_map(self, time: float) -> Array:
        """Liquid fraction of the wax at a time.

        Parameters
        ----------
        time : float
            Since the pour [s].

        Returns
        -------
        (nz, nr) ndarray
            Liquid fraction of the wax cells [-], rows from the bottom of the wax.
        """
        wax = self.required_wax()
        return self._looked_up(self.enthalpy_at(time)[wax.cells], wax.cells, "liquid")

    def temperatures(self, cells: Integers) -> Array:
        """Temperature of some cells at all steps.

        Parameters
        ----------
        cells : (...) ndarray of int
            Row-order indices.

        Returns
        -------
        (nt, ...) ndarray
            Temperature [°C].
        """
        return self._looked_up(self.history.enthalpy[:, cells], cells, "temperature")

    def temperature_at(self, r: float, z: float) -> Array:
        """Temperature of one point of the wax at all steps.

        Parameters
        ----------
        r, z : float
            Radius, and height above the bottom of the wax [m].

        Returns
        -------
        (nt,) ndarray
            Temperature [°C], straight between cell middles and beyond the outermost ones.

        Raises
        ------
        ValueError
            If the point is outside the wax.
        """
        wax = self.required_wax()
        if not (0.0 <= r <= wax.r_edges[-1] * (1 + 1e-9) and 0.0 <= z <= wax.z_edges[-1] * (1 + 1e-9)):
            raise ValueError(
                f"the point r {1e3 * r:.1f} mm, z {1e3 * z:.1f} mm is outside the wax,"
                f" which has radius {1e3 * wax.r_edges[-1]:.1f} mm and depth {1e3 * wax.z_edges[-1]:.1f} mm"
            )
        column, across = _between(wax.r, max(r, wax.r[0]))
        row, up = _between(wax.z, z)
        corners = self.temperatures(wax.cells[row : row + 2, column : column + 2])
        lower = corners[:, 0, 0] if corners.shape[2] == 1 else _mix(corners[:, 0, 0], corners[:, 0, 1], across)
        if corners.shape[1] == 1:
            return lower
        upper = corners[:, 1, 0] if corners.shape[2] == 1 else _mix(corners[:, 1, 0], corners[:, 1, 1], across)
        return _mix(lower, upper, up)

    def solid_fraction(self) -> Array:
        """Share of the wax that is solid, at all steps, shape (nt,) [-]."""
        wax = self.required_wax()
        liquid = self._looked_up(self.history.enthalpy[:, wax.cells], wax.cells, "liquid")
        fraction: Array = 1.0 - np.tensordot(liquid, wax.volume, axes=2) / wax.volume.sum()
        return fraction

    def mean_wax_temperature(self) -> Array:
        """Volume mean of the wax temperature at all steps, shape (nt,) [°C]."""
        wax = self.required_wax()
        mean: Array = np.tensordot(self.temperatures(wax.cells), wax.volume, axes=2) / wax.volume.sum()
        return mean

    def hottest_wax(self) -> Array:
        """Hottest wax at all steps, shape (nt,) [°C]."""
        hottest: Array = self.temperatures(self.required_wax().cells).max(axis=(1, 2))
        return hottest

    def set_time(self) -> Array:
        """When each place set for good.

        Returns
        -------
        (nz, nr) ndarray
            Time for each wax cell [s]; NaN where it was still soft when the run ended.
        """
        wax = self.required_wax()
        level = enthalpy_at_fraction(wax.table, self.sets_at)
        return last_above(self.history.time, self.history.enthalpy[:, wax.cells] - level)

    def heat_lost(self, path: Path) -> Array:
        """Heat that has left the section along a path.

        Parameters
        ----------
        path : {"top", "side", "base"}
            Which way.

        Returns
        -------
        (nt,) ndarray
            Since the start [J].
        """
        chosen = [index for index, (_, one) in enumerate(self.boundaries) if one == path]
        lost: Array = self.history.lost[:, chosen].sum(axis=1)
        return lost

    def required_wax(self) -> WaxBody:
        """Return the wax, or raise if the section has none.

        Raises
        ------
        ValueError
            If the section does not hold exactly one block of wax.
        """
        if self.wax is None:
            raise ValueError(f"'{self.name}' does not hold exactly one block of wax")
        return self.wax

    def required_events(self) -> Events:
        """Return the events, or raise if there is no wax to have them.

        Raises
        ------
        ValueError
            If the section does not hold exactly one block of wax.
        """
        if self.events is None:
            raise ValueError(f"'{self.name}' does not hold exactly one block of wax")
        return self.events


def shrink_results(results: Iterable[Result]) -> None:
    """Follow the contraction of all runs with wax at once, so that each has its `shrinkage` when it is asked for."""
    todo = [
        one for one in results if "shrinkage" not in vars(one) and one.wax is not None and one.volume_law is not None
    ]
    for result, (found,) in zip(todo, shrunk_together([(one, (one.melt.softness,)) for one in todo]), strict=True):
        # Where `cached_property` looks for it.
        vars(result)["shrinkage"] = found


def shrunk_together(asked: Sequence[tuple[Result, Sequence[Softness]]]) -> list[list[Shrinkage]]:
    """Follow the contraction of runs at once, of each with wax of so many softnesses, as `Result.shrunk` does."""
    courses = [replace(course, softness=one) for result, laws in asked for course in (result.course(),) for one in laws]
    found = iter(top for (top,) in shrink_together(courses))
    return [[next(found) for _ in laws] for _, laws in asked]


def _between(middles: Array, place: float) -> tuple[int, float]:
    """Index of the cell before a place and how far the place is on the way to the next one."""
    if len(middles) == 1:
        return 0, 0.0
    before = int(np.clip(np.searchsorted(middles, place) - 1, 0, len(middles) - 2))
    return before, float((place - middles[before]) / (middles[before + 1] - middles[before]))


def _mix(first: Array, second: Array, share: float) -> Array:
    mixed: Array = first + share * (second - first)
    return mixed
