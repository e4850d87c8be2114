"""The handout: everything about a jar on a few pages to print."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING, Any

import typer

from coolsim.cli.command import Asked
from coolsim.cli.given import read_scenarios, run_box, run_each
from coolsim.cli.many import check_places, journal_target, keep_runs
from coolsim.cli.naming import file_stems
from coolsim.cli.papers.piece import Piece
from coolsim.cli.targets import to_file
from coolsim.cli.values import blaming
from coolsim.errors import ScenarioError

if TYPE_CHECKING:
    from coolsim.report.paper.handout import Handout
    from coolsim.report.paper.page import Paper
    from coolsim.scenario import Scenario
    from coolsim.solve.result import Result
    from coolsim.studies.repair.repair import Repair
    from coolsim.studies.sweep.journal import Journal
    from coolsim.units import System

ROOMS = {"metric": "15C:27C:3K", "us": "60F:80F:5F"}
_MOST_FILES = 2


def _handout(
    asked: Asked,
    files: Sequence[Path],
    output: Path | None,
    *,
    rooms: str | None = None,
    pours: str | None = None,
    short: bool = False,
) -> None:
    asked.begin_workers()
    from coolsim.scenario.ranges import swept_values
    from coolsim.studies.pour.choose import possible_rooms, with_own_room

    if len(files) > _MOST_FILES:
        raise typer.BadParameter(f"found {len(files)} scenarios; give one or two.", param_hint="'FILE'")
    given = read_scenarios(files)
    left_out: tuple[str, ...] = ()
    with blaming():
        room_values = swept_values("room.temperature", rooms or ROOMS[given[0].units], called="--rooms")
        pour_values = None if pours is None else swept_values("pour.temperature", pours, count=8, called="--pours")
    if rooms is None:
        # The room of the scenario among them: the cover says how hot to pour there.
        room_values, left_out = possible_rooms(given[0], with_own_room(given[0], room_values))
    check_places(given[0], None if rooms is None else room_values, pour_values, ("--rooms", "--pours"))
    if len(set(room_values)) < 2 or (pour_values is not None and len(set(pour_values)) < 2):
        raise typer.BadParameter("the chart needs several rooms and pours; give a range.", param_hint="'--rooms'")
    path = output or Path(f"{next(file_stems(given))}-handout.pdf")
    asked.claim(*to_file("--output", path, ".pdf"), journal_target(asked.journal), inputs=files)
    units = asked.system(given[0])
    with keep_runs(asked.journal) as kept:
        found = _work_out(asked, given, room_values, pour_values, kept, short=short)
        found = replace(found, left_out=left_out)
        _tell(asked, found, units)
        from coolsim.report.paper.handout import write_handout

        written = write_handout(found, path, short=short, paper=_paper(asked), units=units)
        asked.screen.wrote(written)


def _work_out(
    asked: Asked,
    given: Sequence[Scenario],
    rooms: Sequence[str],
    pours: Sequence[str] | None,
    kept: Journal,
    *,
    short: bool,
) -> Handout:
    from coolsim.studies.pour.choose import pour_study, stands_of
    from coolsim.studies.sweep.sweep import Study, run_studies
    from coolsim.studies.workshop.advice import try_changes
    from coolsim.studies.workshop.doubt import doubt_study

    own, beside = given[0], None
    stands = stands_of(own)
    shown, derived = tuple(stands.values()), len(given) == 1
    if not derived:
        other = given[1]
        shown = (own, other) if own.jar.surround is None or other.jar.surround is not None else (other, own)
        beside = other if len(stands) > 1 and (own.jar.surround is None) != (other.jar.surround is None) else None
    index = next(number for number, one in enumerate(shown) if one is own)
    jars: dict[str, Any] = {"scenarios": shown, "own": index, "derived": derived}

    def piece_by_piece() -> Iterator[None]:
        """Run what the pages show, and draw it, while the workers are busy."""
        boxes = [None if one.jar.places is None else run_box(one, asked.screen) for one in shown]
        known = [None if box is None else box.results for box in boxes]
        results = run_each([*zip(shown, known, strict=True)], asked.screen)
        yield
        mended = _mended(own, results[index])
        yield
        from coolsim.report.paper.handout import Jars, draw_pictures

        jars.update(results=tuple(map(_set_last, results)), boxes=tuple(box for box in boxes if box is not None))
        pictures = []
        for page in () if short else draw_pictures(Jars(**jars), paper=_paper(asked), units=asked.system(own)):
            pictures.append(page)
            yield
        jars.update(mended=mended, pictures=tuple(pictures))

    # What it stands like otherwise, if there is such a thing.
    advice_of = [(own, shown[len(shown) - 1 - index])]
    studies: list[Study[Any]] = [pour_study(own, beside=beside, rooms=rooms, pours=pours), try_changes(advice_of)]
    studies += [] if asked.middle else [doubt_study(one) for one in shown]
    pieces = piece_by_piece()
    with asked.screen.bar("runs") as on_run:
        study, (advice,), *doubts = run_studies(
            studies, workers=asked.workers, journal=kept, on_run=on_run, beside=pieces
        )
    for _ in pieces:
        # What is left when all runs are done.
        pass
    from coolsim.report.paper.handout import Handout

    return Handout(study=study, advice=advice, doubts=tuple(doubts), **jars)


def _paper(asked: Asked) -> Paper | None:
    return None if asked.paper is None else asked.paper.value


def _set_last(results: Sequence[Result]) -> Result:
    from coolsim.answers.catalogue import answers_of
    from coolsim.answers.worst import first_and_last

    return results[first_and_last([answers_of(result) for result in results])[1]]


def _mended(scenario: Scenario, results: Sequence[Result]) -> Repair | str:
    from coolsim.studies.repair.repair import repair, to_repair

    try:
        return repair(scenario, known=results[to_repair(results)])
    except ScenarioError as error:
        # A flat top, or wax that is not solid yet: the page says why.
        return str(error)


def _tell(asked: Asked, found: Handout, units: System) -> None:
    from coolsim.report.paper.advice import advice_text
    from coolsim.report.text.day_plan import closed_notes, plan_text, times_note
    from coolsim.report.text.page import paragraph

    names = ("Bare", "In the box") if found.differ else found.names
    plans = found.plans(units)
    asked.tell(
        found.scenarios,
        lambda: [
            plan_text(plans, names, units=units),
            paragraph(" ".join((*closed_notes(plans), *dict.fromkeys(map(times_note, plans))))),
            advice_text([found.advice], [names[found.own]], units=units),
        ],
    )


HANDOUT = Piece(
    ending=".pdf", takes=("paper", "middle", "workers", "journal", "rooms", "pours", "short"), make=_handout
)
