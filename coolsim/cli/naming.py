"""How runs are called in tables, and how their files are called."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from coolsim.scenario import Scenario

_NOT_IN_NAMES = re.compile(r"[^\w.-]+")


def titles(scenarios: Sequence[Scenario]) -> list[str]:
    """Title each scenario; the file is added where titles are equal."""
    plain = [scenario.title for scenario in scenarios]
    return [
        f"{title} ({scenario.where})" if plain.count(title) > 1 else title
        for title, scenario in zip(plain, scenarios, strict=True)
    ]


def file_stems(scenarios: Sequence[Scenario]) -> Iterator[str]:
    """Name a file for each scenario after its own file; a number keeps equal names apart."""
    taken: set[str] = set()
    for scenario in scenarios:
        stem = _NOT_IN_NAMES.sub("-", Path(scenario.where).stem).strip("-.") or "scenario"
        name, number = stem, 2
        while name.casefold() in taken:
            name, number = f"{stem}-{number}", number + 1
        taken.add(name.casefold())
        yield name
