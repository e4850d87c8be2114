"""The command that writes the folder of a day in the workshop."""

from __future__ import annotations

from enum import StrEnum
from pathlib import Path
from typing import Annotated

import typer

from coolsim.cli.command import Asked, command
from coolsim.cli.naming import file_stems
from coolsim.cli.options import FIGURE, ScenarioFile, takes
from coolsim.cli.papers.amounts import AMOUNTS
from coolsim.cli.papers.calendar import write_calendar
from coolsim.cli.papers.label import write_label
from coolsim.cli.papers.melting import MELTING
from coolsim.cli.papers.plan import PLAN
from coolsim.cli.papers.sheet import write_sheet
from coolsim.cli.papers.workday import Told, Workday
from coolsim.cli.screen import warn
from coolsim.cli.targets import Target, in_folder, make_folder, to_file


class Part(StrEnum):
    """What a day can tell on the screen."""

    PLAN = "plan"
    AMOUNTS = "amounts"
    MELTING = "melting"


_TOLD: dict[Part, Told] = {Part.PLAN: PLAN, Part.AMOUNTS: AMOUNTS, Part.MELTING: MELTING}


@command(
    "Plan a day by the clock: all in one folder.",
    "coolsim day jar.toml --start 9:00 --date 2026-03-14",
    "coolsim day jar.toml --jars 6 --output saturday --paper letter",
    'coolsim day jar.toml --only amounts --jars 6 --melt "2 lb" --units us',
    'coolsim day jar.toml --only melting --melt "900 g" --water 80C',
    asks=(*FIGURE, "paper", "middle", "workers", "units", "estimates", "json", "force"),
)
def day(
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
    jars: Annotated[
        int | None, takes("N", "How many jars; left out, batch.jars or [places] of the scenario, else one.")
    ] = None,
    melt: Annotated[
        str | None, takes("MASS", 'Wax in the pitcher, such as "900 g"; left out, batch.melt, or what all jars need.')
    ] = None,
    water: Annotated[
        str | None, takes("TEMPERATURE", "Water round the pitcher; left out, melting.water of the scenario.")
    ] = None,
    part: Annotated[
        Part | None,
        typer.Option(
            "--only",
            metavar="PART",
            help=f"Print this part alone, and write no folder: {', '.join(Part)}.",
            show_default=False,
            show_choices=False,
        ),
    ] = None,
    output: Annotated[
        Path | None,
        typer.Option(
            "--output",
            "-o",
            metavar="DIR",
            help="The folder to write; left out, NAME-day in the current folder, after the file.",
            show_default=False,
        ),
    ] = None,
    calendar: Annotated[
        Path | None, takes("FILE.ics", "Where to write the calendar; left out, into the folder.")
    ] = None,
) -> None:
    """Write all that a day needs into one folder, and print its plan.

    \b
      plan.txt      melt, oil, pour, wick, do not move, lid, label, test burn
      calendar.ics  the same with reminders, if day and clock are known
      sheet.pdf     the batch sheet: one page with room for what you see
      label.txt     the text of the label
      amounts.txt   what to weigh and to lay out, for each melt, and its cost
      melting.txt   how long the wax takes in its water bath, with a figure,
                    if the scenario has a table [melting]

    Each time is safe: nine of ten jars are ready by then, as `coolsim spread` tells, and it is rounded to the same
    side; the middle stands in brackets. Of several jars in a box, the first counts for the wick and the last for all
    that waits. Jars that one melt does not fill are poured from several in turn. How long the wax takes until the pour
    is an estimate unless the scenario states plan.melting and plan.resting, or [melting]; the first test burn waits for
    plan.cure. With plan.open, what falls after closing is left overnight.
    """  # noqa: D301
    asked.folder()
    if part is not None and output is not None:
        raise typer.BadParameter("it contradicts --only; leave one out.", param_hint="'--output'")
    if part is not None and part is not Part.MELTING and asked.figures is not None:
        raise typer.BadParameter(f"there is no figure of the {part}; leave it out.", param_hint="'--figures'")
    work = Workday.of_file(asked, file, jars=jars, melt=melt, water=water, start=start, date=date)
    if part is None:
        _write_all(work, output or Path(f"{next(file_stems([work.scenario]))}-day"), calendar, file)
    else:
        _tell_one(work, part, calendar, file)


def _tell_one(work: Workday, part: Part, calendar: Path | None, file: Path) -> None:
    from coolsim.report.text.calendar import calendar_needs

    asked = work.asked
    figure = asked.figure([work.scenario], "melting", drawn=part is Part.MELTING)
    asked.claim(*to_file("--calendar", calendar, ".ics"), *figure, inputs=[file])
    if calendar is not None:
        calendar_needs(work.scenario)
    _tell(work, part)
    if figure:
        _draw_melting(work, figure)
    if calendar is not None:
        write_calendar(work, calendar)


def _write_all(work: Workday, folder: Path, calendar: Path | None, file: Path) -> None:
    from coolsim.report.text.calendar import calendar_needs

    asked, scenario = work.asked, work.scenario
    dated = scenario.date is not None and (scenario.plan.start is not None or scenario.pour_clock is not None)
    if calendar is not None:
        calendar_needs(scenario)
    elif dated:
        calendar = folder / "calendar.ics"
    parts = [one for one in Part if one is not Part.MELTING or work.before.computed]
    names = ["sheet.pdf", "label.txt", *(f"{one}.txt" for one in parts)]
    figure: list[Target] = []
    if Part.MELTING in parts:
        figure = (
            asked.figure([scenario], "melting")
            if asked.figures
            else in_folder("--output", None if asked.no_figures else folder, f"melting.{asked.format}")
        )
    targets = [one for name in names for one in in_folder("--output", folder, name)]
    in_it = calendar is not None and calendar.parent == folder
    targets += in_folder("--output", folder, "calendar.ics") if in_it else to_file("--calendar", calendar, ".ics")
    asked.claim(*targets, *figure, inputs=[file])
    _tell(work, Part.PLAN)
    make_folder(folder)
    for one in parts:
        told = _TOLD[one]
        page = asked.page(scenario, told.answers(work), rests=told.rests(work), whole=True)
        asked.write(folder / f"{one}.txt", f"{page}\n")
    if calendar is not None:
        write_calendar(work, calendar)
    write_sheet(work, folder / "sheet.pdf")
    write_label(work, folder / "label.txt")
    if figure:
        _draw_melting(work, figure)
    if calendar is None:
        warn("no calendar was written: it needs a day and a clock. Give --date and --start.")


def _tell(work: Workday, part: Part) -> None:
    told = _TOLD[part]
    work.asked.tell(
        work.scenario, lambda: told.answers(work), lambda: told.document(work), rests=lambda: told.rests(work)
    )


def _draw_melting(work: Workday, figure: list[Target]) -> None:
    from coolsim.report.figures.melting import draw_melting

    work.asked.draw(figure, draw_melting(work.melting, units=work.units))
