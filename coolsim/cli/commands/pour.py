"""The command that finds how hot to pour."""

from __future__ import annotations

import re
import shlex
from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING, Annotated, Any

import typer

from coolsim.cli.command import Asked, command
from coolsim.cli.given import read_scenario
from coolsim.cli.many import check_places, journal_target, keep_runs, loading, watch
from coolsim.cli.options import FIGURE, ScenarioFile, takes
from coolsim.cli.targets import Target, to_file
from coolsim.cli.values import LONGEST, blaming, check_number, quantity_of

if TYPE_CHECKING:
    from coolsim.scenario import Scenario
    from coolsim.studies.pour.choose import PourStudy
    from coolsim.studies.pour.remedies import Remedy
    from coolsim.studies.sweep.journal import Journal
    from coolsim.units import System

_MOST_MARGIN = 50.0  # K
_MOST_ROOMS = 13
_STEPS = (1, 2, 5, 10)
_TELLS, _DRAWS = "coolsim.report.text.pour", "coolsim.report.figures.pour_chart"
_NUMBER = r"\s*([-+]?\d+(?:\.\d*)?)\s*°?\s*([CF])\s*"
_RANGE = re.compile(f"{_NUMBER}:{_NUMBER}", re.IGNORECASE)


@command(
    "Find how hot to pour, bare and boxed.",
    "coolsim pour jar.toml --room 18C",
    "coolsim pour jar.toml --room 15C:27C --figures charts --format pdf",
    "coolsim pour jar.toml --room 60F:80F --pour 125F:160F:5F --jar 90F --within 12h --units us",
    'coolsim pour jar.toml --room 15C:27C:3K --cases 32 --share "80 %"',
    asks=(*FIGURE, "own_grid", "table", "workers", "journal", "units", "estimates", "json", "force"),
)
def pour(
    asked: Asked,
    file: ScenarioFile,
    room: Annotated[
        str | None,
        takes(
            "RANGE",
            'Temperature of the room: "18C", a list, first:last ("15C:27C") by whole degrees or first:last:step; left'
            " out, the scenario's.",
        ),
    ] = None,
    pour: Annotated[
        str | None,
        takes("RANGE", "Pours to try, written the same way; left out, some twenty from above freezing to the limits."),
    ] = None,
    jar: Annotated[
        str | None, takes("TEMPERATURE", "Temperature of the jar at the pour; left out, the scenario's or the room's.")
    ] = None,
    within: Annotated[str | None, takes("DURATION", 'Time allowed until fully set; left out, "16 h".')] = None,
    margin: Annotated[
        str | None, takes("DIFFERENCE", 'Least distance of a pour from freezing; left out, "8 °C".')
    ] = None,
    cases: Annotated[
        int | None,
        takes(
            "N",
            "Judge each pour by how many of N cases it passes in, drawn as by `coolsim spread`. With 32 it"
            " takes a few times as long.",
        ),
    ] = None,
    share: Annotated[
        str | None, takes("PERCENTAGE", 'In which share of the cases a pour must pass; left out, "80 %".')
    ] = None,
    everything: Annotated[
        bool, typer.Option("--all", help="Print every pour that was tried, with the limits that reject it.")
    ] = False,
) -> None:
    """Find how hot to pour, bare and boxed, and say why other pours are rejected.

    A pour passes if the first skin at the glass melts again, the jar is safe from thermal shock, the limits stated
    for wax and fragrance are kept, and the wax sets in time. Of those with the least sunk volume and cavity the middle
    one is recommended. Where none passes, changes of jar, room or box are tried and what they give is printed. With a
    range of rooms each whole degree has a line, and a chart is drawn to pin to the wall. With --cases a pour must keep
    the limits in most of the cases, because wax and air are loosely known; changes are not tried then.
    """
    asked.begin_workers()
    from coolsim.scenario.ranges import swept_values
    from coolsim.studies.pour.choose import TIME_ALLOWED
    from coolsim.studies.pour.limits import MARGIN

    scenario = read_scenario(file)
    with blaming():
        rooms = None if room is None else swept_values("room.temperature", by_degrees(room), called="--room")
        pours = None if pour is None else swept_values("pour.temperature", pour, count=20, called="--pour")
        if jar is not None and len(swept_values("vessel.temperature", jar, called="--jar")) != 1:
            raise typer.BadParameter("give one temperature.", param_hint="'--jar'")
    check_places(scenario, rooms, pours, ("--room", "--pour"))
    charted = rooms is not None and len(rooms) > 1 and (pours is None or len(pours) > 1)
    if asked.figures is not None and not charted:
        raise typer.BadParameter(
            "the chart needs several rooms and pours; give a range, as in --room 15C:27C.", param_hint="'--figures'"
        )
    figure = asked.figure([scenario], "pour", drawn=charted)
    asked.claim(*to_file("--csv", asked.table, ".csv"), *figure, journal_target(asked.journal), inputs=[file])
    options: dict[str, Any] = {
        "rooms": rooms,
        "pours": pours,
        "jar": jar,
        "time_allowed": TIME_ALLOWED if within is None else quantity_of(within, "duration", "--within", most=LONGEST),
        "margin": MARGIN
        if margin is None
        else quantity_of(margin, "temperature_difference", "--margin", most=_MOST_MARGIN),
        "own_grid": asked.own_grid,
    }
    units = asked.system(scenario)
    wanted = _cases(cases, share)
    with keep_runs(asked.journal) as kept:
        study, remedies, picture = _study(asked, scenario, options, kept, wanted, figure)
        from coolsim.report.text.page import parted
        from coolsim.report.text.pour import pour_csv, pour_data, pour_summary_blocks, pour_text

        summary, rests = parted(pour_summary_blocks(study, units=units, remedies=remedies))
        asked.tell(
            study.scenario(),
            lambda: [pour_text(study, units=units, remedies=remedies) if everything else summary],
            lambda: pour_data(study, remedies=remedies),
            rests=lambda: [] if everything else [rests],
            estimates_of=list(study.stands.values()),
        )
        if asked.table is not None:
            asked.write(asked.table, pour_csv(study, units=units))
        if figure:
            asked.draw(figure, picture)
    chart = f"`coolsim pour {shlex.quote(str(file))} --room 15C:27C` draws the chart for other rooms"
    handout = f"`coolsim make handout {shlex.quote(str(file))}` prints pages for a workshop"
    asked.screen.hint(f"{handout}." if figure else f"{chart}; {handout}.")


