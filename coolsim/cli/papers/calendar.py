"""The plan of the day for a calendar."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from coolsim.cli.papers.piece import Piece
from coolsim.cli.papers.workday import PLANNED, Workday, of_each

if TYPE_CHECKING:
    from coolsim.scenario import Scenario


def write_calendar(day: Workday, path: Path) -> None:
    """Write the plan as an iCalendar file."""
    from coolsim.report.text.calendar import calendar_text

    day.asked.write(path, calendar_text(day.scenario, [turn.plan for turn in day.turns]))


def _needs(scenario: Scenario) -> None:
    from coolsim.report.text.calendar import calendar_needs

    calendar_needs(scenario)


CALENDAR = Piece(ending=".ics", takes=PLANNED, make=of_each("calendar", ".ics", write_calendar, needs=_needs))
