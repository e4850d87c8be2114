"""Commands for the day of a batch: its times, as a table and for a calendar."""

from __future__ import annotations

import shlex
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from coolsim._version import __version__
from coolsim.cli.options import ForceOption, JsonOption, QuietOption, UnitsOption
from coolsim.cli.screen import Screen, example, say, say_json
from coolsim.cli.targets import claim, to_file
from coolsim.cli.values import blaming, changed

if TYPE_CHECKING:
    from coolsim.scenario import Scenario
    from coolsim.solve.result import Result
    from coolsim.studies.workshop.day_plan import DayPlan
    from coolsim.units import System

_File = Annotated[Path, typer.Argument(metavar="FILE.toml", help="A scenario.", show_default=False)]


def add_to(app: typer.Typer) -> None:
    """Add the commands of this module."""
    app.command(
        short_help="Plan the day by the clock.",
        epilog=example(
            "coolsim schedule jar.toml --start 9:00",
            "coolsim schedule jar.toml --start 9:00 --date 2026-03-14 --calendar day.ics",
        ),
    )(schedule)


def schedule(
    file: _File,
    start: Annotated[
        str | None,
        typer.Option(
            metavar="CLOCK",
            help="When weighing and melting begin, as in 9:00; left out, plan.start or pour.clock of the scenario,"
            " else times count from the pour.",
        ),
    ] = None,
    date: Annotated[
        str | None,
        typer.Option(metavar="DAY", help="Day of the batch, as in 2026-03-14; left out, date of the scenario."),
    ] = None,
    calendar: Annotated[
        Path | None,
        typer.Option(
            metavar="FILE.ics",
            help="Write the plan for a calendar (iCalendar), with reminders; it needs a clock and a day.",
            show_default=False,
        ),
    ] = None,
    units: UnitsOption = None,
    json: JsonOption = False,
    force: ForceOption = False,
    quiet: QuietOption = False,
) -> None:
    """Plan the day: melt, oil, pour, wick, do not move, lid, label, test burn.

    All times are rounded to the safe side; of several jars in a box, the first counts for the wick and the last for all
    that waits. How long the wax takes until the pour is an estimate unless the scenario
    states plan.melting and plan.resting; the first test burn waits for plan.cure.
    """
    from coolsim.report.text.calendar import calendar_needs, calendar_text
    from coolsim.report.text.day_plan import plan_data
    from coolsim.report.wording import CAUTION
    from coolsim.scenario import load_scenario
    from coolsim.studies.workshop.day_plan import begun_at, plan_day
    from coolsim.studies.workshop.preparation import must_set

    scenario = changed(load_scenario(file), {"date": ("--date", date)})
    if start is not None:
        # The pour follows from the start: the option takes the place of both keys.
        with blaming({"plan.start": "--start"}, where=scenario.where, rest="--start"):
            scenario = begun_at(scenario, start)
    must_set(scenario)
    if calendar is not None:
        claim(to_file("--calendar", calendar, ".ics"), inputs=[file], force=force)
        calendar_needs(scenario)
    chosen: System = units.value if units is not None else scenario.units
    screen = Screen(quiet=quiet)
    results = run_jars(scenario, screen)
    plan = plan_day(scenario, results, units=chosen)
    if json:
        about = {"program": "coolsim", "version": __version__, "file": scenario.where, "invented": scenario.invented}
        say_json({**about, **plan_data(plan), "warnings": _warnings(results), "caution": CAUTION})
    else:
        say(_text(scenario, results, plan))
    if calendar is not None:
        from coolsim.report.whole_file import write_text

        screen.wrote(write_text(calendar, calendar_text(scenario, plan)))
    elif not json and scenario.jar.box is None:
        screen.hint(f"`coolsim handout {shlex.quote(str(file))}` prints the plan with a column for what you see.")


def run_jars(scenario: Scenario, screen: Screen) -> tuple[Result, ...]:
    """Run a scenario, all jars of a box together, and show how far it is."""
    from coolsim.solve.simulate import simulate
    from coolsim.solve.together import simulate_box

    progress = screen.progress(scenario.title)
    try:
        if scenario.jar.box is not None:
            return simulate_box(scenario.jar, on_step=progress).results
        return (simulate(scenario.jar, on_step=progress),)
    finally:
        screen.clear()


def _warnings(results: Sequence[Result]) -> list[str]:
    return list(dict.fromkeys(warning for result in results for warning in result.warnings))


def _text(scenario: Scenario, results: Sequence[Result], plan: DayPlan) -> str:
    from coolsim.report.cautions import Topic, cautions
    from coolsim.report.text.day_plan import plan_notes, plan_text
    from coolsim.report.text.page import paragraph
    from coolsim.report.text.runs import titled_runs
    from coolsim.report.wording import CAUTION
    from coolsim.studies.workshop.moments import day_text

    heading = scenario.title if plan.day is None else f"{scenario.title}, {day_text(plan.day)}"
    runs = titled_runs([(result.name, result) for result in results], jars=[scenario.jar] * len(results))
    topics: tuple[Topic, ...] = ("alone", "bath", "flash points", "shock", "still")
    parts = [
        paragraph(heading),
        plan_text([plan], ["When"], scenarios=[scenario], units=plan.units),
        *(paragraph(f"Warning: {warning}") for warning in _warnings(results)),
        *(paragraph(note) for note in plan_notes([plan])),
        paragraph(" ".join(cautions(runs, [scenario], units=plan.units, topics=topics))),
        paragraph("The workshop and its figures are invented.") if scenario.invented else "",
        paragraph(CAUTION),
    ]
    return "\n\n".join(part for part in parts if part)
