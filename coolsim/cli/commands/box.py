"""The command that runs all jars of a box together."""

from __future__ import annotations

import shlex
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from coolsim.cli.command import Asked, command
from coolsim.cli.given import read_scenario
from coolsim.cli.options import FIGURE, takes
from coolsim.cli.targets import Target
from coolsim.cli.values import LONGEST, blaming, quantity_of

if TYPE_CHECKING:
    from coolsim.scenario import Scenario


@command(
    "Run all jars of one box together.",
    "coolsim box six.toml",
    "coolsim box six.toml --fillings --within 10h",
    "coolsim box six.toml --spacing 0mm:40mm:10mm --units us",
    asks=(*FIGURE, "units", "estimates", "json", "force"),
)
def box(
    asked: Asked,
    file: Annotated[
        Path, typer.Argument(metavar="FILE.toml", help="A scenario with a table [places].", show_default=False)
    ],
    within: Annotated[str | None, takes("DURATION", 'Time allowed until all are fully set; left out, "16 h".')] = None,
    fillings: Annotated[
        bool, typer.Option("--fillings", help="Try all rows and columns that fit the box: how many jars set in time?")
    ] = False,
    spacing: Annotated[
        str | None,
        takes("RANGE", 'Distances between neighbours to try, "0mm:40mm:10mm" or a list; the box grows with them.'),
    ] = None,
) -> None:
    """Run all jars of one box together: a plan with the time of each place, and which jar is last.

    The jars share the air over them, the flaps and what stands between them. Places whose sides meet the same are of
    one kind, and one run serves all of its jars.
    """
    from coolsim.scenario.ranges import swept_values
    from coolsim.studies.pour.choose import TIME_ALLOWED

    several = fillings or spacing is not None
    if fillings and spacing is not None:
        raise typer.BadParameter("give --fillings or --spacing, not both.", param_hint="'--spacing'")
    asked.folder()
    if several and asked.figures is not None:
        raise typer.BadParameter("it is for one run, not for --fillings or --spacing.", param_hint="'--figures'")
    scenario = read_scenario(file)
    figure = asked.figure([scenario], "box", drawn=not several)
    asked.claim(*figure, inputs=[file])
    allowed = TIME_ALLOWED if within is None else quantity_of(within, "duration", "--within", most=LONGEST)
    with blaming():
        distances = () if spacing is None else swept_values("places.spacing", spacing, called="--spacing")
    name = shlex.quote(str(file))
    if several:
        with blaming({} if spacing is None else {"places.spacing": "--spacing"}, where=scenario.where):
            _try(asked, scenario, distances, allowed)
        asked.screen.hint(f"`coolsim box {name}` shows each place of the box as it is.")
    else:
        _run(asked, scenario, allowed, figure)
        asked.screen.hint(f"`coolsim box {name} --fillings` tries how many jars go into this box.")


def _run(asked: Asked, scenario: Scenario, allowed: float, figure: list[Target]) -> None:
    from coolsim.report.text.box import box_data, box_text
    from coolsim.solve.together import simulate_box
    from coolsim.studies.workshop.boxes import box_answers, jar_in_box

    jar = jar_in_box(scenario)
    with asked.screen.progress(scenario.title) as on_step:
        found = simulate_box(jar, on_step=on_step)
    answers = box_answers(found, time_allowed=allowed)
    units = asked.system(scenario)
    _tell(asked, scenario, box_text(found, answers, units=units), box_data(found, answers))
    if figure:
        from coolsim.report.figures.box import draw_box

        asked.draw(figure, draw_box(found, units=units))


def _try(asked: Asked, scenario: Scenario, distances: tuple[str, ...], allowed: float) -> None:
    from coolsim.report.text.box import fillings_text, spacings_text, trials_data
    from coolsim.studies.workshop.boxes import box_fillings, box_spacings

    what, write = ("spacings", spacings_text) if distances else ("fillings", fillings_text)
    with asked.screen.bar(what) as on_run:
        trials = (
            box_spacings(scenario, distances, time_allowed=allowed, on_run=on_run)
            if distances
            else box_fillings(scenario, time_allowed=allowed, on_run=on_run)
        )
    text = write(trials, scenario.title, time_allowed=allowed, units=asked.system(scenario))
    _tell(asked, scenario, text, {"time_allowed_s": allowed, what: trials_data(trials)})


def _tell(asked: Asked, scenario: Scenario, text: str, data: dict[str, Any]) -> None:
    from coolsim.report.text.page import paragraph
    from coolsim.report.text.scenario import noteworthy

    asked.tell(
        scenario,
        lambda: [text, *map(paragraph, noteworthy(scenario, asked.system(scenario)))],
        lambda: {"title": scenario.title, **data},
        estimates_of=[scenario],
    )
