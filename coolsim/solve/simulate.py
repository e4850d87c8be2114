"""The one verb, for one problem and for many: from a problem to its result."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from itertools import pairwise

from coolsim.errors import CoolsimError
from coolsim.model.day import phases_of
from coolsim.model.jar import Jar
from coolsim.model.layout import problem_of
from coolsim.model.problem import Problem, with_stirred_wax
from coolsim.solve.assemble import result_of
from coolsim.solve.integrate import Progress, integrate, integrate_abreast
from coolsim.solve.network import Network, build
from coolsim.solve.phases import run_phases
from coolsim.solve.result import Result
from coolsim.solve.start import Start
from coolsim.solve.whole import holds_metal

_CELLS_ABREAST = 25_000
"""About so many cells go through the stepper together [-]: more no longer save calls, their arrays leave the cache."""


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
    A jar, on coarse cells to be quick:

    >>> from coolsim import built_in_pair, simulate, with_overrides
    >>> quick = with_overrides(built_in_pair()[0], {"run.refinement": 0.5, "run.tolerance": "1 K"})
    >>> simulate(quick.jar)
    <Result 'Tumbler, bare on the bench': top closed 0:42, fully set 1:49, ended 6:45 h>

    Any problem, here a cylinder of wax with a film on its side:

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
    """Run several problems, those that can through one stepper.

    Parameters
    ----------
    problems : sequence of Problem or Jar
        What to run; best of one size.

    Returns
    -------
    tuple of Result or CoolsimError
        What `simulate` gives for each, to round-off, or the error that it raises.

    Notes
    -----
    A step of one run is some hundred calls on short arrays. Together, each with its own step and clock, runs share
    those calls. Jars of metal and those that change on the way are run one by one, and all are if one of them fails.

    Examples
    --------
    >>> from coolsim import built_in_pair, simulate_many, with_overrides
    >>> coarse = {"run.refinement": 0.5, "run.tolerance": "1 K"}
    >>> jars = [with_overrides(scenario, coarse).jar for scenario in built_in_pair()]
    >>> [result.ended for result in simulate_many(jars)]
    ['cool', 'cool']
    """
    found: dict[int, Result | CoolsimError] = {}
    waiting: dict[int, Network] = {}

    def run_together(numbers: Sequence[int]) -> None:
        try:
            histories = integrate_abreast([waiting[number] for number in numbers])
            for number, history in zip(numbers, histories, strict=True):
                problem = problems[number]
                name = problem.name if isinstance(problem, Jar) else ""
                found[number] = result_of(waiting.pop(number), history, name=name)
        except CoolsimError:
            found.update({number: _outcome(problems[number]) for number in numbers})

    for number, problem in enumerate(problems):
        if isinstance(problem, Jar) and (problem.changes or problem.places is not None):
            found[number] = _outcome(problem)
            continue
        try:
            network = build(with_stirred_wax(problem_of(problem) if isinstance(problem, Jar) else problem))
        except CoolsimError as error:
            found[number] = error
            continue
        if holds_metal(network):
            found[number] = _outcome(problem)
            continue
        waiting[number] = network
    numbers = list(waiting)
    groups = round(sum(len(one.volume) for one in waiting.values()) / _CELLS_ABREAST) or 1
    for first, last in pairwise(len(numbers) * index // groups for index in range(groups + 1)):
        if first < last:
            run_together(numbers[first:last])
    return tuple(found[number] for number in range(len(problems)))


def _outcome(problem: Problem | Jar) -> Result | CoolsimError:
    try:
        return simulate(problem)
    except CoolsimError as error:
        return error
