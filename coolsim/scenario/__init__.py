"""Scenario files: a jar and its surroundings as a workshop writes them down, read and checked.

A scenario is a TOML file whose values state their units. Nothing outside this package knows TOML or pydantic.
"""

from coolsim.scenario.keys import EVERYDAY, Key, KeyTable, key_tables, scenario_keys
from coolsim.scenario.read import (
    Scenario,
    built_in_pair,
    changed,
    load_scenario,
    one_jar,
    scenario_from_data,
    with_overrides,
)
from coolsim.scenario.starter import starter_text

__all__ = [
    "EVERYDAY",
    "Key",
    "KeyTable",
    "Scenario",
    "built_in_pair",
    "changed",
    "key_tables",
    "load_scenario",
    "one_jar",
    "scenario_from_data",
    "scenario_keys",
    "starter_text",
    "with_overrides",
]
