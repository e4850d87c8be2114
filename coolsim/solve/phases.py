"""A run through the changes of a day: each part with a problem of its own, told as one result.

Wax and glass go on cell by cell, to the last bit. What stands round them goes on where it is the same and the jar was
not moved; otherwise it begins as warm as the room, and the heat of what was left behind is gone with it.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

import numpy as np

from coolsim.model.day import Phase
from coolsim.model.problem import Path, with_stirred_wax
from coolsim.model.section import Array, Integers
from coolsim.solve.assemble import result_of
from coolsim.solve.events import close_ledger
from coolsim.solve.history import History
from coolsim.solve.integrate import Progress, integrate
from coolsim.solve.network import Network, build
from coolsim.solve.result import Ledger, Result
from coolsim.solve.start import Start

_CORE = ("wax", "glass")

_Key = tuple[str, str, int, str, int]


@dataclass(frozen=True, slots=True)
class PhaseRun:
    """The run of one part of a day."""

    phase: Phase
    network: Network
    history: History


def run_phases(phases: Sequence[Phase], *, name: str = "", on_step: Callable[[Progress], None] | None = None) -> Result:
    """Run the parts of a day one after the other and tell them as one result.

    It is drawn in the section of the first part that has a box, or of the first one; what is not there in a part is NaN
    in it. ValueError if wax and glass are not the same throughout.
    """
    runs: list[PhaseRun] = []
    for index, phase in enumerate(phases):
        network = build(with_stirred_wax(phase.problem))
        start = None if not runs else _carried_on(runs[-1], network, phase)
        until = phases[index + 1].begins if index + 1 < len(phases) else None
        runs.append(PhaseRun(phase, network, integrate(network, start=start, until=until, on_step=on_step)))
    return told_as_one(runs, name=name)


def told_as_one(runs: Sequence[PhaseRun], *, name: str) -> Result:
    """Put the parts of a day together, as `run_phases` gives them."""
    shown = next((run for run in runs if any(block.part == "board" for block in run.network.blocks)), runs[0])
    names = list(dict.fromkeys((law.name, law.path) for run in runs for law in run.network.faces.laws))
    history = _joined(runs, shown.network, names)
    # Events ask for wax, glass and room alone: those are the same in each section.
    ledgers = [close_ledger(run.network, run.history) for run in runs]
    found = result_of(shown.network, history, name=name, ledger=added(ledgers, runs))
    return replace(
        found, boundaries=tuple(names), changes=tuple((run.phase.begins, run.phase.happens) for run in runs[1:])
    )


def _keys(network: Network) -> list[_Key]:
    """Name each cell by its part and its place in the spans of the section."""
    grid = network.grid
    across, up = _place_in_span(grid.radial_span), _place_in_span(grid.axial_span)
    return [
        (network.blocks[block].part, *across[column], *up[row])
        for block, column, row in zip(network.block, grid.column, grid.row, strict=True)
    ]


def _place_in_span(spans: Sequence[str]) -> list[tuple[str, int]]:
    return [(name, index - spans.index(name)) for index, name in enumerate(spans)]


def _same_cells(before: Network, after: Network, *, parts: Sequence[str] | None = None) -> tuple[Integers, Integers]:
    """Find the cells that both networks have, of all parts or of some, as indices before and after."""
    known = {key: index for index, key in enumerate(_keys(before)) if parts is None or key[0] in parts}
    pairs = [(known[key], index) for index, key in enumerate(_keys(after)) if key in known]
    old, new = (np.array(one, dtype=np.intp) for one in zip(*pairs, strict=True))
    return old, new


def _shown_cells(network: Network, shown: Network) -> tuple[Integers, Integers]:
    """Find the cells of a network that are drawn in another one's section: those of parts that are whole there."""
    old, new = _same_cells(network, shown)
    whole = np.bincount(shown.block) == np.bincount(shown.block[new], minlength=len(shown.blocks))
    kept = whole[shown.block[new]]
    return old[kept], new[kept]


def _carried_on(run: PhaseRun, network: Network, phase: Phase) -> Start:
    every = slice(None)
    return carried(run.history, [(run.network, every, network, every)], run.network, network, phase)


