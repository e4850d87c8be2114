"""Material values as data: nominal value, plausible range, and where each comes from.

Values are SI, temperatures in °C. The mark says how far a value can be trusted:

published
    read in the source named;
computed independently
    worked out for this project from what the source gives, by code that is no part of it;
open library
    taken from the open property library named;
from memory
    recalled, not checked against a source;
estimate
    a judgement, often between neighbours for which something is known;
published correlation
    what the model of `coolsim.model.triglycerides` gives for fatty acids that a scenario states;
published correlation, composition assumed
    the same for fatty acids that are themselves an estimate.

For soft seed-oil container wax no source with conductivity, density, latent heat and viscosity together was
found: its freezing comes from its fatty acids, the rest of its column is built from neighbouring fats, and every value
should be replaced by the supplier's where he states one.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import Literal

Mark = Literal[
    "published",
    "computed independently",
    "open library",
    "from memory",
    "estimate",
    "published correlation",
    "published correlation, composition assumed",
]

CrystalForm = Literal["alpha", "beta-prime", "beta"]
"""Forms in which a fat crystallises, from the one that forms first to the stable one."""

Fat = tuple[tuple[str, float], ...]
"""Fatty acids by name, each with its mass share [-]."""


@dataclass(frozen=True, slots=True)
class CatalogueValue:
    """One property of one material.

    Nominal value and plausible range [in `unit`], with its mark and where it comes from.
    """

    nominal: float
    low: float | None
    high: float | None
    unit: str
    mark: Mark
    source: str


@dataclass(frozen=True, slots=True)
class Composition:
    """Which fats a wax is mixed of, and in which form it crystallises in a jar.

    Each part is the mass share of a fat [-] with its acids. Within a part the acids are spread over the triglycerides
    at random, as after interesterification; parts are mixed as they are.
    """

    parts: tuple[tuple[float, Fat], ...]
    form: CrystalForm = "beta-prime"


_V = CatalogueValue

# Sources that several values share.
_LUND = "Lund's relation for hydrogenated soybean oil, 912.1 - 0.64 (T - 15) kg/m3, as quoted in JAOCS 76:1415 (1999)"
TRIGLYCERIDES = "Wesdorp's model of triglycerides as in Moorthy et al. 2016, doi:10.1007/s11746-016-2935-1"
"""Source of what is computed from fatty acids."""

_HEATS = (
    "cocoa butter 157 kJ/kg (Beckett ed., Industrial Chocolate Manufacture and Use, 4th ed. 2009), coconut oil 105 "
    "kJ/kg (Kahwaji & White 2019, Appl. Sci. 9:1627)"
)
_SPLIT = "acids within those of container waxes in US 8,202,329, the trans share an estimate"
_COCOA_BUTTER = "near cocoa butter, 2010 solid and 2090 liquid (Beckett ed. 2009)"
_BARZ = "Barz, Bres & Emhofer 2022, doi:10.3384/ecp19363, open library slPCMlib"
_SETTING = "cocoa butter contracts up to 2 % in length after setting (Lovegren & Feuge 1965, doi:10.1007/BF02540135)"
_TRADE = "common practice, no source"
_FATS = "values of neighbouring fats"
_SLOPE = "from viscosities of an open property library"
_MEMORY = "not checked against a source"

ASSUMED: Mark = "published correlation, composition assumed"
"""Mark of what follows from acids that are an estimate."""

_SOFT_VEGETABLE = {
    "clear_point": _V(
        52.8, 46.0, 57.0, "°C", ASSUMED, f"stable form, {TRIGLYCERIDES}; the trade's are 46 to 56 °C, no source"
    ),
    "freezing_starts": _V(
        46.5, 41.0, 51.0, "°C", ASSUMED, f"beta-prime form, {TRIGLYCERIDES}; {_SPLIT}; the trade's are 40 to 50 °C"
    ),
    "freezing_ends": _V(
        23.3, 15.0, 34.0, "°C", ASSUMED, f"10 % is still liquid; as the start; 16.5 °C with less trans, {_FATS} 28 °C"
    ),
    "latent_heat": _V(128e3, 90e3, 170e3, "J/kg", ASSUMED, f"beta-prime form, {TRIGLYCERIDES}; {_HEATS}"),
    "melting_heat": _V(162e3, 157e3, 200e3, "J/kg", ASSUMED, f"stable form, {TRIGLYCERIDES}; {_HEATS}"),
    "heat_capacity_solid": _V(2000.0, 1800.0, 2600.0, "J/kg/K", "estimate", _COCOA_BUTTER),
    "heat_capacity_liquid": _V(2100.0, 2000.0, 2250.0, "J/kg/K", "estimate", _COCOA_BUTTER),
    "conductivity_solid": _V(0.22, 0.17, 0.29, "W/m/K", "estimate", _FATS),
    "conductivity_liquid": _V(0.165, 0.14, 0.18, "W/m/K", "estimate", f"{_FATS}; cocoa butter 0.12 (Beckett ed. 2009)"),
    "density_solid": _V(930.0, 900.0, 970.0, "kg/m3", "estimate", f"at 20 °C; {_FATS}"),
    "density_liquid": _V(877.0, 865.0, 885.0, "kg/m3", "computed independently", f"at 70 °C; {_LUND}"),
    "density_liquid_at": _V(70.0, None, None, "°C", "computed independently", "where the density is stated"),
    "expansion_liquid": _V(7.3e-4, 6.8e-4, 8e-4, "1/K", "computed independently", f"0.64/877; {_LUND}"),
    "viscosity": _V(20e-3, 15e-3, 28e-3, "Pa s", "estimate", f"at 60 °C; {_FATS}"),
    "viscosity_at": _V(60.0, None, None, "°C", "estimate", "where the viscosity is stated"),
    "viscosity_slope": _V(2900.0, None, None, "K", "computed independently", _SLOPE),
    "total_shrinkage": _V(0.06, 0.04, 0.11, "-", "estimate", f"hot liquid to solid at 20 °C; {_FATS}"),
    "expansion_solid": _V(3e-4, 2e-4, 6e-4, "1/K", "from memory", f"solid fats; {_SETTING}"),
    "molar_mass": _V(0.885, 0.85, 0.90, "kg/mol", "estimate", "hydrogenated seed-oil triglyceride, near tristearin"),
    "emissivity": _V(0.92, 0.90, 0.97, "-", "estimate", "organic liquids and waxes"),
}

_PARAFFIN = {
    "clear_point": _V(56.0, 53.0, 60.0, "°C", "estimate", "melting grade 52 to 58 °C"),
    "freezing_starts": _V(55.5, 52.0, 58.0, "°C", "estimate", f"0 to 1 K below the clear point at slow rates; {_BARZ}"),
    "freezing_ends": _V(49.5, 46.0, 54.0, "°C", "estimate", f"90 % of the heat is out; between the grades of {_BARZ}"),
    "latent_heat": _V(
        170e3,
        130e3,
        210e3,
        "J/kg",
        "published",
        f"narrow 54 °C grade of {_BARZ}; 144.6 kJ/kg at 57.1 °C (Jeong et al. 2013, IJHMT 62:711)",
    ),
    "heat_capacity_solid": _V(2100.0, 1900.0, 2900.0, "J/kg/K", "from memory", _MEMORY),
    "heat_capacity_liquid": _V(2250.0, 2100.0, 2450.0, "J/kg/K", "from memory", _MEMORY),
    "conductivity_solid": _V(0.22, 0.19, 0.28, "W/m/K", "from memory", _MEMORY),
    "conductivity_liquid": _V(0.15, 0.14, 0.17, "W/m/K", "from memory", _MEMORY),
    "density_solid": _V(890.0, 850.0, 920.0, "kg/m3", "from memory", f"at 20 °C; {_MEMORY}"),
    "density_liquid": _V(768.0, 755.0, 800.0, "kg/m3", "from memory", f"at 65 °C; {_MEMORY}"),
    "density_liquid_at": _V(65.0, None, None, "°C", "from memory", "where the density is stated"),
    "expansion_liquid": _V(8.7e-4, 7.8e-4, 1e-3, "1/K", "from memory", _MEMORY),
    "viscosity": _V(4.5e-3, 3e-3, 7e-3, "Pa s", "from memory", f"at 60 °C; {_MEMORY}"),
    "viscosity_at": _V(60.0, None, None, "°C", "from memory", "where the viscosity is stated"),
    "viscosity_slope": _V(2300.0, None, None, "K", "computed independently", _SLOPE),
    "total_shrinkage": _V(0.13, 0.08, 0.16, "-", "from memory", "hot liquid to solid at 20 °C"),
    "expansion_solid": _V(1.0e-3, 6e-4, 1.6e-3, "1/K", "estimate", "with the change of its crystals below freezing"),
    "molar_mass": _V(0.39, 0.35, 0.45, "kg/mol", "estimate", "near C28H58, 0.395"),
    "emissivity": _V(0.92, 0.90, 0.97, "-", "estimate", "organic liquids and waxes"),
}

_BEESWAX = {
    "clear_point": _V(64.0, 62.0, 66.0, "°C", "from memory", _MEMORY),
    "freezing_starts": _V(62.5, 60.0, 64.0, "°C", "from memory", _MEMORY),
    "freezing_ends": _V(52.0, 45.0, 58.0, "°C", "from memory", "90 % of the heat is out"),
    "latent_heat": _V(185e3, 165e3, 210e3, "J/kg", "from memory", _MEMORY),
    "heat_capacity_solid": _V(2200.0, 1900.0, 3000.0, "J/kg/K", "from memory", _MEMORY),
    "heat_capacity_liquid": _V(2250.0, 2000.0, 2500.0, "J/kg/K", "from memory", _MEMORY),
    "conductivity_solid": _V(0.25, 0.20, 0.30, "W/m/K", "from memory", _MEMORY),
    "conductivity_liquid": _V(0.17, 0.14, 0.20, "W/m/K", "from memory", _MEMORY),
    "density_solid": _V(960.0, 950.0, 970.0, "kg/m3", "from memory", f"at 20 °C; {_MEMORY}"),
    "density_liquid": _V(830.0, 810.0, 850.0, "kg/m3", "from memory", f"at 75 °C; {_MEMORY}"),
    "density_liquid_at": _V(75.0, None, None, "°C", "from memory", "where the density is stated"),
    "expansion_liquid": _V(7.8e-4, None, None, "1/K", "from memory", _MEMORY),
    "viscosity": _V(14e-3, 10e-3, 20e-3, "Pa s", "from memory", f"at 80 °C; {_MEMORY}"),
    "viscosity_at": _V(80.0, None, None, "°C", "from memory", "where the viscosity is stated"),
    "viscosity_slope": _V(2600.0, 2300.0, 2900.0, "K", "estimate", "between paraffin and fats"),
    "total_shrinkage": _V(0.13, 0.10, 0.16, "-", "from memory", "hot liquid to solid at 20 °C"),
    "expansion_solid": _V(
        1.0e-3,
        6e-4,
        1.7e-3,
        "1/K",
        "estimate",
        "rods shrink 1.2 to 3.4 % in length from 70 to 9 °C (PMC11876593, table 2)",
    ),
    "molar_mass": _V(0.65, 0.55, 0.75, "kg/mol", "estimate", "near its main ester, triacontanyl palmitate, 0.677"),
    "emissivity": _V(0.92, 0.90, 0.97, "-", "estimate", "organic liquids and waxes"),
}

_COCONUT_BLEND = {
    "clear_point": _V(40.0, 34.0, 48.0, "°C", "from memory", _MEMORY),
    "freezing_starts": _V(36.0, 30.0, 44.0, "°C", "from memory", _MEMORY),
    "freezing_ends": _V(26.0, 22.0, 34.0, "°C", "from memory", "90 % of the heat is out"),
    "latent_heat": _V(
        120e3,
        90e3,
        150e3,
        "J/kg",
        "from memory",
        "coconut oil alone 105 kJ/kg at 24.5 °C (Kahwaji & White 2019, Appl. Sci. 9:1627)",
    ),
    "heat_capacity_solid": _V(2000.0, None, None, "J/kg/K", "from memory", _MEMORY),
    "heat_capacity_liquid": _V(2100.0, None, None, "J/kg/K", "from memory", _MEMORY),
    "conductivity_solid": _V(0.21, 0.17, 0.28, "W/m/K", "from memory", _MEMORY),
    "conductivity_liquid": _V(0.165, 0.14, 0.18, "W/m/K", "from memory", _MEMORY),
    "density_solid": _V(925.0, 900.0, 950.0, "kg/m3", "from memory", f"at 20 °C; {_MEMORY}"),
    "density_liquid": _V(882.0, 870.0, 890.0, "kg/m3", "from memory", f"at 70 °C; {_MEMORY}"),
    "density_liquid_at": _V(70.0, None, None, "°C", "from memory", "where the density is stated"),
    "expansion_liquid": _V(7.3e-4, None, None, "1/K", "from memory", _MEMORY),
    "viscosity": _V(16e-3, None, None, "Pa s", "from memory", f"at 60 °C; {_MEMORY}"),
    "viscosity_at": _V(60.0, None, None, "°C", "from memory", "where the viscosity is stated"),
    "viscosity_slope": _V(2900.0, None, None, "K", "computed independently", _SLOPE),
    "total_shrinkage": _V(0.05, 0.04, 0.10, "-", "from memory", "hot liquid to solid at 20 °C"),
    "expansion_solid": _V(3e-4, 2e-4, 6e-4, "1/K", "from memory", "solid fats"),
    "molar_mass": _V(0.70, 0.64, 0.80, "kg/mol", "estimate", "between trilaurin, 0.639, and tristearin, 0.892"),
    "emissivity": _V(0.92, 0.90, 0.97, "-", "estimate", "organic liquids and waxes"),
}

_COOLPROP = "CoolProp, formulation IAPWS-95"
_ICE = "not checked against a source; ice never forms in a room"
_NO_SHRINKAGE = "there is no top to judge"

# In a jar of hot water the films can be fitted without wax. Fragrance, shrinkage and ice have no part in it.
_WATER = {
    "clear_point": _V(0.1, None, None, "°C", "open library", _COOLPROP),
    "freezing_starts": _V(0.1, None, None, "°C", "estimate", "a range for the table; ice never forms in a room"),
    "freezing_ends": _V(0.0, None, None, "°C", "open library", _COOLPROP),
    "latent_heat": _V(333.6e3, None, None, "J/kg", "from memory", _ICE),
    "heat_capacity_solid": _V(2100.0, None, None, "J/kg/K", "from memory", _ICE),
    "heat_capacity_liquid": _V(4181.0, None, None, "J/kg/K", "open library", f"at 50 °C; {_COOLPROP}"),
    "conductivity_solid": _V(2.2, None, None, "W/m/K", "from memory", _ICE),
    "conductivity_liquid": _V(0.641, None, None, "W/m/K", "open library", f"at 50 °C; {_COOLPROP}"),
    "density_solid": _V(917.0, None, None, "kg/m3", "from memory", _ICE),
    "density_liquid": _V(961.9, None, None, "kg/m3", "open library", f"at 95 °C; {_COOLPROP}"),
    "density_liquid_at": _V(95.0, None, None, "°C", "open library", "where the density is stated"),
    "expansion_liquid": _V(6.0e-4, None, None, "1/K", "open library", f"between 50 and 95 °C; {_COOLPROP}"),
    "viscosity": _V(0.547e-3, None, None, "Pa s", "open library", f"at 50 °C; {_COOLPROP}"),
    "viscosity_at": _V(50.0, None, None, "°C", "open library", "where the viscosity is stated"),
    "viscosity_slope": _V(1870.0, None, None, "K", "open library", f"between 20 and 60 °C; {_COOLPROP}"),
    "total_shrinkage": _V(0.0, None, None, "-", "estimate", _NO_SHRINKAGE),
    "expansion_solid": _V(0.0, None, None, "1/K", "estimate", _NO_SHRINKAGE),
    "molar_mass": _V(0.018, None, None, "kg/mol", "open library", _COOLPROP),
    "emissivity": _V(0.95, None, None, "-", "from memory", "water, or thin film that lies on it"),
}

NEVER_SETS = frozenset({"water"})
"""Fillings that do not freeze in a room: a run ends when they are cool, without events of setting."""

WAXES: Mapping[str, Mapping[str, CatalogueValue]] = MappingProxyType(
    {
        "soft-vegetable": MappingProxyType(_SOFT_VEGETABLE),
        "paraffin": MappingProxyType(_PARAFFIN),
        "beeswax": MappingProxyType(_BEESWAX),
        "coconut-blend": MappingProxyType(_COCONUT_BLEND),
        "water": MappingProxyType(_WATER),
    }
)
"""Wax by name, property by the name of the `Wax` field (the freezing range as its two ends)."""


def _fat(**percent: float) -> Fat:
    """Write acids of a fat from their mass shares [%]: p, s, e, o, l for 16:0, 18:0, 18:1 trans, 18:1 and 18:2."""
    names = {"p": "16:0", "s": "18:0", "e": "18:1 trans", "o": "18:1", "l": "18:2"}
    return tuple((names[letter], share / 100.0) for letter, share in percent.items())


FATS: Mapping[str, Composition] = MappingProxyType(
    {
        "soft-vegetable": Composition(((1.0, _fat(p=11, s=20, e=45, o=22, l=2)),)),
        "softer-vegetable": Composition(((1.0, _fat(p=11, s=22, e=30, o=35, l=2)),)),
        "vegetable-no-trans": Composition(((1.0, _fat(p=11, s=52, o=35, l=2)),)),
        "hard-and-oil": Composition(((0.5, _fat(p=11, s=89)), (0.5, _fat(p=11, s=4, o=24, l=61)))),
        "hard-vegetable": Composition(((1.0, _fat(p=11, s=89)),)),
    }
)
"""Waxes whose freezing comes from their fatty acids, all estimates: soybean oil hydrogenated in part, the same with
less trans, one without any, a fully hydrogenated oil in as much liquid oil, and fully hydrogenated. Those that are not
in `WAXES` have the other properties of soft vegetable wax."""


@dataclass(frozen=True, slots=True)
class FreezingCurve:
    """A measured freezing curve of a paraffin grade, on cooling.

    Ascending temperatures [°C] at which a liquid fraction [-] is left, and the latent heat of the same grade [J/kg].
    """

    points: tuple[tuple[float, float], ...]
    latent_heat: float
    mark: Mark
    source: str


_PERCENTILES = f"temperatures at 5, 10, 25, 50, 75, 90 and 95 % liquid computed independently from {_BARZ}"


def _curve(temperatures: tuple[float, ...], latent_heat: float) -> FreezingCurve:
    fractions = (0.05, 0.10, 0.25, 0.50, 0.75, 0.90, 0.95)
    points = tuple(zip(temperatures, fractions, strict=True))
    return FreezingCurve(points, latent_heat, "computed independently", _PERCENTILES)


PARAFFIN_CURVES: Mapping[str, FreezingCurve] = MappingProxyType(
    {
        "paraffin-54-narrow": _curve((52.0, 52.5, 53.4, 53.8, 54.2, 54.5, 54.6), 170e3),
        "paraffin-55-broad": _curve((48.9, 49.7, 51.9, 53.7, 55.2, 55.9, 56.3), 129e3),
        "paraffin-47": _curve((39.2, 40.1, 42.0, 44.0, 45.6, 46.7, 47.2), 133e3),
    }
)
"""Paraffin grades with a measured freezing curve; the other properties are those of paraffin."""

_EN = "design value of EN 12524 as tabulated in the open library ht"
_ASHRAE = "ASHRAE value as tabulated in the open library ht"


def _inert(
    conductivity: CatalogueValue, density: CatalogueValue, heat_capacity: CatalogueValue
) -> Mapping[str, CatalogueValue]:
    return MappingProxyType({"conductivity": conductivity, "density": density, "heat_capacity": heat_capacity})


def _library(
    conductivity: float, density: float, heat_capacity: float, source: str = _EN
) -> Mapping[str, CatalogueValue]:
    return _inert(
        _V(conductivity, None, None, "W/m/K", "open library", source),
        _V(density, None, None, "kg/m3", "open library", source),
        _V(heat_capacity, None, None, "J/kg/K", "open library", source),
    )


INERTS: Mapping[str, Mapping[str, CatalogueValue]] = MappingProxyType(
    {
        "glass": _inert(
            _V(1.0, None, None, "W/m/K", "open library", f"soda-lime glass; {_EN}"),
            _V(2500.0, None, None, "kg/m3", "open library", f"soda-lime glass; {_EN}"),
            _V(840.0, 750.0, 840.0, "J/kg/K", "open library", f"soda-lime float glass; {_ASHRAE}; EN 12524 has 750"),
        ),
        "board": _inert(
            _V(
                0.060,
                0.05,
                0.12,
                "W/m/K",
                "estimate",
                "corrugated board, 0.067 m2K/W for 4 mm; published values run over the range",
            ),
            _V(130.0, None, None, "kg/m3", "estimate", "corrugated board, flutes and liners together"),
            _V(1350.0, None, None, "J/kg/K", "estimate", "paper"),
        ),
        "oak": _library(0.17, 705.0, 1630.0, _ASHRAE),
        "plywood": _library(0.13, 500.0, 1600.0),
        "particleboard": _library(0.14, 600.0, 1700.0),
        "steel": _library(50.0, 7800.0, 450.0),
        "tinned-steel": _library(50.0, 7800.0, 450.0),
        "aluminium": _library(160.0, 2800.0, 880.0),
        "granite": _library(2.8, 2600.0, 1000.0),
        "marble": _library(3.5, 2800.0, 1000.0),
        "slate": _library(2.2, 2400.0, 1000.0),
        "towel": _inert(
            _V(0.06, 0.04, 0.08, "W/m/K", "estimate", "loose dry cotton, mostly still air"),
            _V(150.0, 80.0, 300.0, "kg/m3", "estimate", "loose dry cotton"),
            _V(1350.0, 1200.0, 1500.0, "J/kg/K", "estimate", "cotton"),
        ),
    }
)
"""Materials that only conduct, by name."""

_RADIATION = "tables for radiation thermometers"

EMISSIVITIES: Mapping[str, CatalogueValue] = MappingProxyType(
    {
        "glass": _V(0.90, 0.84, 0.94, "-", "published", _RADIATION),
        "board": _V(0.92, None, None, "-", "published", _RADIATION),
        "wood": _V(0.90, None, None, "-", "published", _RADIATION),
        "bright-tinned-iron": _V(0.06, None, None, "-", "published", _RADIATION),
        "polished-aluminium": _V(0.05, None, None, "-", "published", _RADIATION),
        "lacquered-tin": _V(0.90, None, None, "-", "published", _RADIATION),
        "wax": _V(0.92, 0.90, 0.97, "-", "estimate", "organic liquids and waxes"),
    }
)
"""Total emissivity of surfaces near room temperature."""

_FLUTE = "usual height of the flute"

FLUTE_HEIGHTS: Mapping[str, CatalogueValue] = MappingProxyType(
    {
        "E": _V(1.2e-3, None, None, "m", "from memory", _FLUTE),
        "B": _V(3.2e-3, None, None, "m", "from memory", _FLUTE),
        "C": _V(4.0e-3, None, None, "m", "from memory", _FLUTE),
    }
)
"""Height of corrugated board by the letter of its flute."""

CONTACTS: Mapping[str, CatalogueValue] = MappingProxyType(
    {
        "glass-on-bench": _V(25.0, 12.0, 80.0, "W/m2/K", "estimate", "a concave glass foot stands on its ring"),
        "tin-on-bench": _V(60.0, 25.0, 200.0, "W/m2/K", "estimate", "a flat tin"),
        "jar-on-board": _V(30.0, 15.0, 80.0, "W/m2/K", "estimate", "a jar on corrugated board"),
    }
)
"""Contact conductance under the foot of a vessel."""

TRADE_NAMES: Mapping[str, str] = MappingProxyType(
    {"soy": "soft-vegetable", "tin": "tinned-steel", "tinplate": "tinned-steel", "aluminum": "aluminium"}
)
"""What workshops also call a material of the catalogue: common practice, no source."""

TIN_WALL = _V(0.22e-3, 0.20e-3, 0.25e-3, "m", "from memory", "wall of a candle tin")
"""Wall thickness of a tin."""

FRAGRANCE_MOLAR_MASS = _V(0.20, 0.15, 0.25, "kg/mol", "estimate", "fragrance oil, mixed terpenes, esters and musks")
"""Mean molar mass of a fragrance oil."""

_NETWORK = (
    "through the gelling thresholds and the hardness of fats (margarine, shortening, butter 4.4 to 810 kPa, Haighton"
    " 1959, JAOCS 36:345)"
)

_STIFFNESS = _V(3e6, 1e6, 1e7, "Pa", "estimate", _NETWORK)
_STIFFNESS_OF_OTHERS = _V(3e6, 3e5, 3e7, "Pa", "estimate", f"{_NETWORK}; for this wax a guess, ten times either way")
_NO_FATS = frozenset({"paraffin", "beeswax", *PARAFFIN_CURVES})


def stiffness_of(kind: str) -> CatalogueValue:
    """Yield stress that the law of half-frozen fats gives an entirely solid wax of a kind.

    Of waxes that are no fats no figure was found.
    """
    return _STIFFNESS_OF_OTHERS if kind in _NO_FATS else _STIFFNESS
