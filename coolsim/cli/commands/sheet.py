"""The command that writes the batch sheet."""

from __future__ import annotations

import shlex
from pathlib import Path
from typing import Annotated

from coolsim.cli.command import Asked, command
from coolsim.cli.given import read_batch, run_box, run_jars
from coolsim.cli.naming import file_stems
from coolsim.cli.options import ScenarioFile, output, takes
from coolsim.cli.screen import say
from coolsim.cli.targets import to_file


@command(
    "Write the batch sheet: one page to print.",
    "coolsim sheet jar.toml --jars 6",
    "coolsim sheet jar.toml --output batch.pdf --paper letter",
    asks=("paper", "middle", "workers", "units", "force"),
)
def sheet(
    asked: Asked,
    file: ScenarioFile,
    jars: Annotated[
        int | None, takes("N", "How many jars; left out, batch.jars or [places] of the scenario, else one.")
    ] = None,
    output: Annotated[Path | None, output("FILE.pdf", "NAME-sheet.pdf")] = None,
) -> None:
    """Write the batch sheet: amounts, temperatures, times, room for what you see.

    One page with what is planned and predicted beside empty fields for what was weighed, measured and seen, and for a
    box of jars a second one with its plan. Times are those of `coolsim schedule`, the top of a box is its worst.
    Number, day and maker stand on it if the scenario states plan.number, date and author; else there are lines to
    write on.
    """
    from coolsim.report.paper.batch_sheet import write_batch_sheet
    from coolsim.report.text.page import paragraph
    from coolsim.studies.workshop.amounts import amounts

    asked.check_workers()
    scenario = read_batch(file, jars)
    path = output or Path(f"{next(file_stems([scenario]))}-sheet.pdf")
    asked.claim(*to_file("--output", path, ".pdf"), inputs=[file])
    units = asked.system(scenario)
    box = None if scenario.jar.places is None else run_box(scenario, asked.screen)
    results = run_jars(scenario, asked.screen) if box is None else box.results
    written = write_batch_sheet(
        scenario,
        box or results[0],
        path,
        doubt=asked.doubt(scenario),
        paper=asked.paper.value if asked.paper else None,
        units=units,
    )
    warnings = dict.fromkeys(
        (*amounts(scenario, units=units).warnings, *(told for result in results for told in result.warnings))
    )
    if warnings:
        say("\n\n".join(paragraph(f"Warning: {warning}") for warning in warnings))
    asked.screen.wrote(written)
    asked.screen.hint(f"`coolsim label {shlex.quote(str(file))}` writes the text of the label.")
