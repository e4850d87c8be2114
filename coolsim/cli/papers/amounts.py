"""How much wax and oil to weigh."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from coolsim.cli.papers.workday import Workday


def amounts_page(day: Workday) -> Iterator[str]:
    """Write the amounts, and what to beware of."""
    from coolsim.report.cautions import cautions
    from coolsim.report.text.amounts import amounts_text
    from coolsim.report.text.page import paragraph

    yield amounts_text(day.scenario.title, day.amounts, units=day.units)
    yield from map(paragraph, cautions([], [day.scenario], units=day.units, topics=["flash points"]))


def amounts_document(day: Workday) -> dict[str, Any]:
    """Give the same as data."""
    from coolsim.report.text.amounts import amounts_data

    return amounts_data(day.amounts)
