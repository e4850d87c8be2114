"""The tables of a scenario that say what stands where: vessel, wax, pour, support, surround.

One pydantic class for each table, one field for each key. Fields are in SI (°C) once read. Defaults are those of
`coolsim.model`; a field that defaults to None takes its value from the catalogue or from the other keys, and its
description says so. Sources of the defaults stand in `json_schema_extra`.
"""

import dataclasses
from typing import Annotated, Any

from pydantic import BaseModel, ConfigDict, Field

from coolsim.model.catalogue import (
    CONTACTS,
    EMISSIVITIES,
    FLUTE_HEIGHTS,
    FRAGRANCE_MOLAR_MASS,
    INERTS,
    CatalogueValue,
)
from coolsim.model.jar import Support, Surround, Vessel
from coolsim.model.materials import inert_names, wax_names
from coolsim.scenario.calendar import ClockTime
from coolsim.scenario.values import Choice, Count, FreezingRows, Number, Quantity, Text

_FROM_KIND = "that of the kind"
ESTIMATE = "estimate"

# With these the Rayleigh numbers stay inside the ranges of the laws for upright gaps (1e7) and level layers (1e8), for
# any temperatures that a scenario may state.
WIDEST_GAP = "80 mm"
"""Widest air gap round a jar."""
HIGHEST_HEADROOM = "150 mm"
"""Highest air space between rim and flaps."""


def _default_of(owner: type, name: str) -> Any:
    """Return the default of a dataclass field, so that no number stands in two places."""
    field = next(field for field in dataclasses.fields(owner) if field.name == name)
    return field.default


def key(description: str, *, source: str = "", default: Any = ..., shown: str = "") -> Any:
    """State a field; `shown` stands for the default in the table of keys."""
    return Field(default, description=description, json_schema_extra={"source": source, "shown": shown})


def like(owner: type, name: str, description: str, *, source: str = "") -> Any:
    """State a field whose default is that of a field of the model."""
    return key(description, source=source, default=_default_of(owner, name))


def told(value: CatalogueValue) -> str:
    """Write mark and source of a value of the catalogue."""
    return f"{value.mark}: {value.source}"


class Table(BaseModel):
    """A table of a scenario; a key that it does not have is a fault."""

    # Tables are checked as parts of the whole file only: none needs a validator of its own, which takes time to build.
    model_config = ConfigDict(extra="forbid", defer_build=True)


_Emissivity = Annotated[float, Number(0.02, 1.0)]
_Conductivity = Annotated[float | None, Quantity("conductivity", "0.01 W/mK", "500 W/mK", "1.0 W/mK")]
_Density = Annotated[float | None, Quantity("density", "10 kg/m3", "20000 kg/m3", "2500 kg/m3")]
_HeatCapacity = Annotated[float | None, Quantity("heat_capacity", "100 J/kgK", "5000 J/kgK", "840 J/kgK")]
_MaterialName = Text(40, about=f"a name of the catalogue ({', '.join(inert_names())}) or of your own")
_Material = Annotated[str, _MaterialName]
_OWN = "Of the material, instead of the catalogue's value; needed for a material of your own."
_OF_MATERIAL = "that of the material"


class VesselTable(Table):
    """The jar or tin."""

    diameter: Annotated[float, Quantity("length", "20 mm", "300 mm", "78 mm")] = key("Outside diameter.")
    height: Annotated[float, Quantity("length", "20 mm", "400 mm", "90 mm")] = key("Outside height.")
    wall: Annotated[float, Quantity("length", "0.1 mm", "15 mm", "3 mm")] = key("Thickness of the wall.")
    base: Annotated[float, Quantity("length", "0.1 mm", "30 mm", "6 mm")] = key("Thickness of the base.")
    material: _Material = key("What it is made of.")
    conductivity: _Conductivity = key(_OWN, default=None, shown=_OF_MATERIAL)
    density: _Density = key(_OWN, default=None, shown=_OF_MATERIAL)
    heat_capacity: _HeatCapacity = key(_OWN, default=None, shown=_OF_MATERIAL)
    emissivity: _Emissivity = like(
        Vessel, "emissivity", "Of its outside; bright metal is far lower.", source=told(EMISSIVITIES["glass"])
    )
    foot: Annotated[float | None, Quantity("film_coefficient", "2 W/m2K", "1000 W/m2K", "25 W/m2K")] = key(
        "Contact conductance between its foot and what it stands on.",
        source=ESTIMATE,
        default=None,
        shown=f"glass {CONTACTS['glass-on-bench'].nominal:g}, metal {CONTACTS['tin-on-bench'].nominal:g},"
        f" on board {CONTACTS['jar-on-board'].nominal:g} W/m2K",
    )
    temperature: Annotated[float | None, Quantity("temperature", "-20 °C", "120 °C", "40 °C")] = key(
        "Of the jar when the wax is poured, if it was warmed before.", default=None, shown="that of the room"
    )
    shock_limit: Annotated[float, Quantity("temperature_difference", "5 K", "500 K", "42 K")] = like(
        Vessel,
        "shock_limit",
        "Largest sudden temperature difference it is trusted with; ask the maker of the glass.",
        source="common in test standards for glass containers, from memory",
    )


