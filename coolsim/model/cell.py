"""The part of a box that belongs to one jar, and the laws of its faces: board, flaps and the air between."""

from __future__ import annotations

import math
from dataclasses import dataclass

from coolsim.model.air import dry_air
from coolsim.model.film_laws import GapFilm, LevelFilm, OpeningExchange, WallFilm
from coolsim.model.jar import Jar, Surround
from coolsim.model.problem import ROOM, Boundary, Link, Node, NodeLink
from coolsim.model.surfaces import (
    emissivity_between,
    emissivity_through_mouth,
    glass_above_wax,
    lid_top,
    opening_exchange,
    wax_top,
)

BOX_AIR = "box air"
FLAPS_INSIDE = "flaps inside"
FLAPS_OUTSIDE = "flaps outside"


@dataclass(frozen=True, slots=True, kw_only=True)
class Cell:
    """The part of a box that belongs to one jar.

    `radius` is the inner one of the ring that the board is [m], `walls` the share of that ring that is there [-].
    `round_box` is the diameter of a ring as long as the wall of the whole box [m], `across_box` that of a disc as large
    as the box seen from above [m], and `plan` the area of the cell [m2].
    """

    radius: float
    plan: float
    walls: float
    round_box: float
    across_box: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Above:
    """The air above the jars and the flaps, as nodes, and their exchange with each other and the room."""

    nodes: tuple[Node, ...]
    links: tuple[NodeLink, ...]


def cell_of(jar: Jar, surround: Surround) -> Cell:
    """Cell of a jar that has the box for itself: the whole box."""
    radius = 0.5 * jar.vessel.diameter + surround.gap
    plan = math.pi * radius**2 if surround.plan is None else surround.plan
    return Cell(
        radius=radius,
        plan=plan,
        walls=surround.exposed_sides / 4.0,
        round_box=2 * radius,
        across_box=2.0 * math.sqrt(plan / math.pi),
    )


def boxed_laws(jar: Jar, surround: Surround, cell: Cell) -> tuple[list[Boundary], tuple[Link, ...]]:
    """Laws of the faces of a jar in a box and of the board beside it, and the gap between the two if there is one."""
    vessel = jar.vessel
    closed = surround.flaps == "closed"
    opening = opening_exchange(0.5 * vessel.diameter, 0.5 * cell.across_box, surround.headroom)
    sees = FLAPS_INSIDE if closed else ROOM
    through = 1.0 / (1.0 / emissivity_through_mouth(jar) + 1.0 / (surround.emissivity if closed else opening) - 1.0)
    if jar.lid is None:
        boundaries = [
            wax_top(jar, air=BOX_AIR, sees=sees, emissivity=through, speed=0.0),
            *glass_above_wax(jar, BOX_AIR),
        ]
    else:
        boundaries = [lid_top(jar, jar.lid, air=BOX_AIR, speed=0.0)]
    if not cell.walls:
        return boundaries, ()
    boundaries += [*board_laws(jar, surround, cell), *board_above_rim(surround)]
    link = Link(
        inner="glass",
        outer="board",
        film=GapFilm(height=vessel.height, width=cell.radius - 0.5 * vessel.diameter),
        emissivity=emissivity_between(vessel.emissivity, surround.emissivity, 0.5 * vessel.diameter / cell.radius),
    )
    return boundaries, (link,)


def board_laws(jar: Jar, surround: Surround, cell: Cell) -> list[Boundary]:
    """Laws of the outside and of the edge of the board."""
    outer = cell.round_box + 2 * surround.side_layers * surround.layer
    height = jar.vessel.height + surround.headroom + surround.under_layers * surround.layer
    return [
        Boundary(
            name="board outside",
            part="board",
            facing="outwards",
            film=WallFilm(height=height, diameter=outer, factor=jar.side_factor, speed=jar.room.air_speed),
            emissivity=surround.emissivity,
            path="side",
        ),
        Boundary(
            name="edge of the board",
            part="board",
            facing="up",
            film=LevelFilm(diameter=outer),
            emissivity=surround.emissivity,
            path="side",
        ),
    ]


def board_above_rim(surround: Surround) -> list[Boundary]:
    """Law of the inside of the board above the brim, where there is headroom."""
    if surround.headroom <= 1e-6:
        return []
    return [
        Boundary(
            name="board inside, above the brim",
            part="board",
            facing="inwards",
            spans=("above",),
            film=WallFilm(height=surround.headroom),
            air=BOX_AIR,
            path="side",
        )
    ]


def air_above(jar: Jar, surround: Surround, *, plan: float, jars: int = 1) -> Above:
    """State the air over so many jars [-] in a box of this area seen from above [m2], and the flaps over that."""
    across = 2.0 * math.sqrt(plan / math.pi)
    room = jar.room.at(0.0) if surround.start is None else surround.start
    moist = dry_air(room)
    volume = plan * surround.headroom + jars * math.pi * jar.vessel.inner_radius**2 * max(jar.headspace, 0.0)
    air = Node(name=BOX_AIR, capacity=max(volume, 1e-6) * moist.density * moist.heat_capacity, start=room)
    if surround.flaps == "open":
        leave = NodeLink(ends=(BOX_AIR, ROOM), conductance=OpeningExchange(diameter=across))
        return Above(nodes=(air,), links=(leave,))
    thickness = surround.flap_layers * surround.layer
    half = 0.5 * plan * thickness * surround.board.density * surround.board.heat_capacity
    nodes = (
        air,
        Node(name=FLAPS_INSIDE, capacity=half, start=room),
        Node(name=FLAPS_OUTSIDE, capacity=half, start=room),
    )
    through_flaps = plan / (thickness / surround.board.conductivity + surround.cover)
    to_room = LevelFilm(diameter=across, factor=plan, speed=jar.room.air_speed, emissivity=surround.emissivity)
    links = (
        # A ceiling over warm air has the film of a warm floor: by the law the air is the face, and looks up.
        NodeLink(ends=(BOX_AIR, FLAPS_INSIDE), conductance=LevelFilm(diameter=across, factor=plan)),
        NodeLink(ends=(FLAPS_INSIDE, FLAPS_OUTSIDE), conductance=through_flaps),
        NodeLink(ends=(FLAPS_OUTSIDE, ROOM), conductance=to_room),
    )
    return Above(nodes=nodes, links=links)
