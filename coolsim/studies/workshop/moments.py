"""Days and clock times of a plan, as people write them."""

from __future__ import annotations

import datetime

from coolsim.overview import hours_minutes
from coolsim.units import System

_MONTHS = (
    "January", "February", "March", "April", "May", "June", "July", "August", "September", "October", "November",
    "December",
)  # fmt: skip
_DAY = 86400.0


def moment_text(time: float, clock: float | None, units: System, *, day: datetime.date | None = None) -> str:
    """Write a moment after the pour [s] by the clock, if the wax is poured so long after midnight [s], else as a time.

    `day` is that from whose midnight the clock counts; another day than that is named.

    >>> moment_text(12600.0, 37800.0, "metric"), moment_text(53400.0, 37800.0, "metric")
    ('14:00', 'next day 1:20')
    >>> moment_text(53400.0, 37800.0, "metric", day=datetime.date(2026, 3, 14))
    '15 Mar 1:20'
    >>> moment_text(12600.0, 37800.0, "us"), moment_text(12600.0, None, "us"), moment_text(-1800.0, None, "us")
    ('2:00 pm', '3:30 h', '0:30 h before')
    >>> moment_text(14 * 86400.0, None, "metric")
    '14 d'
    """
    if clock is None:
        days, rest = divmod(abs(time), _DAY)
        told = f"{days:.0f} d" if days > 1 and rest < 1.0 else f"{hours_minutes(abs(time))} h"
        return f"{told} before" if time < 0.0 else told
    days, rest = divmod(round(clock + time), int(_DAY))
    hour, minute = divmod(rest // 60, 60)
    told = f"{hour}:{minute:02d}" if units == "metric" else f"{(hour - 1) % 12 + 1}:{minute:02d} {'ap'[hour // 12]}m"
    if not days:
        return told
    if day is not None:
        other = day + datetime.timedelta(days=days)
        year = "" if other.year == day.year else f" {other.year}"
        return f"{other.day} {_MONTHS[other.month - 1][:3]}{year} {told}"
    way = "later" if days > 0 else "before"
    near = {-1: "day before", 1: "next day"}
    return f"{near.get(days, f'{abs(days)} days {way}')} {told}"


def day_text(day: datetime.date) -> str:
    """Write a day, whatever the language of the computer, so that nobody takes the month for the day.

    >>> day_text(datetime.date(2026, 3, 14))
    '14 March 2026'
    """
    return f"{day.day} {_MONTHS[day.month - 1]} {day.year}"
