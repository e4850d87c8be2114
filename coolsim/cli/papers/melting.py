"""How long the wax takes until the pour."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from coolsim.cli.papers.workday import Told, Workday


def _answers(day: Workday) -> Iterator[str]:
    from coolsim.report.text.melts import melts_text

    yield _parted(day)[0]
    if len(day.melts) > 1:
        yield melts_text(day.melts, units=day.units)


def _rests(day: Workday) -> Iterator[str]:
    from coolsim.report.cautions import cautions
    from coolsim.report.text.page import paragraph

    yield _parted(day)[1]
    care = cautions([], [day.scenario], units=day.units, topics=["alone", "bath", "fire", "flash points"])
    yield paragraph(" ".join(care))


def _parted(day: Workday) -> tuple[str, str]:
    from coolsim.report.text.melting import melting_blocks
    from coolsim.report.text.page import parted

    of = f", melt 1 of {len(day.melts)}" if len(day.melts) > 1 else ""
    return parted(melting_blocks(day.melting, units=day.units, of=of))


def _document(day: Workday) -> dict[str, Any]:
    from coolsim.report.text.melting import melting_data
    from coolsim.report.text.melts import melts_data

    return {**melting_data(day.melting), "melts": melts_data(day.melts)}


MELTING = Told(answers=_answers, rests=_rests, document=_document)
