"""The text of the label."""

from __future__ import annotations

from pathlib import Path

from coolsim.cli.papers.piece import Piece
from coolsim.cli.papers.workday import Workday, of_each


def write_label(day: Workday, path: Path) -> None:
    """Write the label alone, without the notes for the maker."""
    from coolsim.report.text.label import label_text

    day.asked.write(path, f"{label_text(day.scenario, day.amounts)}\n")


def _tell_and_write(day: Workday, path: Path) -> None:
    from coolsim.report.text.label import label_data, label_notes, label_text
    from coolsim.report.text.page import paragraph

    notes = (*(f"Warning: {warning}" for warning in day.amounts.warnings), *label_notes(day.scenario))
    day.asked.tell(
        day.scenario,
        lambda: [label_text(day.scenario, day.amounts), "-" * 80 + "\nNot on the label:", *map(paragraph, notes)],
        lambda: label_data(day.scenario, day.amounts),
        caution=False,
    )
    write_label(day, path)


LABEL = Piece(ending=".txt", takes=("date", "json"), make=of_each("label", ".txt", _tell_and_write))
