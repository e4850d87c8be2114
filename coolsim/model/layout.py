"""From a jar and its surroundings to a problem: which block stands where, and which law holds on which face.

Simplifications, each small against the films' own scatter: the air in the gap beside the jar is closed at its top;
the board under the jar is insulated where it faces that gap, and so is the edge of a mat; glass above the wax passes
on the radiation it gets, so it exchanges heat with the air beside it only by its film.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from itertools import pairwise

from coolsim.model.cell import Above, Cell, air_above, boxed_laws, cell_of
from coolsim.model.film_laws import WallFilm
from coolsim.model.jar import Jar, Support, Surround
from coolsim.model.problem import ROOM, Boundary, Contact, Held, Link, Node, NodeLink, Problem
from coolsim.model.section import Block, Section, Span, cut_at, spans_below
from coolsim.model.surfaces import (
    emissivity_through_mouth,
    glass_above_wax,
    laws_under_water,
    lid_top,
    rack_law,
    support_laws,
    wax_top,
)


def problem_of(jar: Jar) -> Problem:
    """State the problem of one jar; ValueError if its pieces do not fit, or it stands for a box of several."""
    if jar.places is not None:
        raise ValueError(f"'{jar.name}' stands for a box of {jar.places.jars} jars; simulate_box runs them")
    if jar.surround is None:
        return _problem(jar, _bare_laws(jar), None)
    cell = cell_of(jar, jar.surround)
    return problem_in_cell(jar, jar.surround, cell, above=air_above(jar, jar.surround, plan=cell.plan))


def problem_in_cell(
    jar: Jar, surround: Surround, cell: Cell, *, above: Above, beside: Sequence[Boundary] = ()
) -> Problem:
    """State the problem of one jar in its part of a box.

    `beside` has the laws of its outside towards neighbours of another kind.
    """
    boundaries, links = boxed_laws(jar, surround, cell)
    return _problem(jar, ([*boundaries, *beside], links, above.nodes, above.links), cell)


def _problem(jar: Jar, laws: _FaceLaws, cell: Cell | None) -> Problem:
    if not 0.0 < jar.depth <= jar.vessel.height - jar.vessel.base + 1e-9:
        raise ValueError(f"wax {1e3 * jar.depth:.1f} mm deep does not fit the jar")
    if jar.water is not None and (jar.surround is not None or jar.support.material is not None):
        raise ValueError("a jar in water stands on a rack, without a box")
    if jar.water is not None and not 0.0 < jar.water.depth <= jar.vessel.height + 1e-9:
        raise ValueError(f"water {1e3 * jar.water.depth:.1f} mm deep stands above the brim of the jar")
    if jar.vessel.inner_radius <= 0:
        raise ValueError("the wall of the jar is thicker than its radius")
    boundaries, links, nodes, node_links = laws
    # From the glass down: what touches what.
    under = [*(["pad"] if _has_pad(jar) else []), *(["mat"] if jar.support.mat is not None else [])]
    under += [] if jar.support.material is None else ["bench"]
    contacts = [
        Contact(parts=pair, conductance=jar.support.contact if index else jar.vessel.foot)
        for index, pair in enumerate(pairwise(["glass", *under]))
    ]
    return Problem(
        section=_section(jar, cell),
        boundaries=(*boundaries, *_support_laws(jar, cell)),
        contacts=tuple(contacts),
        links=links,
        nodes=nodes,
        node_links=node_links,
        held=() if jar.water is None else (Held(name="water", top=jar.water.depth, temperature=jar.water.temperature),),
        room=jar.room.temperature,
        melt=jar.melt,
        answers=jar.answers,
        accuracy=jar.accuracy,
        stop_when_cool=jar.stop_when_cool,
        horizon=jar.horizon,
    )


_FaceLaws = tuple[list[Boundary], tuple[Link, ...], tuple[Node, ...], tuple[NodeLink, ...]]


def _has_pad(jar: Jar) -> bool:
    return jar.surround is not None and jar.surround.under_layers > 0


def bench_span(support: Support) -> Span:
    """Cut a bench along z, fine under what stands on it."""
    return Span(name="bench", length=support.thickness, cells=4, finer="end", stretch=6.0)


def reach_span(support: Support) -> Span:
    """Cut a bench along r beyond what stands on it, fine beside that."""
    return Span(name="reach", length=support.reach, cells=6, finer="start", stretch=8.0)


def _section(jar: Jar, cell: Cell | None) -> Section:
    vessel, support, surround = jar.vessel, jar.support, jar.surround
    room = jar.room.at(0.0)
    glass_start = room if vessel.start is None else vessel.start
    radial = [
        Span(name="wax", length=vessel.inner_radius, cells=28, finer="end", stretch=9.0),
        Span(name="wall", length=vessel.wall, cells=3 if vessel.wall > 1e-3 else 1),
    ]
    stands = room if support.start is None else support.start
    board_start = room if surround is None or surround.start is None else surround.start
    axial = []
    if support.material is not None:
        axial.append(bench_span(support))
    if support.mat is not None:
        axial.append(Span(name="mat", length=support.mat_thickness, cells=2))
    beside = ["wax", "wall"]
    if surround is not None and cell is not None:
        radial.append(Span(name="gap", length=cell.radius - 0.5 * vessel.diameter, cells=3))
        beside.append("gap")
        if cell.walls:
            radial.append(Span(name="board", length=surround.side_layers * surround.layer, cells=2))
            beside.append("board")
        if surround.under_layers:
            axial.append(Span(name="pad", length=surround.under_layers * surround.layer, cells=2))
    axial += [
        Span(name="base", length=vessel.base, cells=2 if vessel.base > 1e-3 else 1),
        Span(name="wax", length=jar.depth, cells=36, finer="end", stretch=8.0),
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
    if surround is not None and cell is not None:
        boards = [*walls]
        if surround.headroom > 1e-6 and cell.walls:
            axial.append(Span(name="above", length=surround.headroom, cells=4))
            boards.append("above")
        if surround.under_layers:
            pad = Block(
                part="pad", material=surround.board, radial=("wax", "wall", "gap"), axial=("pad",), start=board_start
            )
            blocks.append(pad)
            boards.insert(0, "pad")
        if cell.walls:
            board = Block(
                part="board", material=surround.board, radial=("board",), axial=tuple(boards), start=board_start
            )
            blocks.append(board)
    if support.mat is not None:
        blocks.append(Block(part="mat", material=support.mat, radial=tuple(beside), axial=("mat",), start=stands))
    if support.material is not None and support.reach > 0 and (cell is None or cell.walls):
        radial.append(reach_span(support))
        beside.append("reach")
    if support.material is not None:
        bench = Block(part="bench", material=support.material, radial=tuple(beside), axial=("bench",), start=stands)
        blocks.append(bench)
    coverage = () if cell is None else tuple(_coverage(cell, 0.5 * vessel.diameter, beside))
    section = Section(radial=tuple(radial), axial=tuple(axial), blocks=tuple(blocks), coverage=coverage)
    return section if jar.water is None else cut_at(section, jar.water.depth, name="over the water")


def _coverage(cell: Cell, inner: float, spans: Sequence[str]) -> Iterator[tuple[str, float]]:
    """Shares of the rings beside the jar: under the gap what the cell has of area, of the board what there is."""
    under_gap = (cell.plan - math.pi * inner**2) / (math.pi * (cell.radius**2 - inner**2))
    for name, share in (("gap", under_gap), ("board", cell.walls), ("reach", cell.walls)):
        if name in spans and abs(share - 1.0) > 1e-9:
            yield name, share


def _bare_laws(jar: Jar) -> _FaceLaws:
    speed = jar.room.air_speed
    outside = _laws_outside(jar)
    if jar.lid is not None:
        return [*outside, lid_top(jar, jar.lid, air=ROOM, speed=speed)], (), (), ()
    top = wax_top(jar, air=ROOM, sees=ROOM, emissivity=emissivity_through_mouth(jar), speed=speed)
    return [*outside, top, *glass_above_wax(jar, ROOM)], (), (), ()


def _laws_outside(jar: Jar) -> list[Boundary]:
    """Laws of the wall of a bare jar towards the air, and of wall and base where they are under water."""
    vessel, bath = jar.vessel, jar.water
    height, wet = vessel.height, list[Boundary]()
    dry: tuple[str, ...] = ()
    if bath is not None:
        section = _section(jar, None)
        under = spans_below(section, bath.depth)
        wet = laws_under_water(jar, bath, under)
        dry = tuple(span.name for span in section.axial if span.name not in under)
        height -= bath.depth
        if not dry:
            return wet
    air = Boundary(
        name="glass outside",
        part="glass",
        facing="outwards",
        film=WallFilm(height=height, diameter=vessel.diameter, factor=jar.side_factor, speed=jar.room.air_speed),
        emissivity=vessel.emissivity,
        spans=dry,
        path="side",
    )
    return [air, *wet]


def _support_laws(jar: Jar, cell: Cell | None) -> list[Boundary]:
    if jar.water is not None:
        return []
    if jar.support.material is None:
        return [rack_law(jar, on_pad=_has_pad(jar))]
    if cell is None or jar.surround is None:
        return support_laws(jar)
    footprint = 0.5 * cell.across_box + jar.surround.side_layers * jar.surround.layer
    return support_laws(jar, footprint=footprint, around=cell.walls > 0)
