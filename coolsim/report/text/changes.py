"""What a workshop can do differently, in words: one home for the pour, the handout and `coolsim whatif`."""

from __future__ import annotations

from typing import Any

from coolsim.report.wording import hours_minutes, length_text, temperature_text
from coolsim.studies.pour.remedies import RemedyChange
from coolsim.studies.workshop.whatif import Fault
from coolsim.units import System

_SAID: dict[RemedyChange, str] = {
    "put it into the box": "put it into the box",
    "put it into the box, flaps closed": "put it into the box, flaps closed",
    "put it alone into the box": "put it alone into the box",
    "leave it bare": "leave it bare on the bench",
    "warm the jar": "warm the jar to {temperature}",
    "cool the jar": "let the jar cool to {temperature}",
    "warm the room": "warm the room to {temperature}",
    "cool the room": "cool the room to {temperature}",
    "warm the water": "warmer water, at {temperature}",
    "cool the water": "colder water, at {temperature}",
    "pour hotter": "pour hotter, at {temperature}",
    "pour cooler": "pour cooler, at {temperature}",
    "fill less": "fill only {share} as high",
    "other wax": "take another wax: {word}",
    "still air": "keep draughts off",
    "close the flaps": "close the flaps",
    "open the flaps": "open the flaps",
    "cover the flaps": "lay a towel of {length} over the flaps",
    "stand it alone": "stand it alone in the box",
    "stand it among others": "stand it in the corner of a box of many",
    "stand them apart": "stand the jars {length} apart",
    "lay a towel under it": "lay a towel of {length} under it",
    "allow longer": "allow {time} h",
}
TURNS: dict[Fault, tuple[str, str]] = {
    "skin stays": ("the first skin then melts again", "the first skin at the wall then stays"),
    "jar shock": ("no longer beyond the shock limit", "beyond the shock limit of the jar"),
    "too near freezing": ("no longer too near freezing", "too near freezing"),
    "cloudy": ("no longer poured cloudy", "poured cloudy"),
    "wax maker's limit": ("no longer above the limit of the wax", "above the limit of the wax"),
    "fragrance limit": ("no longer above the limit of the oil", "above the limit of the oil"),
    "not set": ("sets within the run", "not set when the run ends"),
}
"""What is said where a change ends a fault, and where it brings one."""

_UNITS: dict[RemedyChange, str] = {
    "allow longer": "value_s",
    "fill less": "share",
    "cover the flaps": "value_m",
    "stand them apart": "value_m",
    "lay a towel under it": "value_m",
}


def change_text(name: RemedyChange, value: float | str | None, units: System) -> str:
    """Write what is done differently, as a clause, and the value that it goes to [its unit]."""
    number = value if isinstance(value, float) else 0.0
    return _SAID[name].format(
        temperature=temperature_text(number, units),
        share=f"{100 * number:.0f} %",
        length=length_text(number, units),
        time=hours_minutes(number),
        word=str(value).replace("-", " "),
    )


def value_data(name: RemedyChange, value: float | str | None) -> dict[str, Any]:
    """Give the value that a change goes to as plain data, the unit at the end of its key."""
    return {"value" if isinstance(value, str) else _UNITS.get(name, "value_C"): value}
