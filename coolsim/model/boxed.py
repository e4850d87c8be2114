"""A box of many jars as sections that share air and flaps: one for each kind of place.

Simplifications: between neighbours heat goes level by level, through the air or the divider there, which is closed at
its top. What a jar radiates past its four neighbours counts as going to them; by crossed strings (from memory) that is
two fifths of what leaves its side at a spacing of a seventh of its diameter; were it not exchanged, the middle
of twelve would be fully set 4 % later, the corners 1 % earlier. The bench does not conduct from cell to cell; the air
over the jars is mixed all over the box; an empty place has air of one temperature, which is also that of what the jars
beside it see.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from coolsim.model.air import dry_air
from coolsim.model.cell import BOX_AIR, FLAPS_INSIDE, Above, Cell, air_above, board_above_rim, board_laws
from coolsim.model.film_laws import GapFilm, LevelFilm, OpeningExchange, WallFilm
from coolsim.model.jar import Jar, Surround
from coolsim.model.layout import bench_span, problem_in_cell, reach_span
from coolsim.model.places import Neighbours, PlaceKind, Places, kinds_of, neighbours_of
from coolsim.model.problem import ROOM, Boundary, Contact, Node, NodeLink, Problem
from coolsim.model.radiation import radiation_film
from coolsim.model.section import Block, Section, Span
from coolsim.model.surfaces import Law, emissivity_between, support_laws


@dataclass(frozen=True, slots=True, kw_only=True)
class Member:
    """One kind of place, and the problem of one such place; the nodes are those of the whole box."""

    kind: PlaceKind
    problem: Problem


def members_of(jar: Jar, *, each_place: bool = False) -> tuple[Member, ...]:
    """State the problem of each kind of place in a box, or of each place for itself.

    Kinds with jars come first, as `kinds_of` lists them.
    """
    places, surround = jar.places, jar.surround
    if places is None or surround is None:
        raise ValueError(f"'{jar.name}' does not stand in a box of several jars")
    if min(places.pitch_along, places.pitch_across) < jar.vessel.diameter * (1.0 - 1e-9):
        raise ValueError("the jars of the box overlap")
    kinds = kinds_of(places, each_place=each_place)
    touching = neighbours_of(places, kinds)
    above = air_above(jar, surround, plan=places.plan, jars=places.jars)
    walls = [_between(jar, surround, places, kinds, one) for one in touching]
    hollow = [kind for kind in kinds if kind.empty]
    nodes = [*above.nodes, *(_empty_air(jar, surround, kind) for kind in hollow)]
    nodes += [wall.node for wall in walls if wall.node is not None]
    links = [*above.links, *(_empty_link(kind) for kind in hollow), *(_empty_view(surround, kind) for kind in hollow)]
    shared = Above(nodes=tuple(nodes), links=tuple(links))
    members = []
    for index, kind in enumerate(kinds):
        cell = _cell(jar, places, kind)
        beside = [law for wall in walls for law in wall.laws_of(index, kinds)]
        problem = (
            _empty_place(jar, surround, cell, kind, shared)
            if kind.empty
            else problem_in_cell(jar, surround, cell, above=shared, beside=beside)
        )
        members.append(Member(kind=kind, problem=problem))
    return tuple(members)


def _cell(jar: Jar, places: Places, kind: PlaceKind) -> Cell:
    """Make the cell of a place round, by equation (32) of `coolsim.theory`."""
    # A ring as long as the four sides, if all were walls; without walls the disc that has the cell's area.
    radius = 2.0 * kind.wall_length / math.pi if kind.walls else math.sqrt(kind.plan / math.pi)
    return Cell(
        radius=radius,
        plan=kind.plan,
        walls=kind.walls / 4.0,
        round_box=2.0 * (places.length + places.width) * 2.0 / (2.0 * math.pi),
        across_box=2.0 * math.sqrt(places.plan / math.pi),
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class _Wall:
    """What stands between two kinds of place: air, a divider, or nothing but the air of an empty place."""

    neighbours: Neighbours
    node: Node | None
    air: str
    film: Law

    def laws_of(self, index: int, kinds: Sequence[PlaceKind]) -> list[Boundary]:
        """Law of the outside of a kind's jars towards the other kind."""
        if index not in self.neighbours.kinds or kinds[index].empty:
            return []
        first, second = self.neighbours.kinds
        other = kinds[second if index == first else first]
        return [
            Boundary(
                name=f"glass towards {other.name}",
                part="glass",
                facing="outwards",
                film=self.film,
                air=self.air,
                path="side",
                share=self.neighbours.pairs / (4.0 * kinds[index].count),
            )
        ]


