"""The plan of the day by the clock."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from coolsim.cli.papers.workday import Told, Workday


def _answers(day: Workday) -> Iterator[str]:
    from coolsim.report.text.day_plan import plan_text, too_soon_text
    from coolsim.report.text.page import paragraph
    from coolsim.studies.workshop.moments import day_text

    scenario, plan = day.scenario, day.plan
    yield paragraph(scenario.title if plan.day is None else f"{scenario.title}, {day_text(plan.day)}")
    yield plan_text([plan], ["When"], scenarios=[scenario], units=plan.units)
    yield from (paragraph(f"Warning: {warning}") for warning in day.warnings)
    if plan.too_soon:
        yield paragraph(too_soon_text(plan))


def _rests(day: Workday) -> Iterator[str]:
    from coolsim.report.cautions import Topic, cautions
    from coolsim.report.text.day_plan import plan_notes, too_soon_text
    from coolsim.report.text.page import paragraph
    from coolsim.report.text.runs import titled_runs

    scenario, plan = day.scenario, day.plan
    yield from map(paragraph, (note for note in plan_notes([plan]) if not plan.too_soon or note != too_soon_text(plan)))
    runs = titled_runs([(result.name, result) for result in day.results], jars=[scenario.jar] * len(day.results))
    topics: tuple[Topic, ...] = ("alone", "bath", "flash points", "shock", "still")
    yield paragraph(" ".join(cautions(runs, [scenario], units=plan.units, topics=topics)))


def _document(day: Workday) -> dict[str, Any]:
    from coolsim.report.text.day_plan import plan_data

    return {**plan_data(day.plan), "warnings": list(day.warnings)}


PLAN = Told(answers=_answers, rests=_rests, document=_document)
