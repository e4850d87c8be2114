"""How long the wax takes until the pour, as text and as data."""

from __future__ import annotations

from typing import Any

import numpy as np

from coolsim.report.blocks import Block, Column, Note, Table
from coolsim.report.text.amounts import mass_text
from coolsim.report.text.page import as_text
from coolsim.report.wording import hours_minutes, keyed, temperature_text
from coolsim.studies.workshop.melting import Melting
from coolsim.units import System, format_quantity

NOTE = (
    "Estimates: melt and flakes have one temperature each, and the times depend on the film of the water"
    " (melting.water_film), on how flakes lie (melting.void, melting.flake, melting.contact) and on stirring"
    " (melting.stirring, melting.stirred_film). Flakes melt in their stable form: up to the clear point"
    " (wax.clear_point), above the start of freezing, and with its heat (wax.melting_heat). A thermometer in the wax"
    " tells better."
)
"""What the figures rest on."""


def melting_blocks(found: Melting, *, units: System, of: str = "") -> list[Block]:
    """Write how long the wax takes; `of` says which of several melts it is."""
    bath = found.bath
    water = " to ".join(dict.fromkeys(temperature_text(one, units) for one in (bath.water[0][1], bath.water[-1][1])))
    digits = 0 if units == "metric" else None
    heaped, melted = (format_quantity(float(found.level[at]), "length", system=units, digits=digits) for at in (0, -1))
    head = (
        f"{mass_text(found.wax, units)} of wax in flakes and {mass_text(found.oil, units)} of oil, water at {water},"
        f" {'stirred again and again' if bath.stirring else 'not stirred'}. The flakes are heaped {heaped} high, the"
        f" melt stands {melted} high."
    )
    moments = (
        ("All wax has melted", found.all_melted, _at(found, found.all_melted)),
        ("Add the oil, out of the bath", found.oil_at, _at(found, found.oil_at)),
        ("The oil is in: the mix has", found.oil_at, found.after_oil),
        ("Stirred in", found.stirred, None),
        ("Pour", found.pour, found.scenario.jar.pour),
    )
    table = Table(
        columns=(Column(width=44), Column(width=10, right=True), Column(width=12, right=True)),
        headings=("Since the pitcher was put into the water", "h:mm", "wax"),
        rows=tuple(
            (label, hours_minutes(time), "" if wax is None else temperature_text(wax, units))
            for label, time, wax in moments
        ),
        gap=0,
        ruled=True,
    )
    warnings = (Note(f"Warning: {warning}") for warning in found.warnings)
    return [Note(f"Melting: {found.scenario.title}{of}"), Note(head), table, *warnings, Note(NOTE, rests=True)]


melting_text = as_text(melting_blocks)


def _at(found: Melting, time: float) -> float:
    # The oil goes in at a step: the state before it counts.
    return _hot(found) if time == found.oil_at else float(np.interp(time, found.time, found.temperature))


def _hot(found: Melting) -> float:
    return float(found.temperature[np.searchsorted(found.time, found.oil_at)])


def melting_data(found: Melting) -> dict[str, Any]:
    """Give how long the wax takes as plain data: in SI and °C, the unit at the end of each name."""
    curves = {"time_s": "time", "wax_C": "temperature", "around_C": "water", "melted": "melted", "level_m": "level"}
    return {
        "title": found.scenario.title,
        **keyed(found, "wax_kg oil_kg"),
        "clear_point_C": found.clear,
        **keyed(found, "all_melted_s oil_at_s"),
        "oil_at_C": _hot(found),
        **keyed(found, "after_oil_C stirred_s pour_s"),
        "pour_C": found.scenario.jar.pour,
        "curves": {key: getattr(found, name).tolist() for key, name in curves.items()},
        "warnings": list(found.warnings),
    }
