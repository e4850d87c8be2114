"""Which jars each melt fills, where the pitcher does not take the wax of all of them at once."""

from __future__ import annotations

import math
from dataclasses import dataclass

from coolsim.errors import ScenarioError
from coolsim.model.batch import Batch
from coolsim.model.bath import fill_of, melting_wax
from coolsim.model.materials import poured_density
from coolsim.scenario import Scenario, changed
from coolsim.scenario.plausible import states

_ROUND_OFF = 1e-9


@dataclass(frozen=True, slots=True, kw_only=True)
class Portion:
    """Jars that one melt fills, by their numbers in the order of the pour, and what it takes of wax and oil [kg]."""

    number: int
    first: int
    last: int
    wax: float
    oil: float

    @property
    def jars(self) -> int:
        """How many jars it fills [-]."""
        return self.last - self.first + 1


def numbers_text(portion: Portion) -> str:
    """Write the numbers of the jars of a melt.

    >>> numbers_text(Portion(number=2, first=5, last=8, wax=0.8, oil=0.07))
    '5 to 8'
    """
    return str(portion.first) if portion.jars == 1 else f"{portion.first} to {portion.last}"


def jars_text(portion: Portion) -> str:
    """Name the jars of a melt by their numbers.

    >>> jars_text(Portion(number=2, first=5, last=8, wax=0.8, oil=0.07))
    'jars 5 to 8'
    """
    return f"jar{'s' if portion.jars > 1 else ''} {numbers_text(portion)}"


def batch_of_all(scenario: Scenario) -> Scenario:
    """Return the scenario with a batch of all jars in the box, where it has places and does not say how many jars."""
    if scenario.jar.places is not None and not states(scenario, "batch.jars"):
        return changed(scenario, {"batch.jars": scenario.jar.places.jars})
    return scenario


def required_batch(scenario: Scenario) -> Batch:
    """Return the batch of a scenario; ScenarioError if it says nothing about one."""
    if scenario.batch is None:
        raise ScenarioError(f"{scenario.where}: batch: missing. Add a table [batch] with jars.")
    return scenario.batch


def net_weight(scenario: Scenario) -> float:
    """Mass of the mix in one jar [kg]: that of the hot liquid."""
    jar = scenario.jar
    return poured_density(jar.wax, jar.pour) * math.pi * jar.vessel.inner_radius**2 * jar.depth


def jars_filled(batch: Batch, melt: float, net: float) -> int:
    """How many jars of so much mix [kg] a melt of wax [kg] fills with its oil [-]."""
    return math.floor(max(melt / (1.0 - batch.load) - batch.left_behind, 0.0) / net * (1.0 + _ROUND_OFF))


def most_wax(scenario: Scenario) -> float:
    """Mass of wax that the pitcher takes in flakes, heaped up to its rim [kg]."""
    bath = scenario.bath
    return bath.height / fill_of(bath, melting_wax(scenario.plain_wax), solid=1.0, melt=0.0).level


def portions(scenario: Scenario) -> tuple[Portion, ...]:
    """Part the jars of a batch among as few melts as it takes, as evenly as they go.

    A melt is as large as `batch.melt` says, else as the pitcher of `[melting]` takes; without either there is one. A
    `batch.melt` that does not fill one jar parts nothing. ScenarioError if the scenario says nothing about a batch.

    >>> from coolsim import built_in_pair, with_overrides
    >>> twelve = with_overrides(built_in_pair()[0], {"batch.jars": 12, "batch.melt": "900 g"})
    >>> [(one.first, one.last) for one in portions(twelve)]
    [(1, 4), (5, 8), (9, 12)]
    """
    batch, net = required_batch(scenario), net_weight(scenario)
    at_once = batch.jars
    if batch.melt is not None:
        at_once = jars_filled(batch, batch.melt, net) or batch.jars
    elif states(scenario, "melting"):
        # Of a pitcher that is too small for one jar, the study of the melting says so.
        at_once = max(jars_filled(batch, most_wax(scenario), net), 1)
    melts = math.ceil(batch.jars / at_once)
    each, more = divmod(batch.jars, melts)
    found: list[Portion] = []
    for number in range(1, melts + 1):
        first = found[-1].last + 1 if found else 1
        jars = each + (number <= more)
        mix = jars * net + batch.left_behind
        last = first + jars - 1
        found.append(Portion(number=number, first=first, last=last, wax=mix * (1.0 - batch.load), oil=mix * batch.load))
    return tuple(found)


def one_melt(scenario: Scenario, portion: Portion) -> Scenario:
    """Return the scenario with a batch of the jars of one melt alone; the same if that is all of them."""
    if portion.jars == required_batch(scenario).jars:
        return scenario
    return changed(scenario, {"batch.jars": portion.jars, "batch.melt": None})
