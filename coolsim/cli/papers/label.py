"""The command that writes the text of the label."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from coolsim.cli.command import Asked, command
from coolsim.cli.given import read_batch
from coolsim.cli.options import ScenarioFile
from coolsim.cli.targets import to_file


@command(
    "Write the text of the label.",
    "coolsim label jar.toml",
    "coolsim label jar.toml --output label.txt",
    asks=("json", "force"),
)
def label(
    asked: Asked,
    file: ScenarioFile,
    output: Annotated[
        Path | None,
        typer.Option(
            "--output",
            "-o",
            metavar="FILE.txt",
            help="Write the label alone to a file as well, without the notes for the maker.",
            show_default=False,
        ),
    ] = None,
) -> None:
    """Write the text of the label: net weight, fragrance, burning, cautions.

    The fragrance is wax.fragrance of the scenario, and plan.number, date and author stand on the label if they are
    stated. Notes below it name the standards to consult; the label claims none of them.
    """
    from coolsim.report.text.label import label_data, label_notes, label_text
    from coolsim.report.text.page import paragraph
    from coolsim.studies.workshop.amounts import amounts

    asked.claim(*to_file("--output", output, ".txt"), inputs=[file])
    scenario = read_batch(file)
    found = amounts(scenario)
    text = label_text(scenario, found)
    notes = (*(f"Warning: {warning}" for warning in found.warnings), *label_notes(scenario))
    asked.tell(
        scenario,
        lambda: [text, "-" * 80 + "\nNot on the label:", *map(paragraph, notes)],
        lambda: label_data(scenario, found),
        caution=False,
    )
    if output is not None:
        asked.write(output, f"{text}\n")
