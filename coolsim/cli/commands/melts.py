"""The command that runs a jar under each model of the melt."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from coolsim._version import __version__
from coolsim.cli.commands.runs import read_scenarios
from coolsim.cli.naming import file_stems, titles
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

if TYPE_CHECKING:
    from coolsim.scenario import Scenario
    from coolsim.studies.checks.melt_models import MeltModels
    from coolsim.units import System

_NAME = "melt-models"
_MOST_FILES = 4


def add_to(app: typer.Typer) -> None:
    """Add the command of this module."""
    app.command(
        short_help="Show which answers hang on the melt model.",
        epilog=example(
            "coolsim melts", "coolsim melts jar.toml --no-figures", "coolsim melts jar.toml --figures slides --units us"
        ),
    )(melts)


def melts(
    files: Annotated[list[Path] | None, typer.Argument(metavar="FILE.toml", hidden=True)] = None,
    figures: FiguresOption = None,
    no_figures: NoFiguresOption = False,
    format: FormatOption = Format.PNG,
    units: UnitsOption = None,
    json: JsonOption = False,
    force: ForceOption = False,
    quiet: QuietOption = False,
) -> None:
    """Run scenarios under each model of the melt, and say which answers depend on it.

    FILE.toml is a scenario; up to four are drawn below each other. Without a file, coolsim takes the pair that comes
    with it. The models are a melt that settles into layers, which meets resolved flow computations; a melt that only
    conducts better (melt.conductivity_factor); and pure conduction.
    """
    if no_figures and figures is not None:
        raise typer.BadParameter("it contradicts --figures; leave one out.", param_hint="'--no-figures'")
    if files and len(files) > _MOST_FILES:
        raise typer.BadParameter(f"found {len(files)} files; give {_MOST_FILES} at most.", param_hint="'FILE.toml'")
    folder = None if no_figures else figures or FIGURES_FOLDER
    from coolsim.scenario import built_in_pair

    scenarios = read_scenarios(files) if files else list(built_in_pair())
    prefix = f"{next(file_stems(scenarios))}-" if len(scenarios) == 1 else ""
    figure = in_folder("--figures", folder, f"{prefix}{_NAME}.{format}")
    claim(figure, inputs=files or [], force=force)
    screen = Screen(quiet=quiet)
    found = _run(scenarios, screen)
    chosen: System = units.value if units is not None else scenarios[0].units
    _report(found, chosen, json=json)
    if folder is not None:
        from coolsim.report.figures.melt_models import draw_melt_models
        from coolsim.report.figures.saving import save_figure

        make_folder(folder)
        drawing = draw_melt_models(list(zip(titles(scenarios), found, strict=True)), units=chosen)
        screen.wrote(save_figure(drawing, figure[0].path))
    screen.hint("`coolsim run FILE.toml --melt-range` shows how far the top hangs on melt.flows_above.")


def _run(scenarios: Sequence[Scenario], screen: Screen) -> list[MeltModels]:
    from coolsim.studies.checks.melt_models import melt_models

    try:
        return [
            melt_models(scenario, on_step=screen.progress(label))
            for scenario, label in zip(scenarios, titles(scenarios), strict=True)
        ]
    finally:
        screen.clear()


def _report(found: Sequence[MeltModels], units: System, *, json: bool) -> None:
    from coolsim.report.estimates import estimates_note
    from coolsim.report.text.melt_models import melt_models_data, melt_models_text
    from coolsim.report.text.page import paragraph
    from coolsim.report.wording import CAUTION

    scenarios = [one.scenario for one in found]
    if json:
        jars = [
            {"title": title, "file": one.scenario.where, "invented": one.scenario.invented, **melt_models_data(one)}
            for title, one in zip(titles(scenarios), found, strict=True)
        ]
        say_json({"program": "coolsim", "version": __version__, "jars": jars, "caution": CAUTION})
        return
    parts = [
        melt_models_text(one, title=title, units=units) for title, one in zip(titles(scenarios), found, strict=True)
    ]
    invented = "The workshop and its figures are invented." if any(one.invented for one in scenarios) else ""
    parts += [paragraph(note) for note in (invented, estimates_note(scenarios), CAUTION) if note]
    say("\n\n".join(parts))
