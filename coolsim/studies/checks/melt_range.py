"""How far the top and the voids depend on how stiff half-frozen wax is, which is loosely known."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

from coolsim.answers.answer import Run
from coolsim.answers.catalogue import COMPARED
from coolsim.scenario import Scenario
from coolsim.solve.integrate import Progress
from coolsim.solve.result import Result
from coolsim.solve.together import simulate_jars

FACTORS = (1.0 / 3.0, 1.0, 10.0 / 3.0)
"""On the stiffness of mush, which is known no better: the ends of its plausible range for fats [-]."""


RANGED = tuple(answer for answer in COMPARED if answer.group == "top")
"""The answers that are told over the range."""


@dataclass(frozen=True, slots=True, kw_only=True)
class MeltRange:
    """The top for several stiffnesses of mush, from soft to stiff [Pa].

    Answers are those of `RANGED` by key for each; None where the wax did not set within the run.
    """

    stiffness: tuple[float, ...]
    answers: tuple[dict[str, float] | None, ...]

    def span(self, key: str) -> tuple[float, float] | None:
        """Least and largest value of one of `RANGED` [its unit]; None if the wax did not set in every run."""
        values = [one[key] for one in self.answers if one is not None]
        return (min(values), max(values)) if len(values) == len(self.answers) else None


def melt_range(
    scenario: Scenario, *, known: Result | None = None, on_step: Callable[[Progress], None] | None = None
) -> MeltRange:
    """Run a scenario over the range of `mush.stiffness`.

    Parameters
    ----------
    scenario : Scenario
        The scenario, of one jar. Its own stiffness is one of those that are run.
    known : Result, optional
        Its result, if it has been run already.
    on_step : callable, optional
        Called with a `Progress` after each step of each run.

    Returns
    -------
    MeltRange
        The tops.

    Examples
    --------
    >>> from coolsim import built_in_pair, melt_range, with_overrides
    >>> quick = with_overrides(built_in_pair()[0], {"run.refinement": 0.5, "run.tolerance": "1 K"})
    >>> found = melt_range(quick)
    >>> found.stiffness
    (1000000.0, 3000000.0, 10000000.0)
    >>> least, most = found.span("hole_m")
    >>> least < most
    True
    """
    (found,) = melt_ranges(scenario, known=None if known is None else [known], on_step=on_step)
    return found


def melt_ranges(
    scenario: Scenario, *, known: Sequence[Result] | None = None, on_step: Callable[[Progress], None] | None = None
) -> tuple[MeltRange, ...]:
    """Run a scenario over the range, as `melt_range`: one for a jar, or one for each kind of place of a box."""
    melt = scenario.jar.melt
    own = melt.softness.stiffness
    runs = []
    for factor in FACTORS:
        if known is not None and factor == 1.0:
            runs.append(known)
        else:
            softness = replace(melt.softness, stiffness=factor * own)
            runs.append(simulate_jars(replace(scenario.jar, melt=replace(melt, softness=softness)), on_step=on_step))
    stiffness = tuple(round(factor * own, 6) for factor in FACTORS)
    return tuple(
        MeltRange(stiffness=stiffness, answers=tuple(_top(result) for result in results))
        for results in zip(*runs, strict=True)
    )


def _top(result: Result) -> dict[str, float] | None:
    top = {answer.key: answer.of(Run(result=result)) for answer in RANGED}
    numbers = {key: value for key, value in top.items() if isinstance(value, float)}
    return numbers if len(numbers) == len(top) else None
