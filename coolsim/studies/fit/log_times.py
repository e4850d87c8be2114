"""The times of a log: numbers with a unit, hours and minutes, or dates, as seconds since the pour."""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Literal

import numpy as np

from coolsim.errors import LogError, UnitError
from coolsim.model.section import Array
from coolsim.units import parse_quantity

TimeUnit = Literal["s", "min", "h"]
"""Unit of times that are plain numbers."""

_SECONDS: dict[str, float] = {"s": 1.0, "min": 60.0, "h": 3600.0}
_DAY = 86400.0
# Nobody pours candles between midnight and four, but times since the pour begin there.
_SURELY_A_CLOCK = 4 * 3600.0
_CLOCK = re.compile(r"(\d{1,3}):(\d{2})(?::(\d{2}(?:\.\d+)?))?\s*([ap])?\.?(?:m\.?)?", re.IGNORECASE)
_DATE = re.compile(r"(\d{1,4}[-./]\d{1,2}[-./]\d{1,4})[T\s]+(.+)")


@dataclass(frozen=True, slots=True)
class _Stamp:
    """A time of the log [s], since midnight of its first day if it is a clock; `day` is the text of its date."""

    seconds: float
    day: str = ""


def seconds_since_pour(
    cells: Sequence[tuple[int, str]], *, where: str, unit: TimeUnit | None, pour_at: str | None
) -> tuple[Array, tuple[str, ...]]:
    """Read the times of a log, each a number of its line and a text, as seconds since the pour, and tell how.

    They do not fall and may start below zero. A clock that goes back by more than twelve hours has passed midnight.
    A log whose rows run backwards throughout is not turned round: which end is the pour would be a guess. LogError
    if a time cannot be read, goes back, or could mean several things.
    """
    number, first = cells[0]
    read, how = _reader(first, number, where, unit)
    stamps = [read(text, line) for line, text in cells]
    clock = bool(_CLOCK.fullmatch(first) or stamps[0].day)
    times = _rising(stamps, [line for line, _ in cells], where, clock=clock)
    start, told = _pour(times[0], first, pour_at, where, clock=clock)
    if told:
        how += (told,)
    return times - start, how


def _reader(
    first: str, number: int, where: str, unit: TimeUnit | None
) -> tuple[Callable[[str, int], _Stamp], tuple[str, ...]]:
    if _CLOCK.fullmatch(first):
        return lambda text, line: _clock(text, line, where), ("times as hours and minutes",)
    if _DATE.fullmatch(first):
        return lambda text, line: _dated(text, line, where), ("times with dates",)
    if unit is None:
        raise LogError(
            f"{where}: line {number}: found the time {first!r} without a unit. Write the unit into the heading, as in"
            " 'time [min]', or give --log-time min."
        )
    factor = _SECONDS[unit]
    return lambda text, line: _Stamp(factor * _plain(text, line, where)), (f"times in {unit}",)


def _plain(text: str, line: int, where: str) -> float:
    try:
        value = float(text)
    except ValueError:
        value = np.nan
    if not np.isfinite(value):
        raise LogError(f"{where}: line {line}: found {text!r} as a time, give a number. Mend or delete this line.")
    return value


def _clock(text: str, line: int, where: str) -> _Stamp:
    seconds = _clock_seconds(text)
    if seconds is None:
        raise LogError(
            f"{where}: line {line}: found {text!r} as a time, give hours and minutes such as '14:05'. Mend or delete"
            " this line."
        )
    return _Stamp(seconds)


def _clock_seconds(text: str) -> float | None:
    found = _CLOCK.fullmatch(text)
    if found is None or int(found[2]) > 59 or float(found[3] or 0) >= 60 or (found[4] and int(found[1]) > 12):
        return None
    hours = int(found[1])
    if found[4]:
        hours = hours % 12 + (12 if found[4].lower() == "p" else 0)
    return 3600.0 * hours + 60.0 * int(found[2]) + float(found[3] or 0)


def _dated(text: str, line: int, where: str) -> _Stamp:
    try:
        moment = datetime.fromisoformat(text)
    except ValueError:
        found = _DATE.fullmatch(text)
        if found is None:
            raise LogError(
                f"{where}: line {line}: found {text!r} as a time, give a date and a time such as '2026-03-14 14:05'."
                " Mend or delete this line."
            ) from None
        return _Stamp(_clock(found[2], line, where).seconds, found[1])
    midnight = datetime(moment.year, moment.month, moment.day)
    ordinal = midnight.toordinal() * _DAY
    return _Stamp(ordinal + (moment.replace(tzinfo=None) - midnight).total_seconds(), "iso")


def _rising(stamps: Sequence[_Stamp], lines: Sequence[int], where: str, *, clock: bool) -> Array:
    times = np.empty(len(stamps))
    days = 0
    for index, stamp in enumerate(stamps):
        before = stamps[index - 1] if index else stamp
        fell = before.seconds - stamp.seconds
        if stamp.day != before.day:
            # Day and month may stand in any order: the next date is the next day.
            days += 1
        elif clock and not stamp.day and fell > 0.5 * _DAY:
            days += 1
        elif fell > 0.0:
            raise LogError(
                f"{where}: line {lines[index]}: the time goes back by {_span(fell)}. Put the rows in order of time, or"
                " delete those that are wrong."
            )
        times[index] = stamp.seconds + days * _DAY
    return times


def _span(seconds: float) -> str:
    return f"{seconds:.0f} s" if seconds < 120 else f"{seconds / 60:.0f} min"


def _pour(first: float, text: str, pour_at: str | None, where: str, *, clock: bool) -> tuple[float, str]:
    """Time of the pour on the scale of the log [s], and how that was found."""
    if pour_at is None:
        if not clock:
            return 0.0, ""
        if 0.0 < first < _SURELY_A_CLOCK:
            raise LogError(
                f"{where}: the times start at {text}: a clock, or the time since the pour? Give --pour-at with the"
                " time of the pour; --pour-at 0:00 if the times count from it."
            )
        return first, f"the pour at the first row, {text}"
    if not clock:
        try:
            return parse_quantity(pour_at, "duration"), ""
        except UnitError as error:
            raise LogError(f"time of the pour: {error}.") from None
    at = _clock_seconds(pour_at.strip())
    if at is None:
        raise LogError(f"time of the pour: found {pour_at!r}, give hours and minutes such as '14:05'.")
    # The moment of that clock time nearest to the first row.
    since = (first - at + 0.5 * _DAY) % _DAY - 0.5 * _DAY
    return first - since, ""