def _between(jar: Jar, surround: Surround, places: Places, kinds: Sequence[PlaceKind], one: Neighbours) -> _Wall:
    vessel = jar.vessel
    first, second = (kinds[index] for index in one.kinds)
    board = surround.board
    half_divider = 0.5 * surround.layer / board.conductivity if places.dividers else 0.0
    if first.empty or second.empty:
        hollow = first if first.empty else second
        film = _towards_empty(jar, surround, half_divider)
        return _Wall(neighbours=one, node=None, air=_air_of(hollow), film=film)
    # Half of the air between two round jars, as wide as that beside a wall of the cell.
    half_gap = 2.0 * one.pitch / math.pi - 0.5 * vessel.diameter
    air = dry_air(jar.room.at(0.0))
    thickness = surround.layer if places.dividers else 0.0
    side = 0.25 * math.pi * vessel.diameter * vessel.height
    content = 2.0 * half_gap * air.density * air.heat_capacity
    content += thickness * board.density * board.heat_capacity
    film = _across_divider(jar, surround, half_gap, half_divider) if places.dividers else _across_air(jar, half_gap)
    name = f"between {first.name} and {second.name}"
    node = Node(name=name, capacity=one.pairs * side * content, start=_air_starts(jar, surround), split=True)
    return _Wall(neighbours=one, node=node, air=name, film=film)


def _across_air(jar: Jar, half_gap: float) -> Law:
    """From a wall to the middle of the air between two walls, the other as far beyond it in temperature.

    Equation (31) of `coolsim.theory`.
    """
    both = 1.0 / (2.0 / jar.vessel.emissivity - 1.0)
    gap = GapFilm(height=jar.vessel.height, width=2.0 * half_gap, factor=2.0, emissivity=both)

    def film(surface: float, middle: float) -> float:
        return gap(surface, 2.0 * middle - surface)

    return film


def _across_divider(jar: Jar, surround: Surround, half_gap: float, half_divider: float) -> Law:
    """From a wall to the middle of the divider."""
    vessel = jar.vessel
    ratio = 0.5 * vessel.diameter / (0.5 * vessel.diameter + half_gap)
    both = emissivity_between(vessel.emissivity, surround.emissivity, ratio)
    gap = GapFilm(height=vessel.height, width=half_gap, emissivity=both)

    def film(surface: float, middle: float) -> float:
        return 1.0 / (1.0 / gap(surface, middle) + half_divider)

    return film


def _towards_empty(jar: Jar, surround: Surround, half_divider: float) -> Law:
    vessel = jar.vessel
    free = WallFilm(height=vessel.height, diameter=vessel.diameter, emissivity=vessel.emissivity)
    if not half_divider:
        return free
    both = emissivity_between(vessel.emissivity, surround.emissivity, 1.0)

    def through(surface: float, air: float) -> float:
        # Gap to the divider, divider, its other face: about half of the difference lies across each film.
        gap = free(surface, air) * both / vessel.emissivity
        return 1.0 / (2.0 / gap + 2.0 * half_divider)

    return through


def _air_of(kind: PlaceKind) -> str:
    return f"air of {kind.name}"


def _air_starts(jar: Jar, surround: Surround) -> float:
    """Temperature of all board and air in the box at the pour [°C]."""
    return jar.room.at(0.0) if surround.start is None else surround.start


def _empty_air(jar: Jar, surround: Surround, kind: PlaceKind) -> Node:
    air = dry_air(jar.room.at(0.0))
    content = kind.plan * jar.vessel.height * air.density * air.heat_capacity
    return Node(name=_air_of(kind), capacity=kind.count * content, start=_air_starts(jar, surround))


