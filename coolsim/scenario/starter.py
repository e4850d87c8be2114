"""A commented scenario to start from."""

from __future__ import annotations

import json
from typing import Literal

from coolsim.errors import ScenarioError
from coolsim.model.materials import catalogue_wax, wax_names
from coolsim.scenario.read import parsed, scenario_from_data
from coolsim.units import format_quantity

# Usual superheat of a pour over the start of freezing [K]: an estimate.
_SUPERHEAT = 20.0

_BARE = """\
# Take the marks away for a cardboard box round the jar.
# [surround]
# gap = {gap}           # mean air gap between jar and board
# headroom = {headroom}      # air between the rim and the flaps
# flute = {flute}             # letter of the corrugated board: E, B or C
# flaps = {flaps}        # "closed" or "open"
"""

_BOXED = """\
# The cardboard box round the jar; leave this table out for a bare jar.
[surround]
gap = {gap}             # mean air gap between jar and board: measure it
headroom = {headroom}        # air between the rim and the flaps: measure it
flute = {flute}               # letter of the corrugated board: E, B or C
flaps = {flaps}          # "closed" or "open"
"""

_STARTER = """\
# A scenario for coolsim. Values with units stand in quotes, as in "90 mm" or "3 1/2 in".
# Keys that are left out take their defaults; the README lists all keys.

title = {title}
units = {units}          # units of the report: "metric" or "us"

# The jar or tin: measure it.
[vessel]
diameter = {diameter}        # outside
height = {height}          # outside
wall = {wall}             # thickness
base = {base}             # thickness
material = {material}       # from the catalogue, or a name of your own with conductivity, density, heat_capacity

# Take the properties from the supplier's data sheet where he states them, such as latent_heat or freezing_starts;
# the catalogue's values are not those of your wax.
[wax]
kind = {wax}
fragrance_load = {fragrance_load}   # mass of oil in the mass of the mix

[pour]
temperature = {pour}     # stay below the limits of the wax's and the fragrance's data sheets
{fill_key} = {fill}           # give one of level, volume and mass

# What the jar, or the box, stands on.
[support]
material = {support}
thickness = {thickness}

{surround}
[room]
temperature = {room}
"""


def starter_text(
    *,
    title: str = "A jar of mine",
    diameter: str = "78 mm",
    height: str = "86 mm",
    wall: str = "3.5 mm",
    base: str = "8 mm",
    material: str = "glass",
    wax: str = "soft-vegetable",
    fragrance_load: str = "8 %",
    pour: str | None = None,
    fill: Literal["level", "volume", "mass"] = "volume",
    amount: str = "235 mL",
    support: str = "oak",
    thickness: str = "30 mm",
    boxed: bool = False,
    gap: str = "12 mm",
    headroom: str = "15 mm",
    flute: str = "B",
    flaps: Literal["open", "closed"] = "closed",
    room: str = "21 °C",
    units: Literal["metric", "us"] = "metric",
) -> str:
    """Write a scenario with comments, to be edited.

    Parameters
    ----------
    title : str
        What the report calls it.
    diameter, height, wall, base : str
        Outside measures and thicknesses of the jar, with units.
    material : str
        Of the jar, from the catalogue.
    wax : str
        Of the catalogue.
    fragrance_load : str
        Mass of oil in the mass of the mix, with %.
    pour : str, optional
        Pour temperature with its unit; left out, 20 K above the start of freezing of the wax.
    fill : {"level", "volume", "mass"}
        How the amount of wax is stated.
    amount : str
        How much, with its unit.
    support : str
        Material of the bench, from the catalogue.
    thickness : str
        Of the bench, with its unit.
    boxed : bool
        Whether the box stands in the file, or only in comments.
    gap, headroom, flute, flaps : str
        The box.
    room : str
        Room temperature with its unit.
    units : {"metric", "us"}
        Units of the report.

    Returns
    -------
    str
        TOML; it loads.

    Raises
    ------
    ScenarioError
        If the options make no scenario.

    Examples
    --------
    >>> print(starter_text(title="Small jar").splitlines()[3])
    title = "Small jar"
    """
    if pour is None:
        if wax not in wax_names():
            raise ScenarioError(f"starter: wax.kind: found {wax!r}, give one of {', '.join(wax_names())}.")
        pour = format_quantity(catalogue_wax(wax).freezing_starts + _SUPERHEAT, "temperature", system=units)
    surround = (_BOXED if boxed else _BARE).format(
        gap=_quoted(gap), headroom=_quoted(headroom), flute=_quoted(flute), flaps=_quoted(flaps)
    )
    text = _STARTER.format(
        title=_quoted(title),
        units=_quoted(units),
        diameter=_quoted(diameter),
        height=_quoted(height),
        wall=_quoted(wall),
        base=_quoted(base),
        material=_quoted(material),
        wax=_quoted(wax),
        fragrance_load=_quoted(fragrance_load),
        pour=_quoted(pour),
        fill_key=fill,
        fill=_quoted(amount),
        support=_quoted(support),
        thickness=_quoted(thickness),
        surround=surround,
        room=_quoted(room),
    )
    scenario_from_data(parsed(text, "starter"), where="starter")
    return text


def _quoted(text: str) -> str:
    """Write a text as TOML does; JSON's escapes are TOML's, but it leaves DEL as it is."""
    return json.dumps(text, ensure_ascii=False).replace("\x7f", "\\u007f")
