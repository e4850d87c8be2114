"""The command that answers a day's questions in five lines."""

from __future__ import annotations

import shlex
from typing import TYPE_CHECKING, Annotated

from coolsim.cli.command import Asked, command
from coolsim.cli.given import read_scenario
from coolsim.cli.many import watch
from coolsim.cli.options import ScenarioFile, takes
from coolsim.cli.papers.workday import Workday
from coolsim.cli.values import with_options

if TYPE_CHECKING:
    from coolsim.solve.result import Result
    from coolsim.studies.pour.choose import PourChoice, PourStudy


@command(
    "Say how hot to pour today, and what then.",
    "coolsim today jar.toml --room 17C",
    "coolsim today jar.toml --room 64F --pour-at 10:30 --units us",
    asks=("middle", "workers", "units", "json"),
)
def today(
    asked: Asked,
    file: ScenarioFile,
    room: Annotated[
        str | None, takes("TEMPERATURE", 'The room today, as in "17C"; left out, that of the scenario.')
    ] = None,
    pour_at: Annotated[
        str | None, takes("CLOCK", "When you pour, as in 10:30; left out, times count from the pour.")
    ] = None,
) -> None:
    """Answer in five lines: pour at, wick until, leave until, lid from, and how the top will look.

    Of the pours that `coolsim pour` tries, those that pass and are as good as the best stand as a range, with the one
    to take; times and top are those of that pour. Each time is safe: nine of ten jars are ready by then; the middle
    stands in brackets, and so does how far the depth of the top may be off. Of jars in a box the worst one counts.
    """
    asked.begin_workers()
    from coolsim.report.text.page import paragraph
    from coolsim.report.text.scenario import noteworthy
    from coolsim.report.text.today import today_data, today_text
    from coolsim.scenario import changed
    from coolsim.studies.pour.choose import choose_pour
    from coolsim.studies.workshop.preparation import must_set

    scenario = read_scenario(file)
    must_set(scenario)
    given = {"room.temperature": ("--room", room), "pour.clock": ("--pour-at", pour_at)}
    if pour_at is not None:
        scenario = changed(scenario, {"plan.start": None})
    scenario = with_options(scenario, given)
    units = asked.system(scenario)
    with watch(asked.screen, "pours") as on_row:
        study = choose_pour(scenario, alone=True, workers=asked.workers, on_row=on_row)
    (choice,) = study.choices
    poured, warmed = _poured(asked, study, choice)
    changes = {"pour.temperature": poured} | ({} if warmed is None else {"vessel.temperature": warmed})
    day = Workday(asked, changed(scenario, changes))
    asked.tell(
        scenario,
        lambda: [
            today_text(choice, day.plan, _least_flat(day), poured=poured, warmed=warmed, units=units),
            # Of a pour that passes, and of a warmed jar, there is nothing to note.
            *map(paragraph, noteworthy(day.scenario, units)),
        ],
        lambda: today_data(choice, day.plan, day.results, poured=poured, warmed=warmed),
        estimates_of=[scenario],
    )
    name = shlex.quote(str(file))
    asked.screen.hint(f"`coolsim pour {name}` says why; `coolsim day {name}` writes the day into a folder.")


def _poured(asked: Asked, study: PourStudy, choice: PourChoice) -> tuple[float, float | None]:
    """Choose the pour [°C] that the times are told for, and how warm the jar must be for it, if it must [°C]."""
    from coolsim.studies.pour.remedies import try_remedies, warmed_jar

    if choice.recommended is not None:
        return choice.recommended.pour, None
    with watch(asked.screen, "remedies") as on_row:
        helps = warmed_jar(try_remedies(study, choice, workers=asked.workers, on_row=on_row))
    return (study.scenario().jar.pour, None) if helps is None else (helps[1], helps[0])


def _least_flat(day: Workday) -> Result:
    """Choose the run whose top is told: of jars in a box the one that is least flat."""
    return max(day.results, key=lambda one: 0.0 if one.shrinkage is None else abs(one.shrinkage.depth))
