"""What a change does to the top of this very jar: each change is run, and compared with the run without it."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import islice
from typing import Any, Literal

from coolsim.answers.answer import Answer, Value, number_of
from coolsim.answers.catalogue import BY_KEY
from coolsim.errors import ScenarioError
from coolsim.scenario import Scenario
from coolsim.studies.pour.limits import HOTTEST_JAR, MARGIN
from coolsim.studies.pour.remedies import COLDEST_ROOM, COVER, WARMEST_ROOM
from coolsim.studies.sweep.sweep import Point, Study, point_of, swept
from coolsim.units import System

TopChange = Literal[
    "put it into the box",
    "leave it bare",
    "warm the jar",
    "warm the room",
    "cool the room",
    "pour hotter",
    "pour cooler",
    "fill less",
    "still air",
    "close the flaps",
    "open the flaps",
    "cover the flaps",
]

SAME_WITHIN = 0.05
"""Dishes, holes and cavities that differ by less are called the same: the grid tells them no better apart [-]."""

ADVISED = tuple(BY_KEY[key] for key in ("dish_m", "hole_m", "cavity_volume_m3"))
"""The answers that say whether a change makes a better top."""

_STEPS: dict[System, dict[str, float]] = {
    "metric": {"jar": 15.0, "room": 4.0, "pour": 5.0},
    "us": {"jar": 25.0 / 1.8, "room": 8.0 / 1.8, "pour": 10.0 / 1.8},
}
_LESS = 0.75


@dataclass(frozen=True, slots=True, kw_only=True)
class TriedChange:
    """A change that was tried: the answers of its run, or why there are none.

    `value` is what it goes to, a temperature [°C] or the share of the fill that is left [-]; None for a change
    without a number.
    """

    change: TopChange
    value: float | None
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
    tried = [(scenario, _point(scenario, {}), list(_changes(scenario, other))) for scenario, other in pairs]
    points = [point for _, usual, changes in tried for point in (usual, *(one for *_, one in changes))]
    rows = iter((yield from swept(points)))
    found = []
    for scenario, _, changes in tried:
        usual = next(rows)
        if usual.answers is None:
            raise ScenarioError(usual.fault or f"{scenario.where}: cannot be run.")
        trials = tuple(
            TriedChange(change=change, value=value, answers=row.answers, fault=row.fault)
            for (change, value, _), row in zip(changes, islice(rows, len(changes)), strict=True)
        )
        found.append(Advice(scenario=scenario, usual=usual.answers, trials=trials))
    return tuple(found)


def _changes(scenario: Scenario, other: Scenario) -> Iterator[tuple[TopChange, float | None, Point]]:
    """List changes: what, to what value, and the point with it, which may say why it is not to be tried."""
    jar, surround, steps = scenario.jar, scenario.jar.surround, _STEPS[scenario.units]

    def change(
        what: TopChange, value: float | None, values: dict[str, Any], fault: str | None = None
    ) -> tuple[TopChange, float | None, Point]:
        point = _point(scenario, values)
        return what, value, point if fault is None else replace(point, fault=fault)

    if (surround is None) != (other.jar.surround is None):
        yield ("put it into the box" if surround is None else "leave it bare"), None, _point(other, {})
    room = jar.room.at(0.0)
    warmed = jar.vessel_start + steps["jar"]
    if warmed <= HOTTEST_JAR:
        yield change("warm the jar", warmed, {"vessel.temperature": warmed})
    if room + steps["room"] <= WARMEST_ROOM:
        yield change("warm the room", room + steps["room"], {"room.temperature": room + steps["room"]})
    if room - steps["room"] >= COLDEST_ROOM:
        yield change("cool the room", room - steps["room"], {"room.temperature": room - steps["room"]})
    hotter, cooler = jar.pour + steps["pour"], jar.pour - steps["pour"]
    above = min(scenario.pour_limits.values(), default=None)
    fault = "against the data sheet" if above is not None and hotter > above else None
    yield change("pour hotter", hotter, {"pour.temperature": hotter}, fault)
    fault = "too near freezing" if cooler < jar.wax.freezing_starts + MARGIN else None
    yield change("pour cooler", cooler, {"pour.temperature": cooler}, fault)
    yield change("fill less", _LESS, {"pour.level": _LESS * jar.depth})
    if jar.room.air_speed:
        yield change("still air", None, {"room.air_speed": 0.0})
    if surround is not None and surround.flaps == "open":
        yield change("close the flaps", None, {"surround.flaps": "closed"})
    elif surround is not None:
        yield change("open the flaps", None, {"surround.flaps": "open", "surround.cover_thickness": None})
        if not surround.cover:
            yield change("cover the flaps", COVER, {"surround.cover_thickness": COVER})


def _point(scenario: Scenario, overrides: dict[str, Any]) -> Point:
    return point_of(scenario, {"report": None, **overrides})


def _better(before: float, after: float, least: float) -> int:
    if abs(after - before) <= max(least, SAME_WITHIN * before):
        return 0
    return 1 if after < before else -1
