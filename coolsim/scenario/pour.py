"""The table `[pour]`: how hot, and how much."""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import Annotated

from coolsim.model.materials import poured_density
from coolsim.scenario.calendar import ClockTime
from coolsim.scenario.table import ESTIMATE, Doubt, Fault, Show, TomlTable, UnreadableError, exactly_one, key
from coolsim.scenario.values import Quantity
from coolsim.scenario.vessel import VesselTable
from coolsim.scenario.wax import WaxTable, wax_of

FILLS = ("level", "volume", "mass")
"""Keys of which one says how much is poured."""

_FILL = "Give exactly one of `level`, `volume` and `mass`."


class PourTable(TomlTable):
    """The pour: how hot, and how much."""

    temperature: Annotated[float, Quantity("temperature", "0 °C", "120 °C", "60 °C")] = key(
        "Of the wax when it is poured.", doubt=Doubt(-3.0, 3.0, "estimate: wax cools while it is poured", "differences")
    )
    level: Annotated[float | None, Quantity("length", "5 mm", "400 mm", "60 mm")] = key(
        f"Depth of the hot wax. {_FILL}", default=None, shown="one of three", instead=("volume", "mass")
    )
    volume: Annotated[float | None, Quantity("volume", "1 mL", "30 L", "235 mL")] = key(
        f"Volume of the hot wax. {_FILL}", default=None, shown="one of three", instead=("level", "mass")
    )
    mass: Annotated[float | None, Quantity("mass", "1 g", "30 kg", "200 g")] = key(
        f"Mass of wax and fragrance. {_FILL}", default=None, shown="one of three", instead=("level", "volume")
    )
    thickest: Annotated[float, Quantity("fraction", "0 %", "30 %", "10 %")] = key(
        "Solid share up to which wax that has begun to set, and looks cloudy, still pours.",
        source=f"{ESTIMATE}: fluid shortening pours with about 10 % solid (a trade dictionary)",
        default=0.1,
    )
    clock: Annotated[float | None, ClockTime()] = key(
        "When it is poured; the day plan then has clock times.", default=None, shown="times are counted from the pour"
    )


def depth_of(pour: PourTable, vessel: VesselTable, wax: WaxTable) -> float:
    """Depth of the hot wax [m], from level, volume or mass; the one density is that of the pour."""
    if pour.level is not None:
        return pour.level
    volume = pour.volume
    if volume is None:
        if pour.mass is None:
            raise UnreadableError("level")
        volume = pour.mass / poured_density(wax_of(wax), pour.temperature)
    radius = 0.5 * vessel.diameter - vessel.wall
    if radius <= 0.0:
        raise UnreadableError("wall")
    return volume / (math.pi * radius**2)


def fill_is_stated_once(pour: PourTable, show: Show) -> Iterator[Fault]:
    """Find fault with none or several of level, volume and mass."""
    return exactly_one(pour, "pour", FILLS)
