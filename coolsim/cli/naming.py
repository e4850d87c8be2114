"""How runs are called in tables, and how their files are called; a box of jars has a run for each kind of place."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Literal

if TYPE_CHECKING:
    from coolsim.model.places import PlaceKind
    from coolsim.scenario import Scenario
    from coolsim.solve.result import Result

_NOT_IN_NAMES = re.compile(r"[^\w.-]+")


def titles(scenarios: Sequence[Scenario]) -> list[str]:
    """Title each scenario; the file is added where titles are equal."""
    plain = [scenario.title for scenario in scenarios]
    return [
        f"{title} ({scenario.where})" if plain.count(title) > 1 else title
        for title, scenario in zip(plain, scenarios, strict=True)
    ]


def kinds_with_jars(scenario: Scenario) -> tuple[PlaceKind, ...]:
    """List the kinds of place of a box that hold jars; none without a box of several."""
    from coolsim.model.places import kinds_of

    places = scenario.jar.places
    return () if places is None else tuple(kind for kind in kinds_of(places) if not kind.empty)


@dataclass(frozen=True, kw_only=True)
class Column:
    """A run as tables, figures and files show it: of one jar, or of one of the jars of a kind of place in a box.

    `is_set` tells which of the jars of the box are set first and last.
    """

    scenario: Scenario
    result: Result
    title: str
    stem: str
    kind: PlaceKind | None = None
    is_set: Literal["first", "last"] | None = None


def column_stems(scenarios: Sequence[Scenario]) -> list[str]:
    """Name a file for each column that scenarios will have."""
    return [
        name
        for scenario, stem in zip(scenarios, file_stems(scenarios), strict=True)
        for name in ([f"{stem}-{_plain(kind.name)}" for kind in kinds_with_jars(scenario)] or [stem])
    ]


def columns_of(scenarios: Sequence[Scenario], results: Sequence[Sequence[Result]]) -> list[Column]:
    """Set the runs of scenarios side by side; of a box each kind of place, with a mark at the first and last to set."""
    from coolsim.answers.catalogue import answers_of
    from coolsim.answers.worst import first_and_last

    stems = iter(column_stems(scenarios))
    columns = []
    for scenario, title, found in zip(scenarios, titles(scenarios), results, strict=True):
        kinds = kinds_with_jars(scenario)
        if not kinds:
            columns.append(Column(scenario=scenario, result=found[0], title=title, stem=next(stems)))
            continue
        first, last = first_and_last([answers_of(result) for result in found])
        for number, (kind, result) in enumerate(zip(kinds, found, strict=True)):
            is_set: Literal["first", "last"] | None = None
            if first != last and number in (first, last):
                is_set = "first" if number == first else "last"
            told = f"{title}: {kind.called}{f', set {is_set}' if is_set else ''}"
            columns.append(
                Column(scenario=scenario, result=result, title=told, stem=next(stems), kind=kind, is_set=is_set)
            )
    return columns


def file_stems(scenarios: Sequence[Scenario]) -> Iterator[str]:
    """Name a file for each scenario after its own file; a number keeps equal names apart."""
    taken: set[str] = set()
    for scenario in scenarios:
        stem = _plain(Path(scenario.where).stem) or "scenario"
        name, number = stem, 2
        while name.casefold() in taken:
            name, number = f"{stem}-{number}", number + 1
        taken.add(name.casefold())
        yield name


def _plain(name: str) -> str:
    return _NOT_IN_NAMES.sub("-", name).strip("-.")
