"""The command that runs scenarios over many values of their keys."""

from __future__ import annotations

from typing import Annotated, Any

import typer

from coolsim.cli.command import Asked, command
from coolsim.cli.edge import FAILED
from coolsim.cli.given import read_scenarios
from coolsim.cli.many import journal_target, keep_runs, watch
from coolsim.cli.naming import titles
from coolsim.cli.options import FilesOrPair, takes
from coolsim.cli.targets import to_file
from coolsim.cli.values import blaming
from coolsim.errors import ScenarioError


@command(
    "Run a scenario over many values of its keys.",
    "coolsim sweep jar.toml --over room.temperature=15C:27C:2K --csv rooms.csv",
    "coolsim sweep bare.toml boxed.toml --over pour.temperature=55C:70C:5K --over vessel.wall=2mm,3mm,4mm",
    asks=("table", "workers", "journal", "units", "json", "force"),
)
def sweep(
    asked: Asked,
    files: FilesOrPair = None,
    over: Annotated[
        list[str] | None,
        takes(
            "KEY=VALUES",
            "A key of the scenario and its values: a list with commas, first:last or first:last:step, with units"
            ' ("room.temperature=15C:27C:2K"); may be given several times, for every combination.',
        ),
    ] = None,
) -> None:
    """Run scenarios over many values of their keys, and tabulate the answers.

    FILE.toml is a scenario; any number are swept alike, and the built-in pair without one. A point that fails is
    reported and the others go on; the exit code is then 4. After Ctrl-C the same command goes on where it was.
    """
    asked.begin_workers()
    from coolsim.report.text.sweep import sweep_csv, sweep_data, sweep_text
    from coolsim.studies.sweep.sweep import sweep as run_sweep
    from coolsim.studies.sweep.sweep import sweep_points

    with blaming(rest="--over"):
        axes = _axes(over or [])
    scenarios = read_scenarios(files)
    asked.claim(*to_file("--csv", asked.table, ".csv"), journal_target(asked.journal), inputs=files or [])
    with blaming(rest="--over"):
        points = sweep_points(scenarios, axes)
    names, units = titles(scenarios), asked.system(scenarios[0])
    with keep_runs(asked.journal) as kept:
        with watch(asked.screen, "sweep") as on_row:
            rows = run_sweep(points, workers=asked.workers, journal=kept, on_row=on_row)
        asked.tell(
            scenarios,
            lambda: [sweep_text(rows, names, units=units)],
            lambda: {"rows": sweep_data(rows, names)},
            caution=False,
        )
        if asked.table is not None:
            asked.write(asked.table, sweep_csv(rows, names, units=units))
    if any(row.fault is not None for row in rows):
        raise typer.Exit(FAILED)
    if asked.table is None:
        asked.screen.hint("`--csv TABLE.csv` with the same command writes all answers to a file.")


def _axes(over: list[str]) -> dict[str, tuple[Any, ...]]:
    from coolsim.scenario.ranges import swept_values

    if not over:
        raise typer.BadParameter(
            "give at least one key with its values, as in --over room.temperature=15C:27C:2K.", param_hint="'--over'"
        )
    axes: dict[str, tuple[Any, ...]] = {}
    faults: list[str] = []
    for text in over:
        key, equals, values = text.partition("=")
        key = key.strip()
        if not equals or key in axes:
            found = f"found '{key}' twice" if key in axes else f"found '{text}'"
            raise typer.BadParameter(
                f"{found}; give each key once, with its values behind an equals sign.", param_hint="'--over'"
            )
        try:
            axes[key] = swept_values(key, values)
        except ScenarioError as error:
            faults += error.faults
    if faults:
        raise ScenarioError(faults)
    return axes
