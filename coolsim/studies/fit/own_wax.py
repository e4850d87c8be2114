"""The wax of a fit by itself, as its maker keeps it: what of the fit is the wax's, and what that does to his jar."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from coolsim.answers.answer import Value
from coolsim.errors import SolverError
from coolsim.scenario import Scenario, changed
from coolsim.scenario.kept import KeptTables
from coolsim.studies.fit.fit import Fit
from coolsim.studies.sweep.point import run_jars

# Of the oil, not of the wax.
_OF_THE_MIX = ("name", "fragrance", "fragrance_load", "fragrance_molar_mass", "fragrance_limit")


@dataclass(frozen=True, eq=False, slots=True, kw_only=True)
class OwnWax:
    """The wax that a fit found, and the answers of the maker's jar with the wax that was assumed, and with this one.

    Nothing but the wax differs between the two: the jar is that of the first scenario of the fit.
    """

    fit: Fit
    scenario: Scenario
    assumed: Mapping[str, Value]
    found: Mapping[str, Value]


def is_of_wax(key: str) -> bool:
    """Tell whether a key is the wax's; others are of the oil, the room, the jar or its place."""
    table, _, name = key.partition(".")
    if table == "wax":
        return name not in _OF_THE_MIX
    # How melt is computed is no property of the wax, but from where on it flows is.
    return table == "mush" or key == "melt.flows_above"


def with_fitted_wax(fit: Fit) -> Scenario:
    """Change the scenario of a fit, the first of several, by what was found of its wax, and by nothing else."""
    return changed(fit.scenario, {one.known.key: one.value for one in fit.fields if is_of_wax(one.known.key)})


def kept_tables(fit: Fit) -> dict[str, Any]:
    """Give the tables of the wax of a fit, as a scenario states them: what was fitted, and what was stated before."""
    stated = with_fitted_wax(fit).file.written(KeptTables.model_fields)
    mine = {
        table: {name: value for name, value in values.items() if is_of_wax(f"{table}.{name}")}
        for table, values in stated.items()
    }
    return {table: values for table, values in mine.items() if values}


def own_wax(fit: Fit) -> OwnWax:
    """Run the jar of a fit with the wax as it was assumed, and as it was found; SolverError if a run fails."""
    scenario = with_fitted_wax(fit)
    assumed, found = run_jars([fit.scenario.jar, scenario.jar])
    for one in (assumed, found):
        if "fault" in one:
            raise SolverError(one["fault"])
    return OwnWax(fit=fit, scenario=scenario, assumed=assumed["answers"], found=found["answers"])
