"""A jar of wax and what stands round it, as a maker would describe it, in SI with temperatures in °C."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass, field
from typing import Literal

from coolsim.model.places import Places
from coolsim.model.problem import Accuracy, Melt, Thresholds
from coolsim.model.properties import Inert, Wax
from coolsim.overview import Overview, OverviewTable
from coolsim.units import System, format_quantity


@dataclass(frozen=True, slots=True, kw_only=True)
class Vessel:
    """A straight-sided jar or tin.

    Parameters
    ----------
    diameter : float
        Outside diameter [m].
    height : float
        Outside height [m].
    wall, base : float
        Thickness of wall and base [m].
    material : Inert
        What it is made of.
    emissivity : float
        Of its outside [-].
    foot : float
        Contact conductance between its foot and what it stands on [W/m2/K].
    start : float or None
        Its temperature when the wax is poured [°C]; None: that of the room.
    shock_limit : float or None
        Largest sudden temperature difference that it withstands [K]; always None for metal, which none harms.

    Examples
    --------
    >>> from coolsim import Vessel, catalogue_inert
    >>> tin = Vessel(diameter=0.078, height=0.06, wall=0.0003, base=0.0003, material=catalogue_inert("tinned-steel"))
    >>> round(1e3 * tin.inner_radius, 1)
    38.7
    """

    diameter: float
    height: float
    wall: float
    base: float
    material: Inert
    emissivity: float = 0.90
    foot: float = 25.0
    start: float | None = None
    shock_limit: float | None = 42.0

    def __post_init__(self) -> None:
        if self.material.is_metal:
            object.__setattr__(self, "shock_limit", None)

    @property
    def inner_radius(self) -> float:
        """Inner radius [m]."""
        return 0.5 * self.diameter - self.wall

    @property
    def brimful(self) -> float:
        """What it holds when it is full to the brim [m3]."""
        return math.pi * self.inner_radius**2 * (self.height - self.base)


@dataclass(frozen=True, slots=True, kw_only=True)
class Support:
    """What the jar, or the box, stands on.

    Parameters
    ----------
    material : Inert or None
        What it is made of; None is a wire rack: nothing but the air of the room below, and what little heat the wires
        take is left out.
    thickness : float
        Its thickness [m].
    reach : float
        How far it goes on beyond the jar or the board before it is cut off, insulated [m].
    underside : {"air", "insulated", "held"}
        Whether air can get under it, or it is held at `start` from below.
    emissivity : float
        Of its faces [-].
    contact : float
        Contact conductance between the board under a jar and the bench, and under a mat [W/m2/K].
    start : float or None
        Its temperature at the pour [°C]; None: that of the room.
    mat : Inert or None
        What lies on it under jar or box, such as a towel.
    mat_thickness : float
        Thickness of the mat [m].

    Examples
    --------
    >>> from coolsim import Support, catalogue_inert
    >>> Support(material=catalogue_inert("oak"), thickness=0.03).underside
    'air'
    """

    material: Inert | None
    thickness: float = 0.0
    reach: float = 0.06
    underside: Literal["air", "insulated", "held"] = "air"
    emissivity: float = 0.90
    contact: float = 30.0
    start: float | None = None
    mat: Inert | None = None
    mat_thickness: float = 0.0

    def __post_init__(self) -> None:
        if self.underside == "held" and self.start is None:
            raise ValueError("an underside that is held needs a temperature, `start`")
        if self.material is None and (self.mat is not None or self.underside == "held"):
            raise ValueError("on a rack there is nothing to lay a mat on or to hold warm")


@dataclass(frozen=True, slots=True, kw_only=True)
class Surround:
    """The cardboard box round the jar.

    Parameters
    ----------
    gap : float
        Air between jar and board [m].
    headroom : float
        Air between the brim of the jar and the flaps [m].
    board : Inert
        What it is made of.
    layer : float
        Thickness of one layer of board [m].
    side_layers, flap_layers : int
        Layers round the jar, and in the closed flaps [-].
    under_layers : int
        Layers under the jar; may be 0 [-].
    flaps : {"open", "closed"}
        Whether the box is closed above the jar.
    cover : float
        Thermal resistance of what is laid over the closed flaps, per area [m2 K/W].
    emissivity : float
        Of the board [-].
    exposed_sides : int
        How many of the jar's four sides face the box wall; the others face identical jars [-].
    plan : float or None
        Area of the box or of the jar's cell, seen from above [m2]; None: of the ring that the board is.
    start : float or None
        Temperature of board and box air at the pour [°C]; None: that of the room.

    Examples
    --------
    >>> from coolsim import Surround, catalogue_inert
    >>> Surround(gap=0.012, headroom=0.015, board=catalogue_inert("board"), layer=0.003).flaps
    'closed'
    """

    gap: float
    headroom: float
    board: Inert
    layer: float
    side_layers: int = 1
    flap_layers: int = 1
    under_layers: int = 1
    flaps: Literal["open", "closed"] = "closed"
    cover: float = 0.0
    emissivity: float = 0.92
    exposed_sides: int = 4
    plan: float | None = None
    start: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class WaterBath:
    """Water that a jar stands in, stirred or changed so often that it keeps its temperature.

    The jar stands on a rack in it: the water gets under the base, too. What is under water radiates to nothing.

    Parameters
    ----------
    temperature : float
        Of the water [°C].
    depth : float
        How high the water stands against the jar, from its foot up [m].
    film : float or None
        Film coefficient between water and jar [W/m2/K]; None: that of free convection in still water.

    Examples
    --------
    >>> from coolsim import WaterBath
    >>> WaterBath(temperature=15.0, depth=0.067).film is None
    True
    """

    temperature: float
    depth: float
    film: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Room:
    """The air round everything.

    Parameters
    ----------
    temperature : float or callable
        Room temperature [°C], or a function of the time [s].
    air_speed : float
        Draught past the jar or the box [m/s]; 0 is still air.

    Examples
    --------
    A room that warms by 1 K in an hour:

    >>> from coolsim import Room
    >>> Room(temperature=lambda time: 19.0 + time / 3600.0).at(1800.0)
    19.5
    """

    temperature: float | Callable[[float], float] = 21.0
    air_speed: float = 0.0

    def at(self, time: float) -> float:
        """Room temperature at a time.

        Parameters
        ----------
        time : float
            Since the pour [s].

        Returns
        -------
        float
            Temperature [°C].
        """
        return self.temperature(time) if callable(self.temperature) else self.temperature


@dataclass(frozen=True, slots=True, kw_only=True)
class Lid:
    """A disc that lies on the brim of the jar and closes it; the heat that it holds itself is left out.

    Parameters
    ----------
    material : Inert
        What it is made of.
    thickness : float
        Its thickness [m].
    emissivity : float
        Of both its faces [-].

    Examples
    --------
    >>> from coolsim import Lid, catalogue_inert
    >>> Lid(material=catalogue_inert("oak"), thickness=0.012).emissivity
    0.9
    """

    material: Inert
    thickness: float
    emissivity: float = 0.90


@dataclass(frozen=True, slots=True, kw_only=True)
class Change:
    """From a time on a jar stands otherwise.

    Parameters
    ----------
    time : float
        Since the pour [s].
    happens : str
        What happens, in words.
    surround : Surround or None
        The box from then on; None is a bare jar.
    lid : Lid or None
        The lid from then on.
    foot : float
        Contact conductance between its foot and what it stands on from then on [W/m2/K].
    air_speed : float
        Draught from then on [m/s].
    moved : bool
        Whether it stands in another place: bench and box there have not seen the jar before.

    Examples
    --------
    A draught from the first hour on:

    >>> from dataclasses import replace
    >>> from coolsim import Change, built_in_pair, simulate, with_overrides
    >>> jar = with_overrides(built_in_pair()[0], {"run.refinement": 0.5, "run.tolerance": "1 K"}).jar
    >>> draught = Change(time=3600.0, happens="draught", air_speed=1.0)
    >>> simulate(replace(jar, changes=(draught,))).events.fully_set < simulate(jar).events.fully_set
    True
    """

    time: float
    happens: str
    surround: Surround | None = None
    lid: Lid | None = None
    foot: float = 25.0
    air_speed: float = 0.0
    moved: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Jar(Overview):
    """A filled jar in its surroundings: all that one run needs.

    Parameters
    ----------
    name : str
        What the report calls it.
    vessel : Vessel
        The jar.
    wax : Wax
        What is in it, fragrance included.
    depth : float
        Depth of the wax [m].
    pour : float
        Temperature of the wax when it is poured [°C].
    support : Support
        What it stands on.
    surround : Surround or None
        The box; None is a bare jar.
    water : WaterBath or None
        The water that a bare jar stands in; None: it stands in air.
    places : Places or None
        Where jars like this one stand in the box; None: the box holds this one alone. With several, the gap of the
        surround is the mean one at the wall (without a jar at the wall, in its place), and its plan and exposed sides
        are those of each place.
    room : Room
        The air.
    melt, answers, accuracy : Melt, Thresholds, Accuracy
        See there.
    headspace_factor : float
        How much of the open surface's film is left below the brim [-].
    side_factor, top_factor : float
        Factors on the films of the side and of the top, to fit them to a measurement [-].
    horizon : float
        When the run ends at the latest [s].
    stop_when_cool : bool
        Whether the run ends as soon as the wax is cool.
    lid : Lid or None
        What lies on its rim from the start; None is an open jar.
    changes : tuple of Change
        What happens to it on the way, in order.

    Examples
    --------
    A scenario makes a jar; `dataclasses.replace` makes another one of it.

    >>> from dataclasses import replace
    >>> from coolsim import built_in_pair
    >>> print(replace(built_in_pair()[0].jar, name="Hotter", pour=70.0))
    Hotter
    Vessel         78 mm × 86 mm, glass
    Wall and base  3.5 mm and 8 mm
    Wax            59.4 mm of soft-vegetable with 8 % fragrance
    Poured at      70 °C
    Jar at         21 °C
    Stands on      30 mm of oak
    Box            none: bare
    Room at        21 °C
    """

    name: str
    vessel: Vessel
    wax: Wax
    depth: float
    pour: float
    support: Support
    surround: Surround | None = None
    water: WaterBath | None = None
    places: Places | None = None
    room: Room = field(default_factory=Room)
    melt: Melt = field(default_factory=Melt)
    answers: Thresholds = field(default_factory=Thresholds)
    accuracy: Accuracy = field(default_factory=Accuracy)
    headspace_factor: float = 0.7
    side_factor: float = 1.0
    top_factor: float = 1.0
    horizon: float = 24 * 3600.0
    stop_when_cool: bool = True
    lid: Lid | None = None
    changes: tuple[Change, ...] = ()

    @property
    def vessel_start(self) -> float:
        """Temperature of the vessel when the wax is poured [°C]: its own, or that of the room."""
        return self.room.at(0.0) if self.vessel.start is None else self.vessel.start

    @property
    def headspace(self) -> float:
        """Height of the brim above the wax [m]."""
        return self.vessel.height - self.vessel.base - self.depth

    def overview(self) -> OverviewTable:
        """Return the jar in a few lines, as a notebook shows it."""
        return OverviewTable(title=self.name, rows=jar_rows(self))


def support_in_words(support: Support, units: System = "metric") -> str:
    """Say what something stands on."""
    if support.material is None:
        return "a wire rack"
    told = f"{format_quantity(support.thickness, 'length', system=units)} of {support.material.name}"
    if support.start is not None:
        held = "held at" if support.underside == "held" else "at"
        told += f" {held} {format_quantity(support.start, 'temperature', system=units)}"
    if support.mat is not None:
        told += f", under {format_quantity(support.mat_thickness, 'length', system=units)} of {support.mat.name}"
    return told


def jar_rows(jar: Jar, *, units: System = "metric") -> tuple[tuple[str, str], ...]:
    """Describe a jar in a few lines, each a name and a value."""

    def length(value: float) -> str:
        return format_quantity(value, "length", system=units)

    def temperature(value: float) -> str:
        return format_quantity(value, "temperature", system=units)

    vessel, box, places, water = jar.vessel, jar.surround, jar.places, jar.water
    around = "none: bare"
    if box is not None:
        kind = "closed" if box.flaps == "closed" else "open"
        of_many = "" if places is None else f"{places.rows} × {places.columns} places, {places.jars} jars, "
        around = f"{of_many}{kind}, gap {length(box.gap)}, headroom {length(box.headroom)}, {box.board.name}"
    return (
        ("Vessel", f"{length(vessel.diameter)} × {length(vessel.height)}, {vessel.material.name}"),
        ("Wall and base", f"{length(vessel.wall)} and {length(vessel.base)}"),
        ("Wax", f"{length(jar.depth)} of {jar.wax.name}"),
        ("Poured at", temperature(jar.pour)),
        ("Jar at", temperature(jar.vessel_start)),
        ("Stands on", support_in_words(jar.support, units)),
        ("Box", around)
        if water is None
        else ("Water", f"at {temperature(water.temperature)}, {length(water.depth)} up"),
        (
            "Room at",
            temperature(jar.room.at(0.0)) + ("" if not callable(jar.room.temperature) else " at the pour; it changes"),
        ),
        *((format_quantity(one.time, "duration"), one.happens) for one in jar.changes),
    )
