"""What vessel, support and surround are made of: a material of the catalogue, or one of the workshop's own."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from typing import Annotated, Any, Protocol

from coolsim.model.materials import Inert, catalogue_inert, inert_names
from coolsim.scenario.table import Fault, UnreadableError, key
from coolsim.scenario.values import Number, OfCatalogue, Quantity, Text
from coolsim.scenario.wording import suggestion

Emissivity = Annotated[float, Number(0.02, 1.0)]
Conductivity = Annotated[float | None, Quantity("conductivity", "0.01 W/mK", "500 W/mK", "1.0 W/mK")]
Density = Annotated[float | None, Quantity("density", "10 kg/m3", "20000 kg/m3", "2500 kg/m3")]
HeatCapacity = Annotated[float | None, Quantity("heat_capacity", "100 J/kgK", "5000 J/kgK", "840 J/kgK")]
MaterialName = OfCatalogue(Text(40, about=f"a name of the catalogue ({', '.join(inert_names())}) or of your own"))
Material = Annotated[str, MaterialName]


def own(**said: Any) -> Any:
    """State a property of a material."""
    return key(
        "Of the material, instead of the catalogue's value; needed for a material of your own.",
        default=None,
        shown="that of the material",
        **said,
    )


class _MadeOf(Protocol):
    """A table that names a material."""

    @property
    def material(self) -> str | None: ...
    @property
    def conductivity(self) -> float | None: ...
    @property
    def density(self) -> float | None: ...
    @property
    def heat_capacity(self) -> float | None: ...


def inert_of(table: _MadeOf) -> Inert:
    """Put together what a vessel, support or box is made of; UnreadableError if the catalogue lacks it."""
    found = _inert(table)
    if found is None:
        raise UnreadableError("material")
    return found


def _inert(table: _MadeOf) -> Inert | None:
    name = table.material
    own = {"conductivity": table.conductivity, "density": table.density, "heat_capacity": table.heat_capacity}
    given: dict[str, Any] = {field: value for field, value in own.items() if value is not None}
    if name in inert_names():
        return replace(catalogue_inert(name), **given)
    return Inert(name=name, **given) if name is not None and len(given) == len(own) else None


def material_is_known(where: str, table: _MadeOf) -> Iterator[Fault]:
    """Find fault with a material that is neither of the catalogue nor described."""
    name = table.material
    # A slab that lacks it is named where slab and rack are told apart.
    if name is not None and _inert(table) is None:
        yield (
            f"{where}.material",
            f"found '{name}', which is not in the catalogue ({', '.join(inert_names())})"
            "; for a material of your own give conductivity, density and heat_capacity as well"
            f"{suggestion(name, inert_names())}",
        )
