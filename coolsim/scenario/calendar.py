"""Days and clock times of a scenario: read from text, or from the dates and times that TOML has of its own.

The program never asks the clock: what a report says about the day stands in the scenario.
"""

from __future__ import annotations

import datetime
import re
from dataclasses import dataclass

from coolsim.errors import UnitError
from coolsim.scenario.values import Value
from coolsim.scenario.wording import shown
from coolsim.units import parse_quantity

_TO = re.compile(r"\s+to\s+|\s*[-–]\s*")
_FIRST_YEAR, _LAST_YEAR = 1900, 2999


@dataclass(frozen=True, slots=True)
class Day(Value):
    """A day of the calendar."""

    def read(self, raw: object) -> datetime.date:
        """Return the day."""
        wanted = "give a day as year-month-day, such as '2026-03-14'"
        # A moment is a day, too, for Python.
        if isinstance(raw, datetime.datetime):
            raise ValueError(f"found a day with a time, {wanted}")
        day = raw if isinstance(raw, datetime.date) else _iso_day(raw, wanted)
        # A plan reaches from the day before into the years after: no calendar ends within it.
        if not _FIRST_YEAR <= day.year <= _LAST_YEAR:
            raise ValueError(f"found '{day}', {wanted}, in the years {_FIRST_YEAR} to {_LAST_YEAR}")
        return day

    def describe(self) -> str:
        """Say what to write."""
        return "a day, `2026-03-14`, with or without quotes"

    def show(self, value: datetime.date) -> str:
        """Write it as ISO 8601 does."""
        return value.isoformat()

    def write(self, value: datetime.date) -> str:
        """Write it as a scenario states it."""
        return value.isoformat()


def _iso_day(raw: object, wanted: str) -> datetime.date:
    # Python reads other forms of ISO 8601 as well, which nobody would expect here.
    if not isinstance(raw, str) or not re.fullmatch(r"\d{4}-\d{2}-\d{2}", raw.strip()):
        raise ValueError(f"found {shown(raw)}, {wanted}")
    try:
        return datetime.date.fromisoformat(raw.strip())
    except ValueError:
        raise ValueError(f"found {shown(raw)}, no day of the calendar, {wanted}") from None


@dataclass(frozen=True, slots=True)
class ClockTime(Value):
    """A time of day, to the minute."""

    def read(self, raw: object) -> float:
        """Return the time since midnight [s]."""
        wanted = "give a time of day such as '10:30', '2:15 pm' or '9 am'"
        if isinstance(raw, datetime.time):
            if raw.second or raw.microsecond:
                raise ValueError(f"found '{raw}', {wanted}, to the minute")
            return 3600.0 * raw.hour + 60.0 * raw.minute
        # TOML reads a bare 9 as a number; a time with seconds is one of its own.
        hour = isinstance(raw, int) and not isinstance(raw, bool)
        try:
            return parse_quantity(str(raw) if hour else raw, "clock")
        except UnitError:
            raise ValueError(f"found {shown(raw)}, {wanted}") from None

    def describe(self) -> str:
        """Say what to write."""
        return 'a time of day, `"10:30"`, `"2:15 pm"` or `"9 am"`'

    def show(self, value: float) -> str:
        """Write a time after midnight [s] with 24 hours."""
        minutes = round(value / 60.0)
        return f"{minutes // 60}:{minutes % 60:02d}"

    def write(self, value: float) -> str:
        """Write a time after midnight [s] as a scenario states it."""
        return self.show(value)


@dataclass(frozen=True, slots=True)
class Hours(Value):
    """From one time of day to a later one."""

    def read(self, raw: object) -> tuple[float, float]:
        """Return both times since midnight [s]."""
        wanted = "give the hours of a day such as '8:00 to 18:00' or '9 am to 5:30 pm'"
        parts = _TO.split(raw.strip()) if isinstance(raw, str) else []
        if len(parts) != 2:
            raise ValueError(f"found {shown(raw)}, {wanted}")
        try:
            opens, closes = map(ClockTime().read, parts)
        except ValueError:
            raise ValueError(f"found {shown(raw)}, {wanted}") from None
        if opens >= closes:
            raise ValueError(f"found {shown(raw)}, which ends before it begins, {wanted}")
        return opens, closes

    def describe(self) -> str:
        """Say what to write."""
        return 'the hours of a day, `"8:00 to 18:00"`'

    def show(self, value: tuple[float, float]) -> str:
        """Write two times after midnight [s] with 24 hours."""
        return " to ".join(map(ClockTime().show, value))

    def write(self, value: tuple[float, float]) -> str:
        """Write two times after midnight [s] as a scenario states them."""
        return self.show(value)
