"""The table `[vessel]`: the jar or tin."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Annotated

from coolsim.model.catalogue import CONTACTS, EMISSIVITIES, INERTS, CatalogueValue
from coolsim.model.jar import Vessel
from coolsim.scenario.made_of import Conductivity, Density, Emissivity, HeatCapacity, Material, inert_of, own
from coolsim.scenario.table import ESTIMATE, Doubt, Fault, Show, TomlTable, key, like, told
from coolsim.scenario.values import Quantity

NARROWEST_WAX = 5e-3
"""Least radius and depth of the wax [m]."""

_LOWEST_INSIDE = 10e-3
_PRESSED = Doubt(0.8, 1.25, "estimate: pressed glass")


class VesselTable(TomlTable):
    """The jar or tin."""

    diameter: Annotated[float, Quantity("length", "20 mm", "300 mm", "78 mm")] = key("Outside diameter.")
    height: Annotated[float, Quantity("length", "20 mm", "400 mm", "90 mm")] = key("Outside height.")
    wall: Annotated[float, Quantity("length", "0.1 mm", "15 mm", "3 mm")] = key(
        "Thickness of the wall.", doubt=_PRESSED
    )
    base: Annotated[float, Quantity("length", "0.1 mm", "30 mm", "6 mm")] = key(
        "Thickness of the base.", doubt=_PRESSED
    )
    material: Material = key("What it is made of.")
    conductivity: Conductivity = own()
    density: Density = own()
    heat_capacity: HeatCapacity = own()
    emissivity: Emissivity = like(
        Vessel,
        "emissivity",
        "Of its outside; bright metal is far lower.",
        source=told(EMISSIVITIES["glass"]),
        spread=True,
    )
    foot: Annotated[float | None, Quantity("film_coefficient", "2 W/m2K", "1000 W/m2K", "25 W/m2K")] = key(
        "Contact conductance between its foot and what it stands on.",
        source=ESTIMATE,
        default=None,
        spread=True,
        behind="Every answer",
        # On a rack a foot stands on nothing but the board of a box.
        matters=lambda file: (
            file.support.kind != "rack" or (file.cardboard is not None and file.cardboard.under_layers > 0)
        ),
        shown=f"glass {CONTACTS['glass-on-bench'].nominal:g}, metal {CONTACTS['tin-on-bench'].nominal:g},"
        f" on board {CONTACTS['jar-on-board'].nominal:g} W/m2K",
    )
    temperature: Annotated[float | None, Quantity("temperature", "-20 °C", "120 °C", "40 °C")] = key(
        "Of the jar when the wax is poured, if it was warmed before.",
        default=None,
        shown="that of the room",
        doubt=Doubt(-4.0, 4.0, kind="differences"),
    )
    shock_limit: Annotated[float, Quantity("temperature_difference", "5 °C", "500 °C", "42 °C")] = like(
        Vessel,
        "shock_limit",
        "Largest sudden temperature difference that it withstands; ask the maker of the glass. Metal has none.",
        source="common in test standards for glass containers, from memory",
        behind="The shock of the jar",
        matters=lambda file: not inert_of(file.vessel).is_metal,
    )

    def catalogued(self, name: str) -> CatalogueValue | None:
        """Find what the catalogue knows of a key of this table."""
        if name == "emissivity":
            return EMISSIVITIES["glass"] if self.material == "glass" else None
        return INERTS.get(self.material, {}).get(name)


def contact_of_foot(vessel: VesselTable, *, on_board: bool) -> CatalogueValue:
    """Find the usual contact of a foot on board, or on a bench."""
    metal = inert_of(vessel).is_metal
    return CONTACTS["jar-on-board" if on_board else "tin-on-bench" if metal else "glass-on-bench"]


def vessel_of(vessel: VesselTable, *, on_board: bool, stated: bool = True) -> Vessel:
    """Build the vessel; `stated` tells whether a contact that is stated is that of this place."""
    foot = vessel.foot if stated else None
    return Vessel(
        material=inert_of(vessel),
        foot=contact_of_foot(vessel, on_board=on_board).nominal if foot is None else foot,
        start=vessel.temperature,
        **vessel.given("diameter", "height", "wall", "base", "emissivity", "shock_limit"),
    )


def walls_leave_room(vessel: VesselTable, show: Show) -> Iterator[Fault]:
    """Find fault with a wall that leaves no room for wax."""
    thickest = 0.5 * vessel.diameter - NARROWEST_WAX
    if vessel.wall > thickest:
        yield (
            "vessel.wall",
            f"found {show(vessel.wall, 'length')}, too thick for a jar {show(vessel.diameter, 'length')} wide,"
            f" give at most {show(thickest, 'length')}",
        )


def base_leaves_room(vessel: VesselTable, show: Show) -> Iterator[Fault]:
    """Find fault with a base that leaves no room for wax."""
    thickest = vessel.height - _LOWEST_INSIDE
    if vessel.base > thickest:
        yield (
            "vessel.base",
            f"found {show(vessel.base, 'length')}, too thick for a jar {show(vessel.height, 'length')} high,"
            f" give at most {show(thickest, 'length')}",
        )
