"""What if: small changes round one jar, each run, compared with the jar as it is, and ranked by what helps most."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from functools import partial
from typing import Literal

from coolsim.answers.answer import Value, number_of
from coolsim.answers.catalogue import LEAST_VOLUME
from coolsim.errors import ScenarioError, SolverError
from coolsim.scenario import Scenario
from coolsim.solve.result import Result
from coolsim.studies.pour.changes import ALONE, COVER, LESS, WorkshopChange, change_to, other_waxes, warmer_or_colder
from coolsim.studies.pour.choose import lost_volume, stands_of
from coolsim.studies.pour.limits import Limit, broken_limits
from coolsim.studies.repair.repair import to_repair
from coolsim.studies.sweep.point import runs_of
from coolsim.studies.workshop.boxes import spacing_of, spacing_values
from coolsim.studies.workshop.preparation import must_set

Fault = Limit | Literal["not set"]
"""What speaks against a jar whatever its top: a limit that its pour breaks, or wax that is not set within the run."""

COUNT = 8
"""How many changes stand round a jar [-]."""

TIMES_WITHIN, TOPS_WITHIN = 0.01, 0.02
"""Times, and sunk volume and cavity, that differ by less are called no different: the grid errs by that much [-]."""

LEAST_TIME = 300.0
"""Nor do times differ that are nearer than this [s]: a plan of the day is told in steps of it."""

_APART = 10e-3


@dataclass(frozen=True, slots=True, kw_only=True)
class Outcome:
    """What comes of a jar: its scenario, its answers, and the run to draw; of a box the worst answers and top.

    The answers and the run are None where it cannot be run, which `fault` explains; `change` is None for the jar as it
    is.
    """

    change: WorkshopChange | None
    scenario: Scenario
    answers: Mapping[str, Value] | None
    result: Result | None
    fault: str | None = None

    @property
    def set_at(self) -> float | None:
        """When it is fully set and may be moved [s]; None if it is not within the run."""
        return None if self.answers is None else number_of(self.answers["fully_set_s"])

    @property
    def lost(self) -> float | None:
        """Sunk volume and cavity together, by which the study of the pour ranks as well [m3]; None if it is not set."""
        return None if self.answers is None or self.set_at is None else lost_volume(self.answers)

    @property
    def faults(self) -> frozenset[Fault]:
        """What speaks against it whatever its top."""
        if self.answers is None:
            return frozenset()
        broken = broken_limits(self.scenario.jar, self.scenario.pour_limits, answers=[self.answers])
        found: set[Fault] = {one.limit for one in broken}
        return frozenset(found if self.set_at is not None else {*found, "not set"})


@dataclass(frozen=True, slots=True, kw_only=True)
class Effect:
    """What a change does: faults that it ends and brings, and what it does to top and time.

    `top` and `time` are 1 where they are better, -1 where they are worse, and 0 where they are no different; `share` is
    by how much the sunk volume and cavity grow [-], `later` by how much later the jar is set [s].
    """

    ends: tuple[Fault, ...] = ()
    brings: tuple[Fault, ...] = ()
    top: int = 0
    time: int = 0
    share: float = 0.0
    later: float = 0.0

    @property
    def better(self) -> int:
        """Whether it helps: by faults, then by the top, then by the time; 1 if it does, -1 if it harms, else 0."""
        by = (len(self.ends) - len(self.brings), self.top, self.time)
        return next((1 if one > 0 else -1 for one in by if one), 0)


@dataclass(frozen=True, slots=True, kw_only=True)
class WhatIf:
    """A jar as it is, and what was changed about it, what helps most first."""

    usual: Outcome
    tried: tuple[Outcome, ...]

    def effect(self, one: Outcome) -> Effect:
        """Compare an outcome with the jar as it is."""
        return _effect(self.usual, one)


def what_if(scenario: Scenario, *, on_run: Callable[[int, int], None] | None = None) -> WhatIf:
    """Try eight small changes to a jar, on its own cut; `on_run` is told how many runs are done, and of how many.

    ScenarioError if it holds no wax, SolverError if the jar as it is cannot be run.
    """
    must_set(scenario)
    made = [(None, scenario), *((change, change.made()) for change in eight_changes(scenario))]
    found = []
    for (change, one), outcome in zip(made, runs_of([one.jar for _, one in made]), strict=True):
        results = outcome.get("results", ())
        found.append(
            Outcome(
                change=change,
                scenario=one,
                answers=outcome.get("answers"),
                result=results[to_repair(results)] if results else None,
                fault=outcome.get("fault"),
            )
        )
        if on_run is not None:
            on_run(len(found), len(made))
    usual, *tried = found
    if usual.answers is None:
        raise SolverError(usual.fault or f"{scenario.where}: cannot be run.")
    return WhatIf(usual=usual, tried=tuple(sorted(tried, key=lambda one: _rank(usual, one))))


def eight_changes(scenario: Scenario) -> tuple[WorkshopChange, ...]:
    """List eight changes that make sense for a jar; fewer where there are no more.

    What cannot be, or is not to be done, gives way to its opposite, or to another change.
    """
    found: list[WorkshopChange] = []

    def take(alternatives: Iterator[WorkshopChange]) -> None:
        named = {one.name for one in found}
        found.extend([one for one in alternatives if one.name not in named and _makes_sense(one)][:1])

    for slot in _slots(scenario):
        take(slot)
    for spare in _spares(scenario):
        if len(found) < COUNT:
            take(iter([spare]))
    return tuple(found)


def _makes_sense(change: WorkshopChange) -> bool:
    if not change.in_reach or change.forbidden is not None:
        return False
    try:
        change.made()
    except ScenarioError:
        return False
    return True


def _slots(scenario: Scenario) -> Iterator[Iterator[WorkshopChange]]:
    """List box, flaps, neighbours, jar, room, pour, fill and wax: of each the change to try, and what else if not."""
    jar, surround = scenario.jar, scenario.jar.surround
    to, step = partial(change_to, scenario), partial(warmer_or_colder, scenario)
    twin = next((one for one in stands_of(scenario).values() if one is not scenario), None)
    if jar.water is not None:
        yield iter([step("cool the water")])
        yield iter([step("warm the water")])
    elif surround is None and twin is not None:
        yield iter([change_to(twin, "put it into the box")])
        yield iter([change_to(twin, "put it into the box, flaps closed")])
        yield iter([change_to(twin, "put it alone into the box")])
    elif surround is not None:
        if twin is not None:
            yield iter([change_to(twin, "leave it bare")])
        yield iter([to("close the flaps" if surround.flaps == "open" else "open the flaps")])
        if jar.places is None:
            yield iter([to("stand it among others" if surround.exposed_sides == ALONE else "stand it alone")])
        else:
            yield _wider(scenario)
    # What is thin and metal holds no heat: to warm it changes nothing.
    if not jar.vessel.material.is_metal:
        yield iter([step("warm the jar"), step("cool the jar")])
    yield iter([step("warm the room"), step("cool the room")])
    yield iter([step("pour cooler"), step("pour hotter")])
    yield iter([to("fill less", LESS)])
    yield other_waxes(scenario)


def _wider(scenario: Scenario) -> Iterator[WorkshopChange]:
    places = scenario.jar.places
    now = None if places is None else spacing_of(places, scenario.jar.vessel.diameter)
    if now is not None:
        apart = now + _APART
        values = spacing_values(scenario, apart)
        yield WorkshopChange(name="stand them apart", value=apart, scenario=scenario, values=values)


def _spares(scenario: Scenario) -> Iterator[WorkshopChange]:
    jar, surround = scenario.jar, scenario.jar.surround
    if jar.room.air_speed:
        yield change_to(scenario, "still air")
    yield warmer_or_colder(scenario, "cool the room")
    yield warmer_or_colder(scenario, "pour hotter")
    if surround is not None and surround.flaps == "closed" and not surround.cover:
        yield change_to(scenario, "cover the flaps", COVER)
    if jar.support.material is not None and jar.support.mat is None:
        yield change_to(scenario, "lay a towel under it", COVER)


def _effect(usual: Outcome, one: Outcome) -> Effect:
    if one.answers is None:
        return Effect()
    stays: frozenset[Fault] = frozenset(["skin stays"] if _skin_is_not_told(usual, one) else [])
    faults = one.faults | stays
    ends, brings = (tuple(sorted(each)) for each in (usual.faults - faults, faults - usual.faults))
    if usual.lost is None or one.lost is None or usual.set_at is None or one.set_at is None:
        return Effect(ends=ends, brings=brings)
    return Effect(
        ends=ends,
        brings=brings,
        top=_better(usual.lost, one.lost, max(TOPS_WITHIN * usual.lost, LEAST_VOLUME)),
        time=_better(usual.set_at, one.set_at, max(TIMES_WITHIN * usual.set_at, LEAST_TIME)),
        share=one.lost / usual.lost - 1.0 if usual.lost else 0.0,
        later=one.set_at - usual.set_at,
    )


def _skin_is_not_told(usual: Outcome, one: Outcome) -> bool:
    """Tell whether a first skin that stays is only not told from setting, as the melt comes near freezing too soon.

    Where neither wax nor jar is warmer than where it stays, there is no more heat to melt it.
    """
    before, after = usual.answers, one.answers
    if before is None or after is None or "skin stays" not in usual.faults or after["skin_formed_s"] is not None:
        return False
    keys = ("pour_C", "jar_C", "freezing_starts_C")
    pour, jar, starts = ((number_of(before[key]) or 0.0, number_of(after[key]) or 0.0) for key in keys)
    return pour[1] <= pour[0] and jar[1] <= jar[0] and starts[1] == starts[0]


def _better(before: float, after: float, within: float) -> int:
    return 0 if abs(after - before) <= within else 1 if after < before else -1


def _rank(usual: Outcome, one: Outcome) -> tuple[bool, int, float, float]:
    """Rank by the same as `Effect.better`, the largest help first; what is no different counts as the same."""
    effect = _effect(usual, one)
    share = effect.share if effect.top else 0.0
    return one.answers is None, len(effect.brings) - len(effect.ends), share, effect.later if effect.time else 0.0
