"""What the section is made of: waxes that freeze, and inert materials that only conduct."""

import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace

from coolsim.errors import MaterialError
from coolsim.model.catalogue import (
    FRAGRANCE_MOLAR_MASS,
    INERTS,
    PARAFFIN_CURVES,
    WAXES,
    CatalogueValue,
    FreezingCurve,
)

__all__ = [
    "CatalogueValue",
    "Inert",
    "Wax",
    "catalogue_inert",
    "catalogue_wax",
    "inert_names",
    "liquid_density",
    "viscosity",
    "wax_names",
    "with_fragrance",
]

_GAS_CONSTANT = 8.31446261815324  # J/mol/K, exact by the SI of 2019
_ZERO_CELSIUS = 273.15
_LARGEST_FRAGRANCE_LOAD = 0.15
_HOTTEST_LIQUID = 120.0

_POSITIVE_WAX_FIELDS = (
    "conductivity_solid",
    "conductivity_liquid",
    "density",
    "heat_capacity_solid",
    "heat_capacity_liquid",
    "latent_heat",
    "density_solid",
    "density_liquid",
    "expansion_liquid",
    "viscosity",
    "viscosity_slope",
    "molar_mass",
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Inert:
    """A material that only conducts and stores heat.

    Parameters
    ----------
    name : str
        What it is called.
    conductivity : float
        Thermal conductivity [W/m/K].
    density : float
        Density [kg/m3].
    heat_capacity : float
        Specific heat capacity [J/kg/K].

    Raises
    ------
    MaterialError
        If a property is not a positive finite number.
    """

    name: str
    conductivity: float
    density: float
    heat_capacity: float

    def __post_init__(self) -> None:
        _require_positive(self.name, self, ("conductivity", "density", "heat_capacity"))


@dataclass(frozen=True, slots=True, kw_only=True)
class Wax:
    """A wax that freezes over a range of temperatures.

    Parameters
    ----------
    name : str
        What it is called.
    conductivity_solid, conductivity_liquid : float
        Thermal conductivity of the frozen and of the liquid wax [W/m/K].
    density : float
        The one density of the thermal problem [kg/m3]: that of the hot liquid, because a jar is filled with liquid
        and the mass that has to cool is this density times the volume filled.
    heat_capacity_solid, heat_capacity_liquid : float
        Specific heat capacity of the frozen and of the liquid wax [J/kg/K].
    latent_heat : float
        Heat of freezing over the whole range [J/kg].
    freezing : tuple of (float, float)
        Liquid fraction on cooling as pairs of temperature [°C] and fraction [-], ascending, from (freezing ends, 0) to
        (freezing starts, 1), straight between.
    clear_point : float
        Temperature at which the wax is clear on heating [°C]; for melting only.
    density_solid : float
        Density of the solid at 20 °C [kg/m3].
    density_liquid : float
        Density of the liquid at `density_liquid_at` [kg/m3].
    density_liquid_at : float
        Temperature of `density_liquid` [°C].
    expansion_liquid : float
        Volumetric expansion of the liquid, referred to `density_liquid_at` [1/K].
    viscosity : float
        Viscosity of the liquid at `viscosity_at` [Pa s].
    viscosity_at : float
        Temperature of `viscosity` [°C].
    viscosity_slope : float
        B of the law mu = viscosity exp[B (1/T - 1/T_at)] [K].
    total_shrinkage : float
        Volume lost from the liquid at `density_liquid_at` to the solid at 20 °C, as a share of the former [-]. The
        shape of the top follows this figure, not the two densities, since it is the one that people can measure in a
        jar.
    solid_shrinkage : float
        The part of `total_shrinkage` that comes after the end of freezing, and is not fed [-].
    molar_mass : float
        Mean molar mass [kg/mol].
    emissivity : float
        Total emissivity of the free surface [-].

    Raises
    ------
    MaterialError
        If a property is impossible. All faults are named at once.
    """

    name: str
    conductivity_solid: float
    conductivity_liquid: float
    density: float
    heat_capacity_solid: float
    heat_capacity_liquid: float
    latent_heat: float
    freezing: tuple[tuple[float, float], ...]
    clear_point: float
    density_solid: float
    density_liquid: float
    density_liquid_at: float
    expansion_liquid: float
    viscosity: float
    viscosity_at: float
    viscosity_slope: float
    total_shrinkage: float
    solid_shrinkage: float
    molar_mass: float
    emissivity: float

    def __post_init__(self) -> None:
        _require_positive(self.name, self, _POSITIVE_WAX_FIELDS)
        _check_freezing(self.name, self.freezing)
        faults = []
        if not (math.isfinite(self.clear_point) and self.clear_point >= self.freezing_starts):
            faults.append(
                f"clear_point is {self.clear_point:g} °C, below the start of freezing at {self.freezing_starts:g} °C;"
                " wax clears on heating at or above the temperature at which it starts to freeze"
            )
        if not (math.isfinite(self.density_liquid_at) and self.density_liquid_at >= self.freezing_ends):
            faults.append(
                f"density_liquid_at is {self.density_liquid_at:g} °C, where the wax is solid;"
                " give a density of the liquid"
            )
        if not (math.isfinite(self.viscosity_at) and self.viscosity_at > -_ZERO_CELSIUS):
            faults.append(f"viscosity_at is {self.viscosity_at:g} °C; give the temperature of the viscosity")
        if not 0.0 <= self.solid_shrinkage <= self.total_shrinkage < 1.0:
            faults.append(
                f"solid_shrinkage is {self.solid_shrinkage:g} and total_shrinkage {self.total_shrinkage:g};"
                " they must lie between 0 and 1, and the first is a part of the second"
            )
        if not 0.0 < self.emissivity <= 1.0:
            faults.append(f"emissivity is {self.emissivity:g}; it must lie above 0 and not above 1")
        _raise_if(self.name, faults)

    @property
    def freezing_starts(self) -> float:
        """Temperature at which the first crystals form on cooling [°C]."""
        return self.freezing[-1][0]

    @property
    def freezing_ends(self) -> float:
        """Temperature at which the wax is counted as frozen [°C]."""
        return self.freezing[0][0]


def wax_names() -> tuple[str, ...]:
    """List the names that `catalogue_wax` knows.

    Returns
    -------
    tuple of str
        The names.

    Examples
    --------
    >>> wax_names()[:2]
    ('soft-vegetable', 'paraffin')
    """
    return (*WAXES, *PARAFFIN_CURVES)


def inert_names() -> tuple[str, ...]:
    """List the names that `catalogue_inert` knows.

    Returns
    -------
    tuple of str
        The names.

    Examples
    --------
    >>> "glass" in inert_names()
    True
    """
    return tuple(INERTS)


def catalogue_wax(name: str) -> Wax:
    """Build a wax from the nominal values of the catalogue.

    Parameters
    ----------
    name : str
        One of `wax_names`.

    Returns
    -------
    Wax
        The wax, without fragrance. Its freezing curve is straight, but for the paraffin grades with a measured one.

    Raises
    ------
    MaterialError
        If the catalogue has no such wax.

    Notes
    -----
    `density` is that of the liquid halfway between the temperature at which it is stated and the start of freezing:
    the wax is poured in that range.

    Examples
    --------
    >>> wax = catalogue_wax("soft-vegetable")
    >>> wax.freezing_starts, wax.latent_heat, round(wax.density)
    (45.0, 130000.0, 885)
    """
    if name in PARAFFIN_CURVES:
        return _with_curve(catalogue_wax("paraffin"), name, PARAFFIN_CURVES[name])
    values = _nominal(WAXES, name, wax_names())
    starts = values.pop("freezing_starts")
    ends = values.pop("freezing_ends")
    halfway = 0.5 * (starts + values["density_liquid_at"])
    density = _density(
        values["density_liquid"], values["expansion_liquid"], values["density_liquid_at"], halfway
    )
    return Wax(name=name, freezing=((ends, 0.0), (starts, 1.0)), density=density, **values)


def catalogue_inert(name: str) -> Inert:
    """Build an inert material from the nominal values of the catalogue.

    Parameters
    ----------
    name : str
        One of `inert_names`.

    Returns
    -------
    Inert
        The material.

    Raises
    ------
    MaterialError
        If the catalogue has no such material.

    Examples
    --------
    >>> catalogue_inert("glass").conductivity
    1.0
    """
    return Inert(name=name, **_nominal(INERTS, name, inert_names()))


def with_fragrance(
    wax: Wax,
    load: float,
    *,
    molar_mass_wax: float | None = None,
    molar_mass_oil: float = FRAGRANCE_MOLAR_MASS.nominal,
) -> Wax:
    r"""Mix a fragrance oil into a wax.

    Parameters
    ----------
    wax : Wax
        The wax without fragrance.
    load : float
        Mass of oil in the mass of the mix [-], from 0 to 0.15.
    molar_mass_wax : float, optional
        Molar mass of the wax [kg/mol]; that of `wax` if left out.
    molar_mass_oil : float
        Mean molar mass of the oil [kg/mol]; the default is an estimate.

    Returns
    -------
    Wax
        The mix. Latent heat is scaled with the share of wax, and the freezing curve and clear point move down. Density,
        conductivity, heat capacity and shrinkage stay: what the oil changes is within their scatter.

    Raises
    ------
    MaterialError
        If the load is outside its range or a molar mass is not a positive finite number.

    Notes
    -----
    Ideal solution, the oil only in the liquid: :math:`\Delta T = R T^2 x / (M L)` with x the mole fraction of oil, T in
    kelvin, M the molar mass and L the latent heat of the wax alone [van 't Hoff's law of freezing-point depression].

    Examples
    --------
    >>> plain = catalogue_wax("soft-vegetable")
    >>> scented = with_fragrance(plain, 0.08)
    >>> round(plain.freezing_starts - scented.freezing_starts, 1)
    2.0
    """
    if not 0.0 <= load <= _LARGEST_FRAGRANCE_LOAD:
        raise MaterialError(
            f"fragrance load is {load:g}; it must lie between 0 and {_LARGEST_FRAGRANCE_LOAD:g} of the mass,"
            " beyond that the oil no longer stays in the wax"
        )
    wax_molar_mass = wax.molar_mass if molar_mass_wax is None else molar_mass_wax
    for called, molar_mass in (("wax", wax_molar_mass), ("oil", molar_mass_oil)):
        if not (math.isfinite(molar_mass) and molar_mass > 0.0):
            raise MaterialError(f"molar mass of the {called} is {molar_mass:g} kg/mol; it must be above zero")
    if load == 0.0:
        return wax
    oil_moles = load / molar_mass_oil
    mole_fraction = oil_moles / (oil_moles + (1.0 - load) / wax_molar_mass)
    per_kelvin = _GAS_CONSTANT * mole_fraction / (wax_molar_mass * wax.latent_heat)

    def lowered(temperature: float) -> float:
        return temperature - per_kelvin * (temperature + _ZERO_CELSIUS) ** 2

    return replace(
        wax,
        name=f"{wax.name} with {100.0 * load:g} % fragrance",
        latent_heat=wax.latent_heat * (1.0 - load),
        freezing=tuple((lowered(temperature), fraction) for temperature, fraction in wax.freezing),
        clear_point=lowered(wax.clear_point),
    )


def liquid_density(wax: Wax, temperature: float) -> float:
    """Density of the liquid wax.

    Parameters
    ----------
    wax : Wax
        The wax.
    temperature : float
        Temperature of the liquid [°C], from the start of freezing to 120 °C.

    Returns
    -------
    float
        Density [kg/m3].

    Raises
    ------
    MaterialError
        If the wax is not liquid at this temperature, or hotter than the law holds.

    Examples
    --------
    >>> liquid_density(catalogue_wax("soft-vegetable"), 70.0)
    877.0
    """
    _require_liquid(wax, temperature)
    return _density(wax.density_liquid, wax.expansion_liquid, wax.density_liquid_at, temperature)


def viscosity(wax: Wax, temperature: float) -> float:
    """Viscosity of the liquid wax.

    Parameters
    ----------
    wax : Wax
        The wax.
    temperature : float
        Temperature of the liquid [°C], from the start of freezing to 120 °C.

    Returns
    -------
    float
        Viscosity [Pa s].

    Raises
    ------
    MaterialError
        If the wax is not liquid at this temperature, or hotter than the law holds.

    Examples
    --------
    >>> round(1000 * viscosity(catalogue_wax("soft-vegetable"), 80.0), 1)
    12.2
    """
    _require_liquid(wax, temperature)
    inverse = 1.0 / (temperature + _ZERO_CELSIUS) - 1.0 / (wax.viscosity_at + _ZERO_CELSIUS)
    return wax.viscosity * math.exp(wax.viscosity_slope * inverse)


def _density(density: float, expansion: float, at: float, temperature: float) -> float:
    return density * (1.0 - expansion * (temperature - at))


def _nominal(
    catalogue: Mapping[str, Mapping[str, CatalogueValue]], name: str, names: tuple[str, ...]
) -> dict[str, float]:
    if name not in catalogue:
        raise MaterialError(f"no material {name!r} in the catalogue; choose from {', '.join(names)}")
    return {key: value.nominal for key, value in catalogue[name].items()}


def _with_curve(paraffin: Wax, name: str, curve: FreezingCurve) -> Wax:
    # The published points end at 5 and 95 %; the outermost pieces are drawn on straight to 0 and 1.
    (cold, cold_fraction), (next_cold, next_cold_fraction) = curve.points[:2]
    (next_hot, next_hot_fraction), (hot, hot_fraction) = curve.points[-2:]
    ends = cold - cold_fraction * (next_cold - cold) / (next_cold_fraction - cold_fraction)
    starts = hot + (1.0 - hot_fraction) * (hot - next_hot) / (hot_fraction - next_hot_fraction)
    supercooling = paraffin.clear_point - paraffin.freezing_starts
    return replace(
        paraffin,
        name=name,
        latent_heat=curve.latent_heat,
        freezing=((ends, 0.0), *curve.points, (starts, 1.0)),
        clear_point=starts + supercooling,
    )


def _require_positive(name: str, material: object, fields: Iterable[str]) -> None:
    faults = []
    for field in fields:
        value: float = getattr(material, field)
        if not (math.isfinite(value) and value > 0.0):
            faults.append(f"{field} is {value:g}; it must be a finite number above zero")
    _raise_if(name, faults)


def _check_freezing(name: str, freezing: tuple[tuple[float, float], ...]) -> None:
    temperatures = [temperature for temperature, _ in freezing]
    fractions = [fraction for _, fraction in freezing]
    faults = []
    if len(freezing) < 2 or fractions[0] != 0.0 or fractions[-1] != 1.0:
        faults.append("freezing must run from liquid fraction 0 at its end to 1 at its start")
    # Written so that a NaN is a fault.
    if not all(math.isfinite(temperature) and temperature > -_ZERO_CELSIUS for temperature in temperatures):
        faults.append("freezing has a temperature that is not finite or below absolute zero")
    if not all(lower < upper for lower, upper in zip(temperatures, temperatures[1:], strict=False)):
        faults.append("freezing must rise in temperature from point to point")
    if not all(lower <= upper for lower, upper in zip(fractions, fractions[1:], strict=False)):
        faults.append("freezing must not fall in liquid fraction as the temperature rises")
    _raise_if(name, faults)


def _require_liquid(wax: Wax, temperature: float) -> None:
    if not wax.freezing_starts <= temperature <= _HOTTEST_LIQUID:
        raise MaterialError(
            f"{wax.name}: {temperature:g} °C is outside the liquid range of the law,"
            f" {wax.freezing_starts:g} to {_HOTTEST_LIQUID:g} °C"
        )


def _raise_if(name: str, faults: list[str]) -> None:
    if faults:
        raise MaterialError("\n".join(f"{name}: {fault}" for fault in faults))
