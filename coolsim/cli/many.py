"""Commands that make many runs: where finished ones are kept, how far they are, and how many are too many."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from importlib import import_module
from pathlib import Path
from typing import TYPE_CHECKING

import typer

from coolsim._version import __version__
from coolsim.cli.options import JOURNAL
from coolsim.cli.screen import Screen, warn
from coolsim.cli.targets import Target
from coolsim.cli.values import with_options

if TYPE_CHECKING:
    from coolsim.scenario import Scenario
    from coolsim.studies.sweep.journal import Journal
    from coolsim.studies.sweep.sweep import SweptRow

_MOST_PAIRS = 10_000


def journal_target(path: Path | None) -> Target:
    """Give the target of the journal of a command."""
    return Target(option="--journal", path=path or JOURNAL, appended=True)


@contextmanager
def keep_runs(path: Path | None) -> Iterator[Journal]:
    """Keep finished runs while a command lasts; the journal goes when all is written, unless it was asked for."""
    from coolsim.studies.sweep.journal import Journal

    try:
        with Journal(path or JOURNAL) as journal:
            if journal.passed_over:
                warn(_passed_over(journal))
            yield journal
            if path is None:
                journal.remove()
    except KeyboardInterrupt as error:
        done = len(journal.done.keys() & journal.asked)
        runs = "run is" if done == 1 else "runs are"
        error.add_note(f"{done} finished {runs} kept in {journal.path}; the same command goes on from there")
        raise


def _passed_over(journal: Journal) -> str:
    first, count = journal.passed_over[0], len(journal.passed_over)
    which = f"line {first} holds" if count == 1 else f"{count} lines, the first of them line {first}, hold"
    these = "It is" if count == 1 else "They are"
    return (
        f"{journal.path}: {which} no answers as coolsim {__version__} gives them. {these} passed over, and those runs"
        " are made again."
    )


def loading(*modules: str) -> Iterator[None]:
    """Load what tells and draws the answer, module by module, while workers make the runs."""
    for name in modules:
        import_module(name)
        yield


@contextmanager
def watch(screen: Screen, label: str) -> Iterator[Callable[[SweptRow, int, int], None] | None]:
    """Give what a sweep calls after each run, to move the bar on a terminal."""
    with screen.bar(label) as show:
        yield None if show is None else lambda _, done, total: show(done, total)


def check_places(
    scenario: Scenario, rooms: Sequence[str] | None, pours: Sequence[str] | None, options: tuple[str, str]
) -> None:
    """Refuse rooms and pours that cannot be, and more pairs of them than anybody waits for."""
    from coolsim.scenario import with_overrides

    # A pour above the limits of the data sheets is tried, to say so.
    free = with_overrides(scenario, {"wax.highest_temperature": None, "wax.fragrance_limit": None})
    for room in rooms or ():
        with_options(free, {"room.temperature": (options[0], room)})
    for pour in pours or ():
        with_options(free, {"pour.temperature": (options[1], pour)})
    pairs = len(rooms or [""]) * len(pours or [""])
    if pairs > _MOST_PAIRS:
        raise typer.BadParameter(
            f"found {pairs} pairs of room and pour; give {_MOST_PAIRS} at most, with larger steps.",
            param_hint=f"'{options[0]}'",
        )
