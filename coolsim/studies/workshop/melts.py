"""Melts in turn: one pitcher for more jars than it fills at once, and each melt's jars with a plan of their own."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass, replace

from coolsim.errors import ScenarioError
from coolsim.model.bath import Bath
from coolsim.scenario import Scenario, changed
from coolsim.scenario.plausible import states
from coolsim.studies.workshop.amounts import amounts
from coolsim.studies.workshop.day_plan import TOO_LATE_AFTER, DayPlan, PlanStep
from coolsim.studies.workshop.melting import Melting, melt_batch
from coolsim.studies.workshop.portions import Portion, batch_of_all, jars_text, most_wax, one_melt, portions
from coolsim.studies.workshop.preparation import Preparation, preparation
from coolsim.units import System

_DAY = 86400.0
_FIVE_MINUTES = 300.0
_ROUND_OFF = 1e-6


@dataclass(frozen=True, slots=True, kw_only=True)
class Turn:
    """One of the melts that are made in turn, and the plan of its jars.

    Parameters
    ----------
    portion : Portion or None
        Its jars, wax and oil; None if the scenario says nothing about a batch.
    scenario : Scenario
        The jar as this melt finds it: in a room that goes by the clock, poured at its own time.
    plan : DayPlan
        What may be done when; its times count from its own pour.
    poured : float
        When it is poured, after the pour of the first melt [s].
    water : float or None
        Temperature of the water into which the pitcher is put [°C]; None if it is not computed.
    """

    portion: Portion | None
    scenario: Scenario
    plan: DayPlan
    poured: float
    water: float | None


@dataclass(frozen=True, slots=True, kw_only=True)
class MeltInTurn:
    """One of the melts of a batch, and when its pitcher is put into the water, after the first one was [s]."""

    portion: Portion
    begins: float
    melting: Melting


def melts_in_turn(scenario: Scenario, *, units: System | None = None) -> tuple[MeltInTurn, ...]:
    """Melt the wax of a batch, in as many melts as the pitcher needs; the later ones begin in water that is hot.

    >>> from coolsim import built_in_pair, with_overrides
    >>> twelve = with_overrides(built_in_pair()[0], {"batch.jars": 12, "melting.water": "85 °C"})
    >>> [(one.portion.first, one.portion.last) for one in melts_in_turn(twelve)]
    [(1, 4), (5, 8), (9, 12)]
    """
    found: list[MeltInTurn] = []
    begins = 0.0
    for portion in portions(scenario):
        melting = melt_batch(_later(scenario, portion, begins), units=units)
        found.append(MeltInTurn(portion=portion, begins=begins, melting=melting))
        begins += melting.pour + scenario.bath.between
    return tuple(found)


def plan_turns(scenario: Scenario, plan: Callable[[Scenario, Preparation], DayPlan]) -> tuple[Turn, ...]:
    """Plan the day of each melt of a batch.

    Parameters
    ----------
    scenario : Scenario
        The jar; start and pour that it states are those of the first melt.
    plan : callable
        Makes the plan of one melt's jars from the jar as that melt finds it, and from how long its wax takes. In a room
        that goes by the clock (`goes_by_the_clock`) each of these jars wants a run of its own; else all have the same.

    Returns
    -------
    tuple of Turn
        The melts in their order. The next one begins once the jars of the last are filled and the pitcher is clean and
        full again (`melting.between`), at the next five minutes. In a box that is filled in turn what must wait waits
        for the last melt: had all jars been poured then, the box would be warmer still.

    Raises
    ------
    ScenarioError
        If a melt does not fill one jar, or cannot be made.
    """
    scenario = batch_of_all(scenario)
    _refuse_less_than_a_jar(scenario)
    before = preparation(scenario)
    first = plan(scenario, before)
    computed = before.computed
    if scenario.batch is None:
        return (Turn(portion=None, scenario=scenario, plan=first, poured=0.0, water=None),)
    parts, clock = portions(scenario), first.clock or 0.0
    put_in = next(step.time or 0.0 for step in first.steps if step.name == "weigh")
    turns = [_turn(parts[0], scenario, first, 0.0, 0.0 if computed else None, many=len(parts) > 1)]
    for part in parts[1:]:
        begins = _next_five(clock + turns[-1].poured + scenario.bath.between) - clock
        since = begins - put_in
        one = _later(scenario, part, since)
        if first.clock is not None:
            one = changed(one, {"plan.start": None, "pour.clock": (clock + begins) % _DAY})
        before = preparation(one)
        poured = _next_five(clock + begins + before.pour) - clock
        if first.clock is not None:
            one = changed(one, {"pour.clock": (clock + poured) % _DAY})
        found = plan(one, before)
        if first.clock is not None:
            # Of the clock a scenario states the time of day; this may be another day.
            found = replace(found, clock=clock + poured)
        turns.append(_turn(part, one, found, poured, since if computed else None, many=True))
    return _filled_in_turn(scenario, turns)


def goes_by_the_clock(scenario: Scenario) -> bool:
    """Tell whether jars that are poured at another time need another run: the room changes by the clock."""
    return callable(scenario.jar.room.temperature)


def shares_a_box(scenario: Scenario, parts: tuple[Portion, ...]) -> bool:
    """Tell whether jars of one box are filled by more than one melt."""
    places = scenario.jar.places
    return places is not None and any(part.last % places.jars for part in parts[:-1])


def more_than_usual(scenario: Scenario) -> float | None:
    """Tell how much wax a usual pitcher takes [kg], if one melt of more is planned because no pitcher is stated."""
    if scenario.batch is None or scenario.batch.melt is not None or states(scenario, "melting"):
        return None
    most = most_wax(scenario)
    return most if portions(scenario)[0].wax > most else None


def _refuse_less_than_a_jar(scenario: Scenario) -> None:
    if scenario.batch is None or scenario.batch.melt is None:
        return
    found = amounts(scenario)
    if found.filled is not None and not found.filled.jars:
        told = next(one for one in found.warnings if "fills no jar" in one)
        raise ScenarioError(f"{scenario.where}: batch.melt: {told} Give more wax.")


def _turn(part: Portion, scenario: Scenario, plan: DayPlan, poured: float, since: float | None, *, many: bool) -> Turn:
    if many:
        title = f"{plan.title}, melt {part.number} ({jars_text(part)})"
        plan = replace(plan, title=title, before=replace(plan.before, melts=1))
    water = None if since is None else scenario.bath.at(0.0)
    return Turn(portion=part, scenario=scenario, plan=plan, poured=poured, water=water)


def _later(scenario: Scenario, portion: Portion, since: float) -> Scenario:
    """Give the scenario of one melt, with water as it is so long after the first pitcher was put into it [s]."""
    one = one_melt(scenario, portion)
    if not since or not states(scenario, "melting"):
        return one
    return changed(one, {"melting.water": _water_since(scenario.bath, since)})


def _water_since(bath: Bath, since: float) -> tuple[tuple[float, float], ...]:
    return ((0.0, bath.at(since)), *((time - since, water) for time, water in bath.water if time > since))


def _next_five(time: float) -> float:
    return _FIVE_MINUTES * math.ceil(time / _FIVE_MINUTES - _ROUND_OFF)


def _filled_in_turn(scenario: Scenario, turns: list[Turn]) -> tuple[Turn, ...]:
    """Let what must wait in a box that is filled in turn wait for the last melt."""
    if not shares_a_box(scenario, tuple(turn.portion for turn in turns if turn.portion is not None)):
        return tuple(turns)
    last = turns[-1]
    cold = next(step for step in last.plan.steps if step.name == "lid")

    def waits(turn: Turn, step: PlanStep) -> PlanStep:
        end = last.plan.step(step.name)
        if end is None or step.bound == "at" or step.name in TOO_LATE_AFTER or (step.time or 0.0) < 0.0:
            return step
        by = last.poured - turn.poured
        if step.name == "burn":
            # Each jar is cured by itself, but all must be cold.
            return max(step, _shifted(replace(cold, name="burn"), by), key=_waiting)
        return _shifted(end, by)

    return tuple(
        replace(turn, plan=replace(turn.plan, steps=tuple(waits(turn, step) for step in turn.plan.steps)))
        for turn in turns
    )


def _waiting(step: PlanStep) -> float:
    return math.inf if step.time is None else step.time


def _shifted(step: PlanStep, by: float) -> PlanStep:
    """Let a step with its band come so much later [s]."""

    def later(time: float | None) -> float | None:
        return None if time is None else time + by

    return replace(
        step,
        time=later(step.time),
        middle=later(step.middle),
        low=later(step.low),
        high=later(step.high),
        opens=later(step.opens),
    )
