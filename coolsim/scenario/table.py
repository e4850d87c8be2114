"""How a table of a scenario states its keys: kind and limits, default and source, how well it is known, who reads it.

One pydantic class for each table, one field for each key, in SI (°C) once read. A field that defaults to None takes
its value from the catalogue or from the other keys, and its description says so.
"""

from __future__ import annotations

import dataclasses
from collections.abc import Callable, Iterable, Iterator, Mapping
from typing import TYPE_CHECKING, Any, Literal, Self

from pydantic import BaseModel, ConfigDict, Field
from pydantic.fields import FieldInfo

from coolsim.model.catalogue import CatalogueValue
from coolsim.scenario.values import Value
from coolsim.units import Kind

Fault = tuple[str, str]
"""Dotted key and message."""

Show = Callable[[float, Kind], str]
"""Writes a quantity [SI, °C] in the units of the scenario."""

ESTIMATE = "estimate"
PRACTICE = "common practice, no source"
ROUND_OFF = 1e-9

Space = Literal["plain", "log", "log of the rest"]
"""Where a value is spread evenly about its centre: as it is, by factors, or by factors of what is missing to one."""

AnswerGroup = Literal[
    "Every answer",
    "The first skin",
    "Rim, wick and top",
    "Dips, dish and cavity",
    "Fully set and the last liquid",
    "May be lidded",
    "The shock of the jar",
    "The repair",
]
"""Answers that are no better than the values they rest on."""


class UnreadableError(LookupError):
    """A value that is needed is itself at fault, or its table is not there."""


@dataclasses.dataclass(frozen=True, slots=True)
class Doubt:
    """How far a value may be off: two factors on it, a difference either way, or two ends [SI, °C]."""

    low: float
    high: float
    source: str = ESTIMATE
    kind: Literal["factors", "differences", "ends"] = "factors"
    space: Space | None = None

    def about(self, centre: float) -> tuple[float, float]:
        """Return the plausible range [SI, °C] of a value."""
        match self.kind:
            case "factors":
                return self.low * centre, self.high * centre
            case "differences":
                return centre + self.low, centre + self.high
            case "ends":
                return self.low, self.high


@dataclasses.dataclass(frozen=True, slots=True, kw_only=True)
class Statement:
    """What is said of a key beside its kind, limits and default.

    - `source`: Where the default comes from; empty if there is nothing to say.
    - `shown`: Stands for the default in the table of keys.
    - `instead`: Keys of the same table that it takes the place of.
    - `doubt`: How well it is known; None leaves that to the catalogue.
    - `spread`, `fit`: Whether a spread varies it, and a fit adjusts it to a thermometer, unless others are named.
    - `ruler`: Whether a fit adjusts it to what a ruler and a syringe measure, unless other keys are named.
    - `behind`: Which answers rest on it.
    - `matters`: Tells of a whole `ScenarioFile` whether the key has a part in it.
    """

    source: str = ""
    shown: str = ""
    instead: tuple[str, ...] = ()
    doubt: Doubt | None = None
    spread: bool = False
    fit: bool = False
    ruler: bool = False
    behind: AnswerGroup | None = None
    matters: Callable[[Any], bool] = lambda _: True


def key(description: str, *, default: Any = ..., **said: Any) -> Any:
    """State a field; the other arguments are those of `Statement`."""
    about: Any = {"said": Statement(**said)}
    return Field(default, description=description, json_schema_extra=about)


def like(owner: type, name: str, description: str, **said: Any) -> Any:
    """State a field whose default is that of a field of the model, so that no number stands in two places."""
    field = next(field for field in dataclasses.fields(owner) if field.name == name)
    return key(description, default=field.default, **said)


def told(value: CatalogueValue) -> str:
    """Write mark and source of a value of the catalogue."""
    return f"{value.mark}: {value.source}"


class TomlTable(BaseModel):
    """A table of a scenario; a key that it does not have is a fault."""

    # Tables are checked as parts of the whole file only: none needs a validator of its own, which takes time to build.
    model_config = ConfigDict(extra="forbid", frozen=True, defer_build=True)

    if not TYPE_CHECKING:

        def __getattr__(self, name: str) -> Any:
            # A value that could not be read is not there.
            if name in type(self).model_fields:
                raise UnreadableError(name)
            return super().__getattr__(name)

    def states(self, name: str) -> bool:
        """Tell whether the scenario states a key of this table itself."""
        return name in self.model_fields_set

    def given(self, *names: str) -> dict[str, Any]:
        """Values of some keys by their names, which are those of the model."""
        return {name: getattr(self, name) for name in names}

    def catalogued(self, name: str) -> CatalogueValue | None:
        """Find what the catalogue knows of a key of this table."""
        return None

    def changed(self, changes: Mapping[str, Any]) -> Self:
        """Copy the table with other values; None takes a key back to its default."""
        given = {name: value for name, value in changes.items() if value is not None}
        kept = {name: value for name, value in self.__dict__.items() if name not in changes}
        stated = (self.model_fields_set - changes.keys()) | given.keys()
        return self.model_construct(_fields_set=stated, **kept, **given)

    def written(self, names: Iterable[str] | None = None) -> dict[str, Any]:
        """Raw values of the keys that are stated, or of those of them that are named, as a scenario has them."""
        fields = type(self).model_fields
        stated = {name: getattr(self, name) for name in (fields if names is None else names) if self.states(name)}
        return {
            name: value.written() if isinstance(value, TomlTable) else value_in(fields[name]).write(value)
            for name, value in stated.items()
        }


def exactly_one(table: TomlTable, where: str, names: tuple[str, ...]) -> Iterator[Fault]:
    """Find fault with a table that does not give exactly one of some keys."""
    given = [name for name in names if getattr(table, name) is not None]
    if len(given) != 1:
        what = " and ".join(given) or "none of them"
        yield where, f"found {what}, give exactly one of {', '.join(names)}"


def table_model(annotation: Any) -> type[TomlTable] | None:
    """Return the model of a field that is a table, None for one that is a value."""
    candidates = (annotation, *getattr(annotation, "__args__", ()))
    return next((one for one in candidates if isinstance(one, type) and issubclass(one, TomlTable)), None)


def value_in(field: FieldInfo) -> Value:
    """Return what reads and writes the values of a field."""
    return next(spec for spec in field.metadata if isinstance(spec, Value))


def said_of(field: FieldInfo) -> Statement:
    """Return what is said of a field."""
    extra: Any = field.json_schema_extra
    said: Statement = extra["said"]
    return said
