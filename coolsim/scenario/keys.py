"""What is stated of each key of a scenario, by its dotted name: for people as a table, for the other floors as data."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from difflib import get_close_matches
from functools import cache
from types import MappingProxyType
from typing import Any

from coolsim.errors import ScenarioError
from coolsim.scenario.file import ScenarioFile
from coolsim.scenario.table import Statement, Table, said_of, table_model, value_in
from coolsim.scenario.values import Value


@dataclass(frozen=True, slots=True, kw_only=True)
class Key:
    """One key of a scenario: dotted name, what to write, default or "required", what it is, source of the default."""

    name: str
    value: str
    default: str
    meaning: str
    source: str


def scenario_keys() -> tuple[Key, ...]:
    """List the keys that a scenario may have, in the order of the tables.

    Examples
    --------
    >>> next(key for key in scenario_keys() if key.name == "room.temperature").default
    '21 °C'
    """
    return tuple(
        Key(name=name, value=one.value.describe(), default=one.default, meaning=one.meaning, source=one.said.source)
        for name, one in entries().items()
    )


def keys_table_markdown() -> str:
    """Write the keys as a Markdown table."""
    lines = ["| key | value | default | meaning |", "|---|---|---|---|"]
    for key in scenario_keys():
        meaning = f"{key.meaning} ({key.source})" if key.source else key.meaning
        cells = (f"`{key.name}`", key.value, key.default, meaning)
        lines.append(f"| {' | '.join(cells)} |")
    return "\n".join(lines) + "\n"


@dataclass(frozen=True, slots=True)
class Entry:
    """All that is stated of one key: its name without the table, the table, kind of value, and the rest."""

    name: str
    table: type[Table]
    value: Value
    said: Statement

    @property
    def default(self) -> str:
        """What the table of keys says of the default."""
        field = self.table.model_fields[self.name]
        return self.said.shown or ("required" if field.is_required() else self.value.show(field.default))

    @property
    def meaning(self) -> str:
        """What the key is."""
        return self.table.model_fields[self.name].description or ""

    def beyond(self, value: Any) -> Iterator[str]:
        """Say why a value [SI, °C] is beyond the limits, if it is."""
        try:
            self.value.admit(value)
        except ValueError as error:
            yield str(error)


@cache
def entries() -> Mapping[str, Entry]:
    """Return what is stated of each key, by its dotted name."""
    return MappingProxyType(dict(_entries(ScenarioFile, "")))


def _entries(model: type[Table], prefix: str) -> Iterator[tuple[str, Entry]]:
    for name, field in model.model_fields.items():
        table = table_model(field.annotation)
        if table is not None:
            yield from _entries(table, f"{prefix}{name}.")
        else:
            yield f"{prefix}{name}", Entry(name, model, value_in(field), said_of(field))


def entry_of(name: str) -> Entry:
    """Return what is stated of a key; ScenarioError if there is none."""
    known = entries()
    if name not in known:
        close = get_close_matches(name, known, n=1)
        ending = [key for key in known if key.rpartition(".")[2] == name]
        advice = f"Did you mean '{(ending or close)[0]}'?" if ending or close else "The README lists the keys."
        raise ScenarioError(f"{name!r} is no key of a scenario. {advice}")
    return known[name]


def keys_that(wanted: Callable[[Statement], bool], *, tables: Sequence[str]) -> tuple[str, ...]:
    """List the keys of which something is said, table by table in this order."""
    return tuple(
        key for table in tables for key, one in entries().items() if key.startswith(f"{table}.") and wanted(one.said)
    )
