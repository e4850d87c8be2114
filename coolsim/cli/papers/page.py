"""The page for the phone: one file that needs no network."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING

import typer

from coolsim.cli.command import Asked
from coolsim.cli.given import read_scenarios, run_each
from coolsim.cli.many import check_places, journal_target, keep_runs, watch
from coolsim.cli.naming import file_stems
from coolsim.cli.papers.handout import ROOMS
from coolsim.cli.papers.piece import Piece
from coolsim.cli.targets import to_file
from coolsim.cli.values import blaming
from coolsim.errors import ScenarioError
from coolsim.units import format_quantity, parse_quantity

if TYPE_CHECKING:
    from coolsim.scenario import Scenario

_MOST_FILES, _ALIKE = 2, 0.01


def _page(
    asked: Asked, files: Sequence[Path], output: Path | None, *, rooms: str | None = None, pours: str | None = None
) -> None:
    asked.begin_workers()
    from coolsim.answers.catalogue import answers_of
    from coolsim.report.page.data import PagedJar
    from coolsim.report.page.write import page_html
    from coolsim.scenario.ranges import swept_values
    from coolsim.studies.pour.by_degree import by_degree
    from coolsim.studies.workshop.day_plan import plan_day
    from coolsim.studies.workshop.preparation import must_set

    if len(files) > _MOST_FILES:
        raise typer.BadParameter(f"found {len(files)} scenarios; give one or two.", param_hint="'FILE'")
    given = read_scenarios(files)
    for scenario in given:
        must_set(scenario)
    _check(given)
    first = given[0]
    with blaming():
        room_values = swept_values("room.temperature", rooms or ROOMS[first.units], called="--rooms")
        pour_values = None if pours is None else swept_values("pour.temperature", pours, count=8, called="--pours")
    check_places(first, None if rooms is None else room_values, pour_values, ("--rooms", "--pours"))
    path = output or Path(f"{next(file_stems(given))}-page.html")
    asked.claim(*to_file("--output", path, ".html"), journal_target(asked.journal), inputs=files)
    units = asked.system(first)
    studied = None if callable(first.jar.room.temperature) else _shared_rooms(given, room_values)
    with blaming(rest=None if pours is None else "--pours"):
        poured = _pours(given, studied, pour_values)
    results = run_each([(scenario, None) for scenario in given], asked.screen)
    jars = []
    with keep_runs(asked.journal) as kept:
        for scenario, (result,), name in zip(given, results, _names(given), strict=True):
            with watch(asked.screen, "rooms and pours") as on_row:
                chart = by_degree(
                    scenario, answers_of(result, scenario.jar), rooms=studied, pours=poured, workers=asked.workers,
                    journal=kept, on_row=on_row,
                )  # fmt: skip
            doubt = asked.doubt(scenario)
            plan = plan_day(scenario, result, doubt=doubt, units=units)
            jars.append(PagedJar(scenario=scenario, result=result, doubt=doubt, plan=plan, chart=chart, short=name))
        asked.write(path, page_html(jars, units=units))


def _check(given: Sequence[Scenario]) -> None:
    """Refuse what one page cannot show."""
    faults = [
        f"{one.where}: places: found a box of {one.jar.places.jars} jars, but the page shows one jar, or two side by"
        " side. Give a scenario of one of them: leave [places] out, and say in [surround] what stands round it."
        for one in given
        if one.jar.places is not None
    ]
    first = given[0]
    for other in given[1:]:
        for key, ours, theirs in (
            ("pour.temperature", first.jar.pour, other.jar.pour),
            ("room.temperature", first.jar.room.at(0.0), other.jar.room.at(0.0)),
        ):
            if abs(ours - theirs) > _ALIKE:
                found, wanted = (format_quantity(one, "temperature", system=first.units) for one in (theirs, ours))
                faults.append(
                    f"{other.where}: {key}: found {found}, but {wanted} in {first.where}; the sliders of the page move"
                    " both jars together. State the same in both."
                )
    if faults:
        raise ScenarioError(faults)


def _shared_rooms(given: Sequence[Scenario], rooms: Sequence[str]) -> tuple[str, ...]:
    """List the rooms in which the wax of all jars sets, their own among them."""
    from coolsim.studies.pour.choose import possible_rooms, with_own_room

    shared = with_own_room(given[0], rooms)
    for one in given:
        shared = possible_rooms(one, shared)[0]
    return shared


def _pours(given: Sequence[Scenario], rooms: Sequence[str] | None, pours: Sequence[str] | None) -> tuple[float, ...]:
    """List the pours [°C]: those that are asked for, or the usual ones, and their own."""
    from coolsim.studies.pour.by_degree import shared_pours

    own = given[0].jar.pour
    if pours is None:
        celsius = (
            [given[0].jar.room.at(0.0)] if rooms is None else [parse_quantity(room, "temperature") for room in rooms]
        )
        return shared_pours(given, celsius)
    asked = [parse_quantity(pour, "temperature") for pour in pours]
    return tuple(sorted({own, *(pour for pour in asked if abs(pour - own) > _ALIKE)}))


def _names(given: Sequence[Scenario]) -> tuple[str, ...]:
    """Name the jars in a column."""
    if len({one.jar.surround is None for one in given}) > 1:
        return tuple("Bare" if one.jar.surround is None else "In the box" for one in given)
    return ("A", "B") if len(given) > 1 else ("This jar",)


PAGE = Piece(ending=".html", takes=("middle", "workers", "journal", "rooms", "pours"), make=_page)
