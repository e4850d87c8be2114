"""Commands that run scenarios, or print and draw a saved run again."""

from __future__ import annotations

import shlex
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from coolsim.cli.command import Asked, command
from coolsim.cli.given import read_scenarios, run_each
from coolsim.cli.naming import titles
from coolsim.cli.options import FIGURE, FilesOrPair, ScenarioFile
from coolsim.cli.outputs import check_outputs, write_outputs

if TYPE_CHECKING:
    from coolsim.scenario import Scenario
    from coolsim.solve.result import Result
    from coolsim.studies.checks.grid_error import GridError
    from coolsim.studies.checks.melt_range import MeltRange

_SHOWN = (*FIGURE, "only", "units", "curves", "estimates", "json", "force")
_RUN = (*_SHOWN, "save", "melt_range", "error")


@command(
    "Run scenarios side by side.",
    "coolsim compare",
    "coolsim compare bare.toml boxed.toml --units us",
    "coolsim compare *.toml --only set-times --format pdf",
    asks=_RUN,
)
def compare(asked: Asked, files: FilesOrPair = None) -> None:
    """Run scenarios side by side: times, fronts and temperature maps.

    FILE.toml is a scenario; any number stand side by side. Without a file, coolsim runs the pair that comes with
    it: a jar on a wooden bench, and the same jar in a closed cardboard box. The temperature maps show the times
    that the first scenario asks for; the cooling curves are those of its points where all scenarios state the same.
    """
    _run_all(asked, files or [])
    asked.screen.hint("`coolsim new jar.toml` writes a scenario to fill in; `coolsim run jar.toml` runs it.")


@command(
    "Run one scenario.",
    "coolsim run jar.toml",
    "coolsim run jar.toml --no-figures --csv jar.csv --save jar.npz",
    asks=_RUN,
)
def run(asked: Asked, file: ScenarioFile) -> None:
    """Run one scenario: times, fronts and temperature maps."""
    _run_all(asked, [file])
    asked.screen.hint(f"`coolsim compare {shlex.quote(str(file))} OTHER.toml` sets it beside another scenario.")


@command(
    "Print and draw a saved result again.",
    "coolsim redraw jar.npz",
    "coolsim redraw jar.npz --figures slides --format svg --units us",
    asks=_SHOWN,
)
def redraw(
    asked: Asked, file: Annotated[Path, typer.Argument(metavar="FILE.npz", help="A saved result.", show_default=False)]
) -> None:
    """Print tables and draw figures of a saved result, without running again."""
    from coolsim.report.saved.store import load_results

    asked.folder()
    scenarios, results = zip(*load_results(file), strict=True)
    check_outputs(asked, scenarios, inputs=[file])
    _tell(asked, scenarios, results)
    write_outputs(asked, scenarios, results)
    asked.screen.hint(f"`coolsim animate {shlex.quote(str(file))}` shows it cooling.")


def _run_all(asked: Asked, files: Sequence[Path]) -> None:
    from coolsim.studies.checks.grid_error import grid_error
    from coolsim.studies.checks.melt_range import melt_range

    asked.folder()
    from coolsim.scenario import one_jar

    scenarios = [one_jar(scenario) for scenario in read_scenarios(files)]
    check_outputs(asked, scenarios, inputs=files)
    results = run_each([(scenario, None) for scenario in scenarios], asked.screen)
    ranges, errors = [], []
    for scenario, result in zip(scenarios, results, strict=True):
        if asked.melt_range:
            with asked.screen.progress(f"{scenario.title}, softer and stiffer") as on_step:
                ranges.append(melt_range(scenario, known=result, on_step=on_step))
        if asked.error or asked.json:
            with asked.screen.progress(f"{scenario.title}, coarser grid") as on_step:
                errors.append(grid_error(scenario.jar, known=result, on_step=on_step))
    _tell(asked, scenarios, results, ranges=ranges or None, errors=errors or None)
    write_outputs(asked, scenarios, results)


def _tell(
    asked: Asked,
    scenarios: Sequence[Scenario],
    results: Sequence[Result],
    *,
    ranges: Sequence[MeltRange | None] | None = None,
    errors: Sequence[GridError | None] | None = None,
) -> None:
    from coolsim.report.estimates import estimates
    from coolsim.report.text.runs import answers_data, answers_table

    runs = list(zip(titles(scenarios), results, strict=True))
    jars = [scenario.jar for scenario in scenarios]

    def data() -> dict[str, object]:
        found = answers_data(runs, jars=jars, melt_ranges=ranges, errors=errors)
        return {
            "runs": [
                {
                    "file": scenario.where,
                    "invented": scenario.invented,
                    **one,
                    "estimates": {answer: list(keys) for answer, keys in estimates(scenario)},
                }
                for scenario, one in zip(scenarios, found, strict=True)
            ]
        }

    units = asked.system(scenarios[0])
    asked.tell(
        scenarios,
        lambda: [answers_table(runs, units=units, jars=jars, melt_ranges=ranges, errors=errors)],
        data,
        estimates_of=scenarios,
    )
