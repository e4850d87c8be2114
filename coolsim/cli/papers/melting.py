"""How long the wax takes until the pour."""

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
    care = cautions([], [day.scenario], units=day.units, topics=["alone", "bath", "fire", "flash points"])
    yield paragraph(" ".join(care))


def _parted(day: Workday) -> tuple[str, str]:
    from coolsim.report.text.melting import melting_blocks
    from coolsim.report.text.page import parted

    return parted(melting_blocks(day.melting, units=day.units))


def _document(day: Workday) -> dict[str, Any]:
    from coolsim.report.text.melting import melting_data

    return melting_data(day.melting)


MELTING = Told(answers=_answers, rests=_rests, document=_document)
