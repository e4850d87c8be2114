"""The command that tells how long the wax takes until the pour."""

from __future__ import annotations

import shlex
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from coolsim._version import __version__
from coolsim.cli.naming import file_stems
from coolsim.cli.options import (
    FIGURES_FOLDER,
    FiguresOption,
    ForceOption,
    Format,
    FormatOption,
    JsonOption,
    NoFiguresOption,
    QuietOption,
    UnitsOption,
)
from coolsim.cli.outputs import make_folder
from coolsim.cli.screen import Screen, example, say, say_json
from coolsim.cli.targets import claim, in_folder
from coolsim.cli.values import blaming, changed

if TYPE_CHECKING:
    from coolsim.units import System

_NAME = "melting"


def add_to(app: typer.Typer) -> None:
    """Add the command of this module."""
    app.command(
        short_help="Say how long the wax takes until the pour.",
        epilog=example(
            "coolsim melting six.toml",
            'coolsim melting jar.toml --melt "900 g" --water 80C',
            "coolsim melting jar.toml --melt 2lb --units us --no-figures",
        ),
    )(melting)


def melting(
    file: Annotated[Path, typer.Argument(metavar="FILE.toml", help="A scenario.", show_default=False)],
    melt: Annotated[
        str | None,
        typer.Option(
            metavar="MASS", help='Wax in the pitcher, such as "900 g"; left out, batch.melt, or what all jars need.'
        ),
    ] = None,
    water: Annotated[
        str | None,
        typer.Option(metavar="TEMPERATURE", help="Water round the pitcher; left out, melting.water of the scenario."),
    ] = None,
    figures: FiguresOption = None,
    no_figures: NoFiguresOption = False,
    format: FormatOption = Format.PNG,
    units: UnitsOption = None,
    json: JsonOption = False,
    force: ForceOption = False,
    quiet: QuietOption = False,
) -> None:
    """Say how long wax takes in a water bath: until all has melted, until the oil, and down to the pour.

    Flakes stand in a metal pitcher in the water (table [melting]); after the oil the pitcher cools in the room. Water
    that never melts the wax, a pitcher that is too small and oil that cools the wax below the pour are refused.
    """
    from coolsim.report.cautions import cautions
    from coolsim.report.text.melting import melting_data, melting_text
    from coolsim.report.text.page import paragraph
    from coolsim.report.wording import CAUTION
    from coolsim.scenario import load_scenario, with_overrides
    from coolsim.studies.workshop.melting import melt_batch

    if no_figures and figures is not None:
        raise typer.BadParameter("it contradicts --figures; leave one out.", param_hint="'--no-figures'")
    folder = None if no_figures else figures or FIGURES_FOLDER
    scenario = load_scenario(file)
    figure = in_folder("--figures", folder, f"{next(file_stems([scenario]))}-{_NAME}.{format}")
    claim(figure, inputs=[file], force=force)
    if melt is None and scenario.batch is None and scenario.jar.box is not None:
        scenario = with_overrides(scenario, {"batch.jars": scenario.jar.box.jars})
    scenario = changed(scenario, {"batch.melt": ("--melt", melt), "melting.water": ("--water", water)})
    chosen: System = units.value if units is not None else scenario.units
    screen = Screen(quiet=quiet)
    with blaming({} if water is None else {"melting.water": "--water"}, where=scenario.where):
        found = melt_batch(scenario, units=chosen)
    if json:
        about = {"program": "coolsim", "version": __version__, "file": scenario.where, "invented": scenario.invented}
        say_json({**about, **melting_data(found), "caution": CAUTION})
    else:
        told = cautions([], [scenario], units=chosen, topics=["alone", "bath", "fire", "flash points"])
        invented = "The workshop and its figures are invented." if scenario.invented else ""
        notes = [paragraph(text) for text in (invented, " ".join(told), CAUTION) if text]
        say("\n\n".join([melting_text(found, units=chosen), *notes]))
    if folder is not None:
        from coolsim.report.figures.melting import draw_melting
        from coolsim.report.figures.saving import save_figure

        make_folder(folder)
        screen.wrote(save_figure(draw_melting(found, units=chosen), figure[0].path))
    screen.hint(
        f"`coolsim schedule {shlex.quote(str(file))}` plans the day; with a table [melting] it takes these times."
    )
