"""How well the values of a scenario are known beforehand: a plausible range for each key that a log may correct.

Ranges of materials and contacts are those of the catalogue. The others are estimates of this project, and say so.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import Literal

from coolsim.errors import ScenarioError
from coolsim.model.catalogue import (
    CONTACTS,
    EMISSIVITIES,
    FRAGRANCE_MOLAR_MASS,
    INERTS,
    PARAFFIN_CURVES,
    WAXES,
    CatalogueValue,
)
from coolsim.scenario.build import known_values
from coolsim.scenario.files import INSTEAD
from coolsim.scenario.known import Known
from coolsim.scenario.ranges import raw_quantity, value_of
from coolsim.scenario.read import Scenario
from coolsim.scenario.values import Number, Quantity
from coolsim.units import Kind, parse_quantity

Space = Literal["plain", "log", "log of the rest"]
"""Where a value is spread evenly about its centre: as it is, by factors, or by factors of what is missing to one."""

SIGMAS_IN_RANGE = 4.0
"""A plausible range is taken as this many standard deviations wide [-]: some 95 % of the cases lie in it."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Plausible:
    """What is known of one key before a log is looked at.

    Parameters
    ----------
    key : str
        Dotted key of the scenario.
    kind : Kind or None
        What it is; None for a bare number.
    centre : float
        Value of the scenario, stated or nominal [SI, °C].
    low, high : float
        Plausible range [SI, °C].
    space : {"plain", "log", "log of the rest"}
        See `Space`.
    source : str
        Where the range comes from.
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
        """Value as it is spread evenly.

        Parameters
        ----------
        value : float
            The value [SI, °C].

        Returns
        -------
        float
            The value, its logarithm, or the logarithm of its rest to one with the sign turned.
        """
        if self.space == "plain":
            return value
        return math.log(value) if self.space == "log" else -math.log(1.0 - value)

    def from_space(self, place: float) -> float:
        """Undo `to_space`.

        Parameters
        ----------
        place : float
            Value as it is spread evenly [-] or [°C].

        Returns
        -------
        float
            The value [SI, °C].
        """
        if self.space == "plain":
            return place
        return math.exp(place) if self.space == "log" else 1.0 - math.exp(-place)

    def raw(self, value: float) -> str | float:
        """Write a value as the scenario would.

        Parameters
        ----------
        value : float
            The value [SI, °C].

        Returns
        -------
        str or float
            Text with its unit, or a bare number.
        """
        return float(f"{value:.10g}") if self.kind is None else raw_quantity(value, self.kind)


_E = "estimate"
# Factors for what is known by a share of itself, differences for temperatures, else the two ends.
_FACTORS: Mapping[str, tuple[float, float, str]] = MappingProxyType(
    {
        "films.side_factor": (0.67, 1.5, f"{_E}: published laws of free convection scatter by 10 to 20 %"),
        "films.top_factor": (0.67, 1.5, f"{_E}: published laws of free convection scatter by 10 to 20 %"),
        "surround.gap": (0.7, 1.4, f"{_E}: a jar seldom stands in the middle of its cell"),
        "surround.headroom": (0.7, 1.4, f"{_E}: flaps sag"),
        "vessel.wall": (0.8, 1.25, f"{_E}: pressed glass"),
        "vessel.base": (0.8, 1.25, f"{_E}: pressed glass"),
        "support.conductivity": (0.7, 1.4, _E),
    }
)
_DIFFERENCES: Mapping[str, tuple[float, str]] = MappingProxyType(
    {
        "room.temperature": (2.0, f"{_E}: a room is not the same everywhere"),
        "pour.temperature": (3.0, f"{_E}: wax cools while it is poured"),
        "vessel.temperature": (4.0, _E),
    }
)
_ENDS: Mapping[str, tuple[float, float, str]] = MappingProxyType(
    {
        "films.headspace_factor": (0.4, 1.2, _E),
        "melt.relaxation": (60.0, 150.0, f"{_E}: about the value fitted to a resolved flow computation"),
        "melt.flows_above": (0.5, 0.99, f"{_E}: slushy to rigid crystals"),
        "melt.feeds_above": (0.2, 0.5, _E),
    }
)
_OF_ONE = ("melt.flows_above",)
# What a grade with a measured freezing curve has of its own; the rest it shares with paraffin.
_MEASURED = ("freezing_starts", "freezing_ends", "clear_point", "latent_heat")


def plausible(scenario: Scenario, key: str, *, between: tuple[float, float] | None = None) -> Plausible:
    """Tell how well a key of a scenario is known.

    Parameters
    ----------
    scenario : Scenario
        The scenario; its value is the centre.
    key : str
        Dotted key of a number or quantity.
    between : (float, float), optional
        Plausible range [SI, °C] to use instead of the built-in one.

    Returns
    -------
    Plausible
        The range and where it comes from.

    Raises
    ------
    ScenarioError
        If there is no such key, it holds no number, it has no value or no range here, or another key takes its place.

    Examples
    --------
    >>> from coolsim.scenario import built_in_pair
    >>> known = plausible(built_in_pair()[0], "wax.latent_heat")
    >>> known.low, known.high, known.space
    (90000.0, 170000.0, 'log')
    """
    value = value_of(key)
    if not isinstance(value, Quantity | Number):
        raise ScenarioError(f"{key}: holds no quantity or number. Choose another key.")
    known = known_values(scenario.data)
    centre = _centre(scenario, known, key)
    low, high, source = (*between, "stated with the command") if between is not None else _range(known, key, centre)
    kind = value.kind if isinstance(value, Quantity) else None
    space: Space = "plain" if kind == "temperature" or low <= 0.0 else "log"
    if key in _OF_ONE:
        space = "log of the rest"
    if not low < high or (space != "plain" and centre <= 0.0):
        raise ScenarioError(f"{key}: found a plausible range without width about {centre:g}. Give another range.")
    return Plausible(key=key, kind=kind, centre=centre, low=low, high=high, space=space, source=source)


def limits_of(known: Plausible) -> tuple[float, float]:
    """Tell within which limits a scenario may state a key.

    Parameters
    ----------
    known : Plausible
        The key.

    Returns
    -------
    (float, float)
        Lowest and highest value [SI, °C].
    """
    value = value_of(known.key)
    if isinstance(value, Quantity):
        return parse_quantity(value.low, value.kind), parse_quantity(value.high, value.kind)
    if isinstance(value, Number):
        return value.low, value.high
    raise ScenarioError(f"{known.key}: holds no quantity or number. Choose another key.")


def _centre(scenario: Scenario, known: Known, key: str) -> float:
    table = key.rpartition(".")[0]
    rival = next((other for other in INSTEAD.get(key, ()) if known.has(f"{table}.{other}")), None)
    if rival is not None:
        raise ScenarioError(
            f"{key}: {scenario.where} states {table}.{rival} in its place. Choose that, or another key."
        )
    if table == "surround" and scenario.jar.surround is None:
        raise ScenarioError(f"{key}: {scenario.where} has no box. Choose another key.")
    if known.has(key):
        value = known(key)
        if isinstance(value, float | int):
            return float(value)
        raise ScenarioError(f"{key}: {scenario.where} states no single number there. Choose another key.")
    jar = scenario.jar
    if key == "vessel.foot":
        return jar.vessel.foot
    if key == "vessel.temperature":
        return jar.room.at(0.0)
    found = _catalogued(known, key)
    if found is None:
        raise ScenarioError(f"{key}: has no value in {scenario.where}. State one, or choose another key.")
    return found.nominal


def _range(known: Known, key: str, centre: float) -> tuple[float, float, str]:
    if key in _FACTORS:
        low, high, source = _FACTORS[key]
        return low * centre, high * centre, source
    if key in _DIFFERENCES:
        half, source = _DIFFERENCES[key]
        return centre - half, centre + half, source
    if key in _ENDS:
        return _ENDS[key]
    found = _catalogued(known, key)
    if found is None or found.low is None or found.high is None:
        raise ScenarioError(f"{key}: no plausible range is known. Give one, as in '{key}=LOW:HIGH'.")
    return found.low, found.high, f"{found.mark}: {found.source}"


def _catalogued(known: Known, key: str) -> CatalogueValue | None:
    table, _, name = key.rpartition(".")
    if key == "vessel.foot":
        return CONTACTS[_stands(known)]
    if key == "support.contact":
        return CONTACTS["jar-on-board"]
    if key == "vessel.emissivity":
        return EMISSIVITIES["glass"] if known("vessel.material") == "glass" else None
    if key == "wax.fragrance_molar_mass":
        return FRAGRANCE_MOLAR_MASS
    if table == "wax":
        kind = known("wax.kind")
        if kind in PARAFFIN_CURVES:
            return None if name in _MEASURED else WAXES["paraffin"].get(name)
        return WAXES.get(kind, {}).get(name)
    if table in ("vessel", "support", "surround"):
        return INERTS.get(known(f"{table}.material"), {}).get(name)
    return None


def _stands(known: Known) -> str:
    if known.has("surround.under_layers") and known("surround.under_layers") > 0:
        return "jar-on-board"
    return "glass-on-bench" if known("vessel.material") == "glass" else "tin-on-bench"
