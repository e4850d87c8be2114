"""From a jar and its surroundings to a problem: which block stands where, and which law holds on which face.

Simplifications, each small against the films' own scatter: the air in the gap beside the jar is closed at its top;
the board under the jar is insulated where it faces that gap; glass above the wax passes on the radiation it gets, so
it exchanges heat with the air beside it only by its film.
"""

from __future__ import annotations

import math

from coolsim.model.air import dry_air
from coolsim.model.films import exchange_through_opening, film_on_face_down, film_on_upright_wall
from coolsim.model.jar import Jar, Surround
from coolsim.model.problem import ROOM, Boundary, Contact, Link, Node, NodeLink, Problem
from coolsim.model.radiation import radiation_film
from coolsim.model.section import Block, Section, Span
from coolsim.model.surfaces import (
    emissivity_between,
    emissivity_through_mouth,
    gap_film,
    glass_above_wax,
    level_film,
    opening_exchange,
    support_laws,
    wall_film,
    wax_top,
)

BOX_AIR = "box air"
FLAPS_INSIDE = "flaps inside"
FLAPS_OUTSIDE = "flaps outside"


def problem_of(jar: Jar) -> Problem:
    """State the problem of one jar.

    Parameters
    ----------
    jar : Jar
        The jar and what stands round it.

    Returns
    -------
    Problem
        Its section, laws and nodes.

    Raises
    ------
    ValueError
        If the pieces do not fit each other.
    """
    if not 0.0 < jar.depth <= jar.vessel.height - jar.vessel.base + 1e-9:
        raise ValueError(f"wax {1e3 * jar.depth:.1f} mm deep does not fit the jar")
    if jar.vessel.inner_radius <= 0:
        raise ValueError("the wall of the jar is thicker than its radius")
    laws = _bare_laws(jar) if jar.surround is None else _boxed_laws(jar, jar.surround)
    boundaries, links, nodes, node_links = laws
    contacts = [Contact(parts=("glass", "pad" if _has_pad(jar) else "bench"), conductance=jar.vessel.foot)]
    if _has_pad(jar):
        contacts.append(Contact(parts=("pad", "bench"), conductance=jar.support.contact))
    return Problem(
        section=_section(jar),
        boundaries=(*boundaries, *support_laws(jar)),
        contacts=tuple(contacts),
        links=links,
        nodes=nodes,
        node_links=node_links,
        room=jar.room.temperature,
        melt=jar.melt,
        answers=jar.answers,
        accuracy=jar.accuracy,
        horizon=jar.horizon,
    )


_Laws = tuple[list[Boundary], tuple[Link, ...], tuple[Node, ...], tuple[NodeLink, ...]]


def _has_pad(jar: Jar) -> bool:
    return jar.surround is not None and jar.surround.under_layers > 0


def _section(jar: Jar) -> Section:
    vessel, support, surround = jar.vessel, jar.support, jar.surround
    room = jar.room.at(0.0)
    glass_start = room if vessel.start is None else vessel.start
    radial = [
        Span(name="wax", length=vessel.inner_radius, cells=32, finer="end", stretch=7.0),
        Span(name="wall", length=vessel.wall, cells=3 if vessel.wall > 1e-3 else 1),
    ]
    axial = [Span(name="bench", length=support.thickness, cells=6, finer="end", stretch=3.0)]
    beside = ["wax", "wall"]
    if surround is not None:
        board = surround.side_layers * surround.layer
        radial += [Span(name="gap", length=surround.gap, cells=3), Span(name="board", length=board, cells=2)]
        beside += ["gap", "board"]
        if surround.under_layers:
            axial.append(Span(name="pad", length=surround.under_layers * surround.layer, cells=2))
    axial += [
        Span(name="base", length=vessel.base, cells=3 if vessel.base > 1e-3 else 1),
        Span(name="wax", length=jar.depth, cells=48, finer="end", stretch=12.0),
    ]
    walls = ["base", "wax"]
    if jar.headspace > 1e-6:
        axial.append(Span(name="headspace", length=jar.headspace, cells=6, finer="start", stretch=4.0))
        walls.append("headspace")
    blocks = [
        Block(part="wax", material=jar.wax, radial=("wax",), axial=("wax",), start=jar.pour),
        Block(part="glass", material=vessel.material, radial=("wax",), axial=("base",), start=glass_start),
        Block(part="glass", material=vessel.material, radial=("wall",), axial=tuple(walls), start=glass_start),
    ]
    if surround is not None:
        boards = [*walls]
        if surround.headroom > 1e-6:
            axial.append(Span(name="above", length=surround.headroom, cells=4))
            boards.append("above")
        if surround.under_layers:
            pad = Block(part="pad", material=surround.board, radial=("wax", "wall", "gap"), axial=("pad",), start=room)
            blocks.append(pad)
            boards.insert(0, "pad")
        blocks.append(Block(part="board", material=surround.board, radial=("board",), axial=tuple(boards), start=room))
    if support.reach > 0:
        radial.append(Span(name="reach", length=support.reach, cells=6, finer="start", stretch=3.0))
        beside.append("reach")
    blocks.append(Block(part="bench", material=support.material, radial=tuple(beside), axial=("bench",), start=room))
    coverage: tuple[tuple[str, float], ...] = ()
    if surround is not None and surround.exposed_sides < 4:
        share = surround.exposed_sides / 4.0
        coverage = tuple((name, share) for name in ("board", "reach") if name in beside)
    return Section(radial=tuple(radial), axial=tuple(axial), blocks=tuple(blocks), coverage=coverage)


