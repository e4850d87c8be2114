"""How far the top and the cavity depend on how long the melt circulates, which is loosely known."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace

from coolsim.answers.answer import Run
from coolsim.answers.catalogue import COMPARED
from coolsim.scenario import Scenario
from coolsim.solve.integrate import Progress
from coolsim.solve.result import Result
from coolsim.solve.simulate import simulate

FLOWS_ABOVE = (0.5, 0.7, 0.9, 0.99)
"""Liquid shares above which a melt may cease to circulate, from a thin slurry to one stiff at the first crystals [-].

Estimates: with a share between the two ends the stratified melt meets resolved computations of the flow."""


RANGED = tuple(answer for answer in COMPARED if answer.group == "top")
"""The answers that are told over the range."""


@dataclass(frozen=True, slots=True, kw_only=True)
class MeltRange:
    """The top for several liquid shares above which wax circulates, from small to large [-].

    Answers are those of `RANGED` by key for each share; None where the wax did not set within the run.
    """

    flows_above: tuple[float, ...]
    answers: tuple[dict[str, float] | None, ...]

    def span(self, key: str) -> tuple[float, float] | None:
        """Least and largest value of one of `RANGED` [its unit]; None if the wax did not set in every run."""
        values = [one[key] for one in self.answers if one is not None]
        return (min(values), max(values)) if len(values) == len(self.answers) else None


def melt_range(
    scenario: Scenario, *, known: Result | None = None, on_step: Callable[[Progress], None] | None = None
) -> MeltRange | None:
    """Run a scenario over the range of `melt.flows_above`.

    Parameters
    ----------
    scenario : Scenario
        The scenario. Its own share is one of those that are run.
    known : Result, optional
        Its result, if it has been run already.
    on_step : callable, optional
        Called with a `Progress` after each step of each run.

    Returns
    -------
    MeltRange or None
        None if the scenario lets nothing circulate (`melt.mixing` is none).

    Examples
    --------
    >>> from coolsim import built_in_pair, melt_range, with_overrides
    >>> quick = with_overrides(built_in_pair()[0], {"run.refinement": 0.5, "run.tolerance": "1 K"})
    >>> found = melt_range(quick)
    >>> found.flows_above
    (0.5, 0.7, 0.9, 0.99)
    >>> least, most = found.span("cavity_volume_m3")
    >>> least < most
    True
    """
    melt = scenario.jar.melt
    if melt.mixing == "none":
        return None
    shares = tuple(sorted({*FLOWS_ABOVE, melt.flows_above}))
    found = []
    for share in shares:
        if known is not None and share == melt.flows_above:
            result = known
        else:
            result = simulate(replace(scenario.jar, melt=replace(melt, flows_above=share)), on_step=on_step)
        top = {answer.key: answer.of(Run(result=result)) for answer in RANGED}
        numbers = {key: value for key, value in top.items() if isinstance(value, float)}
        found.append(numbers if len(numbers) == len(top) else None)
    return MeltRange(flows_above=shares, answers=tuple(found))
