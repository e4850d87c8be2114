"""The plan of the day by the clock."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from coolsim.cli.papers.workday import Told, Workday


def _answers(day: Workday) -> Iterator[str]:
    from coolsim.answers.catalogue import answers_of
    from coolsim.report.text.day_plan import closed_notes, plan_text
    from coolsim.report.text.melts import many, turns_notes, turns_text
    from coolsim.report.text.page import paragraph
    from coolsim.report.text.scenario import noteworthy
    from coolsim.studies.workshop.moments import day_text

    # In a room that goes by the clock, the jar as the first melt finds it.
    scenario, plan = day.turns[0].scenario, day.plan
    yield paragraph(scenario.title if plan.day is None else f"{scenario.title}, {day_text(plan.day)}")
    if many(day.turns):
        yield turns_text(day.turns, units=plan.units)
        yield from map(paragraph, closed_notes([turn.plan for turn in day.turns]))
    else:
        yield plan_text([plan], ["When (middle)" if plan.cases else "When"], scenarios=[scenario], units=plan.units)
    yield from map(paragraph, turns_notes(day.turns, units=plan.units))
    answers = [answers_of(result, day.scenario.jar) for result in day.results]
    yield from map(paragraph, noteworthy(day.scenario, plan.units, answers=answers))
    yield from (paragraph(f"Warning: {warning}") for warning in day.warnings)
    yield from map(paragraph, _too_soon(day))


def _rests(day: Workday) -> Iterator[str]:
    from coolsim.report.cautions import Topic, cautions
    from coolsim.report.text.day_plan import plan_notes
    from coolsim.report.text.page import paragraph
    from coolsim.report.text.runs import titled_runs

    scenario, plan = day.scenario, day.plan
    told = _too_soon(day)
    yield from (paragraph(note) for note in plan_notes([turn.plan for turn in day.turns]) if note not in told)
    runs = titled_runs([(result.name, result) for result in day.results], jars=[scenario.jar] * len(day.results))
    topics: tuple[Topic, ...] = ("alone", "bath", "flash points", "shock", "still")
    yield paragraph(" ".join(cautions(runs, [scenario], units=plan.units, topics=topics)))


def _too_soon(day: Workday) -> list[str]:
    from coolsim.report.text.day_plan import too_soon_text

    return [too_soon_text(turn.plan) for turn in day.turns if turn.plan.too_soon]


def _document(day: Workday) -> dict[str, Any]:
    from coolsim.report.text.day_plan import plan_data
    from coolsim.report.text.melts import turns_data

    return {**plan_data(day.plan), "melts": turns_data(day.turns), "warnings": list(day.warnings)}


PLAN = Told(answers=_answers, rests=_rests, document=_document)
