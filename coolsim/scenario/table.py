"""How a table of a scenario states its keys: kind and limits, default and source, how well it is known, who reads it.

One class for each table, one field for each key, in SI (°C) once read. A field that defaults to None takes its value
from the catalogue or from the other keys, and its description says so.
"""

from __future__ import annotations

import dataclasses
from collections.abc import Callable, Iterable, Iterator, Mapping
from types import MappingProxyType
from typing import TYPE_CHECKING, Any, ClassVar, Literal, NoReturn, Self, get_type_hints

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

REQUIRED: Any = object()
"""Default of a field that cannot be left out."""

DEFAULTS: Any = object()
"""Default of a table all of whose keys have defaults."""

NOTHING: Mapping[str, Any] = MappingProxyType({})

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


@dataclasses.dataclass(frozen=True, slots=True, kw_only=True)
class Field:
    """A key of a table with the kind of its values, or a table within the file with its class."""

    spec: Value | None = None
    table: type[TomlTable] | None = None
    default: Any = REQUIRED
    description: str = ""
    said: Statement = Statement()

    @property
    def required(self) -> bool:
        """Whether it cannot be left out."""
        return self.default is REQUIRED

    @property
    def value(self) -> Value:
        """What reads and writes the values of a key; a table has none."""
        if self.spec is None:
            raise LookupError
        return self.spec


def key(description: str, *, default: Any = REQUIRED, **said: Any) -> Any:
    """State a field; the other arguments are those of `Statement`."""
    return Field(default=default, description=description, said=Statement(**said))


def like(owner: type, name: str, description: str, **said: Any) -> Any:
    """State a field whose default is that of a field of the model, so that no number stands in two places."""
    field = next(field for field in dataclasses.fields(owner) if field.name == name)
    return key(description, default=field.default, **said)


def told(value: CatalogueValue) -> str:
    """Write mark and source of a value of the catalogue."""
    return f"{value.mark}: {value.source}"


class TomlTable:
    """A table of a scenario, frozen; a key that it does not have is a fault."""

    fields: ClassVar[Mapping[str, Field]]

    def __init_subclass__(cls) -> None:
        hints = get_type_hints(cls, include_extras=True)
        found = {}
        for name in cls.__annotations__:
            stated = cls.__dict__.get(name, REQUIRED)
            if name in cls.__dict__:
                # What an instance does not have is to be missed.
                delattr(cls, name)
            found[name] = _field(hints[name], stated)
        cls.fields = MappingProxyType(found)

    @classmethod
    def of(cls, values: Mapping[str, Any] = NOTHING, *, stated: Iterable[str] | None = None) -> Self:
        """Make a table of values [SI, °C], with the defaults of all other keys; those are stated, unless told."""
        table = cls()
        for name, field in cls.fields.items():
            if name in values:
                table.__dict__[name] = values[name]
            elif field.default is DEFAULTS and field.table is not None:
                table.__dict__[name] = field.table.of()
            elif not field.required:
                table.__dict__[name] = field.default
        table.__dict__["_stated"] = frozenset(values if stated is None else stated)
        return table

    if not TYPE_CHECKING:

        def __getattr__(self, name: str) -> Any:
            # A value that could not be read is not there.
            raise (UnreadableError if name in type(self).fields else AttributeError)(name)

    def __setattr__(self, name: str, value: object) -> NoReturn:
        raise AttributeError(f"{name}: a table is frozen")

    def states(self, name: str) -> bool:
        """Tell whether the scenario states a key of this table itself."""
        stated: frozenset[str] = self.__dict__["_stated"]
        return name in stated

    def given(self, *names: str) -> dict[str, Any]:
        """Values of some keys by their names, which are those of the model."""
        return {name: getattr(self, name) for name in names}

    def catalogued(self, name: str) -> CatalogueValue | None:
        """Find what the catalogue knows of a key of this table."""
        return None

    def changed(self, changes: Mapping[str, Any]) -> Self:
        """Copy the table with other values; None takes a key back to its default."""
        given = {name: value for name, value in changes.items() if value is not None}
        kept = {name: value for name, value in self.__dict__.items() if name in self.fields and name not in changes}
        stated = {name for name in self.fields if self.states(name) and name not in changes}
        return self.of({**kept, **given}, stated=stated | given.keys())

    def written(self, names: Iterable[str] | None = None) -> dict[str, Any]:
        """Raw values of the keys that are stated, or of those of them that are named, as a scenario has them."""
        stated = {name: getattr(self, name) for name in names or self.fields if self.states(name)}
        return {
            name: value.written() if isinstance(value, TomlTable) else self.fields[name].value.write(value)
            for name, value in stated.items()
        }


def _field(hint: Any, stated: object) -> Field:
    """Put together what the annotation of a field and its value say."""
    candidates = (hint, *getattr(hint, "__args__", ()))
    table = next((one for one in candidates if isinstance(one, type) and issubclass(one, TomlTable)), None)
    if not isinstance(stated, Field):
        return Field(table=table, default=stated)
    return dataclasses.replace(stated, spec=next(one for one in hint.__metadata__ if isinstance(one, Value)))


def exactly_one(table: TomlTable, where: str, names: tuple[str, ...]) -> Iterator[Fault]:
    """Find fault with a table that does not give exactly one of some keys."""
    given = [name for name in names if getattr(table, name) is not None]
    if len(given) != 1:
        what = " and ".join(given) or "none of them"
        yield where, f"found {what}, give exactly one of {', '.join(names)}"
