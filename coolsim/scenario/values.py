"""The kinds of value that a scenario holds: how each is read, what its limits are, how it is written.

An object of these classes is the annotation of a field of `coolsim.scenario.files`; pydantic asks it to read the
raw value, and the table of keys asks it to describe itself. What cannot be read raises a ValueError that says what
was found and what to give instead, one line for each fault.
"""

from __future__ import annotations

from abc import ABC, abstractmethod
from dataclasses import dataclass
from itertools import pairwise
from typing import Any

from pydantic import GetCoreSchemaHandler
from pydantic_core import CoreSchema, core_schema

from coolsim.errors import UnitError
from coolsim.scenario.wording import shown, suggestion
from coolsim.units import Kind, format_quantity, parse_quantity

_LONGEST_QUANTITY = 60
_CALLED = {"expansion": "a coefficient of expansion", "fraction": "a percentage"}


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

    def __get_pydantic_core_schema__(self, source: Any, handler: GetCoreSchemaHandler) -> CoreSchema:
        return core_schema.no_info_plain_validator_function(self.read)


@dataclass(frozen=True, slots=True)
class Quantity(Value):
    """A number with a unit, as a text.

    Parameters
    ----------
    kind : Kind
        Which units are allowed.
    low, high : str
        Limits, written as a scenario would.
    example : str
        What messages suggest.
    """

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
        if not parse_quantity(self.low, self.kind) <= value <= parse_quantity(self.high, self.kind):
            raise ValueError(f"found {raw!r}, give a value from {self.low} to {self.high}")
        return value

    def describe(self) -> str:
        """Say what to write."""
        called = _CALLED.get(self.kind, self.kind.replace("_", " ")).removeprefix("a ")
        return f'{called}, `"{self.example}"`; {self.low} to {self.high}'

    def show(self, value: Any) -> str:
        """Write a value in metric units, with as many decimals as it needs."""
        texts = (format_quantity(value, self.kind, digits=digits) for digits in (None, 1, 2, 3, 4, 5))
        usual = format_quantity(value, self.kind)
        return next((text for text in texts if abs(parse_quantity(text, self.kind) - value) < 1e-9), usual)


@dataclass(frozen=True, slots=True)
class Number(Value):
    """A bare number: factors and emissivities have no unit.

    Parameters
    ----------
    low, high : float
        Limits [-].
    """

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

    def describe(self) -> str:
        """Say what to write."""
        return f"number; {self.low:g} to {self.high:g}"

    def show(self, value: Any) -> str:
        """Write a number."""
        return f"{value:g}"


@dataclass(frozen=True, slots=True)
class Count(Value):
    """A whole number.

    Parameters
    ----------
    low, high : int
        Limits [-].
    """

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
    """One of a few words.

    Parameters
    ----------
    options : tuple of str
        The words.
    """

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
class Text(Value):
    """A text for people.

    Parameters
    ----------
    longest : int
        Most characters allowed [-].
    lines : bool
        Whether it may have line breaks.
    about : str
        What to write, for the table of keys.
    """

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


_TEMPERATURE = Quantity("temperature", "-20 °C", "120 °C", "45 °C")
_SHARE = Quantity("fraction", "0 %", "100 %", "50 %")
_MOMENT = Quantity("duration", "1 s", "72 h", "30 min")
_POSITION = Quantity("length", "-400 mm", "400 mm", "30 mm")


@dataclass(frozen=True, slots=True)
class FreezingRows(Value):
    """A freezing curve as rows of temperature and liquid share."""

    def read(self, raw: object) -> tuple[tuple[float, float], ...]:
        """Return pairs of temperature [°C] and liquid fraction [-], ascending."""
        wanted = 'give rows such as ["45 °C", "100 %"], from 100 % liquid down to 0 %'
        if not isinstance(raw, list) or not 2 <= len(raw) <= 50:
            raise ValueError(f"found {shown(raw)}, {wanted} (2 to 50 rows)")
        rows, faults = [], []
        for number, row in enumerate(raw, start=1):
            if not isinstance(row, list) or len(row) != 2:
                faults.append(f"row {number}: found {shown(row)}, {wanted}")
                continue
            try:
                rows.append((_TEMPERATURE.read(row[0]), _SHARE.read(row[1])))
            except ValueError as error:
                faults.append(f"row {number}: {error}")
        if faults:
            raise ValueError("\n".join(faults))
        curve = rows if rows[0][0] < rows[-1][0] else rows[::-1]
        for (cold, less), (warm, more) in pairwise(curve):
            if not (cold < warm and less <= more):
                raise ValueError(
                    f"found {100 * less:g} % liquid at {cold:g} °C next to {100 * more:g} % at {warm:g} °C:"
                    " not monotone, give rows whose temperature and liquid share fall together"
                )
        if curve[0][1] != 0.0 or curve[-1][1] != 1.0:
            raise ValueError(
                f"found {100 * curve[0][1]:g} to {100 * curve[-1][1]:g} % liquid, give rows from 100 % to 0 %"
            )
        return tuple(curve)

    def describe(self) -> str:
        """Say what to write."""
        return 'rows of temperature and liquid share, `[["45 °C", "100 %"], ["35 °C", "0 %"]]`'


@dataclass(frozen=True, slots=True)
class Moments(Value):
    """Times after the pour, rising."""

    def read(self, raw: object) -> tuple[float, ...]:
        """Return the times [s]."""
        if not isinstance(raw, list) or not 1 <= len(raw) <= 8:
            raise ValueError(f'found {shown(raw)}, give 1 to 8 times such as ["30 min", "2:15"]')
        times, faults = [], []
        for number, item in enumerate(raw, start=1):
            try:
                times.append(_MOMENT.read(item))
            except ValueError as error:
                faults.append(f"item {number}: {error}")
        if faults:
            raise ValueError("\n".join(faults))
        if not all(earlier < later for earlier, later in pairwise(times)):
            raise ValueError(f"found {shown(raw)} out of order, give the times from the earliest to the latest")
        return tuple(times)

    def describe(self) -> str:
        """Say what to write."""
        return '1 to 8 durations, `["30 min", "2 h"]`'

    def show(self, value: Any) -> str:
        """Write the times."""
        return ", ".join(format_quantity(time, "duration") for time in value)


@dataclass(frozen=True, slots=True)
class Points(Value):
    """Named points of the section."""

    def read(self, raw: object) -> dict[str, tuple[float, float]]:
        """Return (r, z) [m] by name."""
        if not isinstance(raw, dict) or not 1 <= len(raw) <= 12:
            raise ValueError(f'found {shown(raw)}, give 1 to 12 points such as "near the glass" = ["30 mm", "40 mm"]')
        points, faults = {}, []
        for name, place in raw.items():
            try:
                called = _NAME.read(name)
                if not isinstance(place, list) or len(place) != 2:
                    raise ValueError(
                        f'found {shown(place)}, give distance from the axis and height, ["30 mm", "40 mm"]'
                    )
                points[called] = (_POSITION.read(place[0]), _POSITION.read(place[1]))
            except ValueError as error:
                faults.append(f"point {shown(name)}: {error}")
        if faults:
            raise ValueError("\n".join(faults))
        return points

    def describe(self) -> str:
        """Say what to write."""
        return 'named points, `"near the glass" = ["30 mm", "40 mm"]`'

    def show(self, value: Any) -> str:
        """Write the names."""
        return ", ".join(value)


_NAME = Text(40)
