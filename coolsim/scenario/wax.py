"""The table `[wax]`: the wax and the fragrance in it."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from functools import lru_cache
from itertools import pairwise
from typing import Annotated, Any

from coolsim.errors import MaterialError
from coolsim.model.catalogue import (
    FATS,
    FRAGRANCE_MOLAR_MASS,
    NEVER_SETS,
    PARAFFIN_CURVES,
    CatalogueValue,
    Composition,
    CrystalForm,
    Fat,
)
from coolsim.model.fats import composed_values
from coolsim.model.freezing_curve import END, Curve, moved_curve, temperature_at
from coolsim.model.materials import (
    Wax,
    catalogue_values,
    catalogue_wax,
    freezing_of,
    liquid_density,
    wax_names,
    with_fragrance,
)
from coolsim.scenario.acids import Acids
from coolsim.scenario.table import ESTIMATE, Fault, Show, TomlTable, key, told
from coolsim.scenario.values import Choice, Number, OfCatalogue, Quantity, Text, Value, numbered, pair, read_each
from coolsim.scenario.wording import shown

_FROM_KIND = "that of the kind"
_MEASURED = ("freezing_starts", "freezing_ends", "clear_point", "latent_heat")
_NOT_PROPERTIES = (
    "kind",
    "name",
    "acids",
    "crystal_form",
    "freezing_starts",
    "freezing_ends",
    "freezing",
    "fragrance",
    "fragrance_load",
    "fragrance_molar_mass",
    "highest_temperature",
    "fragrance_limit",
)
_FROM_ACIDS = ("freezing", "latent_heat", "melting", "melting_heat", "clear_point")
_DENSITY_FOLLOWS = ("density_liquid", "density_liquid_at", "expansion_liquid")
_TEMPERATURE = Quantity("temperature", "-20 °C", "120 °C", "45 °C")
_SHARE = Quantity("fraction", "0 %", "100 %", "50 %")


@dataclass(frozen=True, slots=True)
class FreezingRows(Value):
    """A freezing curve as rows of temperature and liquid share."""

    def read(self, raw: object) -> tuple[tuple[float, float], ...]:
        """Return pairs of temperature [°C] and liquid fraction [-], ascending."""
        wanted = 'give rows such as ["45 °C", "100 %"], from 100 % liquid down to 0 %'
        if not isinstance(raw, list) or not 2 <= len(raw) <= 50:
            raise ValueError(f"found {shown(raw)}, {wanted} (2 to 50 rows)")
        rows = read_each(numbered(raw), lambda row: pair(row, _TEMPERATURE, _SHARE, wanted))
        curve = rows if rows[0][0] < rows[-1][0] else rows[::-1]
        for (cold, less), (warm, more) in pairwise(curve):
            if not (cold < warm and less <= more):
                raise ValueError(
                    f"found {100 * less:g} % liquid at {cold:g} °C next to {100 * more:g} % at {warm:g} °C:"
                    " not monotone, give rows whose temperature and liquid share fall together"
                )
        if curve[0][1] != 0.0 or curve[-1][1] != 1.0:
            raise ValueError(
                f"found {100 * curve[0][1]:g} to {100 * curve[-1][1]:g} % liquid, give rows from 100 % to 0 %"
            )
        return tuple(curve)

    def describe(self) -> str:
        """Say what to write."""
        return 'rows of temperature and liquid share, `[["45 °C", "100 %"], ["35 °C", "0 %"]]`'

    def write(self, value: Any) -> Any:
        """Write the rows as a scenario states them."""
        return [[_TEMPERATURE.write(one), _SHARE.write(share)] for one, share in value[::-1]]


def _of_wax(meaning: str, **said: Any) -> Any:
    return key(f"{meaning}, instead of the value of the kind.", default=None, shown=_FROM_KIND, **said)


_Conductivity = Annotated[float | None, Quantity("conductivity", "0.05 W/mK", "1 W/mK", "0.22 W/mK")]
_HeatCapacity = Annotated[float | None, Quantity("heat_capacity", "1000 J/kgK", "4000 J/kgK", "2000 J/kgK")]
_Density = Annotated[float | None, Quantity("density", "500 kg/m3", "1500 kg/m3", "880 kg/m3")]


class WaxTable(TomlTable):
    """The wax and the fragrance in it."""

    kind: Annotated[str, OfCatalogue(Choice(wax_names()))] = key(
        'Wax of the catalogue; `"soy"` is another name for the first.'
    )
    name: Annotated[str, Text(40)] = key("What you call it.", default="", shown=_FROM_KIND)
    acids: Annotated[tuple[tuple[float, Fat], ...] | None, Acids()] = key(
        "Fatty acids of a vegetable wax: its freezing curve, heats and clear point are computed from them. Those of a"
        " fat lie at random in its molecules, as after interesterification; several fats are mixed as they are. What"
        " is stated beside them wins.",
        default=None,
        shown=_FROM_KIND,
        source="published correlation: +-7 °C for fats of 16 and 18 carbons",
    )
    crystal_form: Annotated[CrystalForm | None, Choice(("alpha", "beta-prime", "beta"))] = key(
        "Form in which the fat crystallises as it cools; a jar is slow enough for `beta-prime`.",
        default=None,
        shown=_FROM_KIND,
        source=ESTIMATE,
    )
    freezing_starts: Annotated[float | None, Quantity("temperature", "0 °C", "120 °C", "45 °C")] = _of_wax(
        "Temperature at which crystals form on cooling, without fragrance; it moves the curve of the kind, or of the"
        " acids, with it",
        instead=("freezing",),
        spread=True,
        fit=True,
        behind="Every answer",
    )
    freezing_ends: Annotated[float | None, Quantity("temperature", "-50 °C", "120 °C", "35 °C")] = _of_wax(
        "Temperature at which 90 % of the heat is out on cooling, without fragrance; the rest follows over a tail, as"
        " long as the range where no curve is known",
        instead=("freezing",),
        spread=True,
        fit=True,
        behind="Every answer",
    )
    freezing: Annotated[tuple[tuple[float, float], ...] | None, FreezingRows()] = key(
        "Measured freezing curve on cooling, without fragrance, instead of `freezing_starts` and `freezing_ends`.",
        default=None,
        shown=_FROM_KIND,
        instead=("freezing_starts", "freezing_ends"),
    )
    clear_point: Annotated[float | None, Quantity("temperature", "0 °C", "120 °C", "50 °C")] = key(
        "Temperature at which it is clear on heating.",
        default=None,
        shown="as far above the start of freezing as that of the kind",
    )
    latent_heat: Annotated[float | None, Quantity("latent_heat", "10 kJ/kg", "400 kJ/kg", "130 kJ/kg")] = _of_wax(
        "Heat of freezing, without fragrance", spread=True, fit=True, behind="Every answer"
    )
    melting_heat: Annotated[float | None, Quantity("latent_heat", "10 kJ/kg", "400 kJ/kg", "162 kJ/kg")] = key(
        "Heat of melting of flakes and set wax, whose crystals have changed to the stable form, without fragrance.",
        default=None,
        shown="that of the kind, at least `latent_heat`",
    )
    heat_capacity_solid: _HeatCapacity = _of_wax("Heat capacity of the solid", spread=True, behind="Every answer")
    heat_capacity_liquid: _HeatCapacity = _of_wax("Heat capacity of the liquid", spread=True, behind="Every answer")
    conductivity_solid: _Conductivity = _of_wax("Conductivity of the solid", spread=True, behind="Every answer")
    conductivity_liquid: _Conductivity = _of_wax("Conductivity of the liquid", spread=True, behind="Every answer")
    density_solid: _Density = _of_wax("Density of the solid at 20 °C")
    density_liquid: _Density = _of_wax("Density of the liquid at `density_liquid_at`", behind="Every answer")
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
        "Volume lost from the hot liquid to the solid at 20 °C", spread=True, ruler=True, behind="Dips, dish and cavity"
    )
    expansion_solid: Annotated[float | None, Quantity("expansion", "0 1/K", "3e-3 1/K", "3e-4 1/K")] = _of_wax(
        "Volumetric expansion of the solid", spread=True, behind="Dips, dish and cavity"
    )
    molar_mass: Annotated[float | None, Quantity("molar_mass", "100 g/mol", "2000 g/mol", "885 g/mol")] = _of_wax(
        "Mean molar mass of the wax"
    )
    emissivity: Annotated[float | None, Number(0.02, 1.0)] = _of_wax(
        "Of the open surface", spread=True, behind="Rim, wick and top"
    )
    fragrance_load: Annotated[float, Quantity("fraction", "0 %", "15 %", "8 %")] = key(
        "Mass of fragrance oil in the mass of the mix; it lowers the freezing range and the latent heat.", default=0.0
    )
    fragrance_molar_mass: Annotated[float, Quantity("molar_mass", "50 g/mol", "1000 g/mol", "200 g/mol")] = key(
        "Mean molar mass of the fragrance oil.",
        source=told(FRAGRANCE_MOLAR_MASS),
        default=FRAGRANCE_MOLAR_MASS.nominal,
        spread=True,
        behind="Every answer",
        matters=lambda file: file.wax.fragrance_load > 0.0 and file.wax.kind not in NEVER_SETS,
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

    @property
    def called(self) -> str:
        """What its maker calls it, or the kind in words."""
        return self.name or self.kind.replace("-", " ")

    def catalogued(self, name: str) -> CatalogueValue | None:
        """Find what the catalogue knows of a key of this table."""
        if name == "fragrance_molar_mass":
            return FRAGRANCE_MOLAR_MASS
        # The grades with a measured curve share all but the curve and its heat with paraffin.
        if self.kind in PARAFFIN_CURVES:
            return None if name in _MEASURED else catalogue_values("paraffin").get(name)
        own = composition_of(self)
        composed = {} if own is None else composed_values(own, mark="published correlation")
        return composed.get(name) or catalogue_values(self.kind).get(name)


def composition_of(table: WaxTable) -> Composition | None:
    """Put together what the scenario itself says of acids and crystal form; None if nothing is said of them."""
    if table.acids is None and table.crystal_form is None:
        return None
    if table.kind not in FATS:
        stated = "crystal_form" if table.acids is None else "acids"
        raise MaterialError(f"{table.kind}: {stated} found for {table.kind}; give it for one of {', '.join(FATS)}")
    of_kind = FATS[table.kind]
    return Composition(
        of_kind.parts if table.acids is None else table.acids,
        of_kind.form if table.crystal_form is None else table.crystal_form,
    )


@lru_cache(maxsize=8)
def wax_of(wax: WaxTable) -> Wax:
    """Build the wax, fragrance included; MaterialError if its values do not fit each other."""
    load, molar_mass = wax.fragrance_load, wax.fragrance_molar_mass
    return with_fragrance(plain_wax_of(wax), load, molar_mass_oil=molar_mass)


@lru_cache(maxsize=8)
def plain_wax_of(table: WaxTable) -> Wax:
    """Build the wax as it is bought, without fragrance; MaterialError if its values do not fit each other."""
    kind, own = catalogue_wax(table.kind), composition_of(table)
    known = {name: getattr(kind, name) for name in _FROM_ACIDS} if own is None else freezing_of(own)
    given = table.given(*(name for name in WaxTable.model_fields if name not in _NOT_PROPERTIES))
    stated = {name: value for name, value in given.items() if value is not None}
    freezing = _freezing(table, known["freezing"])
    if freezing != known["freezing"]:
        known["clear_point"] += freezing[-1][0] - known["freezing"][-1][0]
        known["freezing"] = freezing
    if table.freezing is not None and own is None:
        # A wax whose curve was measured is not made of the acids of the kind; it melts over as wide a range.
        known["melting"] = None
    if known["melting_heat"] is not None:
        known["melting_heat"] = max(known["melting_heat"], stated.get("latent_heat", 0.0))
    wax = replace(kind, **{**known, **stated, "name": table.name or kind.name})
    if wax.freezing != kind.freezing or any(name in stated for name in _DENSITY_FOLLOWS):
        # As the catalogue does: the liquid halfway between its stated density and the start of freezing.
        wax = replace(wax, density=liquid_density(wax, 0.5 * (wax.freezing_starts + wax.density_liquid_at)))
    return wax


def _freezing(table: WaxTable, known: Curve) -> Curve:
    if table.freezing is not None:
        return table.freezing
    starts, ends = table.freezing_starts, table.freezing_ends
    if starts is None and ends is None:
        return known
    starts = known[-1][0] if starts is None else starts
    ends = temperature_at(known, END) if ends is None else ends
    if not ends < starts:
        raise MaterialError(
            f"{table.kind}: freezing_ends is {ends:g} °C and freezing_starts {starts:g} °C; the end must be the colder"
        )
    return moved_curve(known, starts=starts, ends=ends)


def freezing_is_stated_once(wax: WaxTable, show: Show) -> Iterator[Fault]:
    """Find fault with rows beside the two temperatures."""
    ends = [name for name in ("freezing_starts", "freezing_ends") if getattr(wax, name) is not None]
    if wax.freezing is not None and ends:
        yield "wax.freezing", f"found {' and '.join(ends)} as well, give either the rows or the two temperatures"


def wax_is_possible(wax: WaxTable, show: Show) -> Iterator[Fault]:
    """Find fault with values that do not fit each other."""
    try:
        wax_of(wax)
    except MaterialError as error:
        for line in str(error).splitlines():
            fault = line.partition(": ")[2]
            name = fault.split(" ", 1)[0]
            yield f"wax.{name}" if name in WaxTable.model_fields else "wax", fault
