"""What is stated of each key of a scenario, by its dotted name."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from difflib import get_close_matches
from functools import cache
from types import MappingProxyType
from typing import Any

from pydantic.fields import FieldInfo

from coolsim.errors import ScenarioError
from coolsim.scenario.file import ScenarioFile
from coolsim.scenario.table import Statement, TomlTable, said_of, table_model, value_in
from coolsim.scenario.values import Value


@dataclass(frozen=True, slots=True)
class Key:
    """All that is stated of one key of a scenario, by its dotted name."""

    name: str
    table: type[TomlTable]
    spec: Value
    said: Statement

    @property
    def value(self) -> str:
        """What to write: kind, example and limits."""
        return self.spec.describe()

    @property
    def default(self) -> str:
        """Value if left out, or "required"."""
        field = self._field
        return self.said.shown or ("required" if field.is_required() else self.spec.show(field.default))

    @property
    def meaning(self) -> str:
        """What it is."""
        return self._field.description or ""

    @property
    def source(self) -> str:
        """Where the default comes from; empty if there is nothing to say."""
        return self.said.source

    @property
    def _field(self) -> FieldInfo:
        return self.table.model_fields[self.name.rpartition(".")[2]]

    def beyond(self, value: Any) -> Iterator[str]:
        """Say why a value [SI, °C] is beyond the limits, if it is."""
        try:
            self.spec.admit(value)
        except ValueError as error:
            yield str(error)


@cache
def all_keys() -> Mapping[str, Key]:
    """Return the keys that a scenario may have, by name, in the order of the tables."""
    return MappingProxyType({one.name: one for one in _keys(ScenarioFile, "")})


def _keys(model: type[TomlTable], prefix: str) -> Iterator[Key]:
    for name, field in model.model_fields.items():
        table = table_model(field.annotation)
        if table is not None:
            yield from _keys(table, f"{prefix}{name}.")
        else:
            yield Key(f"{prefix}{name}", model, value_in(field), said_of(field))


def scenario_keys() -> tuple[Key, ...]:
    """List the keys that a scenario may have, in the order of the tables.

    Examples
    --------
    >>> next(key for key in scenario_keys() if key.name == "room.temperature").default
    '21 °C'
    """
    return tuple(all_keys().values())


def key_of(name: str) -> Key:
    """Return what is stated of a key; ScenarioError if there is none."""
    known = all_keys()
    if name not in known:
        close = get_close_matches(name, known, n=1)
        ending = [key for key in known if key.rpartition(".")[2] == name]
        advice = f"Did you mean '{(ending or close)[0]}'?" if ending or close else "`coolsim keys` lists them."
        raise ScenarioError(f"{name!r} is not a key of a scenario. {advice}")
    return known[name]


def keys_that(wanted: Callable[[Statement], bool], *, tables: Sequence[str]) -> tuple[str, ...]:
    """List the keys of which something is said, table by table in this order."""
    return tuple(
        key for table in tables for key, one in all_keys().items() if key.startswith(f"{table}.") and wanted(one.said)
    )


EVERYDAY = (
    "title",
    "units",
    "vessel.diameter",
    "vessel.height",
    "vessel.wall",
    "vessel.base",
    "vessel.material",
    "wax.kind",
    "wax.fragrance_load",
    "pour.temperature",
    "pour.volume",
    "support.material",
    "surround.gap",
    "surround.headroom",
    "room.temperature",
    "batch.jars",
)
"""The keys that a maker sets; all others have defaults, or hang on what these say."""


@dataclass(frozen=True, slots=True, kw_only=True)
class KeyTable:
    """A table of a scenario: its name, empty for the keys outside of all, what it is about, and its keys."""

    name: str
    about: str
    keys: tuple[Key, ...]

    def only(self, name: str) -> KeyTable:
        """Return the table with one of its keys alone."""
        return replace(self, keys=tuple(key for key in self.keys if key.name == name))


def key_tables() -> tuple[KeyTable, ...]:
    """List the tables of a scenario, in their order.

    Examples
    --------
    >>> key_tables()[1].name, key_tables()[1].about
    ('vessel', 'The jar or tin.')
    """
    found: dict[str, list[Key]] = {}
    for one in all_keys().values():
        found.setdefault(one.name.rpartition(".")[0], []).append(one)
    about = {name: (keys[0].table.__doc__ or "").partition("\n")[0] for name, keys in found.items()}
    return tuple(KeyTable(name=name, about=about[name], keys=tuple(keys)) for name, keys in found.items())