def _of_wax(meaning: str) -> Any:
    return key(f"{meaning}, instead of the value of the kind.", default=None, shown=_FROM_KIND)


_WaxConductivity = Annotated[float | None, Quantity("conductivity", "0.05 W/mK", "1 W/mK", "0.22 W/mK")]
_WaxHeatCapacity = Annotated[float | None, Quantity("heat_capacity", "1000 J/kgK", "4000 J/kgK", "2000 J/kgK")]
_WaxDensity = Annotated[float | None, Quantity("density", "500 kg/m3", "1500 kg/m3", "880 kg/m3")]


class WaxTable(Table):
    """The wax and the fragrance in it."""

    kind: Annotated[str, Choice(wax_names())] = key("Wax of the catalogue.")
    freezing_starts: Annotated[float | None, Quantity("temperature", "0 °C", "120 °C", "45 °C")] = _of_wax(
        "Temperature at which crystals form on cooling, without fragrance"
    )
    freezing_ends: Annotated[float | None, Quantity("temperature", "0 °C", "120 °C", "35 °C")] = _of_wax(
        "Temperature at which it is frozen on cooling, without fragrance"
    )
    freezing: Annotated[tuple[tuple[float, float], ...] | None, FreezingRows()] = key(
        "Measured freezing curve on cooling, without fragrance, instead of `freezing_starts` and `freezing_ends`.",
        default=None,
        shown=_FROM_KIND,
    )
    clear_point: Annotated[float | None, Quantity("temperature", "0 °C", "120 °C", "50 °C")] = key(
        "Temperature at which it is clear on heating.",
        default=None,
        shown="as far above the start of freezing as that of the kind",
    )
    latent_heat: Annotated[float | None, Quantity("latent_heat", "10 kJ/kg", "400 kJ/kg", "130 kJ/kg")] = _of_wax(
        "Heat of freezing, without fragrance"
    )
    heat_capacity_solid: _WaxHeatCapacity = _of_wax("Heat capacity of the solid")
    heat_capacity_liquid: _WaxHeatCapacity = _of_wax("Heat capacity of the liquid")
    conductivity_solid: _WaxConductivity = _of_wax("Conductivity of the solid")
    conductivity_liquid: _WaxConductivity = _of_wax("Conductivity of the liquid")
    density_solid: _WaxDensity = _of_wax("Density of the solid at 20 °C")
    density_liquid: _WaxDensity = _of_wax("Density of the liquid at `density_liquid_at`")
    density_liquid_at: Annotated[float | None, Quantity("temperature", "0 °C", "120 °C", "70 °C")] = _of_wax(
        "Temperature of `density_liquid`"
    )
    expansion_liquid: Annotated[float | None, Quantity("expansion", "1e-4 1/K", "3e-3 1/K", "7.3e-4 1/K")] = _of_wax(
        "Volumetric expansion of the liquid"
    )
    viscosity: Annotated[float | None, Quantity("viscosity", "0.5 mPas", "1000 mPas", "20 mPas")] = _of_wax(
        "Viscosity of the liquid at `viscosity_at`"
    )
    viscosity_at: Annotated[float | None, Quantity("temperature", "0 °C", "120 °C", "60 °C")] = _of_wax(
        "Temperature of `viscosity`"
    )
    viscosity_slope: Annotated[float | None, Quantity("temperature_difference", "100 K", "10000 K", "2900 K")] = (
        _of_wax("B of viscosity ~ exp(B/T)")
    )
    total_shrinkage: Annotated[float | None, Quantity("fraction", "0 %", "25 %", "6 %")] = _of_wax(
        "Volume lost from the hot liquid to the solid at 20 °C"
    )
    solid_shrinkage: Annotated[float | None, Quantity("fraction", "0 %", "25 %", "1 %")] = _of_wax(
        "Part of `total_shrinkage` that comes after the end of freezing"
    )
    molar_mass: Annotated[float | None, Quantity("molar_mass", "100 g/mol", "2000 g/mol", "885 g/mol")] = _of_wax(
        "Mean molar mass of the wax"
    )
    emissivity: Annotated[float | None, Number(0.02, 1.0)] = _of_wax("Of the open surface")
    fragrance_load: Annotated[float, Quantity("fraction", "0 %", "15 %", "8 %")] = key(
        "Mass of fragrance oil in the mass of the mix; it lowers the freezing range and the latent heat.",
        default=0.0,
    )
    fragrance_molar_mass: Annotated[float, Quantity("molar_mass", "50 g/mol", "1000 g/mol", "200 g/mol")] = key(
        "Mean molar mass of the fragrance oil.",
        source=told(FRAGRANCE_MOLAR_MASS),
        default=FRAGRANCE_MOLAR_MASS.nominal,
    )
    fragrance: Annotated[str, Text(60)] = key(
        "What the fragrance oil is called, for the label and the batch sheet.", default="", shown="none"
    )
    highest_temperature: Annotated[float | None, Quantity("temperature", "30 °C", "250 °C", "85 °C")] = key(
        "Hottest pour that the maker of the wax allows; from his data sheet.", default=None, shown="no limit"
    )
    fragrance_limit: Annotated[float | None, Quantity("temperature", "30 °C", "250 °C", "75 °C")] = key(
        "Hottest pour that the fragrance allows; from its data sheet (flash point with a margin).",
        default=None,
        shown="no limit",
    )


