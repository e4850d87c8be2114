"""The command that plans the day of a batch: its times, as a table and for a calendar."""

from __future__ import annotations

import shlex
from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

from coolsim.cli.command import Asked, command
from coolsim.cli.given import read_scenario, run_jars
from coolsim.cli.options import ScenarioFile, takes
from coolsim.cli.targets import to_file
from coolsim.cli.values import blaming, with_options

if TYPE_CHECKING:
    from coolsim.scenario import Scenario
    from coolsim.solve.result import Result
    from coolsim.studies.workshop.day_plan import DayPlan
    from coolsim.studies.workshop.melts import Turn
    from coolsim.studies.workshop.preparation import Preparation


@command(
    "Plan the day by the clock.",
    "coolsim schedule jar.toml --start 9:00",
    "coolsim schedule jar.toml --start 9:00 --date 2026-03-14 --calendar day.ics",
    asks=("middle", "workers", "units", "json", "force"),
)
def schedule(
    asked: Asked,
    file: ScenarioFile,
    start: Annotated[
        str | None,
        takes(
            "CLOCK",
            "When weighing and melting begin, as in 9:00; left out, plan.start or pour.clock of the scenario,"
            " else times count from the pour.",
        ),
    ] = None,
    date: Annotated[
        str | None, takes("DAY", "Day of the batch, as in 2026-03-14; left out, date of the scenario.")
    ] = None,
    calendar: Annotated[
        Path | None,
        takes("FILE.ics", "Write the plan for a calendar (iCalendar), with reminders; it needs a clock and a day."),
    ] = None,
) -> None:
    """Plan the day: melt, oil, pour, wick, do not move, lid, label, test burn.

    Each time is safe: nine of ten jars are ready by then, as `coolsim spread` tells, and it is rounded to the same
    side; the middle stands in brackets. Of several jars in a box, the first counts for the wick and the last for all
    that waits. How long the wax takes until the pour is an estimate unless the scenario states plan.melting and
    plan.resting; the first test burn waits for plan.cure. With plan.open, what falls after closing is left overnight.
    A batch that takes more than one melt gets them in turn, each with the times of its own jars.
    """
    from coolsim.report.text.calendar import calendar_needs, calendar_text
    from coolsim.report.text.day_plan import plan_data
    from coolsim.report.text.melts import turns_data
    from coolsim.studies.workshop.day_plan import begun_at, plan_day
    from coolsim.studies.workshop.melts import goes_by_the_clock, plan_turns
    from coolsim.studies.workshop.preparation import must_set

    asked.check_workers()
    scenario = with_options(read_scenario(file), {"date": ("--date", date)})
    if start is not None:
        # The pour follows from the start: the option takes the place of both keys.
        with blaming({"plan.start": "--start"}, where=scenario.where, rest="--start"):
            scenario = begun_at(scenario, start)
    must_set(scenario)
    if calendar is not None:
        asked.claim(*to_file("--calendar", calendar, ".ics"), inputs=[file])
        calendar_needs(scenario)
    results = run_jars(scenario, asked.screen)
    doubt, units = asked.doubt(scenario), asked.system(scenario)

    def plan(one: Scenario, before: Preparation) -> DayPlan:
        # The first melt finds the jar as the scenario has it.
        if goes_by_the_clock(one) and one.pour_clock != scenario.pour_clock:
            return plan_day(one, run_jars(one, asked.screen), doubt=asked.doubt(one), before=before, units=units)
        return plan_day(one, results, doubt=doubt, before=before, units=units)

    turns = plan_turns(scenario, plan)
    warnings = list(dict.fromkeys(warning for result in results for warning in result.warnings))
    asked.tell(
        scenario,
        lambda: _text(results, turns, warnings),
        lambda: {**plan_data(turns[0].plan), "melts": turns_data(turns), "warnings": warnings},
    )
    if calendar is not None:
        asked.write(calendar, calendar_text(scenario, [turn.plan for turn in turns]))
    elif not asked.json and scenario.jar.places is None:
        asked.screen.hint(f"`coolsim handout {shlex.quote(str(file))}` prints the plan with a column for what you see.")


def _text(results: Sequence[Result], turns: Sequence[Turn], warnings: Sequence[str]) -> Iterator[str]:
    from coolsim.answers.catalogue import answers_of
    from coolsim.report.cautions import Topic, cautions
    from coolsim.report.text.day_plan import closed_notes, plan_notes, plan_text
    from coolsim.report.text.melts import many, turns_notes, turns_text
    from coolsim.report.text.page import paragraph
    from coolsim.report.text.runs import titled_runs
    from coolsim.report.text.scenario import noteworthy
    from coolsim.studies.workshop.moments import day_text

    scenario, plan = turns[0].scenario, turns[0].plan
    yield paragraph(scenario.title if plan.day is None else f"{scenario.title}, {day_text(plan.day)}")
    if many(turns):
        yield turns_text(turns, units=plan.units)
        yield from map(paragraph, closed_notes([turn.plan for turn in turns]))
    else:
        heading = "When (middle)" if plan.cases else "When"
        yield plan_text([plan], [heading], scenarios=[scenario], units=plan.units)
    yield from map(paragraph, turns_notes(turns, units=plan.units))
    answers = [answers_of(result, scenario.jar) for result in results]
    yield from map(paragraph, noteworthy(scenario, plan.units, answers=answers))
    yield from (paragraph(f"Warning: {warning}") for warning in warnings)
    yield from map(paragraph, plan_notes([turn.plan for turn in turns]))
    runs = titled_runs([(result.name, result) for result in results], jars=[scenario.jar] * len(results))
    topics: tuple[Topic, ...] = ("alone", "bath", "flash points", "shock", "still")
    yield paragraph(" ".join(cautions(runs, [scenario], units=plan.units, topics=topics)))
