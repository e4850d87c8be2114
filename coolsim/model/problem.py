"""What is simulated: a section, the laws on its faces, the room, the melt and the questions asked.

Everything is frozen, in SI with temperatures in °C. A jar described by a scenario becomes a `Problem` in
`coolsim.model.jar`; a `Problem` can as well be written directly, as the checks against closed solutions do.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field, replace
from typing import Literal

import numpy as np

from coolsim.model.materials import Wax
from coolsim.model.section import Array, Section
from coolsim.model.softness import BUOYANT_STRESS, Softness

Film = float | Callable[[float, float], float]
"""A film coefficient [W/m2/K], or a law of (surface, air) temperatures [°C] that gives one. Infinite: the surface
takes the temperature of the air."""

AirTemperature = float | str | Callable[[Array, Array, float], Array]
"""A temperature [°C], the name of the room or of a node, or a function of (r [m], z [m], time [s])."""

Path = Literal["top", "side", "base"]
ROOM = "room"


@dataclass(frozen=True, slots=True, kw_only=True)
class Boundary:
    """A law on faces where a part of the section meets the air.

    Parameters
    ----------
    name : str
        How the report calls the surface.
    part : str
        The part whose faces these are.
    facing : {"outwards", "inwards", "up", "down"}
        Which of its faces.
    film : float or callable
        Convective film [W/m2/K], constant or a law of the surface's mean temperature and the air's.
    emissivity : float
        Effective emissivity towards `sees` [-].
    air : float, str or callable
        Temperature of the air at the film [°C].
    sees : float or str
        Temperature of what the surface radiates to [°C].
    flux : float
        Heat put in from outside besides the film [W/m2].
    spans : tuple of str
        Spans along the other axis to which the law is confined; empty means all.
    path : {"top", "side", "base"}
        Under which heading its heat is booked.
    share : float
        Share of the faces' area that the law holds for [-]; the rest may have another one.
    """

    name: str
    part: str
    facing: Literal["outwards", "inwards", "up", "down"]
    film: Film = 0.0
    emissivity: float = 0.0
    air: AirTemperature = ROOM
    sees: float | str = ROOM
    flux: float = 0.0
    spans: tuple[str, ...] = ()
    path: Path = "side"
    share: float = 1.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Contact:
    """A thermal contact between two parts that touch, with its conductance [W/m2/K]."""

    parts: tuple[str, str]
    conductance: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Link:
    """Heat across an air gap between two parts that face each other along r.

    The film is a law of the two mean face temperatures [°C]; the emissivity is effective, per area of the inner face
    [-].
    """

    inner: str
    outer: str
    film: Film
    emissivity: float = 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Node:
    """A body of one temperature that faces of the section and other nodes exchange heat with.

    Capacity [J/K], start [°C]. A `split` one is cut like the faces that meet it, one piece for each face, with no heat
    from piece to piece: what stands between two walls is warm where they are. All laws that name it must have as many
    faces; it has no links.
    """

    name: str
    capacity: float
    start: float
    split: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Held:
    """What stands round the section up to a height [m] and keeps its temperature [°C]: drawn, not solved."""

    name: str
    top: float
    temperature: float


@dataclass(frozen=True, slots=True, kw_only=True)
class NodeLink:
    """Heat between two nodes, or between a node and the room.

    A conductance [W/K], or a law of the two temperatures [°C].
    """

    ends: tuple[str, str]
    conductance: float | Callable[[float, float], float]
    path: Path = "top"


@dataclass(frozen=True, slots=True, kw_only=True)
class Melt:
    """How the molten wax stirs itself, and when it stops to flow.

    Parameters
    ----------
    mixing : {"stratified", "effective", "none"}
        Stratified melt (see `coolsim.solve.mixing`), a melt that only conducts better than it does at rest, or pure
        conduction.
    relaxation : float
        Time in which the melt settles into layers [s].
    flows_above : float, optional
        Liquid fraction above which wax circulates [-]; left out, where its yield stress stops the buoyancy.
    softness : Softness
        How stiff mush is.
    conductivity_factor : float
        With `mixing` "effective": conductivity of wax that circulates, as a multiple of that of its liquid [-]. Ten
        fits a resolved flow computation best (computed independently), but for the top, which it closes too early.
    """

    mixing: Literal["stratified", "effective", "none"] = "stratified"
    relaxation: float = 90.0
    flows_above: float | None = None
    softness: Softness = field(default_factory=Softness)
    conductivity_factor: float = 10.0

    def __post_init__(self) -> None:
        if self.mixing not in ("stratified", "effective", "none"):
            raise ValueError(f"mixing must be 'stratified', 'effective' or 'none', not {self.mixing!r}")
        if not (np.isfinite(self.relaxation) and self.relaxation > 0):
            raise ValueError(f"relaxation {self.relaxation} s must be positive")
        if not (np.isfinite(self.conductivity_factor) and self.conductivity_factor >= 1.0):
            raise ValueError(f"conductivity_factor must be 1 or more, not {self.conductivity_factor}")
        if self.flows_above is not None and not 0.0 <= self.flows_above < 1.0:
            raise ValueError(f"flows_above must lie in [0, 1), not {self.flows_above}")

    @property
    def circulates_above(self) -> float:
        """Liquid fraction above which wax circulates: as stated, or as its softness says [-]."""
        return self.softness.liquid_at(BUOYANT_STRESS) if self.flows_above is None else self.flows_above


@dataclass(frozen=True, slots=True, kw_only=True)
class Thresholds:
    """From where on something counts.

    Parameters
    ----------
    touch : float
        Stress under a fingertip that feels whether a top has set [Pa].
    touch_depth : float
        How deep the fingertip feels [m].
    wick : float
        Stress of a wick that leans against the wax beside it [Pa].
    carry : float
        Stress of a jar that is carried and set down [Pa].
    cool_within : float
        The jar may be moved and lidded when its hottest wax is this close to the room [K].
    skin_margin : float
        A first skin at the glass is one that forms while the mean of the melt is still this much above the start of
        freezing [K].
    flat_within : float
        Dish and hole of less than this do not count [m].
    pit_from : float
        A hole in the middle that is this deep is called a pit at the wick [m].
    void_shows : float
        Share of void from which on a cut through the wax shows a cavity and not only pores [-].
    cavity_from : float
        Hidden cavities of this volume and more are called one [m3].
    """

    touch: float = 1e3
    touch_depth: float = 3e-3
    wick: float = 1e3
    carry: float = 1e3
    cool_within: float = 3.0
    skin_margin: float = 3.0
    flat_within: float = 1e-3
    pit_from: float = 3e-3
    void_shows: float = 0.1
    cavity_from: float = 0.5e-6


@dataclass(frozen=True, slots=True, kw_only=True)
class Accuracy:
    """How finely the run is cut.

    Parameters
    ----------
    refinement : float
        Factor on the number of cells in each direction [-].
    tolerance : float
        Error allowed in one time step, as a temperature [K].
    first_step, longest_step : float
        Limits of the time step [s].
    """

    refinement: float = 1.0
    tolerance: float = 0.2
    first_step: float = 0.5
    longest_step: float = 1500.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Problem:
    """One simulation, wholly stated.

    Equation (1) of `coolsim.theory`.

    Parameters
    ----------
    section : Section
        Geometry, materials and starting temperatures.
    boundaries : tuple of Boundary
        Laws on the outer faces; a face without one is insulated.
    contacts, links : tuple
        Contact resistances and air gaps.
    nodes, node_links : tuple
        Bodies of one temperature (box air, flaps) and their exchange.
    held : tuple of Held
        What keeps its temperature round the section, for the drawing; its laws are among the boundaries.
    room : float or callable
        Room temperature [°C], or a function of the time [s].
    melt, answers, accuracy : Melt, Thresholds, Accuracy
        See there.
    horizon : float
        When the run ends at the latest [s].
    stop_when_cool : bool
        End as soon as the hottest wax is within `answers.cool_within` of the room.
    start : callable, optional
        Starting temperature as a function of (r, z) [m] instead of the blocks' own [°C].
    source : callable, optional
        Heat released inside as a function of (r [m], z [m], time [s]) [W/m3].

    Examples
    --------
    A cylinder of wax in still air, without a jar:

    >>> from coolsim import Problem, catalogue_wax, simulate
    >>> from coolsim.model.problem import Boundary
    >>> from coolsim.model.section import Block, Section, Span
    >>> cylinder = Section(
    ...     radial=(Span(name="wax", length=0.03, cells=8),),
    ...     axial=(Span(name="wax", length=0.06, cells=12),),
    ...     blocks=(
    ...         Block(part="wax", material=catalogue_wax("paraffin"), radial=("wax",), axial=("wax",), start=70.0),
    ...     ),
    ... )
    >>> side = Boundary(name="side", part="wax", facing="outwards", film=10.0)
    >>> problem = Problem(section=cylinder, boundaries=(side,), room=20.0, horizon=3600.0)
    >>> simulate(problem).ended
    'horizon'
    """

    section: Section
    boundaries: tuple[Boundary, ...]
    contacts: tuple[Contact, ...] = ()
    links: tuple[Link, ...] = ()
    nodes: tuple[Node, ...] = ()
    node_links: tuple[NodeLink, ...] = ()
    held: tuple[Held, ...] = ()
    room: float | Callable[[float], float] = 21.0
    melt: Melt = field(default_factory=Melt)
    answers: Thresholds = field(default_factory=Thresholds)
    accuracy: Accuracy = field(default_factory=Accuracy)
    horizon: float = 24 * 3600.0
    stop_when_cool: bool = True
    start: Callable[[Array, Array], Array] | None = None
    source: Callable[[Array, Array, float], Array] | None = None


def with_stirred_wax(problem: Problem) -> Problem:
    """Give the wax the conductivity of an effectively mixed melt; the same problem unless its melt mixes so."""
    melt = problem.melt
    if melt.mixing != "effective" or melt.conductivity_factor == 1.0:
        return problem
    blocks = tuple(
        replace(block, material=block.material.stirred(melt.conductivity_factor, above=melt.circulates_above))
        if isinstance(block.material, Wax)
        else block
        for block in problem.section.blocks
    )
    return replace(problem, section=replace(problem.section, blocks=blocks))