def by_degrees(rooms: str) -> str:
    """Give a range of rooms without a step one of whole degrees, so that there are not too many.

    >>> by_degrees("15C:27C"), by_degrees("60F:80F"), by_degrees("15C:27C:3K")
    ('15C:27C:1C', '60F:80F:2F', '15C:27C:3K')
    """
    found = _RANGE.fullmatch(rooms)
    if found is None or not (span := float(found[3]) - float(found[1])) > 0.0:
        # A list, a step that is stated, or what is refused by its own words.
        return rooms
    step = next((step for step in _STEPS if span / step < _MOST_ROOMS), _STEPS[-1])
    return f"{rooms.strip()}:{step}{found[2]}"


def _cases(cases: int | None, share: str | None) -> tuple[int, float] | None:
    """Check number of cases and the share in which a pour must pass; None if none are to be drawn."""
    if cases is None:
        if share is not None:
            raise typer.BadParameter("it needs --cases; give both, or leave it out.", param_hint="'--share'")
        return None
    from coolsim.studies.pour.cases import SHARE
    from coolsim.studies.spread.inputs import FEWEST_RUNS, MOST_RUNS

    check_number(cases, FEWEST_RUNS, MOST_RUNS, "--cases")
    least = SHARE if share is None else quantity_of(share, "fraction", "--share")
    if least > 1.0:
        raise typer.BadParameter(f"found '{share}'; give a share of at most 100 %.", param_hint="'--share'")
    return cases, least


def _study(
    asked: Asked,
    scenario: Scenario,
    options: dict[str, Any],
    kept: Journal,
    wanted: tuple[int, float] | None,
    figure: Sequence[Target],
) -> tuple[PourStudy, dict[Any, tuple[Remedy, ...]], bytes]:
    """Make all runs with the same workers; meanwhile load what the answer is told with, and print the chart."""
    from coolsim.studies.pour.choose import pour_study
    from coolsim.studies.sweep.sweep import MOST_POINTS, run_studies
    from coolsim.studies.sweep.workers import workers_for

    printed: list[bytes] = []
    with workers_for(MOST_POINTS, None, asked.workers) as pool:
        makers: dict[str, Any] = {"executor": pool, "workers": asked.workers}
        with watch(asked.screen, "pours") as on_row:
            asking = pour_study(scenario, **options, on_row=on_row)
            needed = loading(_TELLS, *([_DRAWS] if figure else []))
            (study,) = run_studies([asking], **makers, journal=kept, beside=needed)
        remedies: dict[Any, tuple[Remedy, ...]] = {}
        if wanted is not None:
            from coolsim.studies.pour.cases import pours_in_most_cases

            cases, share = wanted
            with asked.screen.bar("cases") as on_run:
                study = pours_in_most_cases(study, cases=cases, share=share, **makers, on_run=on_run)
        pieces = _printing(study, figure, asked.system(scenario), printed)
        if wanted is None:
            from coolsim.studies.pour.remedies import remedies_study

            helpless = [one for one in study.choices if one.recommended is None]
            asking_for = [remedies_study(study, one) for one in helpless]
            with asked.screen.bar("remedies") as on_run:
                tried = run_studies(asking_for, **makers, journal=kept, on_run=on_run, beside=pieces)
            remedies = {(one.place, one.room): found for one, found in zip(helpless, tried, strict=True)}
    for _ in pieces:
        # What is left when all runs are done.
        pass
    return study, remedies, b"".join(printed)


def _printing(study: PourStudy, figure: Sequence[Target], units: System, printed: list[bytes]) -> Iterator[None]:
    """Draw the chart, then print it as the content of its file, if there is to be one."""
    if figure:
        from coolsim.report.figures.pour_chart import draw_pour_chart
        from coolsim.report.figures.saving import as_file

        drawing = draw_pour_chart(study, units=units)
        yield
        printed.append(as_file(drawing, figure[0].path))