def carried(
    history: History,
    sections: Sequence[tuple[Network, slice, Network, slice]],
    before: Network,
    after: Network,
    phase: Phase,
) -> Start:
    """State in which the next part of a day begins.

    `sections` are each section as it was with its cells in the network before, and as it goes on with its cells in that
    after. ValueError if wax and glass are not the same in both.
    """
    enthalpy = after.start.copy()
    for was, cells_before, now, cells in sections:
        old, new = _same_cells(was, now, parts=_CORE if phase.moved else None)
        parts = np.array([block.part for block in now.blocks])
        core = np.flatnonzero(np.isin(parts[now.block], _CORE))
        if not np.isin(core, new).all() or not np.allclose(was.volume[old], now.volume[new], rtol=1e-9):
            raise ValueError("wax and glass must be the same in all parts of a day")
        enthalpy[cells][new] = history.enthalpy[-1, cells_before][old]
    nodes = np.array([node.start for node in after.nodes])
    owed = np.zeros_like(nodes)
    if not phase.moved:
        known = [node.name for node in before.nodes]
        for index, node in enumerate(after.nodes):
            if node.name in known:
                nodes[index] = history.nodes[-1, known.index(node.name)]
                owed[index] = history.owed[-1, known.index(node.name)]
    temperature = after.cells.temperature(enthalpy, after.cells.piece(enthalpy))
    return Start(
        time=phase.begins,
        enthalpy=enthalpy,
        nodes=nodes,
        owed=owed,
        owed_over=float(history.owed_over[-1]),
        surface=temperature[after.faces.cell],
        gaps=tuple(gap.start(temperature) for gap in after.gaps),
        lost=np.zeros(len(after.faces.laws)),
        to_nodes=np.zeros_like(nodes),
        carried=np.zeros(len(after.problem.node_links)),
        released=0.0,
        given_off=0.0,
    )


def _joined(runs: Sequence[PhaseRun], shown: Network, names: Sequence[tuple[str, Path]]) -> History:
    """One history in the cells and nodes of one section."""
    columns: dict[str, list[Array]] = {"time": [], "enthalpy": [], "nodes": [], "room": [], "lost": []}
    before = np.zeros(len(names))
    for number, run in enumerate(runs):
        history = run.history
        # A part begins where the one before has ended.
        rows = slice(1 if number else 0, None)
        count = len(history.time[rows])
        old, new = _shown_cells(run.network, shown)
        enthalpy = np.full((count, len(shown.block)), np.nan)
        enthalpy[:, new] = history.enthalpy[rows][:, old]
        nodes = np.full((count, len(shown.nodes)), np.nan)
        known = [node.name for node in run.network.nodes]
        for index, node in enumerate(shown.nodes):
            if node.name in known:
                nodes[:, index] = history.nodes[rows, known.index(node.name)]
        lost = np.tile(before, (count, 1))
        for index, law in enumerate(run.network.faces.laws):
            lost[:, names.index((law.name, law.path))] += history.lost[rows, index]
        before = lost[-1]
        for column, values in zip(
            columns, (history.time[rows], enthalpy, nodes, history.room[rows], lost), strict=True
        ):
            columns[column].append(values)
    joined = {column: np.concatenate(values) for column, values in columns.items()}
    steps = len(joined["time"])
    last = runs[-1].history
    return History(
        time=joined["time"],
        enthalpy=joined["enthalpy"],
        nodes=joined["nodes"],
        room=joined["room"],
        lost=joined["lost"],
        surface=np.full((steps, len(shown.faces.cell)), np.nan),
        owed=np.zeros((steps, len(shown.nodes))),
        owed_over=np.zeros(steps),
        gaps=np.zeros((steps, len(shown.gaps), 2)),
        to_nodes=np.zeros((steps, len(shown.nodes))),
        carried=np.zeros((steps, 0)),
        released=np.zeros(steps),
        rejected=sum(run.history.rejected for run in runs),
        newton=sum(run.history.newton for run in runs),
        ended=last.ended,
    )


def added(ledgers: Sequence[Ledger], runs: Sequence[PhaseRun]) -> Ledger:
    """Add the ledgers of the parts up; heat that is carried away with what was left behind is in none of them."""
    by_path: dict[Path, float] = {}
    for run in runs:
        for index, law in enumerate(run.network.faces.laws):
            by_path[law.path] = by_path.get(law.path, 0.0) + float(run.history.lost[-1, index])
    whole = sum(by_path.values())
    paths: Sequence[Path] = ("top", "side", "base")
    return Ledger(
        given_off=sum(one.given_off for one in ledgers),
        to_room=sum(one.to_room for one in ledgers),
        open_share=max(one.open_share for one in ledgers),
        by_path=tuple((path, by_path.get(path, 0.0) / whole if whole else 0.0) for path in paths),
    )
