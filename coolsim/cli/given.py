"""What commands are given: scenarios, results that were saved, and runs of those that have no result yet."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from coolsim.cli.naming import titles
from coolsim.cli.screen import Screen, warn
from coolsim.cli.values import with_options
from coolsim.errors import ScenarioError

if TYPE_CHECKING:
    from coolsim.scenario import Scenario
    from coolsim.solve.result import Result

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


def read_runs(files: Sequence[Path] | None) -> list[tuple[Scenario, Result | None]]:
    """Read scenarios, which have no result yet, and results that were saved, in the order in which they are given."""
    if not files:
        return [(scenario, None) for scenario in read_scenarios(files)]
    toml = [file for file in files if file.suffix.lower() != _SAVED]
    # All faults of scenarios are reported together.
    scenarios = iter(read_scenarios(toml) if toml else ())
    runs: list[tuple[Scenario, Result | None]] = []
    for file in files:
        if file in toml:
            runs.append((next(scenarios), None))
        else:
            from coolsim.report.saved.store import load_results

            runs += load_results(file)
    return runs


def run_each(runs: Sequence[tuple[Scenario, Result | None]], screen: Screen) -> list[Result]:
    """Run the scenarios that have no result yet, and show how far they are."""
    from coolsim.solve.simulate import simulate

    results = []
    labels = titles([scenario for scenario, _ in runs])
    for number, ((scenario, known), title) in enumerate(zip(runs, labels, strict=True), start=1):
        if known is None:
            label = f"{title} ({number} of {len(runs)})" if len(runs) > 1 else title
            with screen.progress(label) as on_step:
                known = simulate(scenario.jar, on_step=on_step)
        results.append(known)
    return results


def run_jars(scenario: Scenario, screen: Screen) -> tuple[Result, ...]:
    """Run a scenario, all jars of a box together, and show how far it is."""
    from coolsim.solve.together import simulate_box

    if scenario.jar.places is None:
        return tuple(run_each([(scenario, None)], screen))
    with screen.progress(scenario.title) as on_step:
        return simulate_box(scenario.jar, on_step=on_step).results


def read_batch(file: Path, jars: int | None = None) -> Scenario:
    """Read a scenario with a batch: of as many jars as an option says, or of one if nothing says how many."""
    from coolsim.scenario import with_overrides
    from coolsim.studies.workshop.preparation import must_set

    scenario = read_scenario(file)
    must_set(scenario)
    if jars is None and scenario.batch is None:
        scenario = with_overrides(scenario, {"batch.jars": 1})
    return with_options(scenario, {"batch.jars": ("--jars", jars)})
