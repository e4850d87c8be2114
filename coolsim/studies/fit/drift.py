"""Batches as they were seen beside what is computed for each, and whether the two drift apart."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import factorial
from typing import Literal

import numpy as np

from coolsim.answers.answer import Run
from coolsim.scenario import Scenario
from coolsim.solve.result import Result
from coolsim.solve.simulate import simulate_many
from coolsim.studies.fit.batches import Logged
from coolsim.studies.fit.probe_curves import SIGHTS

ENOUGH = 6
"""From so many batches on it can be told whether seen and computed drift apart [-]."""

RECENT = 30
"""So many of the last batches count [-]: what was before is another shop."""

CHANCE = 0.05
"""Chance that a drift is told where there is none, for all that was seen together [-]."""

Verdict = Literal["too few", "steady", "off", "rising", "falling"]
"""What became of the differences: as expected, all one way and too large, or more and more one way."""


@dataclass(frozen=True, eq=False, slots=True, kw_only=True)
class Compared:
    """A batch, its scenario and run, and what was computed of all that was seen [s, m, m3]; None if never reached."""

    batch: Logged
    scenario: Scenario
    result: Result
    computed: dict[str, float | None]

    def difference(self, what: str) -> float | None:
        """Seen less computed [s, m, m3]; None if one of them is not there."""
        seen = next((one.value for one in self.batch.seen if one.what == what), None)
        computed = self.computed.get(what)
        return None if seen is None or computed is None else seen - computed


@dataclass(frozen=True, slots=True, kw_only=True)
class Drift:
    """Differences of one thing seen, over the batches, and what they come to.

    `count` is how many there are [-], `mean` that of the last `ENOUGH` [s, m or m3].
    """

    what: str
    count: int
    mean: float
    verdict: Verdict


def compared(scenario: Scenario, batches: Sequence[Logged], where: str) -> tuple[Compared, ...]:
    """Run each batch at its own room and pour, all together, equal ones once.

    LogError names the line of a room or pour that cannot be; SolverError if a run fails.
    """
    scenarios = [batch.of(scenario, where) for batch in batches]
    jars = {(one.jar.room.at(0.0), one.jar.pour): one.jar for one in scenarios}
    results = dict(zip(jars, simulate_many([*jars.values()]), strict=True))
    found = []
    for batch, one in zip(batches, scenarios, strict=True):
        result = results[(one.jar.room.at(0.0), one.jar.pour)]
        if not isinstance(result, Result):
            raise result
        read = {seen.what: SIGHTS[seen.what].read(Run(result=result)) for seen in batch.seen}
        computed = {what: value if isinstance(value, float) else None for what, value in read.items()}
        found.append(Compared(batch=batch, scenario=one, result=result, computed=computed))
    return tuple(found)


def drifts(batches: Sequence[Compared]) -> tuple[Drift, ...]:
    """Say of each thing that was seen whether it drifts from what is computed.

    It is off if the last `ENOUGH` differences have one sign and their mean is more than a reading may be wrong. It
    rises or falls if it does so from batch to batch by more than chance: Kendall's rank test, two-sided, `CHANCE`
    shared among all that is tested.
    """
    errors = {one.what: one.deviation for compared in batches for one in compared.batch.seen}
    found = {what: [one for one in (batch.difference(what) for batch in batches) if one is not None] for what in errors}
    tested = sum(len(one) >= ENOUGH for one in found.values())
    return tuple(
        Drift(
            what=what,
            count=len(differences),
            mean=float(np.mean(differences[-ENOUGH:])) if differences else 0.0,
            verdict=_verdict(differences, errors[what], CHANCE / max(tested, 1)),
        )
        for what, differences in found.items()
    )


def _verdict(differences: Sequence[float], error: float, chance: float) -> Verdict:
    if len(differences) < ENOUGH:
        return "too few"
    differences = differences[-RECENT:]
    score = sum(
        int(np.sign(later - sooner)) for number, later in enumerate(differences) for sooner in differences[:number]
    )
    if by_chance(len(differences), score) < chance:
        return "rising" if score > 0 else "falling"
    last = np.array(differences[-ENOUGH:])
    one_way = bool((last > 0.0).all() or (last < 0.0).all())
    return "off" if one_way and abs(last.mean()) > error else "steady"


def by_chance(count: int, score: int) -> float:
    """Chance that so many values in any order have Kendall's score, or one farther from zero [-].

    The score is the number of pairs that rise less that of those that fall; equal ones, which count for neither, make
    the chance smaller than this. `scipy.stats.kendalltau` takes the normal law where values are equal, as readings to
    half a millimetre are: three before three larger ones have 5 % there, where it is 10 % of all their orders.

    >>> by_chance(6, 15)  # all rise: 2 orders of 720
    0.002777777777777778
    """
    # Orders by their number of pairs that fall: the value put in at the end adds 0 to its place.
    orders = [1]
    for size in range(2, count + 1):
        orders = [sum(orders[max(0, falls - size + 1) : falls + 1]) for falls in range(len(orders) + size - 1)]
    pairs = count * (count - 1) // 2
    extreme = sum(ways for falls, ways in enumerate(orders) if abs(pairs - 2 * falls) >= abs(score))
    return extreme / factorial(count)
