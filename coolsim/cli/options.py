"""Options that several commands share. None always means that the option was left out: the file's value holds."""

from __future__ import annotations

from enum import StrEnum
from pathlib import Path
from typing import Annotated

import typer

FIGURES_FOLDER = Path("coolsim-figures")


class Units(StrEnum):
    """Units of the report."""

    METRIC = "metric"
    US = "us"


class Format(StrEnum):
    """Format of the figures."""

    PNG = "png"
    SVG = "svg"
    PDF = "pdf"


class Figure(StrEnum):
    """The figures by name; each is also the name of its file."""

    TEMPERATURE_MAPS = "temperature-maps"
    SET_TIMES = "set-times"
    COOLING_CURVES = "cooling-curves"
    SOLID_FRONT = "solid-front"
    HEAT_SHARES = "heat-shares"
    TOPS = "tops"
    TOP_PROFILES = "top-profiles"


UnitsOption = Annotated[
    Units | None,
    typer.Option("--units", help="Units of tables, figures and curves; left out, those of the scenario."),
]
FiguresOption = Annotated[
    Path | None,
    typer.Option(
        "--figures",
        metavar="DIR",
        help=f"Folder of the figures, made if it is missing; left out, {FIGURES_FOLDER} in the current folder.",
        show_default=False,
    ),
]
NoFiguresOption = Annotated[bool, typer.Option("--no-figures", help="Draw no figures.")]
OnlyOption = Annotated[
    list[Figure] | None,
    typer.Option(
        "--only",
        metavar="NAME",
        help=f"Draw this figure only: {', '.join(Figure)}; may be given several times.",
        show_choices=False,
    ),
]
FormatOption = Annotated[Format, typer.Option("--format", help="Format of the figures.")]
JsonOption = Annotated[
    bool, typer.Option("--json", help="Print one JSON document, in SI units and °C, instead of text.")
]
CsvOption = Annotated[
    Path | None,
    typer.Option(
        "--csv",
        metavar="PATH",
        help="Write the curves against time: to a file ending in .csv, or one for each scenario into a folder.",
    ),
]
SaveOption = Annotated[
    Path | None,
    typer.Option(
        "--save", metavar="FILE.npz", help="Save the whole result in one file; `coolsim redraw` reads it again."
    ),
]
MeltRangeOption = Annotated[
    bool,
    typer.Option(
        "--melt-range",
        help="Run each scenario for several values of melt.flows_above too, and show how far the top hangs on it.",
    ),
]
ErrorOption = Annotated[
    bool,
    typer.Option(
        "--error",
        help="Run each scenario on a coarser grid too, and show how far the answers are from those of the equations.",
    ),
]
ForceOption = Annotated[
    bool, typer.Option("--force", help="Replace files of these names even if coolsim did not write them.")
]
QuietOption = Annotated[
    bool, typer.Option("--quiet", "-q", help="No progress, no list of written files, no hints; errors are shown.")
]
