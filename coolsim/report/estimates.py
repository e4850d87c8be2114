"""Which answers rest on values that nobody measured: estimates and figures from memory left in a scenario."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from coolsim.model.catalogue import INERTS, WAXES, CatalogueValue
from coolsim.scenario import Scenario, scenario_keys

_WAX = (
    "freezing_starts",
    "freezing_ends",
    "latent_heat",
    "heat_capacity_solid",
    "heat_capacity_liquid",
    "conductivity_solid",
    "conductivity_liquid",
    "density_liquid",
)
_BOARD = ("conductivity", "density", "heat_capacity")
_RESTS: tuple[tuple[str, tuple[str, ...]], ...] = (
    (
        "Every answer",
        (
            *(f"wax.{name}" for name in _WAX),
            "wax.fragrance_molar_mass",
            "vessel.foot",
            "support.contact",
            *(f"surround.{name}" for name in _BOARD),
        ),
    ),
    ("The first skin", ("answers.skin_margin",)),
    ("Rim, wick and top", ("melt.flows_above", "films.headspace_factor", "wax.emissivity", "answers.skin_holds")),
    ("Dips, dish and cavity", ("wax.total_shrinkage", "wax.solid_shrinkage")),
    ("Fully set and the last liquid", ("melt.feeds_above",)),
    ("May be lidded", ("answers.cool_within",)),
    ("The shock of the jar", ("vessel.shock_limit",)),
)
_UNSURE = ("estimate", "from memory")


def estimates(scenario: Scenario) -> tuple[tuple[str, tuple[str, ...]], ...]:
    """List the estimates behind each kind of answer.

    Parameters
    ----------
    scenario : Scenario
        The scenario. A value that it states counts as known.

    Returns
    -------
    tuple of (str, tuple of str)
        Kind of answer, and the keys whose value is an estimate or from memory. A kind without any is left out.
    """
    sources = {key.name: key.source for key in scenario_keys()}
    found = []
    for answer, keys in _RESTS:
        unsure = tuple(key for key in keys if _applies(scenario.data, key) and _unsure(scenario.data, key, sources))
        if unsure:
            found.append((answer, unsure))
    return tuple(found)


def estimates_note(scenarios: Sequence[Scenario]) -> str:
    """Say in a few sentences which answers rest on estimates.

    Parameters
    ----------
    scenarios : sequence of Scenario
        The scenarios of a table.

    Returns
    -------
    str
        The text; empty if nothing is estimated.
    """
    together: dict[str, dict[str, None]] = {}
    for scenario in scenarios:
        for answer, keys in estimates(scenario):
            together.setdefault(answer, {}).update(dict.fromkeys(keys))
    if not together:
        return ""
    parts = [f"{answer}: {', '.join(together[answer])}." for answer, _ in _RESTS if answer in together]
    return (
        "Estimates. These keys have values that were estimated or are from memory, and the answers named before them"
        f" are no better than they are; state your own where you know them. {' '.join(parts)}"
    )


def _table(data: Mapping[str, Any], name: str) -> Mapping[str, Any]:
    table = data.get(name)
    return table if isinstance(table, Mapping) else {}


def _applies(data: Mapping[str, Any], key: str) -> bool:
    if key == "wax.fragrance_molar_mass":
        return "fragrance_load" in _table(data, "wax")
    if key == "melt.flows_above":
        return _table(data, "melt").get("mixing") != "none"
    return "surround" in data or not (key.startswith("surround.") or key == "support.contact")


def _unsure(data: Mapping[str, Any], key: str, sources: Mapping[str, str]) -> bool:
    name, field = key.split(".")
    table = _table(data, name)
    if field in table or (field.startswith("freezing_") and "freezing" in table):
        return False
    value = _in_catalogue(data, name, field)
    mark = value.mark if value is not None else sources[key]
    return any(word in mark for word in _UNSURE)


def _in_catalogue(data: Mapping[str, Any], name: str, field: str) -> CatalogueValue | None:
    table = _table(data, name)
    if name == "wax":
        kind = str(table.get("kind"))
        # The grades with a measured curve share all but the curve and its heat with paraffin.
        measured = kind not in WAXES and field in ("freezing_starts", "freezing_ends", "latent_heat")
        shared = WAXES["paraffin"]
        return _MEASURED if measured else WAXES.get(kind, shared).get(field)
    if name == "surround":
        return INERTS.get(str(table.get("material", "board")), {}).get(field)
    return None


_MEASURED = CatalogueValue(0.0, None, None, "-", "computed independently", "a measured freezing curve")
