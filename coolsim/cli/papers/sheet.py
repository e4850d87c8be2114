"""The batch sheet: one page with what is planned beside room for what is seen."""

from __future__ import annotations

from pathlib import Path

from coolsim.cli.papers.piece import Piece
from coolsim.cli.papers.workday import PLANNED, Workday, of_each
from coolsim.cli.screen import say


def write_sheet(day: Workday, path: Path) -> None:
    """Write the sheet to a file."""
    from coolsim.report.paper.batch_sheet import write_batch_sheet

    asked = day.asked
    asked.screen.wrote(
        write_batch_sheet(
            day.scenario,
            day.found,
            path,
            doubt=day.doubt,
            paper=asked.paper.value if asked.paper else None,
            units=day.units,
        )
    )


def _tell_and_write(day: Workday, path: Path) -> None:
    from coolsim.report.text.page import paragraph

    write_sheet(day, path)
    if day.warnings:
        say("\n\n".join(paragraph(f"Warning: {warning}") for warning in day.warnings))


SHEET = Piece(ending=".pdf", takes=(*PLANNED, "paper"), make=of_each("sheet", ".pdf", _tell_and_write))