def _empty_link(kind: PlaceKind) -> NodeLink:
    """Warm air rises out of an empty place into the air over the jars."""
    across = 2.0 * math.sqrt(kind.plan / math.pi)
    return NodeLink(ends=(_air_of(kind), BOX_AIR), conductance=OpeningExchange(diameter=across, factor=kind.count))


def _empty_view(surround: Surround, kind: PlaceKind) -> NodeLink:
    """Radiation of what surrounds an empty place to the flaps, or to the room, through its open top."""
    closed = surround.flaps == "closed"
    seen = surround.emissivity if closed else 1.0
    area = kind.count * kind.plan
    return NodeLink(
        ends=(_air_of(kind), FLAPS_INSIDE if closed else ROOM),
        conductance=lambda inside, outside: area * radiation_film(inside, outside, emissivity=seen),
    )


def _empty_place(jar: Jar, surround: Surround, cell: Cell, kind: PlaceKind, shared: Above) -> Problem:
    """Board and bench of a place without a jar."""
    support, room = jar.support, jar.room.at(0.0)
    board_start = _air_starts(jar, surround)
    stands = room if support.start is None else support.start
    if support.material is None or support.mat is not None:
        raise ValueError("an empty place stands on a bench without a mat")
    on_pad = surround.under_layers > 0
    height = jar.vessel.height
    inner = math.sqrt(cell.plan / math.pi)
    radial = [Span(name="floor", length=inner, cells=8)]
    axial = [bench_span(support)]
    beside = ["floor"]
    boards = ["inside"]
    coverage: list[tuple[str, float]] = []
    if cell.walls:
        radial.append(Span(name="board", length=surround.side_layers * surround.layer, cells=2))
        beside.append("board")
    if on_pad:
        axial.append(Span(name="pad", length=surround.under_layers * surround.layer, cells=2))
        boards.insert(0, "pad")
    axial.append(Span(name="inside", length=height, cells=8))
    if surround.headroom > 1e-6:
        axial.append(Span(name="above", length=surround.headroom, cells=4))
        boards.append("above")
    blocks = []
    if on_pad:
        blocks.append(Block(part="pad", material=surround.board, radial=("floor",), axial=("pad",), start=board_start))
    if cell.walls:
        # The ring round the disc is shorter than the walls of a square cell.
        coverage.append(("board", cell.walls * cell.radius / inner))
        blocks.append(
            Block(part="board", material=surround.board, radial=("board",), axial=tuple(boards), start=board_start)
        )
        if support.reach > 0:
            radial.append(reach_span(support))
            beside.append("reach")
            coverage.append(("reach", cell.walls))
    blocks.append(Block(part="bench", material=support.material, radial=tuple(beside), axial=("bench",), start=stands))
    air = _air_of(kind)
    inside = [
        Boundary(
            name="floor of the empty place",
            part="pad" if on_pad else "bench",
            facing="up",
            spans=("floor",),
            film=LevelFilm(diameter=2.0 * inner),
            emissivity=surround.emissivity if on_pad else support.emissivity,
            air=air,
            sees=air,
            path="base",
        )
    ]
    if cell.walls:
        inside += board_laws(jar, surround, cell)
        inside.append(
            Boundary(
                name="board inside, of the empty place",
                part="board",
                facing="inwards",
                spans=("inside",),
                film=WallFilm(height=height),
                emissivity=surround.emissivity,
                air=air,
                sees=air,
                path="side",
            )
        )
        inside += board_above_rim(surround)
    footprint = 0.5 * cell.across_box + surround.side_layers * surround.layer
    contacts = (Contact(parts=("pad", "bench"), conductance=support.contact),) if on_pad else ()
    return Problem(
        section=Section(radial=tuple(radial), axial=tuple(axial), blocks=tuple(blocks), coverage=tuple(coverage)),
        boundaries=(*inside, *support_laws(jar, footprint=footprint, around=cell.walls > 0)),
        contacts=contacts,
        nodes=shared.nodes,
        node_links=shared.links,
        room=jar.room.temperature,
        melt=jar.melt,
        answers=jar.answers,
        accuracy=jar.accuracy,
        stop_when_cool=jar.stop_when_cool,
        horizon=jar.horizon,
    )
