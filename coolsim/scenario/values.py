"""The kinds of value that a scenario holds: how each is read, what its limits are, how it is written.

An object of these classes is the annotation of a field of a table; pydantic asks it to read the raw value, and the
table of keys asks it to describe itself. What cannot be read raises a ValueError that says what was found and what to
give instead, one line for each fault. Kinds that one table alone knows stand beside it.
"""

from __future__ import annotations

import math
from abc import ABC, abstractmethod
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from functools import cache
from typing import Any, TypeVar

from pydantic import GetCoreSchemaHandler
from pydantic_core import CoreSchema, core_schema

from coolsim.errors import UnitError
from coolsim.model.catalogue import TRADE_NAMES
from coolsim.scenario.wording import shown, suggestion
from coolsim.units import Kind, format_quantity, parse_quantity

_LONGEST_QUANTITY = 60
_DIGITS = 10
_ALL_DIGITS = 17
_ROUND_OFF = 1e-9
_CALLED = {"expansion": "a coefficient of expansion", "fraction": "a percentage", "price_each": "a price of one"}


class Value(ABC):
    """What a key of a scenario holds."""

    @abstractmethod
    def read(self, raw: object) -> Any:
        """Turn the raw value into what the model needs (SI, °C), or raise ValueError."""

    @abstractmethod
    def describe(self) -> str:
        """Say what to write, for the table of keys."""

    def show(self, value: Any) -> str:
        """Write a default value the way a scenario would."""
        return str(value)

    def write(self, value: Any) -> Any:
        """Turn a value of the model (SI, °C) into a raw one, which reads back as the same."""
        return value

    def admit(self, value: Any) -> None:
        """Hold a value of the model (SI, °C) against the limits; ValueError beyond them."""
        self.read(self.write(value))

    def __get_pydantic_core_schema__(self, source: Any, handler: GetCoreSchemaHandler) -> CoreSchema:
        return core_schema.no_info_plain_validator_function(self.read)


@dataclass(frozen=True, slots=True)
class Quantity(Value):
    """A number with a unit, as a text: limits and example are written as a scenario would."""

    kind: Kind
    low: str
    high: str
    example: str

    def wanted(self) -> str:
        """Name the quantity with an example."""
        called = _CALLED.get(self.kind, f"a {self.kind.replace('_', ' ')}")
        return f"{called} such as '{self.example}'"

    def read(self, raw: object) -> float:
        """Return the value [SI, °C]."""
        if isinstance(raw, int | float) and not isinstance(raw, bool):
            raise ValueError(f"found {shown(raw)} without a unit, give {self.wanted()}")
        if not isinstance(raw, str) or len(raw) > _LONGEST_QUANTITY:
            raise ValueError(f"found {shown(raw)}, give {self.wanted()}")
        try:
            value = parse_quantity(raw, self.kind)
        except UnitError as error:
            raise ValueError(str(error)) from error
        low, high = self.limits()
        if not low <= value <= high:
            raise ValueError(f"found {raw!r}, give a value from {self.low} to {self.high}")
        return value

    def limits(self) -> tuple[float, float]:
        """Return the lowest and the highest value [SI, °C]."""
        return _parsed(self.low, self.kind), _parsed(self.high, self.kind)

    def write(self, value: float) -> str:
        """Write a value [SI, °C] with as many digits as it needs to read back as the same."""
        text = raw_quantity(value, self.kind)
        return text if parse_quantity(text, self.kind) == value else raw_quantity(value, self.kind, digits=_ALL_DIGITS)

    def admit(self, value: float) -> None:
        """Hold a value [SI, °C] against the limits, but for round-off."""
        low, high = self.limits()
        slack = _ROUND_OFF * (high - low)
        # Written so that a NaN is refused.
        if not low - slack <= value <= high + slack:
            found = raw_quantity(value, self.kind) if math.isfinite(value) else value
            raise ValueError(f"found {found!r}, give a value from {self.low} to {self.high}")

    def describe(self) -> str:
        """Say what to write."""
        called = _CALLED.get(self.kind, self.kind.replace("_", " ")).removeprefix("a ")
        return f'{called}, `"{self.example}"`; {self.low} to {self.high}'

    def show(self, value: Any) -> str:
        """Write a value in metric units, with as many decimals as it needs."""
        texts = (format_quantity(value, self.kind, digits=digits) for digits in (None, 1, 2, 3, 4, 5))
        usual = format_quantity(value, self.kind)
        return next((text for text in texts if abs(parse_quantity(text, self.kind) - value) < 1e-9), usual)


# Each value of each point of a sweep is held against its limits.
_parsed = cache(parse_quantity)


