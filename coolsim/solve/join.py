"""Several sections in one network.

Joined sections are one run: they share nodes and time steps, and nothing else. Networks abreast are runs of their own,
which share the calls of the stepper. The sections lie behind each other, so that the lines of all of them form one
tridiagonal system. Each joined one stands for a number of equal ones: volumes, areas and conductances of all of them
together, at the temperatures of one.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence, Sized
from dataclasses import dataclass, replace
from itertools import pairwise

import numpy as np

from coolsim.model.freezing import CellTables
from coolsim.model.problem import Node
from coolsim.model.section import Array, Grid, Integers
from coolsim.solve.history import History
from coolsim.solve.network import Faces, GapPairs, Network, Pairs, in_pieces, whole_run
from coolsim.solve.runs import Run


@dataclass(frozen=True, slots=True, kw_only=True)
class Joined:
    """A joined network, and where its parts are.

    Cells, faces, laws and gaps of each section, which stands for `counts` [-] equal ones. The problem of the network is
    that of the first section; its own section has no meaning, its nodes are those of all.
    """

    network: Network
    parts: tuple[Network, ...]
    counts: tuple[int, ...]
    cells: tuple[slice, ...]
    faces: tuple[Integers, ...]
    laws: tuple[Integers, ...]
    gaps: tuple[slice, ...]


def join(parts: Sequence[Network], counts: Sequence[int]) -> Joined:
    """Join sections that have the same nodes and node links, each for so many equal ones [-].

    ValueError if they do not fit.
    """
    if not parts or len(parts) != len(counts):
        raise ValueError(f"{len(parts)} sections and {len(counts)} counts cannot be joined")
    problem = parts[0].problem
    if any(part.problem.nodes != problem.nodes for part in parts):
        raise ValueError("sections that are joined must name the same nodes")
    faces, of_faces, of_laws = _faces([part.faces for part in parts], counts, _first([part.volume for part in parts]))
    nodes = in_pieces(problem.nodes, faces)
    gaps = _first([part.gaps for part in parts])
    run = whole_run(
        problem, cells=sum(len(part.volume) for part in parts), faces=faces, gaps=gaps[-1], nodes=len(nodes)
    )
    return Joined(
        network=_laid(parts, counts, faces=faces, nodes=nodes, runs=(run,)),
        parts=tuple(parts),
        counts=tuple(counts),
        cells=_slices([part.volume for part in parts]),
        faces=of_faces,
        laws=of_laws,
        gaps=_slices([part.gaps for part in parts]),
    )


def abreast(parts: Sequence[Network]) -> Network:
    """Lay networks of one run each behind each other, to be stepped together: they share nothing."""
    counts = [1] * len(parts)
    faces, of_faces, of_laws = _faces([part.faces for part in parts], counts, _first([part.volume for part in parts]))
    runs = tuple(
        Run(problem=part.problem, cells=cells, faces=face, laws=laws, gaps=gaps, nodes=nodes, links=links)
        for part, cells, face, laws, gaps, nodes, links in zip(
            parts,
            _slices([part.volume for part in parts]),
            of_faces,
            of_laws,
            _slices([part.gaps for part in parts]),
            _slices([part.nodes for part in parts]),
            _slices([part.problem.node_links for part in parts]),
            strict=True,
        )
    )
    return _laid(parts, counts, faces=faces, nodes=tuple(node for part in parts for node in part.nodes), runs=runs)


def _first(pieces: Sequence[Sized]) -> Integers:
    """Where each piece begins that lies behind the others, and where the last one ends."""
    return np.concatenate([[0], np.cumsum([len(piece) for piece in pieces])]).astype(np.int64)


def _slices(pieces: Sequence[Sized]) -> tuple[slice, ...]:
    return tuple(slice(int(begin), int(end)) for begin, end in pairwise(_first(pieces)))


def _laid(
    parts: Sequence[Network], counts: Sequence[int], *, faces: Faces, nodes: tuple[Node, ...], runs: tuple[Run, ...]
) -> Network:
    """Lay the cells, neighbours and gaps of networks behind each other."""
    first = _first([part.volume for part in parts])
    tables = tuple(table for part in parts for table in part.tables)
    block = _behind([part.block for part in parts], _first([part.blocks for part in parts]))
    return Network(
        problem=parts[0].problem,
        grid=_grid([part.grid for part in parts], block, drawn=len(runs) == 1),
        blocks=tuple(one for part in parts for one in part.blocks),
        tables=tables,
        block=block,
        cells=CellTables(tables, block),
        volume=_scaled(parts, counts, lambda part: part.volume),
        sensible=np.concatenate([part.sensible for part in parts]),
        start=np.concatenate([part.start for part in parts]),
        radial=_pairs([part.radial for part in parts], counts, first),
        axial=_pairs([part.axial for part in parts], counts, first),
        gaps=tuple(
            _gap(gap, count, int(before))
            for part, count, before in zip(parts, counts, first, strict=False)
            for gap in part.gaps
        ),
        faces=faces,
        nodes=nodes,
        constant=all(part.constant for part in parts),
        runs=runs,
    )


def _behind(indices: Sequence[Integers], before: Integers) -> Integers:
    return np.concatenate([part + offset for part, offset in zip(indices, before, strict=False)])


def _scaled(parts: Sequence[Network], counts: Sequence[int], value: Callable[[Network], Array]) -> Array:
    return np.concatenate([count * value(part) for part, count in zip(parts, counts, strict=True)])


def _grid(grids: Sequence[Grid], block: Integers, *, drawn: bool) -> Grid:
    """Lay the grids out diagonally; what lies between two of them holds no cell. None has a place unless `drawn`."""
    rows = np.concatenate([[0], np.cumsum([len(one.z_edges) for one in grids])]).astype(np.int64)
    columns = np.concatenate([[0], np.cumsum([len(one.r_edges) for one in grids])]).astype(np.int64)
    cells = np.concatenate([[0], np.cumsum([len(one.row) for one in grids])]).astype(np.int64)
    row, column = _behind([one.row for one in grids], rows), _behind([one.column for one in grids], columns)
    plane = np.full((rows[-1] - 1, columns[-1] - 1) if drawn else (0, 0), -1, dtype=np.int64)
    if drawn:
        plane[row, column] = block
    between = ("",)
    return Grid(
        r_edges=np.concatenate([one.r_edges for one in grids]),
        z_edges=np.concatenate([one.z_edges for one in grids]),
        block=plane,
        row=row,
        column=column,
        by_column=_behind([one.by_column for one in grids], cells),
        radial_span=sum((one.radial_span + between for one in grids), ())[:-1],
        axial_span=sum((one.axial_span + between for one in grids), ())[:-1],
        covered=np.concatenate([np.append(one.covered, 1.0) for one in grids])[:-1],
    )


def _pairs(parts: Sequence[Pairs], counts: Sequence[int], first: Integers) -> Pairs:
    nothing = [0.0]

    def along(values: Sequence[Array]) -> Array:
        # The pair between two sections joins nothing.
        scaled = [count * one for one, count in zip(values, counts, strict=True)]
        return np.concatenate([piece for one in scaled for piece in (one, nothing)][:-1])

    return Pairs(
        order=_behind([one.order for one in parts], first),
        steady=along([one.steady for one in parts]),
        uniform=along([one.uniform for one in parts]),
        mixed=_behind([one.mixed for one in parts], first),
        mixed_near=np.concatenate([count * one.mixed_near for one, count in zip(parts, counts, strict=True)]),
        mixed_far=np.concatenate([count * one.mixed_far for one, count in zip(parts, counts, strict=True)]),
        mixed_resistance=np.concatenate(
            [one.mixed_resistance / count for one, count in zip(parts, counts, strict=True)]
        ),
    )


def _gap(gap: GapPairs, count: int, before: int) -> GapPairs:
    return replace(
        gap,
        at=gap.at + before,
        inner_half=count * gap.inner_half,
        outer_half=count * gap.outer_half,
        area=count * gap.area,
    )


def _faces(
    parts: Sequence[Faces], counts: Sequence[int], first: Integers
) -> tuple[Faces, tuple[Integers, ...], tuple[Integers, ...]]:
    """Join faces, those along r of all sections first; tell which faces and laws are whose."""
    # Laws as (section, law), in the new order.
    split = [int(np.searchsorted(np.cumsum(one.count), one.along_r)) + 1 if one.along_r else 0 for one in parts]
    order = [(part, law) for part, one in enumerate(parts) for law in range(split[part])]
    order += [(part, law) for part, one in enumerate(parts) for law in range(split[part], len(one.laws))]
    chosen = [
        (part, np.arange(parts[part].start[law], parts[part].start[law] + parts[part].count[law]))
        for part, law in order
    ]
    owner = np.concatenate([np.full(len(at), part) for part, at in chosen])
    count = np.array([len(at) for _, at in chosen], dtype=np.int64)
    law_owner = np.array([part for part, _ in order])
    faces = Faces(
        laws=tuple(parts[part].laws[law] for part, law in order),
        cell=np.concatenate([parts[part].cell[at] + first[part] for part, at in chosen]),
        area=np.concatenate([counts[part] * parts[part].area[at] for part, at in chosen]),
        half=np.concatenate([counts[part] * parts[part].half[at] for part, at in chosen]),
        start=np.concatenate([[0], np.cumsum(count)[:-1]]).astype(np.int64),
        count=count,
        along_r=sum(one.along_r for one in parts),
        r=np.concatenate([parts[part].r[at] for part, at in chosen]),
        z=np.concatenate([parts[part].z[at] for part, at in chosen]),
    )
    sections = range(len(parts))
    return (
        faces,
        tuple(np.flatnonzero(owner == part) for part in sections),
        tuple(np.flatnonzero(law_owner == part) for part in sections),
    )


def split(joined: Joined, history: History) -> tuple[tuple[Network, History], ...]:
    """Part a run of joined sections: each section with the run of one of those that it stands for.

    What it gave to shared nodes counts as lost, and the nodes are left out: its own ledger ends at its faces.
    """
    found = []
    steps = len(history.time)
    for number, (part, count) in enumerate(zip(joined.parts, joined.counts, strict=True)):
        none = np.zeros((steps, 0))
        found.append(
            (
                replace(part, nodes=(), problem=replace(part.problem, nodes=(), node_links=())),
                replace(
                    history,
                    enthalpy=history.enthalpy[:, joined.cells[number]],
                    surface=history.surface[:, joined.faces[number]],
                    gaps=history.gaps[:, joined.gaps[number]],
                    lost=history.lost[:, joined.laws[number]] / count,
                    nodes=none,
                    owed=none,
                    to_nodes=none,
                    carried=none,
                    released=np.zeros(steps),
                ),
            )
        )
    return tuple(found)
