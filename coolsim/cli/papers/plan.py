"""The plan of the day by the clock."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from coolsim.cli.papers.workday import Workday


def plan_page(day: Workday) -> Iterator[str]:
    """Write the plan, what the run warns of, and how the times are meant."""
    from coolsim.report.cautions import Topic, cautions
    from coolsim.report.text.day_plan import plan_notes, plan_text
    from coolsim.report.text.page import paragraph
    from coolsim.report.text.runs import titled_runs
    from coolsim.studies.workshop.moments import day_text

    scenario, plan = day.scenario, day.plan
    yield paragraph(scenario.title if plan.day is None else f"{scenario.title}, {day_text(plan.day)}")
    yield plan_text([plan], ["When"], scenarios=[scenario], units=plan.units)
    yield from (paragraph(f"Warning: {warning}") for warning in day.warnings)
    yield from map(paragraph, plan_notes([plan]))
    runs = titled_runs([(result.name, result) for result in day.results], jars=[scenario.jar] * len(day.results))
    topics: tuple[Topic, ...] = ("alone", "bath", "flash points", "shock", "still")
    yield paragraph(" ".join(cautions(runs, [scenario], units=plan.units, topics=topics)))


def plan_document(day: Workday) -> dict[str, Any]:
    """Give the same as data."""
    from coolsim.report.text.day_plan import plan_data

    return {**plan_data(day.plan), "warnings": list(day.warnings)}
