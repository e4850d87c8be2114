"""The table `[room]`: the air round everything, and its course over the day."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import pairwise
from typing import Annotated, Any

from coolsim.model.day import CourseOfRoom, NightOfRoom
from coolsim.model.jar import Room
from coolsim.scenario.calendar import ClockTime
from coolsim.scenario.table import Doubt, Fault, Show, TomlTable, UnreadableError, key, like
from coolsim.scenario.values import Quantity, Value, numbered, pair, read_each
from coolsim.scenario.wording import shown
from coolsim.units import format_quantity

_MOST_ROWS = 48
_ROOM = Quantity("temperature", "-20 °C", "60 °C", "18 °C")
_USUAL = Room().at(0.0)


@dataclass(frozen=True, slots=True)
class RoomRows(Value):
    """Room temperatures by the clock."""

    def read(self, raw: object) -> tuple[tuple[float, float], ...]:
        """Return pairs of time after midnight [s] and temperature [°C], rising in time."""
        wanted = 'give rows of a clock time and a temperature, such as ["22:00", "18 °C"]'
        if not isinstance(raw, list) or not 2 <= len(raw) <= _MOST_ROWS:
            raise ValueError(f"found {shown(raw)}, {wanted} (2 to {_MOST_ROWS} rows)")
        clock = ClockTime()
        rows = read_each(numbered(raw), lambda row: pair(row, clock, _ROOM, wanted))
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

    def write(self, value: Any) -> Any:
        """Write the rows as a scenario states them."""
        return [[ClockTime().write(time), _ROOM.write(found)] for time, found in value]


class RoomTable(TomlTable):
    """The air round everything."""

    temperature: Annotated[float | None, Quantity("temperature", "-20 °C", "60 °C", "21 °C")] = key(
        "Of the air and the walls of the room; jar, bench and box start at what it is at the pour.",
        default=None,
        shown=f"{_USUAL:g} °C",
        instead=("course", "lowest", "coldest"),
        doubt=Doubt(-2.0, 2.0, "estimate: a room is not the same everywhere", "differences"),
    )
    course: Annotated[tuple[tuple[float, float], ...] | None, RoomRows()] = key(
        "Room temperature by the clock instead, straight between the rows and the same every day; needs `pour.clock`.",
        default=None,
        shown="constant",
        instead=("temperature", "lowest", "coldest"),
    )
    lowest: Annotated[float | None, Quantity("temperature", "-20 °C", "60 °C", "14 °C")] = key(
        "How cold the room gets in the night; `temperature` is then the warmest, half a day from the coldest time, and"
        " between them it follows a cosine. Needs `coldest` and `pour.clock`.",
        default=None,
        shown="constant",
    )
    coldest: Annotated[float | None, ClockTime()] = key(
        "When the room is coldest.", default=None, shown="needed with `lowest`"
    )
    air_speed: Annotated[float, Quantity("speed", "0 m/s", "5 m/s", "0.3 m/s")] = like(
        Room, "air_speed", "Draught past the jar or the box; 0 is still air."
    )


def warmest_of(room: RoomTable) -> float:
    """Highest temperature of the room on any day [°C]."""
    if room.course is not None:
        return max(temperature for _, temperature in room.course)
    return _USUAL if room.temperature is None else room.temperature


def coldest_of(room: RoomTable) -> float:
    """Lowest temperature of the room on any day [°C]."""
    if room.course is not None:
        return min(temperature for _, temperature in room.course)
    return warmest_of(room) if room.lowest is None else room.lowest


def room_of(room: RoomTable, *, pour: float | None) -> Room:
    """Build the room: constant, by rows, or with a cold night. The pour is after midnight [s]."""
    usual = _USUAL if room.temperature is None else room.temperature
    if room.course is None and room.lowest is None:
        return Room(temperature=usual, air_speed=room.air_speed)
    if pour is None:
        raise UnreadableError("clock")
    if room.course is not None:
        return Room(temperature=CourseOfRoom(rows=room.course, pour=pour), air_speed=room.air_speed)
    if room.lowest is None or room.coldest is None:
        raise UnreadableError("coldest")
    night = NightOfRoom(warmest=usual, lowest=room.lowest, coldest=room.coldest, pour=pour)
    return Room(temperature=night, air_speed=room.air_speed)


def room_has_one_course(room: RoomTable, show: Show) -> Iterator[Fault]:
    """Find fault with several courses of the room, or half a cold night."""
    if room.course is not None:
        for name in ("temperature", "lowest", "coldest"):
            if getattr(room, name) is not None:
                yield f"room.{name}", "found together with room.course, give only one of them"
    elif (room.lowest is None) != (room.coldest is None):
        missing, example = ("lowest", "14 °C") if room.lowest is None else ("coldest", ClockTime().show(5 * 3600.0))
        yield f"room.{missing}", f"missing, a cold night needs both lowest and coldest, give it as in '{example}'"
    warmest = _USUAL if room.temperature is None else room.temperature
    if room.lowest is not None and room.lowest >= warmest:
        yield (
            "room.lowest",
            f"found {show(room.lowest, 'temperature')}, not below the {show(warmest, 'temperature')} of"
            " room.temperature, give a colder one",
        )
