"""The files of a run: figures, curves, and the whole result."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING

import typer

from coolsim.cli.command import Asked
from coolsim.cli.naming import file_stems, titles
from coolsim.cli.options import Figure
from coolsim.cli.targets import in_folder, make_folder, to_file

if TYPE_CHECKING:
    from coolsim.scenario import Scenario
    from coolsim.solve.result import Result


def check_outputs(asked: Asked, scenarios: Sequence[Scenario], *, inputs: Sequence[Path]) -> None:
    """Find out before a run that its results can be written; curves of several scenarios do not go to one file."""
    if _is_table(asked.curves) and len(scenarios) > 1:
        raise typer.BadParameter(
            f"found {str(asked.curves)!r} for {len(scenarios)} scenarios; give a folder, it gets a file for each.",
            param_hint="'--csv'",
        )
    targets = to_file("--save", asked.save, ".npz")
    if _is_table(asked.curves):
        targets += to_file("--csv", asked.curves, ".csv")
    else:
        targets += [one for stem in file_stems(scenarios) for one in in_folder("--csv", asked.curves, f"{stem}.csv")]
    folder = asked.folder()
    for name in asked.only or Figure:
        targets += in_folder("--figures", folder, asked.figure_name(scenarios, name))
    asked.claim(*targets, inputs=inputs)


def write_outputs(asked: Asked, scenarios: Sequence[Scenario], results: Sequence[Result]) -> None:
    """Write what was asked for and say so."""
    if asked.save is not None:
        from coolsim.report.saved.store import save_results

        asked.screen.wrote(save_results(asked.save, list(zip(scenarios, results, strict=True))))
    units = asked.system(scenarios[0])
    if asked.curves is not None:
        from coolsim.report.text.curves import curves_csv

        if not _is_table(asked.curves):
            make_folder(asked.curves)
        for stem, scenario, result in zip(file_stems(scenarios), scenarios, results, strict=True):
            path = asked.curves if _is_table(asked.curves) else asked.curves / f"{stem}.csv"
            text = curves_csv(result, units=units, points=scenario.probes)
            asked.write(path, text)
    if (folder := asked.folder()) is not None:
        from coolsim.cli.figures import draw

        make_folder(folder)
        runs = list(zip(titles(scenarios), results, strict=True))
        for name, figure in draw(runs, scenarios, units=units, only=asked.only or ()):
            asked.screen.wrote(figure(folder / asked.figure_name(scenarios, name)))


def _is_table(path: Path | None) -> bool:
    """Tell whether curves go to one file rather than to a folder."""
    return path is not None and path.suffix.lower() == ".csv"
