"""How far the times of a plan may be off: a spread of the jar, as `coolsim spread` makes it."""

from __future__ import annotations

from collections.abc import Callable
from concurrent.futures import Executor

from coolsim.scenario import Scenario
from coolsim.studies.spread.inputs import usual_inputs
from coolsim.studies.spread.spread import Spread, spread, spread_study
from coolsim.studies.sweep.sweep import Study


def doubt_of(
    scenario: Scenario,
    *,
    executor: Executor | None = None,
    workers: int | None = None,
    on_run: Callable[[int, int], None] | None = None,
) -> Spread | None:
    """Spread the answers of a scenario over what is usually varied, with the usual number of cases, seed and cut.

    A plan made with it has the figures of `coolsim spread`. The executor, the number of workers [-] and `on_run` are
    those of `coolsim.studies.spread.spread.spread`. Of a box of jars the worst jar counts in each case. None where
    nothing is left to vary, because the scenario states it all.
    """
    if not usual_inputs(scenario)[0]:
        return None
    return spread(scenario, executor=executor, workers=workers, on_run=on_run)


def doubt_study(scenario: Scenario) -> Study[Spread | None]:
    """Ask for the runs of `doubt_of`."""
    return (yield from spread_study(scenario)) if usual_inputs(scenario)[0] else None
