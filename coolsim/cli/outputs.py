"""The files that a command was asked to write."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

import typer

from coolsim.cli.naming import file_stems, titles
from coolsim.cli.options import FIGURES_FOLDER, Figure, Format
from coolsim.cli.screen import Screen
from coolsim.cli.targets import claim, in_folder, to_file
from coolsim.errors import OutputError

if TYPE_CHECKING:
    from coolsim.scenario import Scenario
    from coolsim.solve.result import Result
    from coolsim.units import System


@dataclass(frozen=True, slots=True, kw_only=True)
class Outputs:
    """Which files go where.

    Parameters
    ----------
    figures : Path or None
        Folder of the figures; None for no figures.
    only : tuple of Figure
        Which figures; empty for all.
    format : Format
        Format of the figures.
    csv : Path or None
        File or folder of the curves.
    save : Path or None
        File of the whole result.
    """

    figures: Path | None
    only: tuple[Figure, ...]
    format: Format
    csv: Path | None
    save: Path | None

    @property
    def csv_is_file(self) -> bool:
        """Whether the curves go to one file rather than to a folder."""
        return self.csv is not None and self.csv.suffix.lower() == ".csv"


def outputs_of(
    *,
    figures: Path | None,
    no_figures: bool,
    only: Sequence[Figure] | None,
    format: Format,
    csv: Path | None,
    save: Path | None,
) -> Outputs:
    """Join the options of a command; one that contradicts another is a fault of usage."""
    if no_figures and (figures is not None or only):
        raise typer.BadParameter("it contradicts --figures and --only; leave one out.", param_hint="'--no-figures'")
    folder = None if no_figures else figures or FIGURES_FOLDER
    return Outputs(figures=folder, only=tuple(only or ()), format=format, csv=csv, save=save)


def check_outputs(outputs: Outputs, scenarios: Sequence[Scenario], *, inputs: Sequence[Path], force: bool) -> None:
    """Find out before a run that its results could not be written.

    Parameters
    ----------
    outputs : Outputs
        Which files go where.
    scenarios : sequence of Scenario
        What is simulated.
    inputs : sequence of Path
        What the command reads.
    force : bool
        Whether files that coolsim did not write may be replaced.

    Raises
    ------
    OutputError
        If a folder is missing or cannot be one, or a file is there that coolsim did not write.
    typer.BadParameter
        If the curves of several scenarios would go to one file, or an output to an input.
    """
    if outputs.csv_is_file and len(scenarios) > 1:
        raise typer.BadParameter(
            f"found {str(outputs.csv)!r} for {len(scenarios)} scenarios; give a folder, it gets a file for each.",
            param_hint="'--csv'",
        )
    targets = to_file("--save", outputs.save, ".npz")
    if outputs.csv_is_file:
        targets += to_file("--csv", outputs.csv, ".csv")
    else:
        targets += [one for stem in file_stems(scenarios) for one in in_folder("--csv", outputs.csv, f"{stem}.csv")]
    for name in outputs.only or Figure:
        targets += in_folder("--figures", outputs.figures, _figure_name(outputs, name, scenarios))
    claim(targets, inputs=inputs, force=force)


def _figure_name(outputs: Outputs, name: Figure, scenarios: Sequence[Scenario]) -> str:
    prefix = f"{next(file_stems(scenarios))}-" if len(scenarios) == 1 else ""
    return f"{prefix}{name}.{outputs.format}"


def write_outputs(
    outputs: Outputs, scenarios: Sequence[Scenario], results: Sequence[Result], *, units: System, screen: Screen
) -> None:
    """Write what was asked for and say so.

    Parameters
    ----------
    outputs : Outputs
        Which files go where.
    scenarios : sequence of Scenario
        What was simulated.
    results : sequence of Result
        One for each.
    units : {"metric", "us"}
        Units of figures and curves.
    screen : Screen
        Where to say so.
    """
    if outputs.save is not None:
        from coolsim.report.saved.store import save_results

        screen.wrote(save_results(outputs.save, list(zip(scenarios, results, strict=True))))
    if outputs.csv is not None:
        _write_curves(outputs, scenarios, results, units, screen)
    if outputs.figures is not None:
        from coolsim.cli.figures import draw

        make_folder(outputs.figures)
        runs = list(zip(titles(scenarios), results, strict=True))
        for name, figure in draw(runs, scenarios, units=units, only=outputs.only):
            screen.wrote(figure(outputs.figures / _figure_name(outputs, name, scenarios)))


def _write_curves(
    outputs: Outputs, scenarios: Sequence[Scenario], results: Sequence[Result], units: System, screen: Screen
) -> None:
    from coolsim.report.text.curves import curves_csv
    from coolsim.report.whole_file import write_text

    if outputs.csv is None:
        return
    if not outputs.csv_is_file:
        make_folder(outputs.csv)
    for stem, scenario, result in zip(file_stems(scenarios), scenarios, results, strict=True):
        path = outputs.csv if outputs.csv_is_file else outputs.csv / f"{stem}.csv"
        screen.wrote(write_text(path, curves_csv(result, units=units, points=scenario.probes)))


def make_folder(folder: Path) -> None:
    """Make a folder for figures or curves; its parent must be there."""
    try:
        folder.mkdir(exist_ok=True)
    except OSError as error:
        raise OutputError(f"{folder}: cannot be made: {error.strerror}. Give another folder.") from error
