"""The command that runs all jars of a box together."""

from __future__ import annotations

import shlex
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from coolsim._version import __version__
from coolsim.cli.commands.studies import LONGEST, quantity_of
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
from coolsim.cli.values import blaming

if TYPE_CHECKING:
    from coolsim.scenario import Scenario
    from coolsim.studies.workshop.boxes import BoxTrial
    from coolsim.units import System

_NAME = "box"


def add_to(app: typer.Typer) -> None:
    """Add the command of this module."""
    app.command(
        short_help="Run all jars of one box together.",
        epilog=example(
            "coolsim box six.toml",
            "coolsim box six.toml --fillings --within 10h",
            "coolsim box six.toml --spacing 0mm:40mm:10mm --units us",
        ),
    )(box)


def box(
    file: Annotated[
        Path, typer.Argument(metavar="FILE.toml", help="A scenario with a table [box].", show_default=False)
    ],
    within: Annotated[
        str | None,
        typer.Option(metavar="DURATION", help='Time allowed until all are fully set; left out, "16 h".'),
    ] = None,
    fillings: Annotated[
        bool,
        typer.Option("--fillings", help="Try all rows and columns that fit the box: how many jars set in time?"),
    ] = False,
    spacing: Annotated[
        str | None,
        typer.Option(
            metavar="RANGE",
            help='Distances between neighbours to try, "0mm:40mm:10mm" or a list; the box grows with them.',
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
    """Run all jars of one box together: a plan with the time of each place, and which jar is last.

    The jars share the air over them, the flaps and what stands between them. Places whose sides meet the same are of
    one kind, and one run serves all of its jars.
    """
    from coolsim.scenario import load_scenario
    from coolsim.scenario.ranges import swept_values
    from coolsim.studies.pour.choose import TIME_ALLOWED

    several = fillings or spacing is not None
    if fillings and spacing is not None:
        raise typer.BadParameter("give --fillings or --spacing, not both.", param_hint="'--spacing'")
    if no_figures and figures is not None:
        raise typer.BadParameter("it contradicts --figures; leave one out.", param_hint="'--no-figures'")
    if several and figures is not None:
        raise typer.BadParameter("it goes with one run, not with --fillings or --spacing.", param_hint="'--figures'")
    folder = None if no_figures or several else figures or FIGURES_FOLDER
    scenario = load_scenario(file)
    figure = in_folder("--figures", folder, f"{next(file_stems([scenario]))}-{_NAME}.{format}")
    claim(figure, inputs=[file], force=force)
    allowed = TIME_ALLOWED if within is None else quantity_of(within, "duration", "--within", most=LONGEST)
    with blaming():
        distances = () if spacing is None else swept_values("box.spacing", spacing, called="--spacing")
    chosen: System = units.value if units is not None else scenario.units
    screen = Screen(quiet=quiet)
    name = shlex.quote(str(file))
    if several:
        with blaming({} if spacing is None else {"box.spacing": "--spacing"}, where=scenario.where):
            _try(scenario, distances, allowed, chosen, json=json, screen=screen)
        screen.hint(f"`coolsim box {name}` shows each place of the box as it is.")
        return
    _run(scenario, allowed, figure[0].path if figure else None, chosen, json=json, screen=screen)
    screen.hint(f"`coolsim box {name} --fillings` tries how many jars go into this box.")


def _run(
    scenario: Scenario,
    allowed: float,
    figure: Path | None,
    units: System,
    *,
    json: bool,
    screen: Screen,
) -> None:
    from coolsim.report.text.box import box_data, box_text
    from coolsim.solve.together import simulate_box
    from coolsim.studies.workshop.boxes import box_answers, jar_in_box

    jar = jar_in_box(scenario)
    try:
        found = simulate_box(jar, on_step=screen.progress(scenario.title))
    finally:
        screen.clear()
    answers = box_answers(found, time_allowed=allowed)
    if json:
        _say_data(scenario, box_data(found, answers))
    else:
        _say_text(scenario, box_text(found, answers, units=units), units)
    if figure is not None:
        from coolsim.report.figures.box import draw_box
        from coolsim.report.figures.saving import save_figure

        make_folder(figure.parent)
        screen.wrote(save_figure(draw_box(found, units=units), figure))


def _try(
    scenario: Scenario, distances: tuple[str, ...], allowed: float, units: System, *, json: bool, screen: Screen
) -> None:
    from coolsim.report.text.box import fillings_text, spacings_text, trials_data
    from coolsim.studies.workshop.boxes import box_fillings, box_spacings

    what = "spacings" if distances else "fillings"
    bar = screen.bar(what)
    try:
        trials: tuple[BoxTrial, ...] = (
            box_spacings(scenario, distances, time_allowed=allowed, on_run=bar)
            if distances
            else box_fillings(scenario, time_allowed=allowed, on_run=bar)
        )
    finally:
        screen.clear()
    if json:
        _say_data(scenario, {"time_allowed_s": allowed, what: trials_data(trials)})
        return
    text = spacings_text if distances else fillings_text
    _say_text(scenario, text(trials, scenario.title, time_allowed=allowed, units=units), units)


def _say_data(scenario: Scenario, data: dict[str, Any]) -> None:
    from coolsim.report.wording import CAUTION

    about = {"program": "coolsim", "version": __version__, "file": scenario.where, "title": scenario.title}
    say_json({**about, "invented": scenario.invented, **data, "caution": CAUTION})


def _say_text(scenario: Scenario, text: str, units: System) -> None:
    from coolsim.report.estimates import estimates_note
    from coolsim.report.text.page import paragraph
    from coolsim.report.text.scenario import noteworthy
    from coolsim.report.wording import CAUTION

    invented = "The workshop and its figures are invented." if scenario.invented else ""
    notes = (*noteworthy(scenario, units), invented, estimates_note([scenario]), CAUTION)
    say("\n\n".join([text, *(paragraph(note) for note in notes if note)]))
