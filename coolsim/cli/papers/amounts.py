"""How much wax and oil to weigh."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from coolsim.cli.papers.workday import Told, Workday


def _answers(day: Workday) -> Iterator[str]:
    yield _parted(day)[0]


def _rests(day: Workday) -> Iterator[str]:
    from coolsim.report.cautions import cautions
    from coolsim.report.text.page import paragraph

    yield _parted(day)[1]
    yield from map(paragraph, cautions([], [day.scenario], units=day.units, topics=["flash points"]))


def _parted(day: Workday) -> tuple[str, str]:
    from coolsim.report.text.amounts import amounts_blocks
    from coolsim.report.text.page import parted

    return parted(amounts_blocks(day.scenario.title, day.amounts, units=day.units))


def _document(day: Workday) -> dict[str, Any]:
    from coolsim.report.text.amounts import amounts_data

    return amounts_data(day.amounts)


AMOUNTS = Told(answers=_answers, rests=_rests, document=_document)
