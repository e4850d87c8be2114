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
    if save is not None and save.suffix != ".npz":
        raise typer.BadParameter(f"found {str(save)!r}; give a name that ends in .npz.", param_hint="'--save'")
    folder = None if no_figures else figures or FIGURES_FOLDER
    return Outputs(figures=folder, only=tuple(only or ()), format=format, csv=csv, save=save)


def check_outputs(outputs: Outputs, count: int) -> None:
    """Find out before a run that its results could not be written.

    Parameters
    ----------
    outputs : Outputs
        Which files go where.
    count : int
        How many scenarios there are [-].

    Raises
    ------
    OutputError
        If a folder is missing or cannot be one.
    typer.BadParameter
        If the curves of several scenarios would go to one file.
    """
    if outputs.csv_is_file and count > 1:
        raise typer.BadParameter(
            f"found {str(outputs.csv)!r} for {count} scenarios; give a folder, it gets a file for each.",
            param_hint="'--csv'",
        )
    files = [outputs.save, outputs.csv if outputs.csv_is_file else None]
    folders = [outputs.figures, None if outputs.csv_is_file else outputs.csv]
    for path in (*files, *folders):
        if path is not None and not path.parent.is_dir():
            raise OutputError(f"{path}: cannot be written: there is no folder '{path.parent}'. Create it first.")
    for folder in folders:
        if folder is not None and folder.exists() and not folder.is_dir():
            raise OutputError(f"{folder}: cannot be written: a file has that name. Give the name of a folder.")


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
        from coolsim.report.store import save_results

        screen.wrote(save_results(outputs.save, list(zip(scenarios, results, strict=True))))
    if outputs.csv is not None:
        _write_curves(outputs, scenarios, results, units, screen)
    if outputs.figures is not None:
        from coolsim.cli.figures import draw

        make_folder(outputs.figures)
        prefix = f"{next(file_stems(scenarios))}-" if len(scenarios) == 1 else ""
        runs = list(zip(titles(scenarios), results, strict=True))
        for name, figure in draw(runs, scenarios, units=units, only=outputs.only):
            screen.wrote(figure(outputs.figures / f"{prefix}{name}.{outputs.format}"))


def _write_curves(
    outputs: Outputs, scenarios: Sequence[Scenario], results: Sequence[Result], units: System, screen: Screen
) -> None:
    from coolsim.report.curves_csv import curves_csv
    from coolsim.report.files import write_text

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
