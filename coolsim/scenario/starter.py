"""A commented scenario to start from."""

from __future__ import annotations

from typing import Literal

from coolsim.errors import ScenarioError
from coolsim.model.catalogue import TRADE_NAMES
from coolsim.model.materials import catalogue_inert, catalogue_wax, inert_names, wax_names
from coolsim.model.properties import METAL_CONDUCTIVITY
from coolsim.scenario.read import scenario_from_data
from coolsim.scenario.toml_file import parsed, toml_value
from coolsim.units import format_quantity

# Usual superheat of a pour over the start of freezing [K]: an estimate.
_SUPERHEAT = 13.5

# The same jar in the measures of either workshop, rounded as each would write them.
_USUAL = {
    "metric": {
        "diameter": "78 mm",
        "height": "86 mm",
        "wall": "3.5 mm",
        "base": "8 mm",
        "amount": "235 mL",
        "thickness": "30 mm",
        "gap": "12 mm",
        "headroom": "15 mm",
        "room": "21 °C",
    },
    "us": {
        "diameter": "3 1/16 in",
        "height": "3 3/8 in",
        "wall": "1/8 in",
        "base": "5/16 in",
        "amount": "8 fl oz",
        "thickness": "1 1/4 in",
        "gap": "1/2 in",
        "headroom": "5/8 in",
        "room": "70 °F",
    },
}

# Walls of tins; close to TIN_WALL of the catalogue.
_SHEET = {"metric": "0.25 mm", "us": "0.01 in"}

_BARE = """\
# Take the marks away for a cardboard box round the jar.
# [surround]
# gap = {gap}           # mean air gap between jar and board
# headroom = {headroom}      # air between the brim and the flaps
# flute = {flute}             # letter of the corrugated board: E, B or C
# flaps = {flaps}        # "closed" or "open"
"""

_BOXED = """\
# The cardboard box round the jar; leave this table out for a bare jar.
[surround]
gap = {gap}             # mean air gap between jar and board: measure it
headroom = {headroom}        # air between the brim and the flaps: measure it
flute = {flute}               # letter of the corrugated board: E, B or C
flaps = {flaps}          # "closed" or "open"
"""

_BOX_OF_MANY = """\
# The cardboard box round the jars.
[surround]
headroom = {headroom}        # air between the brims and the flaps: measure it
flute = {flute}               # letter of the corrugated board: E, B or C
flaps = {flaps}          # "closed" or "open"

# Where the jars stand in it; `coolsim box` runs them together.
[places]
rows = {rows}                  # of places
columns = {columns}               # places in each row
spacing = {spacing}         # smallest distance between neighbours: measure it
to_wall = {gap}         # smallest distance between the outer jars and the wall: measure it
dividers = false          # true: a layer of board stands between neighbours
# empty = [[1, 1]]        # row and column of places without a jar
"""

_STARTER = """\
# A scenario for coolsim. Values with units stand in quotes, as in "90 mm" or "3 1/2 in".
# Keys that are left out take their defaults; `coolsim keys` lists all keys.

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
    diameter: str | None = None,
    height: str | None = None,
    wall: str | None = None,
    base: str | None = None,
    material: str = "glass",
    wax: str = "soft-vegetable",
    fragrance_load: str = "8 %",
    pour: str | None = None,
    fill: Literal["level", "volume", "mass"] = "volume",
    amount: str | None = None,
    support: str = "oak",
    thickness: str | None = None,
    boxed: bool = False,
    rows: int | None = None,
    columns: int | None = None,
    spacing: str | None = None,
    gap: str | None = None,
    headroom: str | None = None,
    flute: str = "B",
    flaps: Literal["open", "closed"] = "closed",
    room: str | None = None,
    units: Literal["metric", "us"] = "metric",
) -> str:
    """Write a scenario with comments, to be edited.

    Parameters
    ----------
    title : str
        What the report calls it.
    diameter, height, wall, base : str, optional
        Outside measures and thicknesses of the jar, with units; left out, those of a tumbler of 300 mL to the brim, of
        thin sheet if it is of metal.
    material : str
        Of the jar, from the catalogue, or "tin".
    wax : str
        Of the catalogue, or "soy".
    fragrance_load : str
        Mass of oil in the mass of the mix, with %.
    pour : str, optional
        Pour temperature with its unit; left out, 20 K above the start of freezing of the wax.
    fill : {"level", "volume", "mass"}
        How the amount of wax is stated.
    amount : str, optional
        How much, with its unit; left out, 235 mL or 8 fl oz.
    support : str
        Material of the bench, from the catalogue.
    thickness : str, optional
        Of the bench, with its unit; left out, that of a workbench.
    boxed : bool
        Whether the box stands in the file, or only in comments.
    rows, columns : int, optional
        Places of many jars in one box [-]; left out, the box holds one.
    spacing : str, optional
        Smallest distance between many jars, with its unit; left out, 12 mm or half an inch.
    gap, headroom, flute, flaps : str, optional
        The box; of many jars the gap is their smallest distance to its wall.
    room : str, optional
        Room temperature with its unit; left out, 21 °C or 70 °F.
    units : {"metric", "us"}
        Units of the report, and of what is left out.

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
    usual = _USUAL[units]
    if _is_metal(material):
        usual = usual | dict.fromkeys(("wall", "base"), _SHEET[units])

    def stated(name: str, value: str | None) -> str:
        return toml_value(usual[name] if value is None else value)

    if pour is None:
        kind = TRADE_NAMES.get(wax, wax)
        if kind not in wax_names():
            raise ScenarioError(f"starter: wax.kind: found {wax!r}, give one of {', '.join(wax_names())}.")
        pour = format_quantity(catalogue_wax(kind).freezing_starts + _SUPERHEAT, "temperature", system=units)
    of_many = rows is not None or columns is not None
    surround = (_BOX_OF_MANY if of_many else _BOXED if boxed else _BARE).format(
        gap=stated("gap", gap),
        headroom=stated("headroom", headroom),
        flute=toml_value(flute),
        flaps=toml_value(flaps),
        rows=1 if rows is None else rows,
        columns=1 if columns is None else columns,
        spacing=stated("gap", spacing),
    )
    text = _STARTER.format(
        title=toml_value(title),
        units=toml_value(units),
        diameter=stated("diameter", diameter),
        height=stated("height", height),
        wall=stated("wall", wall),
        base=stated("base", base),
        material=toml_value(material),
        wax=toml_value(wax),
        fragrance_load=toml_value(fragrance_load),
        pour=toml_value(pour),
        fill_key=fill,
        fill=stated("amount", amount),
        support=toml_value(support),
        thickness=stated("thickness", thickness),
        surround=surround,
        room=stated("room", room),
    )
    scenario_from_data(parsed(text, "starter"), where="starter")
    return text


def _is_metal(material: str) -> bool:
    name = TRADE_NAMES.get(material, material)
    return name in inert_names() and catalogue_inert(name).conductivity > METAL_CONDUCTIVITY
