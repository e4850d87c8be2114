"""Options that several commands share. None always means that the option was left out: the file's value holds."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from pathlib import Path
from typing import Annotated, Any

import typer

FIGURES_FOLDER = Path("coolsim-figures")
JOURNAL = Path("coolsim-journal.jsonl")


class Units(StrEnum):
    """Units of the report."""

    METRIC = "metric"
    US = "us"


class Format(StrEnum):
    """Format of the figures."""

    PNG = "png"
    SVG = "svg"
    PDF = "pdf"


class PaperSize(StrEnum):
    """Paper of what is printed."""

    A4 = "a4"
    LETTER = "letter"


class Figure(StrEnum):
    """The figures by name; each is also the name of its file."""

    TEMPERATURE_MAPS = "temperature-maps"
    SET_TIMES = "set-times"
    COOLING_CURVES = "cooling-curves"
    SOLID_FRONT = "solid-front"
    HEAT_SHARES = "heat-shares"
    TOPS = "tops"
    TOP_PROFILES = "top-profiles"


def takes(metavar: str, text: str) -> Any:
    """Make an option that takes a value."""
    return typer.Option(metavar=metavar, help=text, show_default=False)


def output(metavar: str, usual: str) -> Any:
    """Make the option for the one file that a command is there to write."""
    text = f"The file to write; left out, {usual} in the current folder, after the first file."
    return typer.Option("--output", "-o", metavar=metavar, help=text, show_default=False)


ScenarioFile = Annotated[Path, typer.Argument(metavar="FILE.toml", help="A scenario.", show_default=False)]
# Arguments that may be repeated are explained in the text of the command.
ScenarioFiles = Annotated[list[Path], typer.Argument(metavar="FILE.toml", hidden=True)]
FilesOrPair = Annotated[list[Path] | None, typer.Argument(metavar="FILE.toml", hidden=True)]
SavedOrFiles = Annotated[list[Path] | None, typer.Argument(metavar="FILE", hidden=True)]


@dataclass(frozen=True, kw_only=True)
class Options:
    """The options in the order in which the help shows them; a default holds where a command lacks an option, too."""

    figures: Annotated[
        Path | None,
        typer.Option(
            "--figures",
            metavar="DIR",
            help=f"Folder of the figures, made if it is missing; left out, {FIGURES_FOLDER} in the current folder.",
            show_default=False,
        ),
    ] = None
    no_figures: Annotated[bool, typer.Option("--no-figures", help="Draw no figures.")] = False
    only: Annotated[
        list[Figure] | None,
        typer.Option(
            "--only",
            metavar="NAME",
            help=f"Draw this figure only: {', '.join(Figure)}; may be given several times.",
            show_choices=False,
        ),
    ] = None
    format: Annotated[Format, typer.Option("--format", help="Format of the figures.")] = Format.PNG
    paper: Annotated[
        PaperSize | None,
        typer.Option("--paper", help="Paper; left out, a4 with metric units and letter with us.", show_default=False),
    ] = None
    own_grid: Annotated[
        bool, typer.Option("--own-grid", help="Run all there is, as finely as the scenario asks: takes twice as long.")
    ] = False
    middle: Annotated[
        bool,
        typer.Option(
            "--middle",
            help="Plan with the middle value of each time, not its safe end: quicker, but half of the jars are late.",
        ),
    ] = False
    curves: Annotated[
        Path | None,
        typer.Option(
            "--csv",
            metavar="PATH",
            help="Write the curves against time: to a file ending in .csv, or one for each scenario into a folder.",
        ),
    ] = None
    table: Annotated[
        Path | None, typer.Option("--csv", metavar="FILE.csv", help="Write a table with one row for each run.")
    ] = None
    save: Annotated[
        Path | None,
        typer.Option(
            "--save", metavar="FILE.npz", help="Save the whole result in one file; `coolsim run` reads it again."
        ),
    ] = None
    melt_range: Annotated[
        bool,
        typer.Option(
            "--melt-range",
            help="Run each scenario with softer and stiffer mush too (mush.stiffness), and show how far the top depends"
            " on it.",
        ),
    ] = False
    error: Annotated[
        bool,
        typer.Option(
            "--error",
            help="Run each scenario on a coarser grid too, and show how far the answers are from those of the"
            " equations.",
        ),
    ] = False
    workers: Annotated[
        int | None, typer.Option("--workers", metavar="N", help="Worker processes; left out, one for each processor.")
    ] = None
    journal: Annotated[
        Path | None,
        typer.Option(
            "--journal",
            metavar="FILE",
            help="Where finished runs are kept, for the same command to go on from after an interruption; left out,"
            f" {JOURNAL} in the current folder, deleted at the end.",
            show_default=False,
        ),
    ] = None
    units: Annotated[
        Units | None,
        typer.Option("--units", help="Units of tables, figures and curves; left out, those of the scenario."),
    ] = None
    estimates: Annotated[
        bool, typer.Option("--estimates", help="Say what the answers rest on, and list the values that are estimates.")
    ] = False
    json: Annotated[
        bool, typer.Option("--json", help="Print one JSON document, in SI units and °C, instead of text.")
    ] = False
    force: Annotated[
        bool, typer.Option("--force", help="Replace files of these names even if coolsim did not write them.")
    ] = False
    quiet: Annotated[
        bool, typer.Option("--quiet", "-q", help="No progress, no list of written files, no hints; errors are shown.")
    ] = False


FIGURE = ("figures", "no_figures", "format")
"""What each command with a figure of its own asks for."""
