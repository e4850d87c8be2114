"""What a change does to the top of this very jar: each change is run, and compared with the run without it."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import islice

from coolsim.answers.answer import Answer, Value, number_of
from coolsim.answers.catalogue import BY_KEY
from coolsim.errors import ScenarioError
from coolsim.scenario import Scenario
from coolsim.studies.pour.changes import COVER, LESS, ChangeName, WorkshopChange, change_to, warmer_or_colder
from coolsim.studies.sweep.sweep import Study, point_of, swept

SAME_WITHIN = 0.05
"""Dishes, holes and cavities that differ by less are called the same: the grid tells them no better apart [-]."""

ADVISED = tuple(BY_KEY[key] for key in ("dish_m", "hole_m", "cavity_volume_m3"))
"""The answers that say whether a change makes a better top."""


@dataclass(frozen=True, slots=True, kw_only=True)
class TriedChange:
    """A change that was tried: the answers of its run, or why there are none.

    `change` and `value` are name and value of a `WorkshopChange` [its unit].
    """

    change: ChangeName
    value: float | str | None
    answers: dict[str, Value] | None
    fault: str | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Advice:
    """The changes that were tried with one scenario, and its answers without a change."""

    scenario: Scenario
    usual: dict[str, Value]
    trials: tuple[TriedChange, ...]

    def effects(self, trial: TriedChange) -> dict[str, int]:
        """Tell what a change does to the top: 1 where it is better, -1 worse, 0 the same within what can be told apart.

        By the keys of `ADVISED`; empty if the wax has not set in one of the two runs. A cavity that is none to speak
        of counts as none.
        """
        changed = trial.answers or {}
        if not all(isinstance(one.get("fully_set_s"), float) for one in (self.usual, changed)):
            return {}
        return {
            answer.key: _better(
                self._counted(answer, self.usual), self._counted(answer, changed), answer.tells_from or 0.0
            )
            for answer in ADVISED
        }

    def _counted(self, answer: Answer, answers: Mapping[str, Value]) -> float:
        size = abs(number_of(answers[answer.key]) or 0.0)
        least = self.scenario.jar.answers.cavity_from if answer.key == "cavity_volume_m3" else 0.0
        return size if size >= least else 0.0


def try_changes(pairs: Sequence[tuple[Scenario, Scenario]]) -> Study[tuple[Advice, ...]]:
    """Ask for the runs of scenarios, each with its other of bare and boxed, with one thing changed at a time.

    ScenarioError if one of the scenarios itself cannot be run.
    """
    tried = [(scenario, list(_changes(scenario, other))) for scenario, other in pairs]
    points = [
        point
        for scenario, changes in tried
        for point in (point_of(scenario, {"report": None}), *(change.point() for change in changes))
    ]
    rows = iter((yield from swept(points)))
    found = []
    for scenario, changes in tried:
        usual = next(rows)
        if usual.answers is None:
            raise ScenarioError(usual.fault or f"{scenario.where}: cannot be run.")
        trials = tuple(
            TriedChange(change=change.name, value=change.value, answers=row.answers, fault=row.fault)
            for change, row in zip(changes, islice(rows, len(changes)), strict=True)
        )
        found.append(Advice(scenario=scenario, usual=usual.answers, trials=trials))
    return tuple(found)


def _changes(scenario: Scenario, other: Scenario) -> Iterator[WorkshopChange]:
    """List the changes of a handout."""
    jar, surround = scenario.jar, scenario.jar.surround
    if (surround is None) != (other.jar.surround is None):
        yield change_to(other, "put it into the box" if surround is None else "leave it bare")
    warmth: tuple[ChangeName, ...] = ("warm the jar", "warm the room", "cool the room")
    yield from (change for change in (warmer_or_colder(scenario, name) for name in warmth) if change.in_reach)
    yield warmer_or_colder(scenario, "pour hotter")
    yield warmer_or_colder(scenario, "pour cooler")
    yield change_to(scenario, "fill less", LESS)
    if jar.room.air_speed:
        yield change_to(scenario, "still air")
    if surround is not None and surround.flaps == "open":
        yield change_to(scenario, "close the flaps")
    elif surround is not None:
        yield change_to(scenario, "open the flaps")
        if not surround.cover:
            yield change_to(scenario, "cover the flaps", COVER)


def _better(before: float, after: float, least: float) -> int:
    if abs(after - before) <= max(least, SAME_WITHIN * before):
        return 0
    return 1 if after < before else -1