def _bare_laws(jar: Jar) -> _Laws:
    vessel = jar.vessel
    outside = Boundary(
        name="glass outside",
        part="glass",
        facing="outwards",
        film=wall_film(
            height=vessel.height, diameter=vessel.diameter, factor=jar.side_factor, speed=jar.room.air_speed
        ),
        emissivity=vessel.emissivity,
        path="side",
    )
    top = wax_top(jar, air=ROOM, sees=ROOM, emissivity=emissivity_through_mouth(jar), speed=jar.room.air_speed)
    return [outside, top, *glass_above_wax(jar, ROOM)], (), (), ()


def _boxed_laws(jar: Jar, surround: Surround) -> _Laws:
    vessel = jar.vessel
    radius = 0.5 * vessel.diameter + surround.gap
    outer = radius + surround.side_layers * surround.layer
    inner_height = vessel.height + surround.headroom
    height = inner_height + surround.under_layers * surround.layer
    area = math.pi * radius**2
    closed = surround.flaps == "closed"
    opening = opening_exchange(0.5 * vessel.diameter, radius, surround.headroom)
    sees = FLAPS_INSIDE if closed else ROOM
    through = 1.0 / (1.0 / emissivity_through_mouth(jar) + 1.0 / (surround.emissivity if closed else opening) - 1.0)
    boundaries = [
        wax_top(jar, air=BOX_AIR, sees=sees, emissivity=through, speed=0.0),
        *glass_above_wax(jar, BOX_AIR),
        Boundary(
            name="board outside",
            part="board",
            facing="outwards",
            film=wall_film(height=height, diameter=2 * outer, factor=jar.side_factor, speed=jar.room.air_speed),
            emissivity=surround.emissivity,
            path="side",
        ),
        Boundary(
            name="edge of the board",
            part="board",
            facing="up",
            film=level_film(diameter=2 * outer, factor=1.0, speed=0.0),
            emissivity=surround.emissivity,
            path="side",
        ),
    ]
    if surround.headroom > 1e-6:
        boundaries.append(
            Boundary(
                name="board inside, above the rim",
                part="board",
                facing="inwards",
                spans=("above",),
                film=lambda surface, air: film_on_upright_wall(surface, air, height=surround.headroom),
                air=BOX_AIR,
                path="side",
            )
        )
    link = Link(
        inner="glass",
        outer="board",
        film=gap_film(height=vessel.height, width=surround.gap),
        emissivity=emissivity_between(vessel.emissivity, surround.emissivity, 0.5 * vessel.diameter / radius),
    )
    room = jar.room.at(0.0)
    moist = dry_air(room)
    volume = area * surround.headroom + math.pi * vessel.inner_radius**2 * max(jar.headspace, 0.0)
    air = Node(name=BOX_AIR, capacity=max(volume, 1e-6) * moist.density * moist.heat_capacity, start=room)
    if not closed:
        leave = NodeLink(
            ends=(BOX_AIR, ROOM),
            conductance=lambda inside, outside: exchange_through_opening(inside, outside, diameter=2 * radius),
        )
        return boundaries, (link,), (air,), (leave,)
    thickness = surround.flap_layers * surround.layer
    half = 0.5 * area * thickness * surround.board.density * surround.board.heat_capacity
    nodes = (
        air,
        Node(name=FLAPS_INSIDE, capacity=half, start=room),
        Node(name=FLAPS_OUTSIDE, capacity=half, start=room),
    )
    through_flaps = area / (thickness / surround.board.conductivity + surround.cover)
    outside_film = level_film(diameter=2 * radius, factor=1.0, speed=jar.room.air_speed)

    def to_room(flaps: float, air: float) -> float:
        return area * (outside_film(flaps, air) + radiation_film(flaps, air, emissivity=surround.emissivity))

    links = (
        NodeLink(
            ends=(BOX_AIR, FLAPS_INSIDE),
            conductance=lambda air, flaps: area * film_on_face_down(flaps, air, diameter=2 * radius),
        ),
        NodeLink(ends=(FLAPS_INSIDE, FLAPS_OUTSIDE), conductance=through_flaps),
        NodeLink(ends=(FLAPS_OUTSIDE, ROOM), conductance=to_room),
    )
    return boundaries, (link,), nodes, links
