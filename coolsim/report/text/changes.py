"""What a workshop can do differently, in words: one home for the pour, the handout and `coolsim whatif`."""

from __future__ import annotations

from typing import Any

from coolsim.model.jar import Surround
from coolsim.report.wording import hours_minutes, length_text, temperature_text
from coolsim.studies.pour.remedies import RemedyChange
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
    "stand it among others": "stand other jars on two sides of it",
    "stand them apart": "stand the jars {length} apart",
    "lay a towel under it": "lay a towel of {length} under it",
    "allow longer": "allow {time} h",
}
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


def made_up_box_note(box: Surround, units: System) -> str:
    """Say which box a jar that has none is put into."""
    return (
        "The scenario has no box; the box here is that of the built-in pair, open, with neighbours on two sides, a"
        f" gap of {length_text(box.gap, units)} and a headroom of {length_text(box.headroom, units)}."
    )


def value_data(name: RemedyChange, value: float | str | None) -> dict[str, Any]:
    """Give the value that a change goes to [its unit] as plain data, the unit at the end of its key."""
    return {"value" if isinstance(value, str) else _UNITS.get(name, "value_C"): value}
