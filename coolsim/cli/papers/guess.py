"""Guess and reveal: jars to draw into, with the answers on the next page, and one to roll of paper."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING

import typer

from coolsim.cli.command import Asked
from coolsim.cli.given import read_scenarios, run_each
from coolsim.cli.naming import file_stems, kinds_with_jars, titles
from coolsim.cli.papers.piece import Piece
from coolsim.cli.targets import to_file

if TYPE_CHECKING:
    from coolsim.report.paper.guess import GuessedJar
    from coolsim.scenario import Scenario
    from coolsim.solve.result import Result
    from coolsim.units import System


def _guess(asked: Asked, files: Sequence[Path], output: Path | None) -> None:
    from coolsim.studies.workshop.guesses import MOST_JARS
    from coolsim.studies.workshop.preparation import must_set

    if len(files) > MOST_JARS:
        raise typer.BadParameter(f"found {len(files)} scenarios; give {MOST_JARS} at most.", param_hint="'FILE'")
    given = read_scenarios(files)
    for one in given:
        must_set(one)
    path = output or Path(f"{next(file_stems(given))}-guess.pdf")
    asked.claim(*to_file("--output", path, ".pdf"), inputs=files)
    units = asked.system(given[0])
    named = list(zip(titles(given), given, strict=True)) if len(given) > 1 else _four_of(given[0], units)
    runs = run_each([(one, None) for _, one in named], asked.screen)
    jars = [_guessed(title, one, results) for (title, one), results in zip(named, runs, strict=True)]
    from coolsim.report.paper.guess import write_guess

    written = write_guess(jars, path, paper=asked.paper.value if asked.paper else None, units=units)
    asked.screen.wrote(written)


def _four_of(scenario: Scenario, units: System) -> list[tuple[str, Scenario]]:
    """Name a jar as it is, and what is changed about it in three ways."""
    from coolsim.report.text.changes import change_text
    from coolsim.report.wording import capital
    from coolsim.studies.workshop.guesses import MOST_JARS, changes_to_guess

    changes = changes_to_guess(scenario, MOST_JARS - 1)
    return [
        ("As it is", scenario),
        *((capital(change_text(change.name, change.value, units)), made) for change, made in changes),
    ]


def _guessed(title: str, scenario: Scenario, results: Sequence[Result]) -> GuessedJar:
    """Take the run of a jar, of a box that of the jar that is set last."""
    from coolsim.answers.catalogue import answers_of
    from coolsim.answers.worst import first_and_last
    from coolsim.report.paper.guess import GuessedJar
    from coolsim.studies.pour.choose import own_stand, stands_of

    kinds = kinds_with_jars(scenario)
    last = first_and_last([answers_of(one) for one in results])[1]
    return GuessedJar(
        title=title,
        stand=own_stand(scenario, stands_of(scenario)),
        scenario=scenario,
        result=results[last],
        kind=kinds[last].called if kinds else "",
    )


GUESS = Piece(ending=".pdf", takes=("paper",), make=_guess)
