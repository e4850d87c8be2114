"""Commands that write what goes with a batch on paper: its sheet, and the text of its label."""

from __future__ import annotations

import shlex
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from coolsim._version import __version__
from coolsim.cli.commands.day import run_jars
from coolsim.cli.commands.handout import PaperSize
from coolsim.cli.naming import file_stems
from coolsim.cli.options import ForceOption, JsonOption, QuietOption, UnitsOption
from coolsim.cli.screen import Screen, example, say, say_json
from coolsim.cli.targets import claim, to_file
from coolsim.cli.values import changed

if TYPE_CHECKING:
    from coolsim.scenario import Scenario
    from coolsim.units import System

_File = Annotated[Path, typer.Argument(metavar="FILE.toml", help="A scenario.", show_default=False)]


def add_to(app: typer.Typer) -> None:
    """Add the commands of this module."""
    app.command(
        short_help="Write the batch sheet: one page to print.",
        epilog=example("coolsim sheet jar.toml --jars 6", "coolsim sheet jar.toml --output batch.pdf --paper letter"),
    )(sheet)
    app.command(
        short_help="Write the text of the label.",
        epilog=example("coolsim label jar.toml", "coolsim label jar.toml --output label.txt"),
    )(label)


def sheet(
    file: _File,
    jars: Annotated[
        int | None,
        typer.Option(
            metavar="N", help="How many jars; left out, batch.jars of the scenario, else one.", show_default=False
        ),
    ] = None,
    output: Annotated[
        Path | None,
        typer.Option(
            "--output",
            "-o",
            metavar="FILE.pdf",
            help="The file to write; left out, NAME-sheet.pdf in the current folder, after NAME.toml.",
            show_default=False,
        ),
    ] = None,
    paper: Annotated[
        PaperSize | None,
        typer.Option(help="Paper; left out, a4 with metric units and letter with us.", show_default=False),
    ] = None,
    units: UnitsOption = None,
    force: ForceOption = False,
    quiet: QuietOption = False,
) -> None:
    """Write the batch sheet: amounts, temperatures, times, room for what you see.

    One page with what is planned and predicted beside empty fields for what was weighed, measured and seen. Number,
    day and maker stand on it if the scenario states plan.number, date and author; else there are lines to write on.
    """
    from coolsim.report.paper.batch_sheet import write_batch_sheet
    from coolsim.report.text.page import paragraph
    from coolsim.scenario import one_jar
    from coolsim.studies.workshop.amounts import amounts

    scenario = one_jar(_batch_of(file, jars))
    path = output or Path(f"{next(file_stems([scenario]))}-sheet.pdf")
    claim(to_file("--output", path, ".pdf"), inputs=[file], force=force)
    chosen: System = units.value if units is not None else scenario.units
    screen = Screen(quiet=quiet)
    (result,) = run_jars(scenario, screen)
    written = write_batch_sheet(scenario, result, path, paper=paper.value if paper else None, units=chosen)
    warnings = (*amounts(scenario, units=chosen).warnings, *result.warnings)
    if warnings:
        say("\n\n".join(paragraph(f"Warning: {warning}") for warning in warnings))
    screen.wrote(written)
    screen.hint(f"`coolsim label {shlex.quote(str(file))}` writes the text of the label.")


def label(
    file: _File,
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
    json: JsonOption = False,
    force: ForceOption = False,
    quiet: QuietOption = False,
) -> None:
    """Write the text of the label: net weight, fragrance, burning, cautions.

    The fragrance is wax.fragrance of the scenario, and plan.number, date and author stand on the label if they are
    stated. Notes below it name the standards to consult; the label claims none of them.
    """
    from coolsim.report.text.label import label_data, label_notes, label_text
    from coolsim.report.text.page import paragraph
    from coolsim.studies.workshop.amounts import amounts

    claim(to_file("--output", output, ".txt"), inputs=[file], force=force)
    scenario = _batch_of(file, None)
    found = amounts(scenario)
    if json:
        about = {"program": "coolsim", "version": __version__, "file": scenario.where, "invented": scenario.invented}
        say_json({**about, **label_data(scenario, found)})
    else:
        warnings = (f"Warning: {warning}" for warning in found.warnings)
        invented = ("The workshop and its figures are invented.",) if scenario.invented else ()
        notes = [paragraph(note) for note in (*warnings, *label_notes(scenario), *invented)]
        say("\n\n".join([label_text(scenario, found), "-" * 80 + "\nNot on the label:", *notes]))
    if output is not None:
        from coolsim.report.whole_file import write_text

        Screen(quiet=quiet).wrote(write_text(output, f"{label_text(scenario, found)}\n"))


def _batch_of(file: Path, jars: int | None) -> Scenario:
    """Read a scenario with a batch: of one jar if nothing says how many."""
    from coolsim.scenario import load_scenario, with_overrides
    from coolsim.studies.workshop.preparation import must_set

    scenario = load_scenario(file)
    must_set(scenario)
    if jars is None and scenario.batch is None:
        scenario = with_overrides(scenario, {"batch.jars": 1})
    return changed(scenario, {"batch.jars": ("--jars", jars)})
