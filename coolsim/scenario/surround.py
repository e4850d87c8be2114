"""The table `[surround]`: the cardboard box round the jar, or the water that it stands in."""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import Annotated, Any, Literal

from coolsim.model.catalogue import EMISSIVITIES, FLUTE_HEIGHTS, INERTS, CatalogueValue
from coolsim.model.jar import Surround, WaterBath
from coolsim.model.places import Places
from coolsim.scenario.made_of import Conductivity, Density, Emissivity, HeatCapacity, Material, inert_of, own
from coolsim.scenario.table import Doubt, Fault, Show, TomlTable, UnreadableError, exactly_one, key, like, told
from coolsim.scenario.values import Choice, Count, Quantity
from coolsim.scenario.vessel import VesselTable

# With these the Rayleigh numbers stay inside the ranges of the laws for upright gaps (1e7) and level layers (1e8), for
# any temperatures that a scenario may state.
WIDEST_GAP = "80 mm"
"""Widest air gap round a jar."""
HIGHEST_HEADROOM = "150 mm"
"""Highest air space between rim and flaps."""


def _is_a_box(file: Any) -> bool:
    return file.cardboard is not None


_OF_WATER = ("kind", "temperature", "depth", "film")


class SurroundTable(TomlTable):
    """The cardboard box round the jar, or the water that it stands in; without this table the jar is bare."""

    kind: Annotated[Literal["box", "water"], Choice(("box", "water"))] = key(
        "A cardboard box, or a water bath; water has `temperature`, `depth` and `film`, and no other key.",
        default="box",
    )
    gap: Annotated[float | None, Quantity("length", "1 mm", WIDEST_GAP, "12 mm")] = key(
        "Mean air gap between jar and board. Give exactly one of `gap` and `box_width`.",
        default=None,
        shown="one of two",
        instead=("box_width",),
        doubt=Doubt(0.7, 1.4, "estimate: a jar seldom stands in the middle of its cell"),
    )
    box_width: Annotated[float | None, Quantity("length", "20 mm", "500 mm", "100 mm")] = key(
        "Inner width of a square box, or of the jar's cell in it. The board is simulated as a ring with the"
        " square's perimeter, of inner radius 2/pi times the width.",
        default=None,
        shown="one of two",
        instead=("gap",),
    )
    headroom: Annotated[float | None, Quantity("length", "0 mm", HIGHEST_HEADROOM, "15 mm")] = key(
        "Air between the brim of the jar and the flaps. Give exactly one of `headroom` and `box_height`.",
        default=None,
        shown="one of two",
        instead=("box_height",),
        doubt=Doubt(0.7, 1.4, "estimate: flaps sag"),
    )
    box_height: Annotated[float | None, Quantity("length", "20 mm", "550 mm", "105 mm")] = key(
        "Inner height of the box, from the foot of the jar to the flaps.",
        default=None,
        shown="one of two",
        instead=("headroom",),
    )
    layer: Annotated[float | None, Quantity("length", "0.3 mm", "20 mm", "3.2 mm")] = key(
        "Thickness of one layer of board. Give exactly one of `layer` and `flute`.",
        default=None,
        shown="one of two",
        instead=("flute",),
    )
    flute: Annotated[str | None, Choice(tuple(FLUTE_HEIGHTS))] = key(
        "Letter of the flute of corrugated board: "
        + ", ".join(f"{letter} {1e3 * height.nominal:g} mm" for letter, height in FLUTE_HEIGHTS.items())
        + ".",
        source=told(next(iter(FLUTE_HEIGHTS.values()))),
        default=None,
        shown="one of two",
        instead=("layer",),
    )
    material: Material = key("What it is made of.", default="board")
    conductivity: Conductivity = own(
        source=told(INERTS["board"]["conductivity"]), spread=True, behind="Every answer", matters=_is_a_box
    )
    density: Density = own(source=told(INERTS["board"]["density"]), behind="Every answer", matters=_is_a_box)
    heat_capacity: HeatCapacity = own(
        source=told(INERTS["board"]["heat_capacity"]), behind="Every answer", matters=_is_a_box
    )
    emissivity: Emissivity = like(Surround, "emissivity", "Of the board.", source=told(EMISSIVITIES["board"]))
    side_layers: Annotated[int, Count(1, 6)] = like(Surround, "side_layers", "Layers of board round the jar.")
    flap_layers: Annotated[int, Count(1, 6)] = like(Surround, "flap_layers", "Layers of board in the closed flaps.")
    under_layers: Annotated[int, Count(0, 6)] = like(Surround, "under_layers", "Layers of board under the jar.")
    flaps: Annotated[Literal["open", "closed"], Choice(("open", "closed"))] = like(
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
        "Of board and box air at the pour, if the box was warmed; of the water, which keeps it.",
        default=None,
        shown="that of the room; needed for water",
    )
    depth: Annotated[float | None, Quantity("length", "1 mm", "400 mm", "60 mm")] = key(
        "How high the water stands against the jar, from its foot up. Within 0.5 mm of an end of wax, base or jar it is"
        " taken as that.",
        default=None,
        shown="up to the level of the wax",
    )
    film: Annotated[float | None, Quantity("film_coefficient", "20 W/m2K", "20000 W/m2K", "400 W/m2K")] = key(
        "Film coefficient between water and jar; more in water that is stirred.",
        default=None,
        spread=True,
        doubt=Doubt(0.5, 2.0, "estimate: what a hand or a spoon in the water does to it"),
        shown="free convection in still water",
    )
    exposed_sides: Annotated[int, Count(1, 4)] = like(
        Surround, "exposed_sides", "How many of the jar's four sides face the box wall; the others face identical jars."
    )

    def catalogued(self, name: str) -> CatalogueValue | None:
        """Find what the catalogue knows of a key of this table."""
        return INERTS.get(self.material, {}).get(name) if self.kind == "box" else None