_FILL = "Give exactly one of `level`, `volume` and `mass`."


class PourTable(Table):
    """The pour: how hot, and how much."""

    temperature: Annotated[float, Quantity("temperature", "0 °C", "120 °C", "65 °C")] = key(
        "Of the wax when it is poured."
    )
    level: Annotated[float | None, Quantity("length", "5 mm", "400 mm", "60 mm")] = key(
        f"Depth of the hot wax. {_FILL}", default=None, shown="one of three"
    )
    volume: Annotated[float | None, Quantity("volume", "1 mL", "30 L", "235 mL")] = key(
        f"Volume of the hot wax. {_FILL}", default=None, shown="one of three"
    )
    mass: Annotated[float | None, Quantity("mass", "1 g", "30 kg", "200 g")] = key(
        f"Mass of wax and fragrance. {_FILL}", default=None, shown="one of three"
    )
    clock: Annotated[float | None, ClockTime()] = key(
        "When it is poured; the day plan then has clock times.",
        default=None,
        shown="times are counted from the pour",
    )


class SupportTable(Table):
    """What the jar, or the box, stands on."""

    kind: Annotated[str, Choice(("slab", "rack"))] = key(
        "A slab, or a wire rack with the air of the room below; a rack needs no other key.", default="slab"
    )
    material: Annotated[str | None, _MaterialName] = key(
        "What the slab is made of.", default=None, shown="needed for a slab"
    )
    conductivity: _Conductivity = key(_OWN, default=None, shown=_OF_MATERIAL)
    density: _Density = key(_OWN, default=None, shown=_OF_MATERIAL)
    heat_capacity: _HeatCapacity = key(_OWN, default=None, shown=_OF_MATERIAL)
    thickness: Annotated[float | None, Quantity("length", "0.3 mm", "200 mm", "30 mm")] = key(
        "Its thickness.", default=None, shown="needed for a slab"
    )
    reach: Annotated[float, Quantity("length", "0 mm", "500 mm", "60 mm")] = like(
        Support, "reach", "How far it goes on beyond jar or box before it is cut off, insulated.", source=ESTIMATE
    )
    underside: Annotated[str, Choice(("air", "insulated", "held"))] = like(
        Support, "underside", "Whether air gets under it, or it is held at `temperature`: a warmed or a cooled plate."
    )
    temperature: Annotated[float | None, Quantity("temperature", "-20 °C", "100 °C", "40 °C")] = key(
        "Of the slab at the pour, if it was warmed or cooled.", default=None, shown="that of the room"
    )
    mat: Annotated[str | None, Choice(tuple(inert_names()))] = key(
        "What lies on the slab under jar or box, such as a towel.", default=None, shown="nothing"
    )
    mat_thickness: Annotated[float | None, Quantity("length", "0.3 mm", "50 mm", "5 mm")] = key(
        "Thickness of the mat.", default=None, shown="needed with `mat`"
    )
    emissivity: _Emissivity = like(
        Support, "emissivity", "Of its faces; bright metal is far lower.", source=told(EMISSIVITIES["wood"])
    )
    contact: Annotated[float, Quantity("film_coefficient", "2 W/m2K", "1000 W/m2K", "30 W/m2K")] = like(
        Support, "contact", "Contact conductance between the board under a jar and the bench.", source=ESTIMATE
    )


