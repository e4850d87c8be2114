"""From the history of a run to its result."""

from __future__ import annotations

import numpy as np

from coolsim.errors import SolverError
from coolsim.model.properties import Wax
from coolsim.solve.events import close_ledger, find_events, surface_set, wax_body
from coolsim.solve.history import History
from coolsim.solve.network import Network
from coolsim.solve.result import LEDGER_CLOSES_TO, Ledger, Result


def result_of(network: Network, history: History, *, name: str, ledger: Ledger | None = None) -> Result:
    """Ask the history of a run all questions; a ledger that was added up already is taken as it is.

    SolverError if a temperature is not finite.
    """
    problem = network.problem
    wax = wax_body(network)
    # In a run through several arrangements some parts are no longer there.
    last = history.enthalpy[-1] if wax is None or ledger is None else history.enthalpy[-1, wax.cells]
    if not np.isfinite(last).all():
        raise SolverError("the run produced temperatures that are not finite; check the material values")
    if ledger is None:
        ledger = close_ledger(network, history)
    touched = None if wax is None else surface_set(network, history, wax)
    wax_material = next((block.material for block in problem.section.blocks if isinstance(block.material, Wax)), None)
    warnings = []
    if not ledger.closed:
        warnings.append(
            f"the energy ledger is open by {ledger.open_share:.1e} of the heat lost; it should close to"
            f" {LEDGER_CLOSES_TO:.0e}"
        )
    return Result(
        name=name,
        grid=network.grid,
        block=network.block,
        parts=tuple(block.part for block in problem.section.blocks),
        tables=network.tables,
        history=history,
        boundaries=tuple((law.name, law.path) for law in network.faces.laws),
        nodes=tuple((node.name, node.capacity) for node in network.nodes),
        melt=problem.melt,
        answers=problem.answers,
        wax=wax,
        events=None if wax is None or touched is None else find_events(network, history, wax, touched),
        ledger=ledger,
        warnings=tuple(warnings),
        volume_law=wax_material.volume if wax_material else None,
        surface_set=touched,
        held=problem.held,
    )
