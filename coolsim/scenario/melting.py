"""The table `[melting]`: flakes in a metal pitcher that stands in a water bath."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise
from typing import Annotated, Any

from coolsim.model.bath import Bath
from coolsim.scenario.table import ESTIMATE, PRACTICE, TomlTable, key, like
from coolsim.scenario.values import Flag, Number, Quantity, Value, numbered, pair, read_each
from coolsim.scenario.wording import shown
from coolsim.units import format_quantity

_WATER = Quantity("temperature", "5 °C", "100 °C", "85 °C")
_TIME = Quantity("duration", "0 s", "24 h", "15 min")
_MOST_ROWS = 24


@dataclass(frozen=True, slots=True)
class WaterRows(Value):
    """Temperature of the water: one, or rows of times and temperatures."""

    def read(self, raw: object) -> tuple[tuple[float, float], ...]:
        """Return pairs of time [s] and temperature [°C]."""
        if not isinstance(raw, list):
            return ((0.0, _WATER.read(raw)),)
        wanted = 'give rows of a time and a temperature, such as [["0 min", "25 °C"], ["15 min", "85 °C"]]'
        if not 1 <= len(raw) <= _MOST_ROWS:
            raise ValueError(f"found {shown(raw)}, {wanted} (1 to {_MOST_ROWS} rows)")
        rows = read_each(numbered(raw), lambda row: pair(row, _TIME, _WATER, wanted))
        if not all(earlier < later for (earlier, _), (later, _) in pairwise(rows)):
            raise ValueError(f"found {shown(raw)} out of order, give the times from the earliest to the latest")
        return tuple(rows)

    def describe(self) -> str:
        """Say what to write."""
        return 'temperature, `"85 °C"`, or rows of time and temperature, `[["0 min", "25 °C"], ["15 min", "85 °C"]]`'

    def show(self, value: Any) -> str:
        """Write it."""
        return ", ".join(format_quantity(temperature, "temperature") for _, temperature in value)

    def write(self, value: Any) -> Any:
        """Write the rows as a scenario states them."""
        return [[_TIME.write(time), _WATER.write(temperature)] for time, temperature in value]


class MeltingTable(TomlTable):
    """How the wax is melted: flakes in a metal pitcher that stands in a water bath."""

    pitcher_diameter: Annotated[float, Quantity("length", "40 mm", "1 m", "130 mm")] = like(
        Bath, "diameter", "Inside diameter of the pitcher.", source=ESTIMATE
    )
    pitcher_height: Annotated[float, Quantity("length", "40 mm", "1 m", "160 mm")] = like(
        Bath, "height", "Inside height of the pitcher.", source=ESTIMATE
    )
    pitcher_emissivity: Annotated[float, Number(0.02, 1.0)] = like(
        Bath, "emissivity", "Of its outside, on the way down.", source="estimate: brushed metal with prints"
    )
    water: Annotated[tuple[tuple[float, float], ...], WaterRows()] = like(
        Bath, "water", "Temperature of the water, from when the pitcher is put into it.", source=PRACTICE
    )
    water_depth: Annotated[float, Quantity("length", "5 mm", "1 m", "80 mm")] = like(
        Bath, "water_depth", "How deep the pitcher stands in the water.", source=ESTIMATE
    )
    water_film: Annotated[float, Quantity("film_coefficient", "50 W/m2K", "5000 W/m2K", "400 W/m2K")] = like(
        Bath, "water_film", "Film coefficient of the water on the pitcher.", source="estimate: free convection of water"
    )
    void: Annotated[float, Number(0.0, 0.9)] = like(
        Bath, "void", "Share of air in the heap of flakes.", source=ESTIMATE
    )
    stirring: Annotated[bool, Flag()] = like(Bath, "stirring", "Whether the melt is stirred again and again.")
    stirred_film: Annotated[float, Quantity("film_coefficient", "20 W/m2K", "2000 W/m2K", "150 W/m2K")] = like(
        Bath, "stirred_film", "Film coefficient of stirred wax on the wall and on the flakes.", source=ESTIMATE
    )
    flake: Annotated[float, Quantity("length", "0.5 mm", "50 mm", "4 mm")] = like(
        Bath, "flake", "Thickness of a flake.", source=ESTIMATE
    )
    contact: Annotated[float, Quantity("film_coefficient", "1 W/m2K", "500 W/m2K", "25 W/m2K")] = like(
        Bath, "contact", "Contact conductance between flakes and the wall that they touch.", source=ESTIMATE
    )
    start: Annotated[float | None, Quantity("temperature", "-20 °C", "60 °C", "21 °C")] = key(
        "Temperature of flakes and oil.", default=None, shown="that of the room"
    )
    oil_at: Annotated[float, Quantity("temperature", "30 °C", "150 °C", "75 °C")] = like(
        Bath, "oil_at", "Temperature of the wax at which the oil is added, by the sheets of both.", source=PRACTICE
    )
    oil_heat_capacity: Annotated[float, Quantity("heat_capacity", "1000 J/kgK", "4000 J/kgK", "1900 J/kgK")] = like(
        Bath, "oil_heat_capacity", "Heat capacity of the oil.", source=ESTIMATE
    )
    stirred_for: Annotated[float, Quantity("duration", "0 s", "30 min", "2 min")] = like(
        Bath, "stirred_for", "How long the oil is stirred in, out of the bath.", source=PRACTICE
    )
    between: Annotated[float, Quantity("duration", "0 s", "12 h", "15 min")] = like(
        Bath,
        "between",
        "Between two melts: from the pour until the jars are filled and the pitcher, clean and full again, is back in"
        " the hot water.",
        source=ESTIMATE,
    )


def bath_of(melting: MeltingTable) -> Bath:
    """Build pitcher and water bath."""
    return Bath(**{name.removeprefix("pitcher_"): getattr(melting, name) for name in MeltingTable.model_fields})
