"""How long the wax takes until the pour."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from coolsim.cli.papers.workday import Workday


def melting_page(day: Workday) -> Iterator[str]:
    """Write the times in the bath and down to the pour, and what to beware of."""
    from coolsim.report.cautions import cautions
    from coolsim.report.text.melting import melting_text
    from coolsim.report.text.page import paragraph

    yield melting_text(day.melting, units=day.units)
    care = cautions([], [day.scenario], units=day.units, topics=["alone", "bath", "fire", "flash points"])
    yield paragraph(" ".join(care))


def melting_document(day: Workday) -> dict[str, Any]:
    """Give the same as data."""
    from coolsim.report.text.melting import melting_data

    return melting_data(day.melting)
