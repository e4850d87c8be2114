"""What commands are given: scenarios, results that were saved, and runs of those that have no result yet."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from coolsim.cli.naming import kinds_with_jars, titles
from coolsim.cli.screen import Screen, warn
from coolsim.errors import ScenarioError

if TYPE_CHECKING:
    from coolsim.scenario import Scenario
    from coolsim.solve.result import Result
    from coolsim.solve.together import BoxResult

_SAVED = ".npz"


def read_scenario(file: Path) -> Scenario:
    """Read a scenario, and say what to write instead of old words in it."""
    from coolsim.scenario import load_scenario

    scenario = load_scenario(file)
    for words in scenario.old_words:
        warn(words)
    return scenario


def read_scenarios(files: Sequence[Path] | None) -> list[Scenario]:
    """Read scenarios, or the built-in pair without a file; all faults are reported together."""
    from coolsim.scenario import built_in_pair

    if not files:
        return list(built_in_pair())
    scenarios: list[Scenario] = []
    faults: list[str] = []
    for file in files:
        try:
            scenarios.append(read_scenario(file))
        except ScenarioError as error:
            faults += error.faults
    if faults:
        raise ScenarioError(faults)
    return scenarios


def read_runs(files: Sequence[Path] | None) -> list[tuple[Scenario, tuple[Result, ...] | None]]:
    """Read scenarios, which have no results yet, and results that were saved, in the order in which they are given."""
    if not files:
        return [(scenario, None) for scenario in read_scenarios(files)]
    toml = [file for file in files if file.suffix.lower() != _SAVED]
    # All faults of scenarios are reported together.
    scenarios = iter(read_scenarios(toml) if toml else ())
    runs: list[tuple[Scenario, tuple[Result, ...] | None]] = []
    for file in files:
        if file in toml:
            runs.append((next(scenarios), None))
        else:
            runs += load_runs(file)
    return runs


def load_runs(file: Path) -> list[tuple[Scenario, tuple[Result, ...]]]:
    """Read results that were saved: of a box of jars all kinds of place together."""
    from coolsim.errors import ResultFileError
    from coolsim.report.saved.store import load_results

    runs = []
    saved = load_results(file)
    while saved:
        scenario = saved[0][0]
        kinds = kinds_with_jars(scenario)
        found = tuple(result for _, result in saved[: max(len(kinds), 1)])
        if kinds and [one.name for one in found] != [f"{scenario.jar.name}: {kind.name}" for kind in kinds]:
            raise ResultFileError(
                f"{file}: holds only some of the {scenario.jar.name}. Save the box again with `coolsim run`."
            )
        runs.append((scenario, found))
        saved = saved[len(found) :]
    return runs


def run_each(runs: Sequence[tuple[Scenario, Sequence[Result] | None]], screen: Screen) -> list[tuple[Result, ...]]:
    """Run the scenarios that have no result yet, all jars of a box together, and show how far they are.

    A box has a result for each kind of place, any other scenario one.
    """
    from coolsim.solve.simulate import simulate
    from coolsim.solve.together import simulate_box

    results: list[tuple[Result, ...]] = []
    labels = titles([scenario for scenario, _ in runs])
    for number, ((scenario, known), title) in enumerate(zip(runs, labels, strict=True), start=1):
        if known is None:
            label = f"{title} ({number} of {len(runs)})" if len(runs) > 1 else title
            with screen.progress(label) as on_step:
                box = scenario.jar.places is not None
                known = (
                    simulate_box(scenario.jar, on_step=on_step).results
                    if box
                    else (simulate(scenario.jar, on_step=on_step),)
                )
        results.append(tuple(known))
    return results


def run_jars(scenario: Scenario, screen: Screen) -> tuple[Result, ...]:
    """Run a scenario, all jars of a box together, and show how far it is."""
    return run_each([(scenario, None)], screen)[0]


def run_box(scenario: Scenario, screen: Screen) -> BoxResult:
    """Run all jars of a box together, and show how far that is."""
    from coolsim.solve.together import simulate_box

    with screen.progress(scenario.title) as on_step:
        return simulate_box(scenario.jar, on_step=on_step)
