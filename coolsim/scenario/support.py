"""The table `[support]`: what the jar, or the box, stands on."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Annotated

from coolsim.model.catalogue import CONTACTS, EMISSIVITIES, INERTS, CatalogueValue
from coolsim.model.jar import Support
from coolsim.model.materials import catalogue_inert, inert_names
from coolsim.scenario.made_of import Conductivity, Density, Emissivity, HeatCapacity, MaterialName, inert_of, own
from coolsim.scenario.table import ESTIMATE, ROUND_OFF, Doubt, Fault, Show, TomlTable, key, like, told
from coolsim.scenario.values import Choice, OfCatalogue, Quantity

_SHORTEST_REACH = 0.1e-3
_OF_SLAB = ("material", "thickness", "temperature", "mat", "mat_thickness", "conductivity", "density", "heat_capacity")


class SupportTable(TomlTable):
    """What the jar, or the box, stands on."""

    kind: Annotated[str, Choice(("slab", "rack"))] = key(
        "A slab, or a wire rack with the air of the room below; a rack needs no other key.", default="slab"
    )
    material: Annotated[str | None, MaterialName] = key(
        "What the slab is made of.", default=None, shown="needed for a slab"
    )
    conductivity: Conductivity = own(doubt=Doubt(0.7, 1.4))
    density: Density = own()
    heat_capacity: HeatCapacity = own()
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
    mat: Annotated[str | None, OfCatalogue(Choice(inert_names()))] = key(
        "What lies on the slab under jar or box, such as a towel.", default=None, shown="nothing"
    )
    mat_thickness: Annotated[float | None, Quantity("length", "0.3 mm", "50 mm", "5 mm")] = key(
        "Thickness of the mat.", default=None, shown="needed with `mat`"
    )
    emissivity: Emissivity = like(
        Support, "emissivity", "Of its faces; bright metal is far lower.", source=told(EMISSIVITIES["wood"])
    )
    contact: Annotated[float, Quantity("film_coefficient", "2 W/m2K", "1000 W/m2K", "30 W/m2K")] = like(
        Support,
        "contact",
        "Contact conductance between the board under a jar and the bench.",
        source=ESTIMATE,
        spread=True,
        behind="Every answer",
        matters=lambda file: file.cardboard is not None and file.cardboard.under_layers > 0,
    )

    def catalogued(self, name: str) -> CatalogueValue | None:
        """Find what the catalogue knows of a key of this table."""
        return CONTACTS["jar-on-board"] if name == "contact" else INERTS.get(self.material or "", {}).get(name)


def support_of(support: SupportTable) -> Support:
    """Build the bench or the rack."""
    common = support.given("reach", "emissivity", "contact")
    if support.kind == "rack":
        return Support(material=None, **common)
    return Support(
        material=inert_of(support),
        start=support.temperature,
        mat=None if support.mat is None else catalogue_inert(support.mat),
        mat_thickness=support.mat_thickness or 0.0,
        **support.given("thickness", "underside"),
        **common,
    )


def slab_or_rack(support: SupportTable, show: Show) -> Iterator[Fault]:
    """Find fault with a rack that has keys of a slab, and with a slab that lacks some."""
    given = [name for name in _OF_SLAB if getattr(support, name) is not None]
    if support.kind == "rack":
        if given:
            yield f"support.{given[0]}", "found with kind = 'rack', which has none, leave it out"
        if support.underside == "held":
            yield "support.underside", "found 'held' with kind = 'rack', leave it out"
        return
    for name, example in (("material", "oak"), ("thickness", "30 mm")):
        if name not in given:
            yield f"support.{name}", f"missing, give it as in '{example}'"
    if support.underside == "held" and "temperature" not in given:
        yield "support.temperature", "missing, an underside that is held needs it, give it as in '40 °C'"
    if ("mat" in given) != ("mat_thickness" in given):
        missing, example = ("mat_thickness", "5 mm") if "mat" in given else ("mat", "towel")
        yield f"support.{missing}", f"missing, a mat has both, give it as in '{example}'"


def reach_is_some_or_none(support: SupportTable, show: Show) -> Iterator[Fault]:
    """Find fault with a ring of nanometres: it conducts so well that round-off opens the energy ledger."""
    if 0.0 < support.reach < _SHORTEST_REACH - ROUND_OFF:
        yield (
            "support.reach",
            f"found {1e3 * support.reach:.3g} mm, shorter than {show(_SHORTEST_REACH, 'length')}, give 0 mm for none,"
            " or a longer one",
        )
