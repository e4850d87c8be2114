"""What is shown of an object at a glance, and the times and volumes in it; on the lowest floor, as `coolsim.tables`."""

from __future__ import annotations

import math
from abc import ABC, abstractmethod
from typing import Any

from coolsim.tables import Table as OverviewTable

__all__ = ["COMPUTED", "NOT_REACHED", "Lines", "Overview", "OverviewTable", "hours_minutes", "time_cell"]

COMPUTED = "Computed, not measured. Hot wax burns and glass can crack: the data sheets of the suppliers come first."
"""Stands under what a run has answered."""

NOT_REACHED = "–"


class Overview(ABC):
    """An object that a notebook shows as a table and `print` as lines."""

    __slots__ = ()

    @abstractmethod
    def overview(self) -> OverviewTable:
        """Return what is shown of it."""

    def __str__(self) -> str:
        return self.overview().text()

    def _repr_html_(self) -> str:
        return self.overview().html()


class Lines(str):
    """A text of several lines, which a notebook shows as such, and not as one string."""

    __slots__ = ()

    def _repr_pretty_(self, printer: Any, cycle: bool) -> None:
        printer.text(str(self))


def hours_minutes(seconds: float) -> str:
    """Write a time since the pour [s] as hours and minutes, to the nearest minute.

    Examples
    --------
    >>> hours_minutes(9300.0)
    '2:35'
    """
    minutes = math.floor(seconds / 60.0 + 0.5)
    return f"{minutes // 60}:{minutes % 60:02d}"


def time_cell(time: object) -> str:
    """Write a time since the pour [s] as hours and minutes, or a dash if it was not reached."""
    return hours_minutes(time) if isinstance(time, float) else NOT_REACHED
