"""Commands that run scenarios, or print and draw a saved run again."""

from __future__ import annotations

import shlex
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from coolsim.cli.command import Asked, command
from coolsim.cli.given import load_runs, read_scenarios, run_each
from coolsim.cli.naming import Column, columns_of
from coolsim.cli.options import FIGURE, FilesOrPair, ScenarioFile
from coolsim.cli.outputs import check_outputs, write_outputs

if TYPE_CHECKING:
    from coolsim.scenario import Scenario
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
    asked.folder()
    scenarios, results = zip(*load_runs(file), strict=True)
    check_outputs(asked, scenarios, inputs=[file])
    columns = columns_of(scenarios, results)
    _tell(asked, scenarios, columns)
    write_outputs(asked, scenarios, columns)
    asked.screen.hint(f"`coolsim animate {shlex.quote(str(file))}` shows it cooling.")


def _run_all(asked: Asked, files: Sequence[Path]) -> None:
    from coolsim.studies.checks.grid_error import grid_errors
    from coolsim.studies.checks.melt_range import melt_ranges

    asked.folder()
    scenarios = read_scenarios(files)
    check_outputs(asked, scenarios, inputs=files)
    results = run_each([(scenario, None) for scenario in scenarios], asked.screen)
    ranges: list[MeltRange] = []
    errors: list[GridError] = []
    for scenario, known in zip(scenarios, results, strict=True):
        if asked.melt_range:
            with asked.screen.progress(f"{scenario.title}, softer and stiffer") as on_step:
                ranges += melt_ranges(scenario, known=known, on_step=on_step)
        if asked.error or asked.json:
            with asked.screen.progress(f"{scenario.title}, coarser grid") as on_step:
                errors += grid_errors(scenario.jar, known=known, on_step=on_step)
    columns = columns_of(scenarios, results)
    _tell(asked, scenarios, columns, ranges=ranges or None, errors=errors or None)
    write_outputs(asked, scenarios, columns)


def _tell(
    asked: Asked,
    scenarios: Sequence[Scenario],
    columns: Sequence[Column],
    *,
    ranges: Sequence[MeltRange] | None = None,
    errors: Sequence[GridError] | None = None,
) -> None:
    from coolsim.report.estimates import estimates
    from coolsim.report.text.box import kind_data
    from coolsim.report.text.runs import answers_data, answers_table

    runs = [(one.title, one.result) for one in columns]
    jars = [one.scenario.jar for one in columns]

    def data() -> dict[str, object]:
        found = answers_data(runs, jars=jars, melt_ranges=ranges, errors=errors)
        return {
            "runs": [
                {
                    "file": one.scenario.where,
                    "invented": one.scenario.invented,
                    **({} if one.kind is None else kind_data(one.kind, last=one.is_set == "last")),
                    **answers,
                    "estimates": {answer: list(keys) for answer, keys in estimates(one.scenario)},
                }
                for one, answers in zip(columns, found, strict=True)
            ]
        }

    units = asked.system(scenarios[0])
    asked.tell(
        scenarios,
        lambda: [answers_table(runs, units=units, jars=jars, melt_ranges=ranges, errors=errors)],
        data,
        estimates_of=scenarios,
    )
