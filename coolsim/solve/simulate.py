"""The one verb: from a problem to its result."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from coolsim.errors import CoolsimError
from coolsim.model.day import phases_of
from coolsim.model.jar import Jar
from coolsim.model.layout import problem_of
from coolsim.model.problem import Problem, with_stirred_wax
from coolsim.solve.assemble import result_of
from coolsim.solve.integrate import Progress, integrate
from coolsim.solve.network import build
from coolsim.solve.phases import run_phases
from coolsim.solve.result import Result
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
        If the start is of another problem, `until` does not lie after it, the jar stands for a box of several, or it
        changes on the way and the run is to start or stop in between.

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
        if problem.changes:
            if start is not None or until is not None:
                raise ValueError(f"'{name}' changes on the way: such a run neither starts nor stops in between")
            return run_phases(phases_of(problem), name=name, on_step=on_step)
        problem = problem_of(problem)
    network = build(with_stirred_wax(problem))
    history = integrate(network, start=start, until=until, on_step=on_step)
    return result_of(network, history, name=name)


def simulate_many(problems: Sequence[Problem | Jar]) -> tuple[Result | CoolsimError, ...]:
    """Run problems to their ends, each as `simulate` does; one that fails has its error in the place of its result.

    Examples
    --------
    >>> from coolsim.scenario import built_in_pair, with_overrides
    >>> quick = with_overrides(built_in_pair()[0], {"run.refinement": 0.5, "run.tolerance": "1 K"}).jar
    >>> [one.ended for one in simulate_many([quick, quick])]
    ['cool', 'cool']
    """
    found: list[Result | CoolsimError] = []
    for problem in problems:
        try:
            found.append(simulate(problem))
        except CoolsimError as error:
            found.append(error)
    return tuple(found)
