"""The command that runs scenarios, or prints and draws saved runs again."""

from __future__ import annotations

import shlex
from collections.abc import Sequence
from typing import TYPE_CHECKING

from coolsim.cli.command import Asked, command
from coolsim.cli.given import read_runs, run_each
from coolsim.cli.naming import Column, columns_of
from coolsim.cli.options import FIGURE, SavedOrFiles
from coolsim.cli.outputs import begin_beside, check_outputs, processes_beside, write_outputs

if TYPE_CHECKING:
    from coolsim.scenario import Scenario
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
    number stand side by side, a box of jars with a column for each kind of place. Without a file, coolsim runs the pair
    that comes with it: a jar on a wooden bench, and the same jar in a cardboard box. The temperature maps show the
    times that the first scenario asks for; the cooling curves are those of its points where all scenarios state the
    same.
    """
    begin_beside(asked)
    from coolsim.studies.checks.grid_error import grid_errors
    from coolsim.studies.checks.melt_range import melt_ranges

    runs = read_runs(files)
    scenarios = [scenario for scenario, _ in runs]
    check_outputs(asked, scenarios, inputs=files or [])
    with processes_beside(asked) as helpers:
        results = run_each(runs, asked.screen)
        ranges: list[MeltRange] = []
        errors: list[GridError | None] = []
        for (scenario, saved), known in zip(runs, results, strict=True):
            if asked.melt_range:
                with asked.screen.progress(f"{scenario.title}, softer and stiffer") as on_step:
                    ranges += melt_ranges(scenario, known=known, on_step=on_step)
            # A saved result is not run again unless that is asked for.
            if asked.error or (asked.json and saved is None):
                with asked.screen.progress(f"{scenario.title}, coarser grid") as on_step:
                    errors += grid_errors(scenario.jar, known=known, on_step=on_step)
            else:
                errors += [None] * len(known)
        columns = columns_of(scenarios, results)
        _tell(asked, scenarios, columns, ranges=ranges or None, errors=errors)
        write_outputs(asked, scenarios, columns, helpers=helpers)
    if not files:
        asked.screen.hint("`coolsim new jar.toml` writes a scenario to fill in; `coolsim run jar.toml` runs it.")
    elif len(files) == 1:
        asked.screen.hint(f"`coolsim run {shlex.quote(str(files[0]))} OTHER.toml` sets it beside another scenario.")


def _tell(
    asked: Asked,
    scenarios: Sequence[Scenario],
    columns: Sequence[Column],
    *,
    ranges: Sequence[MeltRange] | None,
    errors: Sequence[GridError | None],
) -> None:
    from coolsim.report.estimates import estimates
    from coolsim.report.text.runs import answers_data, answers_table

    runs = [(one.title, one.result) for one in columns]
    jars = [one.scenario.jar for one in columns]

    def data() -> dict[str, object]:
        from coolsim.report.text.box import kind_data

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
