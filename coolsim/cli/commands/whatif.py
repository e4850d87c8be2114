"""The command that shows what small changes would do to a jar."""

from __future__ import annotations

import shlex
from pathlib import Path
from typing import Annotated

import typer

from coolsim.cli.command import Asked, command
from coolsim.cli.given import read_scenario
from coolsim.cli.naming import file_stems
from coolsim.cli.options import ScenarioFile
from coolsim.cli.targets import FIGURES, to_file


@command(
    "Show what small changes would do to a jar.",
    "coolsim whatif jar.toml",
    "coolsim whatif jar.toml -o whatif.png",
    "coolsim whatif jar.toml --units us --paper letter --json",
    asks=("paper", "units", "estimates", "json", "force"),
)
def whatif(
    asked: Asked,
    file: ScenarioFile,
    output: Annotated[
        Path | None,
        typer.Option(
            "--output",
            "-o",
            metavar="FILE",
            help="The page to write, a PDF, PNG or SVG by the end of its name; left out, NAME-whatif.pdf in the current"
            " folder.",
            show_default=False,
        ),
    ] = None,
) -> None:
    """Show this jar in the middle of a page, and round it eight small changes with what each does.

    They are box, flaps, neighbours, a warm jar, a warmer room, a cooler pour, less wax and another wax; what makes no
    sense for this jar gives way to its opposite, or to another change. Each is run, and told with when the jar is set
    and how much of it is sunk or hollow, better or worse, what helps most first. Of a box of jars the worst one counts.
    """
    from coolsim.report.paper.whatif import write_what_if
    from coolsim.report.text.page import paragraph, parted
    from coolsim.report.text.scenario import noteworthy
    from coolsim.report.text.whatif import whatif_blocks, whatif_data
    from coolsim.studies.workshop.whatif import what_if

    scenario = read_scenario(file)
    path = output or Path(f"{next(file_stems([scenario]))}-whatif.pdf")
    asked.claim(*to_file("--output", path, *FIGURES), inputs=[file])
    units = asked.system(scenario)
    with asked.screen.bar("runs") as on_run:
        found = what_if(scenario, on_run=on_run)
    told, rests = parted(whatif_blocks(found, units=units))
    asked.tell(
        scenario,
        lambda: [told, *map(paragraph, noteworthy(scenario, units))],
        lambda: {"title": scenario.title, **whatif_data(found)},
        rests=lambda: [rests],
        estimates_of=[scenario],
    )
    asked.screen.wrote(write_what_if(found, path, paper=asked.paper.value if asked.paper else None, units=units))
    asked.screen.hint(f"`coolsim pour {shlex.quote(str(file))}` looks for the best pour.")
