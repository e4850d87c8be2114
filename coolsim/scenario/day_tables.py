"""What a scenario says about the day of a jar: the rows of its changes, the course of the room, the lid."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise
from typing import Annotated, Any

from coolsim.model.materials import inert_names
from coolsim.scenario.calendar import ClockTime
from coolsim.scenario.tables import ESTIMATE, Table, key
from coolsim.scenario.values import Choice, Quantity, Value
from coolsim.scenario.wording import shown, suggestion
from coolsim.units import format_quantity

HAPPENINGS = (
    "lid on",
    "lid off",
    "out of the box",
    "into the box",
    "flaps open",
    "flaps closed",
    "draught",
    "still air",
)
"""What may happen to a jar."""

DRAUGHT = "draught"
"""The one that comes with a speed."""

_MOST_ROWS = 24
_TIME = Quantity("duration", "1 s", "72 h", "2 h")
_SPEED = Quantity("speed", "0.01 m/s", "5 m/s", "0.5 m/s")
_ROOM = Quantity("temperature", "-20 °C", "60 °C", "18 °C")


@dataclass(frozen=True, slots=True)
class Happening:
    """One row of the changes of a day.

    Parameters
    ----------
    time : float
        Since the pour [s].
    what : str
        One of `HAPPENINGS`.
    speed : float or None
        Of a draught [m/s].
    """

    time: float
    what: str
    speed: float | None = None


@dataclass(frozen=True, slots=True)
class HappeningRows(Value):
    """What happens to a jar, and when."""

    def read(self, raw: object) -> tuple[Happening, ...]:
        """Return the rows, rising in time [s]."""
        wanted = 'give rows of a time after the pour and what happens, such as ["3 h", "out of the box"]'
        if not isinstance(raw, list) or not 1 <= len(raw) <= _MOST_ROWS:
            raise ValueError(f"found {shown(raw)}, {wanted} (1 to {_MOST_ROWS} rows)")
        rows, faults = [], []
        for number, row in enumerate(raw, start=1):
            try:
                rows.append(_happening(row, wanted))
            except ValueError as error:
                faults.append(f"row {number}: {error}")
        if faults:
            raise ValueError("\n".join(faults))
        for first, second in pairwise(rows):
            if not first.time < second.time:
                raise ValueError(
                    f"found '{second.what}' at {format_quantity(second.time, 'duration')} behind '{first.what}' at"
                    f" {format_quantity(first.time, 'duration')}, give the rows from the earliest to the latest, a"
                    " minute apart at least where two things happen together"
                )
        return tuple(rows)

    def describe(self) -> str:
        """Say what to write."""
        words = ", ".join(f"`{word}`" for word in HAPPENINGS)
        return (
            'rows of a time after the pour and what happens, `[["2 h", "draught", "0.5 m/s"], ["3 h", "lid on"]]`;'
            f" {words}"
        )

    def show(self, value: Any) -> str:
        """Write what happens."""
        return ", ".join(f"{one.what} at {format_quantity(one.time, 'duration')}" for one in value)


def _happening(row: object, wanted: str) -> Happening:
    if not isinstance(row, list) or len(row) not in (2, 3):
        raise ValueError(f"found {shown(row)}, {wanted}")
    time, what = _TIME.read(row[0]), row[1]
    if not isinstance(what, str) or what not in HAPPENINGS:
        words = ", ".join(f"'{word}'" for word in HAPPENINGS)
        raise ValueError(f"found {shown(what)}, give one of {words}{suggestion(what, HAPPENINGS)}")
    if what != DRAUGHT:
        if len(row) == 3:
            raise ValueError(f"found {shown(row[2])} behind '{what}', leave it out: a speed goes with '{DRAUGHT}' only")
        return Happening(time, what)
    if len(row) != 3:
        raise ValueError(f'found \'{DRAUGHT}\' without a speed, give one as in ["2 h", "{DRAUGHT}", "0.5 m/s"]')
    return Happening(time, what, _SPEED.read(row[2]))


@dataclass(frozen=True, slots=True)
class RoomRows(Value):
    """Room temperatures by the clock."""

    def read(self, raw: object) -> tuple[tuple[float, float], ...]:
        """Return pairs of time after midnight [s] and temperature [°C], rising in time."""
        wanted = 'give rows of a clock time and a temperature, such as ["22:00", "18 °C"]'
        if not isinstance(raw, list) or not 2 <= len(raw) <= 2 * _MOST_ROWS:
            raise ValueError(f"found {shown(raw)}, {wanted} (2 to {2 * _MOST_ROWS} rows)")
        clock = ClockTime()
        rows, faults = [], []
        for number, row in enumerate(raw, start=1):
            try:
                if not isinstance(row, list) or len(row) != 2:
                    raise ValueError(f"found {shown(row)}, {wanted}")
                rows.append((clock.read(row[0]), _ROOM.read(row[1])))
            except ValueError as error:
                faults.append(f"row {number}: {error}")
        if faults:
            raise ValueError("\n".join(faults))
        times = sorted(time for time, _ in rows)
        for first, second in pairwise(times):
            if first == second:
                raise ValueError(f"found {clock.show(first)} twice, give each time once")
        return tuple(sorted(rows))

    def describe(self) -> str:
        """Say what to write."""
        return 'rows of clock time and temperature, `[["16:00", "21 °C"], ["22:00", "18 °C"], ["6:00", "15 °C"]]`'

    def show(self, value: Any) -> str:
        """Write the rows."""
        return ", ".join(f"{ClockTime().show(time)} {format_quantity(found, 'temperature')}" for time, found in value)


class DayTable(Table):
    """What happens to the jar on the way."""

    changes: Annotated[tuple[Happening, ...], HappeningRows()] = key(
        "What happens to the jar after the pour. A jar that is first put into its box stands bare until then; a lid is"
        " that of `lid_material` and `lid_thickness`."
    )
    lid_material: Annotated[str, Choice(tuple(inert_names()))] = key(
        "What the lid is made of; the heat that it holds itself is left out.", default="oak"
    )
    lid_thickness: Annotated[float, Quantity("length", "0.2 mm", "50 mm", "10 mm")] = key(
        "Its thickness.", source=ESTIMATE, default=10e-3
    )
