"""How well the values of a scenario are known before a fit: a plausible range for each key that a log may correct.

Ranges of materials and contacts are those of the catalogue. The others are estimates of this project, and say so.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass

from coolsim.errors import ScenarioError
from coolsim.model.catalogue import CatalogueValue, stiffness_of
from coolsim.scenario.keys import key_of, keys_that
from coolsim.scenario.read import Scenario
from coolsim.scenario.table import Space, Statement, TomlTable, told
from coolsim.scenario.values import Number, Quantity, raw_quantity
from coolsim.scenario.vessel import contact_of_foot
from coolsim.units import Kind

SIGMAS_IN_RANGE = 4.0
"""A plausible range is taken as this many standard deviations wide [-]: some 95 % of the cases lie in it."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Plausible:
    """What is known of one key before a log is read: its value, and the range it may lie in [SI, °C].

    The centre is the value of the scenario, stated or nominal; the kind is None for a bare number.
    """

    key: str
    kind: Kind | None
    centre: float
    low: float
    high: float
    space: Space
    source: str

    @property
    def sigma(self) -> float:
        """One standard deviation in the space [-] or [K]: a quarter of the range."""
        return abs(self.to_space(self.high) - self.to_space(self.low)) / SIGMAS_IN_RANGE

    def to_space(self, value: float) -> float:
        """Value [SI, °C] as it is spread evenly: as it is, its logarithm, or that of its rest to one, turned round."""
        if self.space == "plain":
            return value
        return math.log(value) if self.space == "log" else -math.log(1.0 - value)

    def from_space(self, place: float) -> float:
        """Undo `to_space`; the value [SI, °C]."""
        if self.space == "plain":
            return place
        return math.exp(place) if self.space == "log" else 1.0 - math.exp(-place)

    def as_written(self, value: float) -> float:
        """Round a value [SI, °C] to what `raw` writes, so that what is told of a case is what was run."""
        return float(f"{value:.10g}")

    def raw(self, value: float) -> str | float:
        """Write a value [SI, °C] as the scenario would: a text with its unit, or a bare number."""
        return self.as_written(value) if self.kind is None else raw_quantity(value, self.kind)


def plausible(scenario: Scenario, key: str, *, between: tuple[float, float] | None = None) -> Plausible:
    """Tell how well a key of a scenario is known, or what is if it lies `between` two ends [SI, °C].

    - ScenarioError: If there is no such key, it holds no number, it has no value or no range here, or another key takes
      its place.

    Examples
    --------
    >>> from coolsim.scenario import built_in_pair
    >>> known = plausible(built_in_pair()[0], "wax.latent_heat")
    >>> known.low, known.high, known.space
    (90000.0, 170000.0, 'log')
    """
    one = key_of(key)
    value, said = one.spec, one.said
    if not isinstance(value, Quantity | Number):
        raise ScenarioError(f"{key}: holds no quantity or number. Choose another key.")
    centre = _centre(scenario, key)
    low, high, source = (*between, "stated with the command") if between is not None else _range(scenario, key, centre)
    kind = value.kind if isinstance(value, Quantity) else None
    space: Space = "plain" if kind == "temperature" or low <= 0.0 else "log"
    if said.doubt is not None and said.doubt.space is not None:
        space = said.doubt.space
    if not low < high or (space != "plain" and centre <= 0.0):
        raise ScenarioError(f"{key}: found a plausible range without width about {centre:g}. Give another range.")
    return Plausible(key=key, kind=kind, centre=centre, low=low, high=high, space=space, source=source)


def limits_of(key: str) -> tuple[float, float]:
    """Tell within which limits a scenario may state a quantity or number [SI, °C]."""
    value = key_of(key).spec
    if isinstance(value, Quantity | Number):
        return value.limits()
    raise ScenarioError(f"{key}: holds no quantity or number. Choose another key.")


def has_a_part(scenario: Scenario, key: str) -> bool:
    """Tell whether a key that a spread or a fit may vary changes anything in this scenario."""
    table = getattr(scenario.file, key.partition(".")[0])
    return table is not None and key_of(key).said.matters(scenario.file)


def usable_keys(scenario: Scenario, wanted: Callable[[Statement], bool], *, tables: Sequence[str]) -> tuple[str, ...]:
    """List keys of these tables that have a part in the scenario and a plausible range there."""
    return tuple(
        key for key in keys_that(wanted, tables=tables) if has_a_part(scenario, key) and _has_range(scenario, key)
    )


def _has_range(scenario: Scenario, key: str) -> bool:
    try:
        plausible(scenario, key)
    except ScenarioError:
        # No range is known of it here, or another key takes its place.
        return False
    return True


def states(scenario: Scenario, key: str) -> bool:
    """Tell whether a scenario states a key, or has a table, itself."""
    name, _, inner = key.rpartition(".")
    table = getattr(scenario.file, name) if name else scenario.file
    return table is not None and table.states(inner)


def catalogued(scenario: Scenario, key: str) -> CatalogueValue | None:
    """Find what the catalogue knows of a key in this scenario."""
    file = scenario.file
    if key == "vessel.foot":
        surround = scenario.jar.surround
        on_board = surround is not None and surround.under_layers > 0
        return contact_of_foot(file.vessel, on_board=on_board)
    if key == "mush.stiffness":
        return stiffness_of(file.wax.kind)
    name, _, inner = key.partition(".")
    table = getattr(file, name)
    return table.catalogued(inner) if isinstance(table, TomlTable) else None


def _centre(scenario: Scenario, key: str) -> float:
    name, _, inner = key.rpartition(".")
    table = getattr(scenario.file, name) if name else scenario.file
    rivals = key_of(key).said.instead if table is not None else ()
    rival = next((other for other in rivals if getattr(table, other) is not None), None)
    if rival is not None:
        raise ScenarioError(f"{key}: {scenario.where} states {name}.{rival} in its place. Choose that, or another key.")
    if name == "surround" and scenario.jar.surround is None and scenario.jar.water is None:
        raise ScenarioError(f"{key}: {scenario.where} has no box. Choose another key.")
    value = None if table is None else getattr(table, inner)
    if isinstance(value, float | int):
        return float(value)
    if value is not None:
        raise ScenarioError(f"{key}: {scenario.where} states no single number there. Choose another key.")
    if key == "vessel.temperature":
        return scenario.jar.room.at(0.0)
    found = catalogued(scenario, key)
    if found is None:
        raise ScenarioError(f"{key}: has no value in {scenario.where}. State one, or choose another key.")
    return found.nominal


def _range(scenario: Scenario, key: str, centre: float) -> tuple[float, float, str]:
    doubt = key_of(key).said.doubt
    if doubt is not None:
        return (*doubt.about(centre), doubt.source)
    found = catalogued(scenario, key)
    if found is None or found.low is None or found.high is None:
        raise ScenarioError(f"{key}: no plausible range is known. Give one, as in '{key}=LOW:HIGH'.")
    return found.low, found.high, told(found)
