"""What a workshop can do differently with a jar: each change in one place, with the keys of a scenario that it sets.

The study of the pour tries them where no pour passes, the handout and `coolsim whatif` round one jar.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from typing import Any, Literal

from coolsim.errors import ScenarioError
from coolsim.model.catalogue import FATS
from coolsim.scenario import Scenario, changed
from coolsim.studies.pour.limits import HOTTEST_JAR, MARGIN
from coolsim.studies.sweep.sweep import Point, point_of
from coolsim.units import System

ChangeName = Literal[
    "put it into the box",
    "put it into the box, flaps closed",
    "put it alone into the box",
    "leave it bare",
    "warm the jar",
    "cool the jar",
    "warm the room",
    "cool the room",
    "warm the water",
    "cool the water",
    "pour hotter",
    "pour cooler",
    "fill less",
    "other wax",
    "still air",
    "close the flaps",
    "open the flaps",
    "cover the flaps",
    "stand it alone",
    "stand it among others",
    "stand them apart",
    "lay a towel under it",
]

WARMEST_ROOM, COLDEST_ROOM = 30.0, 10.0
"""What a workshop may still do: no advice goes beyond [°C]."""

STEPS: Mapping[System, Mapping[str, float]] = {
    "metric": {"jar": 15.0, "room": 4.0, "pour": 5.0},
    "us": {"jar": 25.0 / 1.8, "room": 8.0 / 1.8, "pour": 10.0 / 1.8},
}
"""By how much jar, room and pour are changed where one change of each is tried [K]."""

COVER = 10e-3
"""Thickness of the towel that is tried on closed flaps, or under a jar [m]."""

LESS = 0.75
"""Share of its depth that a jar is filled to where less wax is tried [-]."""

ALONE, AMONG_OTHERS = 4, 2
"""Sides of a jar that face the wall of its box, alone and in the corner of a box of many [-]."""

_KEYS: Mapping[ChangeName, str] = {
    "warm the jar": "vessel.temperature",
    "cool the jar": "vessel.temperature",
    "warm the room": "room.temperature",
    "cool the room": "room.temperature",
    "warm the water": "surround.temperature",
    "cool the water": "surround.temperature",
    "pour hotter": "pour.temperature",
    "pour cooler": "pour.temperature",
    "cover the flaps": "surround.cover_thickness",
}
_FIXED: Mapping[ChangeName, Mapping[str, Any]] = {
    "still air": {"room.air_speed": 0.0},
    "close the flaps": {"surround.flaps": "closed"},
    "open the flaps": {"surround.flaps": "open", "surround.cover_thickness": None, "surround.cover_conductivity": None},
    "put it into the box, flaps closed": {"surround.flaps": "closed"},
    "put it alone into the box": {"surround.exposed_sides": ALONE},
    "stand it alone": {"surround.exposed_sides": ALONE},
    "stand it among others": {"surround.exposed_sides": AMONG_OTHERS},
}
_REACH: Mapping[ChangeName, tuple[float, float]] = {
    "warm the jar": (-math.inf, HOTTEST_JAR),
    "warm the room": (-math.inf, WARMEST_ROOM),
    "cool the room": (COLDEST_ROOM, math.inf),
}
# What another wax keeps of the one before; all else that is stated of that is its own.
_OF_THE_OIL = ("fragrance", "fragrance_load", "fragrance_molar_mass", "fragrance_limit")
_OTHERS = ("soft-vegetable", "coconut-blend")


@dataclass(frozen=True, slots=True, kw_only=True)
class WorkshopChange:
    """One thing that is done differently: the scenario that it is made to, and the values by dotted key [SI, °C].

    `value` is what it goes to: a temperature [°C], a length [m], the share of the fill that is left [-], a number of
    sides [-], or the name of a wax; None for a change without one.
    """

    name: ChangeName
    value: float | str | None
    scenario: Scenario
    values: Mapping[str, Any]

    @property
    def in_reach(self) -> bool:
        """Whether a workshop can do it: a jar that a hand can hold, a room that one works in."""
        low, high = _REACH.get(self.name, (-math.inf, math.inf))
        return not isinstance(self.value, float) or low <= self.value <= high

    @property
    def forbidden(self) -> str | None:
        """Why it is not to be tried; None if nothing known speaks against it."""
        if not isinstance(self.value, float):
            return None
        above = min(self.scenario.pour_limits.values(), default=math.inf)
        if self.name == "pour hotter" and self.value > above:
            return "against the data sheet"
        if self.name == "pour cooler" and self.value < self.scenario.jar.wax.freezing_starts + MARGIN:
            return "too near freezing"
        return None

    def made(self) -> Scenario:
        """Return the changed scenario; ScenarioError if there is no such thing."""
        return changed(self.scenario, {"report": None, **self.values})

    def point(self) -> Point:
        """Make the point of a sweep with it, which may say why it is not to be tried, or cannot be."""
        point = point_of(self.scenario, {"report": None, **self.values})
        return point if self.forbidden is None else replace(point, fault=self.forbidden)


def change_to(scenario: Scenario, name: ChangeName, value: float | str | None = None) -> WorkshopChange:
    """Make a change to a scenario, with the value that it goes to [its unit]; a box comes with the scenario of it."""
    values = dict(_FIXED.get(name, {}))
    if name in _KEYS:
        values[_KEYS[name]] = value
    elif name == "fill less" and isinstance(value, float):
        values["pour.level"] = value * scenario.jar.depth
    elif name == "lay a towel under it":
        values |= {"support.mat": "towel", "support.mat_thickness": value}
    elif name == "other wax":
        stated = (key for key in type(scenario.file.wax).model_fields if scenario.file.wax.states(key))
        values |= {f"wax.{key}": None for key in stated if key not in ("kind", *_OF_THE_OIL)}
        # As high as before: the mass of another wax would fill another part of the jar.
        values |= {"wax.kind": value, "pour.level": scenario.jar.depth}
    return WorkshopChange(name=name, value=value, scenario=scenario, values=values)


def warmer_or_colder(scenario: Scenario, name: ChangeName) -> WorkshopChange:
    """Make a change of temperature by one step of the workshop."""
    jar, steps = scenario.jar, STEPS[scenario.units]
    water = 0.0 if jar.water is None else jar.water.temperature
    value = {
        "warm the jar": jar.vessel_start + steps["jar"],
        "cool the jar": jar.room.at(0.0),
        "warm the room": jar.room.at(0.0) + steps["room"],
        "cool the room": jar.room.at(0.0) - steps["room"],
        "warm the water": water + steps["room"],
        "cool the water": water - steps["room"],
        "pour hotter": jar.pour + steps["pour"],
        "pour cooler": jar.pour - steps["pour"],
    }[str(name)]
    return change_to(scenario, name, value)


def other_waxes(scenario: Scenario) -> Iterator[WorkshopChange]:
    """Change to another wax of the catalogue that may be poured as hot as this one, if it is not one of its kind."""
    own = scenario.file.wax.kind
    for kind in _OTHERS:
        change = change_to(scenario, "other wax", kind)
        if kind == own or (kind in FATS and own in FATS):
            continue
        try:
            starts = change.made().jar.wax.freezing_starts
        except ScenarioError:
            continue
        if scenario.jar.pour >= starts + MARGIN:
            yield change
