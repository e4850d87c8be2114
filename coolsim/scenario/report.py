"""The table `[report]`: what the report shows."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise
from typing import Annotated, Any

from coolsim.scenario.table import TomlTable, key
from coolsim.scenario.values import Quantity, Text, Value, numbered, pair, read_each
from coolsim.scenario.wording import shown
from coolsim.units import format_quantity

_MOMENT = Quantity("duration", "1 s", "72 h", "30 min")
_POSITION = Quantity("length", "-400 mm", "400 mm", "30 mm")
_NAME = Text(40)


@dataclass(frozen=True, slots=True)
class Moments(Value):
    """Times after the pour, rising."""

    def read(self, raw: object) -> tuple[float, ...]:
        """Return the times [s]."""
        if not isinstance(raw, list) or not 1 <= len(raw) <= 8:
            raise ValueError(f'found {shown(raw)}, give 1 to 8 times such as ["30 min", "2:15"]')
        times = read_each(numbered(raw, "item"), _MOMENT.read)
        if not all(earlier < later for earlier, later in pairwise(times)):
            raise ValueError(f"found {shown(raw)} out of order, give the times from the earliest to the latest")
        return tuple(times)

    def describe(self) -> str:
        """Say what to write."""
        return '1 to 8 durations, `["30 min", "2 h"]`'

    def show(self, value: Any) -> str:
        """Write the times."""
        return ", ".join(format_quantity(time, "duration") for time in value)

    def write(self, value: Any) -> Any:
        """Write the times as a scenario states them."""
        return [_MOMENT.write(time) for time in value]


@dataclass(frozen=True, slots=True)
class Points(Value):
    """Named points of the section."""

    def read(self, raw: object) -> dict[str, tuple[float, float]]:
        """Return (r, z) [m] by name."""
        if not isinstance(raw, dict) or not 1 <= len(raw) <= 12:
            raise ValueError(f'found {shown(raw)}, give 1 to 12 points such as "near the glass" = ["30 mm", "40 mm"]')
        wanted = 'give distance from the axis and height, ["30 mm", "40 mm"]'
        return dict(
            read_each(
                ((f"point {shown(name)}", (name, place)) for name, place in raw.items()),
                lambda point: (_NAME.read(point[0]), pair(point[1], _POSITION, _POSITION, wanted)),
            )
        )

    def describe(self) -> str:
        """Say what to write."""
        return 'named points, `"near the glass" = ["30 mm", "40 mm"]`'

    def show(self, value: Any) -> str:
        """Write the names."""
        return ", ".join(value)

    def write(self, value: Any) -> Any:
        """Write the points as a scenario states them."""
        return {name: [_POSITION.write(r), _POSITION.write(z)] for name, (r, z) in value.items()}


class ReportTable(TomlTable):
    """What the report shows."""

    map_times: Annotated[tuple[float, ...] | None, Moments()] = key(
        "Times of the temperature maps.", default=None, shown="rim set, top closed, fully set, top sunk for good"
    )
    probes: Annotated[dict[str, tuple[float, float]] | None, Points()] = key(
        "Points of the cooling curves: distance from the axis and height above the bottom of the wax.",
        default=None,
        shown="five usual points",
    )
