"""The command that runs scenarios, or prints and draws saved runs again."""

from __future__ import annotations

import shlex
from collections.abc import Sequence
from typing import TYPE_CHECKING

from coolsim.cli.command import Asked, command
from coolsim.cli.given import read_runs, run_each
from coolsim.cli.naming import titles
from coolsim.cli.options import FIGURE, SavedOrFiles
from coolsim.cli.outputs import check_outputs, write_outputs

if TYPE_CHECKING:
    from coolsim.scenario import Scenario
    from coolsim.solve.result import Result
    from coolsim.studies.checks.grid_error import GridError
    from coolsim.studies.checks.melt_range import MeltRange


@command(
    "Run scenarios, or show saved results.",
    "coolsim run",
    "coolsim run jar.toml --no-figures --csv jar.csv --save jar.npz",
    "coolsim run bare.toml boxed.toml --units us",
    "coolsim run jar.npz --only set-times --format pdf",
    asks=(*FIGURE, "only", "units", "curves", "estimates", "json", "force", "save", "melt_range", "error"),
)
def run(asked: Asked, files: SavedOrFiles = None) -> None:
    """Run scenarios: times, the set top, heat, and temperature maps.

    FILE is a scenario, or a result that was saved with --save, which is printed and drawn without running again; any
    number stand side by side. Without a file, coolsim runs the pair that comes with it: a jar on a wooden bench,
    and the same jar in a cardboard box. The temperature maps show the times that the first scenario asks for; the
    cooling curves are those of its points where all scenarios state the same.
    """
    from coolsim.scenario import one_jar
    from coolsim.studies.checks.grid_error import grid_error
    from coolsim.studies.checks.melt_range import melt_range

    asked.folder()
    runs = read_runs(files)
    scenarios = [one_jar(scenario) for scenario, _ in runs]
    check_outputs(asked, scenarios, inputs=files or [])
    results = run_each(runs, asked.screen)
    ranges: list[MeltRange | None] = []
    errors: list[GridError | None] = []
    for (scenario, saved), result in zip(runs, results, strict=True):
        if asked.melt_range:
            with asked.screen.progress(f"{scenario.title}, softer and stiffer") as on_step:
                ranges.append(melt_range(scenario, known=result, on_step=on_step))
        # A saved result is not run again unless that is asked for.
        if asked.error or (asked.json and saved is None):
            with asked.screen.progress(f"{scenario.title}, coarser grid") as on_step:
                errors.append(grid_error(scenario.jar, known=result, on_step=on_step))
        else:
            errors.append(None)
    _tell(asked, scenarios, results, ranges=ranges or None, errors=errors)
    write_outputs(asked, scenarios, results)
    if not files:
        asked.screen.hint("`coolsim new jar.toml` writes a scenario to fill in; `coolsim run jar.toml` runs it.")
    elif len(files) == 1:
        asked.screen.hint(f"`coolsim run {shlex.quote(str(files[0]))} OTHER.toml` sets it beside another scenario.")


def _tell(
    asked: Asked,
    scenarios: Sequence[Scenario],
    results: Sequence[Result],
    *,
    ranges: Sequence[MeltRange | None] | None,
    errors: Sequence[GridError | None],
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