@dataclass(frozen=True, slots=True)
class Number(Value):
    """A bare number [-]: factors and emissivities have no unit."""

    low: float
    high: float

    def read(self, raw: object) -> float:
        """Return the number [-]."""
        wanted = f"give a number from {self.low:g} to {self.high:g}"
        if isinstance(raw, str):
            raise ValueError(f"found the text {shown(raw)}, {wanted}, without quotes")
        # Written so that a NaN is refused.
        if isinstance(raw, bool) or not isinstance(raw, int | float) or not self.low <= raw <= self.high:
            raise ValueError(f"found {shown(raw)}, {wanted}")
        return float(raw)

    def limits(self) -> tuple[float, float]:
        """Return the lowest and the highest number [-]."""
        return self.low, self.high

    def describe(self) -> str:
        """Say what to write."""
        return f"number; {self.low:g} to {self.high:g}"

    def show(self, value: Any) -> str:
        """Write a number."""
        return f"{value:g}"


@dataclass(frozen=True, slots=True)
class Count(Value):
    """A whole number [-]."""

    low: int
    high: int

    def read(self, raw: object) -> int:
        """Return the number [-]."""
        if isinstance(raw, bool) or not isinstance(raw, int) or not self.low <= raw <= self.high:
            raise ValueError(f"found {shown(raw)}, give a whole number from {self.low} to {self.high}")
        return raw

    def describe(self) -> str:
        """Say what to write."""
        return f"whole number; {self.low} to {self.high}"


@dataclass(frozen=True, slots=True)
class Flag(Value):
    """True or false."""

    def read(self, raw: object) -> bool:
        """Return the truth value."""
        if not isinstance(raw, bool):
            raise ValueError(f"found {shown(raw)}, give true or false, without quotes")
        return raw

    def describe(self) -> str:
        """Say what to write."""
        return "true or false"

    def show(self, value: Any) -> str:
        """Write it as TOML does."""
        return str(value).lower()


@dataclass(frozen=True, slots=True)
class Choice(Value):
    """One of a few words."""

    options: tuple[str, ...]

    def read(self, raw: object) -> str:
        """Return the word."""
        if isinstance(raw, str) and raw in self.options:
            return raw
        words = ", ".join(f"'{option}'" for option in self.options)
        raise ValueError(f"found {shown(raw)}, give one of {words}{suggestion(raw, self.options)}")

    def describe(self) -> str:
        """Say what to write."""
        return " or ".join(f'`"{option}"`' for option in self.options)


@dataclass(frozen=True, slots=True)
class OfCatalogue(Value):
    """A material of the catalogue, by its own name or by one of the trade; `called` says what else may be written."""

    called: Value

    def read(self, raw: object) -> Any:
        """Return the name that the catalogue has."""
        return self.called.read(TRADE_NAMES.get(raw, raw) if isinstance(raw, str) else raw)

    def describe(self) -> str:
        """Say what to write."""
        return self.called.describe()


@dataclass(frozen=True, slots=True)
class Text(Value):
    """A text for people, up to so many characters [-]; `about` says in the table of keys what to write."""

    longest: int
    lines: bool = False
    about: str = "text"

    def read(self, raw: object) -> str:
        """Return the text."""
        if not isinstance(raw, str):
            raise ValueError(f"found {shown(raw)}, give a text in quotes")
        text = raw.strip()
        if (not text and not self.lines) or len(text) > self.longest:
            raise ValueError(f"found {len(text)} characters, give a text of 1 to {self.longest}")
        # Control characters and halves of surrogate pairs cannot be printed or written to a file.
        if not all(letter.isprintable() or (self.lines and letter in "\r\n\t") for letter in text):
            kinds = "line breaks and printable characters" if self.lines else "printable characters, in one line"
            raise ValueError(f"found {shown(raw)}, give {kinds}")
        return text

    def describe(self) -> str:
        """Say what to write."""
        return self.about


_Item = TypeVar("_Item")
_Read = TypeVar("_Read")


def numbered(items: list[Any], word: str = "row") -> list[tuple[str, Any]]:
    """Name the items of a list by their number, from 1."""
    return [(f"{word} {number}", item) for number, item in enumerate(items, start=1)]


def read_each(items: Iterable[tuple[str, _Item]], read: Callable[[_Item], _Read]) -> list[_Read]:
    """Read named items one by one; ValueError with a line for each that cannot be read."""
    found, faults = [], []
    for name, item in items:
        try:
            found.append(read(item))
        except ValueError as error:
            faults.append(f"{name}: {error}")
    if faults:
        raise ValueError("\n".join(faults))
    return found


def pair(row: object, first: Value, second: Value, wanted: str) -> tuple[Any, Any]:
    """Read a list of two."""
    if not isinstance(row, list) or len(row) != 2:
        raise ValueError(f"found {shown(row)}, {wanted}")
    return first.read(row[0]), second.read(row[1])


def raw_quantity(value: float, kind: Kind, *, digits: int = _DIGITS) -> str:
    """Write a quantity [SI, °C] as a scenario states it; ten digits [-] are enough for any but a tie of round-off."""
    if kind == "duration":
        return f"{value:.{digits}g} s"
    number, _, unit = format_quantity(value, kind, digits=digits).partition(" ")
    return f"{float(number):.{digits}g} {unit}"
