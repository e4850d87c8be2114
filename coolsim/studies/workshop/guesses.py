"""Which changes to one jar make a class guess: each of them runs otherwise, and none is a pour beyond a limit."""

from __future__ import annotations

from collections.abc import Iterator

from coolsim.errors import ScenarioError
from coolsim.scenario import Scenario
from coolsim.studies.pour.changes import LESS, ChangeName, WorkshopChange, change_to, warmer_or_colder
from coolsim.studies.pour.choose import own_stand, stands_of
from coolsim.studies.pour.limits import broken_limits

MOST_JARS = 4
"""How many jars a class guesses about at once: so many have room beside each other [-]."""

_WARMTH: tuple[ChangeName, ...] = ("pour hotter", "cool the room", "pour cooler", "warm the room", "warm the jar")


def changes_to_guess(scenario: Scenario, count: int) -> list[tuple[WorkshopChange, Scenario]]:
    """Choose so many changes [-] and make them: the box or the bench first, then pour and room.

    A change that cannot be, or breaks a limit of the pour that the jar keeps, gives way to the next one.

    >>> from coolsim import built_in_pair
    >>> [change.name for change, _ in changes_to_guess(built_in_pair()[0], 3)]
    ['put it into the box', 'pour cooler', 'warm the room']
    """
    kept = _broken(scenario)
    found: list[tuple[WorkshopChange, Scenario]] = []
    for change in _changes(scenario):
        try:
            made = change.made()
        except ScenarioError:
            continue
        if change.in_reach and not change.forbidden and _broken(made) <= kept:
            found.append((change, made))
    return found[:count]


def _changes(scenario: Scenario) -> Iterator[WorkshopChange]:
    stands = stands_of(scenario)
    own = own_stand(scenario, stands)
    for place, other in stands.items():
        if place != own:
            yield change_to(other, "put it into the box" if own == "bare" else "leave it bare")
    for name in _WARMTH:
        yield warmer_or_colder(scenario, name)
    yield change_to(scenario, "fill less", LESS)


def _broken(scenario: Scenario) -> set[str]:
    return {one.limit for one in broken_limits(scenario.jar, scenario.pour_limits)}