class SurroundTable(Table):
    """The cardboard box round the jar; without this table the jar is bare."""

    gap: Annotated[float | None, Quantity("length", "1 mm", WIDEST_GAP, "12 mm")] = key(
        "Mean air gap between jar and board. Give exactly one of `gap` and `box_width`.",
        default=None,
        shown="one of two",
    )
    box_width: Annotated[float | None, Quantity("length", "20 mm", "500 mm", "100 mm")] = key(
        "Inner width of a square box, or of the jar's cell in it. The board is simulated as a ring with the"
        " square's perimeter, of inner radius 2/pi times the width.",
        default=None,
        shown="one of two",
    )
    headroom: Annotated[float | None, Quantity("length", "0 mm", HIGHEST_HEADROOM, "15 mm")] = key(
        "Air between the rim of the jar and the flaps. Give exactly one of `headroom` and `box_height`.",
        default=None,
        shown="one of two",
    )
    box_height: Annotated[float | None, Quantity("length", "20 mm", "550 mm", "105 mm")] = key(
        "Inner height of the box, from the foot of the jar to the flaps.", default=None, shown="one of two"
    )
    layer: Annotated[float | None, Quantity("length", "0.3 mm", "20 mm", "3.2 mm")] = key(
        "Thickness of one layer of board. Give exactly one of `layer` and `flute`.", default=None, shown="one of two"
    )
    flute: Annotated[str | None, Choice(tuple(FLUTE_HEIGHTS))] = key(
        "Letter of the flute of corrugated board: "
        + ", ".join(f"{letter} {1e3 * height.nominal:g} mm" for letter, height in FLUTE_HEIGHTS.items())
        + ".",
        source=told(next(iter(FLUTE_HEIGHTS.values()))),
        default=None,
        shown="one of two",
    )
    material: _Material = key("What it is made of.", default="board")
    conductivity: _Conductivity = key(
        _OWN, source=told(INERTS["board"]["conductivity"]), default=None, shown=_OF_MATERIAL
    )
    density: _Density = key(_OWN, source=told(INERTS["board"]["density"]), default=None, shown=_OF_MATERIAL)
    heat_capacity: _HeatCapacity = key(
        _OWN, source=told(INERTS["board"]["heat_capacity"]), default=None, shown=_OF_MATERIAL
    )
    emissivity: _Emissivity = like(Surround, "emissivity", "Of the board.", source=told(EMISSIVITIES["board"]))
    side_layers: Annotated[int, Count(1, 6)] = like(Surround, "side_layers", "Layers of board round the jar.")
    flap_layers: Annotated[int, Count(1, 6)] = like(Surround, "flap_layers", "Layers of board in the closed flaps.")
    under_layers: Annotated[int, Count(0, 6)] = like(Surround, "under_layers", "Layers of board under the jar.")
    flaps: Annotated[str, Choice(("open", "closed"))] = like(
        Surround, "flaps", "Whether the box is closed above the jar."
    )
    cover_thickness: Annotated[float | None, Quantity("length", "0.5 mm", "200 mm", "10 mm")] = key(
        "Of what is laid over the closed flaps, such as a towel.", default=None, shown="no cover"
    )
    cover_conductivity: Annotated[float | None, Quantity("conductivity", "0.01 W/mK", "10 W/mK", "0.06 W/mK")] = key(
        "Of what is laid over the closed flaps.",
        source=told(INERTS["towel"]["conductivity"]),
        default=None,
        shown=f"that of a towel, {INERTS['towel']['conductivity'].nominal:g} W/mK",
    )
    temperature: Annotated[float | None, Quantity("temperature", "-20 °C", "90 °C", "40 °C")] = key(
        "Of board and box air at the pour, if the box was warmed.", default=None, shown="that of the room"
    )
    exposed_sides: Annotated[int, Count(1, 4)] = like(
        Surround,
        "exposed_sides",
        "How many of the jar's four sides face the box wall; the others face identical jars.",
    )