def layer_of(surround: SurroundTable) -> float:
    """Thickness of one layer of board [m], as stated or by the letter of its flute."""
    if surround.flute is not None:
        return FLUTE_HEIGHTS[surround.flute].nominal
    if surround.layer is None:
        raise UnreadableError("layer")
    return surround.layer


def gap_of(surround: SurroundTable, vessel: VesselTable, places: Places | None) -> float:
    """Mean air gap between jar and board [m], from the gap, the width of a square box, or a box of many jars."""
    if places is not None:
        sides = [side for place in places if place not in places.empty for side in places.sides(place)]
        # Jars with empty places on all sides have no wall beside them.
        walls = [length for beside, length, _ in sides if beside is None] or [length for _, length, _ in sides]
        mean = sum(walls) / len(walls)
        return 2.0 * mean / math.pi - 0.5 * vessel.diameter
    if surround.gap is not None:
        return surround.gap
    if surround.box_width is None:
        raise UnreadableError("gap")
    # A ring with the perimeter of the square: 2 pi r = 4 w.
    return 2.0 * surround.box_width / math.pi - 0.5 * vessel.diameter


def headroom_of(surround: SurroundTable, vessel: VesselTable) -> float:
    """Air between the brim of the jar and the flaps [m]."""
    if surround.headroom is not None:
        return surround.headroom
    if surround.box_height is None:
        raise UnreadableError("headroom")
    return surround.box_height - vessel.height


def surround_of(surround: SurroundTable, vessel: VesselTable, places: Places | None) -> Surround:
    """Build the box round the jar."""
    thickness, conductivity, width = surround.cover_thickness, surround.cover_conductivity, surround.box_width
    if conductivity is None:
        conductivity = INERTS["towel"]["conductivity"].nominal
    return Surround(
        gap=gap_of(surround, vessel, places),
        plan=None if width is None else width**2,
        headroom=headroom_of(surround, vessel),
        board=inert_of(surround),
        start=surround.temperature,
        layer=layer_of(surround),
        cover=0.0 if thickness is None else thickness / conductivity,
        **surround.given("side_layers", "flap_layers", "under_layers", "flaps", "emissivity", "exposed_sides"),
    )


def water_of(surround: SurroundTable, *, level: float) -> WaterBath:
    """Build the water; `level` is that of the wax above the foot of the jar [m]."""
    if surround.temperature is None:
        raise UnreadableError("temperature")
    depth = level if surround.depth is None else surround.depth
    return WaterBath(temperature=surround.temperature, depth=depth, film=surround.film)


def box_or_water(surround: SurroundTable, show: Show) -> Iterator[Fault]:
    """Find fault with water that has keys of a box, lacks a temperature or is ice, and with a box that has a depth."""
    given = [name for name in SurroundTable.model_fields if surround.states(name)]
    if surround.kind == "box":
        wet = [name for name in given if name in ("depth", "film")]
        if wet:
            yield f"surround.{wet[0]}", "found for a box, which holds no water, give kind = 'water', or leave it out"
        return
    dry = [name for name in given if name not in _OF_WATER]
    if dry:
        yield f"surround.{dry[0]}", "found with kind = 'water', which has no board, leave it out"
    if surround.temperature is None:
        yield "surround.temperature", "missing, the water keeps one, give it as in '15 °C'"
    elif surround.temperature < 0.0:
        found, ice = show(surround.temperature, "temperature"), show(0.0, "temperature")
        yield "surround.temperature", f"found {found}, where water is ice, give {ice} or more"


def headroom_is_stated_once(surround: SurroundTable, show: Show) -> Iterator[Fault]:
    """Find fault with none or both of headroom and height."""
    return exactly_one(surround, "surround", ("headroom", "box_height"))


def layer_is_stated_once(surround: SurroundTable, show: Show) -> Iterator[Fault]:
    """Find fault with none or both of layer and flute."""
    return exactly_one(surround, "surround", ("layer", "flute"))


def cover_lies_on_flaps(surround: SurroundTable, show: Show) -> Iterator[Fault]:
    """Find fault with a cover that lies on nothing, or has no thickness."""
    given = [name for name in ("cover_thickness", "cover_conductivity") if getattr(surround, name) is not None]
    if given and surround.flaps == "open":
        yield f"surround.{given[0]}", "found a cover on open flaps, close the flaps or leave the cover out"
    elif given == ["cover_conductivity"]:
        yield "surround.cover_conductivity", "found without cover_thickness, give both or neither"
