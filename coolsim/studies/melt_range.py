"""How far the top and the cavity hang on how long the melt circulates, which is loosely known."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace

from coolsim.scenario import Scenario
from coolsim.solve.contraction import Shrinkage
from coolsim.solve.integrate import Progress
from coolsim.solve.result import Result
from coolsim.solve.simulate import simulate

FLOWS_ABOVE = (0.5, 0.7, 0.9, 0.99)
"""Liquid shares above which a melt may cease to circulate, from a thin slurry to one stiff at the first crystals [-].

Estimates: with a share between the two ends the stratified melt meets resolved computations of the flow."""


@dataclass(frozen=True, slots=True, kw_only=True)
class MeltRange:
    """The top for several liquid shares above which wax circulates.

    Parameters
    ----------
    flows_above : tuple of float
        The shares, from small to large [-].
    tops : tuple of (Shrinkage or None)
        The top and the inside for each; None where the wax did not set within the run.
    """

    flows_above: tuple[float, ...]
    tops: tuple[Shrinkage | None, ...]

    def span(self, name: str) -> tuple[float, float] | None:
        """Least and largest value of a number of the top.

        Parameters
        ----------
        name : str
            Attribute of `Shrinkage` that is a number.

        Returns
        -------
        (float, float) or None
            In the unit of the attribute; None if the wax did not set in every run.
        """
        if any(top is None for top in self.tops):
            return None
        values = [float(getattr(top, name)) for top in self.tops]
        return min(values), max(values)


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
    >>> least, most = found.span("cavity_volume")
    >>> least < most
    True
    """
    melt = scenario.jar.melt
    if melt.mixing == "none":
        return None
    shares = tuple(sorted({*FLOWS_ABOVE, melt.flows_above}))
    tops = []
    for share in shares:
        if known is not None and share == melt.flows_above:
            result = known
        else:
            result = simulate(replace(scenario.jar, melt=replace(melt, flows_above=share)), on_step=on_step)
        is_set = result.events is not None and result.events.fully_set is not None
        tops.append(result.shrinkage if is_set else None)
    return MeltRange(flows_above=shares, tops=tuple(tops))
