"""Commands for what is done before the pour: how much to weigh."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from coolsim._version import __version__
from coolsim.cli.options import JsonOption, QuietOption, UnitsOption
from coolsim.cli.screen import Screen, example, say, say_json
from coolsim.cli.values import changed

if TYPE_CHECKING:
    from coolsim.scenario import Scenario
    from coolsim.units import System

_File = Annotated[Path, typer.Argument(metavar="FILE.toml", help="A scenario.", show_default=False)]


def add_to(app: typer.Typer) -> None:
    """Add the commands of this module."""
    app.command(
        short_help="Say how much wax and oil to weigh.",
        epilog=example("coolsim batch jar.toml --jars 6", 'coolsim batch jar.toml --melt "2 lb" --units us --json'),
    )(batch)


def batch(
    file: _File,
    jars: Annotated[
        int | None,
        typer.Option(
            metavar="N", help="How many jars; left out, batch.jars or [box] of the scenario.", show_default=False
        ),
    ] = None,
    melt: Annotated[
        str | None,
        typer.Option(
            metavar="MASS",
            help='Wax in the pitcher, such as "900 g": how many jars it fills; left out, batch.melt of the scenario.',
        ),
    ] = None,
    units: UnitsOption = None,
    json: JsonOption = False,
    quiet: QuietOption = False,
) -> None:
    """Say how much wax and oil to weigh for a batch, and what a melt fills.

    The fill is that of the scenario: pour.level, pour.volume or pour.mass. Oil above the highest load of the supplier
    (batch.highest_load) or hotter than its flash point allows (batch.flash_point) is refused.
    """
    from coolsim.report.cautions import cautions
    from coolsim.report.text.amounts import amounts_data, amounts_text
    from coolsim.report.text.page import paragraph
    from coolsim.report.wording import CAUTION
    from coolsim.scenario import load_scenario, with_overrides
    from coolsim.studies.workshop.amounts import amounts

    scenario = load_scenario(file)
    if jars is None and scenario.batch is None and scenario.jar.box is not None:
        scenario = with_overrides(scenario, {"batch.jars": scenario.jar.box.jars})
    scenario = changed(scenario, {"batch.jars": ("--jars", jars), "batch.melt": ("--melt", melt)})
    chosen: System = units.value if units is not None else scenario.units
    found = amounts(scenario, units=chosen)
    if json:
        say_json({**_about(scenario), **amounts_data(found), "caution": CAUTION})
        return
    parts = [amounts_text(scenario.title, found, units=chosen)]
    flash_points = cautions([], [scenario], units=chosen, topics=["flash points"])
    parts += [paragraph(text) for text in (*flash_points, _invented(scenario), CAUTION) if text]
    say("\n\n".join(parts))
    Screen(quiet=quiet).hint("`coolsim schedule` with the same file plans the day.")


def _about(scenario: Scenario) -> dict[str, object]:
    return {"program": "coolsim", "version": __version__, "file": scenario.where, "invented": scenario.invented}


def _invented(scenario: Scenario) -> str:
    return "The workshop and its figures are invented." if scenario.invented else ""
