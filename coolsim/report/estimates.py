"""Which answers rest on values that nobody measured: estimated, assumed or from memory, and left in a scenario."""

from __future__ import annotations

from collections.abc import Sequence
from typing import get_args

from coolsim.scenario import Scenario
from coolsim.scenario.keys import key_of, keys_that
from coolsim.scenario.plausible import catalogued, has_a_part, states
from coolsim.scenario.table import AnswerGroup

_ANSWERS: tuple[AnswerGroup, ...] = get_args(AnswerGroup)
_TABLES = ("mush", "melt", "films", "wax", "vessel", "support", "surround", "answers")
_UNSURE = ("estimate", "from memory", "correlation")


def estimates(scenario: Scenario) -> tuple[tuple[str, tuple[str, ...]], ...]:
    """List the keys behind each kind of answer whose value is estimated, assumed or from memory.

    A value that the scenario states counts as known; a kind without any is left out.
    """
    found = []
    keys = [key for key in keys_that(lambda said: said.behind is not None, tables=_TABLES) if has_a_part(scenario, key)]
    for answer in _ANSWERS:
        unsure = tuple(key for key in keys if key_of(key).said.behind == answer and _unsure(scenario, key))
        if unsure:
            found.append((answer, unsure))
    return tuple(found)


def estimates_note(scenarios: Sequence[Scenario]) -> str:
    """Say in a few sentences which answers of some scenarios rest on estimates; empty if none does."""
    together = _together(scenarios)
    if not together:
        return ""
    parts = [f"{answer}: {', '.join(together[answer])}." for answer in _ANSWERS if answer in together]
    return (
        "Estimates. These keys have values that were estimated, assumed or are from memory, and the answers named"
        f" before them are no better than they are; state your own where you know them. {' '.join(parts)}"
    )


def estimates_count(scenarios: Sequence[Scenario]) -> str:
    """Say in one line how many values are estimates, and which option lists them; empty if none is."""
    count = len({key for keys in _together(scenarios).values() for key in keys})
    if count == 1:
        return "1 value is an estimate; --estimates shows it."
    return f"{count} values are estimates; --estimates lists them." if count else ""


def _together(scenarios: Sequence[Scenario]) -> dict[str, dict[str, None]]:
    found: dict[str, dict[str, None]] = {}
    for scenario in scenarios:
        for answer, keys in estimates(scenario):
            found.setdefault(answer, {}).update(dict.fromkeys(keys))
    return found


def _unsure(scenario: Scenario, key: str) -> bool:
    said = key_of(key).said
    table = key.partition(".")[0]
    if any(states(scenario, one) for one in (key, *(f"{table}.{other}" for other in said.instead))):
        return False
    # A value that is stated for no material of the catalogue has the mark of its default.
    value = catalogued(scenario, key) if table in ("wax", "surround") else None
    mark = said.source if value is None else value.mark
    return any(word in mark for word in _UNSURE)
