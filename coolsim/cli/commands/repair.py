"""The command that repairs a set top with hot air."""

from __future__ import annotations

import shlex
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from coolsim._version import __version__
from coolsim.cli.commands.runs import read_scenarios
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
from coolsim.cli.values import changed

if TYPE_CHECKING:
    from coolsim.scenario import Scenario
    from coolsim.solve.result import Result
    from coolsim.studies.repair.repair import Repair
    from coolsim.units import System

_NAME, _SAVED = "repair", ".npz"


def add_to(app: typer.Typer) -> None:
    """Add the command of this module."""
    app.command(
        short_help="Say how long hot air repairs a set top.",
        epilog=example(
            "coolsim repair jar.toml",
            'coolsim repair jar.npz --air "160 C" --no-figures',
            'coolsim repair jar.toml --air "350 F" --units us --json',
        ),
    )(repair)


def repair(
    file: Annotated[
        Path,
        typer.Argument(metavar="FILE", help="A scenario, or a result saved with --save.", show_default=False),
    ],
    air: Annotated[
        str | None,
        typer.Option(
            metavar="TEMPERATURE", help='Of the hot air at the wax, such as "160 C"; left out, repair.air of the file.'
        ),
    ] = None,
    film: Annotated[
        str | None,
        typer.Option(
            metavar="FILM",
            help='Its film on the wax, such as "60 W/m2K"; left out, repair.film of the file.',
        ),
    ] = None,
    figures: FiguresOption = None,
    no_figures: NoFiguresOption = False,
    format: FormatOption = Format.PNG,
    units: UnitsOption = None,
    json: JsonOption = False,
    force: ForceOption = False,
    quiet: QuietOption = False,
) -> None:
    """Say how long hot air must blow on a set top to level it and to fill the cavity under it.

    The hot air comes on where the run of the jar ends, once all wax has set; a boxed jar is taken out of its box. The
    answer is the smallest time, with the melted depth and the temperatures of wax and glass on the way, and the top
    after it has set again. What the air does is estimated (table [repair] of the scenario).
    """
    if no_figures and figures is not None:
        raise typer.BadParameter("it contradicts --figures; leave one out.", param_hint="'--no-figures'")
    folder = None if no_figures else figures or FIGURES_FOLDER
    from coolsim.studies.repair.repair import cooler_air, over_films
    from coolsim.studies.repair.repair import repair as repair_of

    scenario, known = _given(file)
    figure = in_folder("--figures", folder, f"{next(file_stems([scenario]))}-{_NAME}.{format}")
    claim(figure, inputs=[file], force=force)
    scenario = changed(scenario, {"repair.air": ("--air", air), "repair.film": ("--film", film)})
    screen = Screen(quiet=quiet)
    result = _cooled(scenario, screen) if known is None else known
    try:
        found = repair_of(scenario, known=result, on_step=screen.progress(scenario.title))
    finally:
        screen.clear()
    cooler = cooler_air(found, result) if found.needed is None and found.too_hot is not None else None
    films = over_films(found, result)
    chosen: System = units.value if units is not None else scenario.units
    if json:
        _say_data(found, cooler, films)
    else:
        say(_text(found, cooler, films, result, chosen))
    if folder is not None:
        from coolsim.report.figures.repair import draw_repair
        from coolsim.report.figures.saving import save_figure

        make_folder(folder)
        drawing = draw_repair(found, title=scenario.title, units=chosen, films=films)
        screen.wrote(save_figure(drawing, figure[0].path))
    screen.hint(f"`coolsim pour {shlex.quote(scenario.where)}` looks for a pour that needs no repair.")


def _given(file: Path) -> tuple[Scenario, Result | None]:
    """Read a scenario, which has no result yet, or a saved result of one run."""
    if file.suffix.lower() != _SAVED:
        return read_scenarios([file])[0], None
    from coolsim.report.saved.store import load_results

    runs = load_results(file)
    if len(runs) > 1:
        raise typer.BadParameter(f"found {len(runs)} runs in '{file}'; give a result of one run.", param_hint="'FILE'")
    return runs[0]


def _cooled(scenario: Scenario, screen: Screen) -> Result:
    from coolsim.solve.simulate import simulate

    try:
        return simulate(scenario.jar, on_step=screen.progress(scenario.title))
    finally:
        screen.clear()


def _say_data(found: Repair, cooler: Repair | None, films: tuple[Repair, Repair] | None) -> None:
    from coolsim.report.text.repair_data import repair_data
    from coolsim.report.wording import CAUTION

    scenario = found.scenario
    say_json(
        {
            "program": "coolsim",
            "version": __version__,
            "title": scenario.title,
            "file": scenario.where,
            "invented": scenario.invented,
            **repair_data(found, cooler=cooler, films=films),
            "caution": CAUTION,
        }
    )


def _text(
    found: Repair, cooler: Repair | None, films: tuple[Repair, Repair] | None, result: Result, units: System
) -> str:
    from coolsim.report.cautions import Topic, cautions
    from coolsim.report.text.page import paragraph
    from coolsim.report.text.repair import repair_text
    from coolsim.report.text.runs import titled_runs
    from coolsim.report.wording import CAUTION

    scenario = found.scenario
    topics: tuple[Topic, ...] = ("hot air", "flash points", "still")
    runs = titled_runs([(scenario.title, result)], jars=[scenario.jar])
    parts = [
        repair_text(found, title=scenario.title, units=units, cooler=cooler, films=films),
        "The workshop and its figures are invented." if scenario.invented else "",
        paragraph(" ".join(cautions(runs, [scenario], units=units, topics=topics))),
        paragraph(CAUTION),
    ]
    return "\n\n".join(part for part in parts if part)
