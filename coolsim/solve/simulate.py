"""The one verb: from a problem to its result."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np

from coolsim.errors import SolverError
from coolsim.model.jar import Jar
from coolsim.model.layout import problem_of
from coolsim.model.problem import Problem, with_stirred_wax
from coolsim.model.properties import Wax
from coolsim.solve.events import close_ledger, find_events, surface_locks, wax_body
from coolsim.solve.integrate import History, Progress, integrate
from coolsim.solve.network import Network, build
from coolsim.solve.result import LEDGER_CLOSES_TO, Result
from coolsim.solve.shrinkage import volume_law
from coolsim.solve.start import Start


def simulate(
    problem: Problem | Jar,
    *,
    name: str = "",
    start: Start | None = None,
    until: float | None = None,
    on_step: Callable[[Progress], None] | None = None,
) -> Result:
    """Run a problem to its end.

    Parameters
    ----------
    problem : Problem or Jar
        What to run.
    name : str, optional
        What the report calls it; a jar has its own.
    start : Start, optional
        A state of the same problem to go on from, as `Result.state_at` gives it; left out, from the pour.
    until : float, optional
        Stop exactly then, however warm the wax is [s]; left out, when the wax is cool or at the horizon.
    on_step : callable, optional
        Called with a `Progress` after each step.

    Returns
    -------
    Result
        All fields, events and the energy ledger.

    Raises
    ------
    SolverError
        If the run cannot be finished, or a temperature is not finite.
    ValueError
        If the start is of another problem, `until` does not lie after it, or the jar stands for a box of several.

    Notes
    -----
    Times count from the pour in any case. The events of a run that goes on from a state are those after it: what was
    set before is given the time of the start.

    Examples
    --------
    >>> from coolsim.model.materials import catalogue_wax
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
    >>> result = simulate(Problem(section=cylinder, boundaries=(side,), room=20.0))
    >>> result.ended, result.ledger.closed
    ('cool', True)
    """
    if isinstance(problem, Jar):
        name = name or problem.name
        problem = problem_of(problem)
    network = build(with_stirred_wax(problem))
    history = integrate(network, start=start, until=until, on_step=on_step)
    return result_of(network, history, name=name)


def result_of(network: Network, history: History, *, name: str) -> Result:
    """Ask the history of a run all questions.

    Parameters
    ----------
    network : Network
        The cut problem.
    history : History
        Its run.
    name : str
        What the report calls it.

    Returns
    -------
    Result
        Fields, events and the energy ledger.

    Raises
    ------
    SolverError
        If a temperature is not finite.
    """
    problem = network.problem
    if not np.isfinite(history.enthalpy[-1]).all():
        raise SolverError("the run produced temperatures that are not finite; check the material values")
    wax = wax_body(network)
    ledger = close_ledger(network, history)
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
        events=find_events(network, history, wax) if wax is not None else None,
        ledger=ledger,
        warnings=tuple(warnings),
        volume_law=volume_law(wax_material) if wax_material else None,
        surface_locks=surface_locks(network, history, wax) if wax is not None else None,
    )
