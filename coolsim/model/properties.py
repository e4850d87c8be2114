"""The properties that a simulation needs of its materials, checked when they are put together."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass, replace
from itertools import pairwise

import numpy as np

from coolsim.errors import MaterialError
from coolsim.model.freezing_curve import END, Curve, temperature_at
from coolsim.model.volume import REFERENCE, VolumeLaw, volume_law
from coolsim.overview import Overview, OverviewTable
from coolsim.units import format_quantity

_ZERO_CELSIUS = 273.15

_SMALLEST_SOLID = 0.6
"""Least volume of solid wax at 20 °C, relative to its hot liquid [-]: far below any wax. Paraffin loses some 15 %, from
memory."""

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


METAL_CONDUCTIVITY = 10.0
"""Conductivity above which a vessel counts as metal: between stone (3.5) and steel (50) [W/m/K]."""


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

    Examples
    --------
    >>> from coolsim import Inert
    >>> Inert(name="slate", conductivity=2.0, density=2750.0, heat_capacity=760.0).name
    'slate'
    """

    name: str
    conductivity: float
    density: float
    heat_capacity: float

    def __post_init__(self) -> None:
        _raise_if(self.name, _not_positive(self, ("conductivity", "density", "heat_capacity")))

    @property
    def is_metal(self) -> bool:
        """Whether it conducts like a metal, which thermal shock does not harm."""
        return self.conductivity > METAL_CONDUCTIVITY


@dataclass(frozen=True, slots=True, kw_only=True)
class Wax(Overview):
    """A wax that freezes over a range of temperatures.

    Parameters
    ----------
    name : str
        What it is called.
    conductivity_solid, conductivity_liquid : float
        Thermal conductivity of the frozen and of the liquid wax [W/m/K].
    density : float
        The one density of the thermal problem [kg/m3]: that of the hot liquid, because a jar is filled with
        liquid and the mass that has to cool is this density times the volume filled.
    heat_capacity_solid, heat_capacity_liquid : float
        Specific heat capacity of the frozen and of the liquid wax [J/kg/K].
    latent_heat : float
        Heat of freezing over the whole range [J/kg].
    freezing : tuple of (float, float)
        Liquid fraction on cooling as pairs of temperature [°C] and fraction [-], ascending, from 0 to (freezing
        starts, 1), straight between.
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
        Volume lost from the liquid at `density_liquid_at` to the solid at 20 °C, as a share of the former
        [-]. The shape of the top follows this figure, not the two densities, since it is the one that people
        can measure in a jar.
    expansion_solid : float
        Volumetric expansion of the solid, referred to 20 °C [1/K].
    molar_mass : float
        Mean molar mass [kg/mol].
    emissivity : float
        Total emissivity of the free surface [-].
    melting : tuple of (float, float) or None
        Liquid fraction on heating, as `freezing`; its end stands at the clear point. None: as wide as `freezing`.
    melting_heat : float or None
        Heat of melting of set wax, whose crystals have changed to the stable form [J/kg]. None: the latent heat.
    at_rest : tuple of (float, float) or None
        For a wax whose liquid conducts better where it circulates, at `conductivity_liquid`: the liquid fraction up
        to which it is at rest [-], and the conductivity of its liquid there [W/m/K].

    Raises
    ------
    MaterialError
        If a property is impossible. All faults are named at once.

    Examples
    --------
    >>> from dataclasses import replace
    >>> from coolsim import catalogue_wax
    >>> print(replace(catalogue_wax("soft-vegetable"), name="my blend", latent_heat=140e3))
    my blend
    Freezes from  46.5 °C, nine tenths down to 23.3 °C
    Clear at      52.8 °C
    Latent heat   140 kJ/kg
    ...
    """

    name: str
    conductivity_solid: float
    conductivity_liquid: float
    density: float
    heat_capacity_solid: float
    heat_capacity_liquid: float
    latent_heat: float
    freezing: Curve
    clear_point: float
    density_solid: float
    density_liquid: float
    density_liquid_at: float
    expansion_liquid: float
    viscosity: float
    viscosity_at: float
    viscosity_slope: float
    total_shrinkage: float
    expansion_solid: float
    molar_mass: float
    emissivity: float
    melting: Curve | None = None
    melting_heat: float | None = None
    at_rest: tuple[float, float] | None = None

    def __post_init__(self) -> None:
        faults = _not_positive(self, _POSITIVE_WAX_FIELDS)
        if self.at_rest is not None and self.conductivity_liquid == self.conductivity_solid:
            # The solver takes equal figures for one conductivity throughout.
            faults.append("circulating liquid conducts exactly as the solid does; change the factor a little")
        if not (math.isfinite(self.viscosity_at) and self.viscosity_at > -_ZERO_CELSIUS):
            faults.append(f"viscosity_at is {self.viscosity_at:g} °C; give the temperature of the viscosity")
        if not 0.0 <= self.total_shrinkage < 1.0:
            faults.append(f"total_shrinkage is {self.total_shrinkage:g}; it must lie between 0 and 1")
        if not (math.isfinite(self.expansion_solid) and self.expansion_solid >= 0.0):
            faults.append(f"expansion_solid is {self.expansion_solid:g} 1/K; it must not be below zero")
        if not 0.0 < self.emissivity <= 1.0:
            faults.append(f"emissivity is {self.emissivity:g}; it must lie above 0 and not above 1")
        # Written so that a NaN is a fault.
        if self.melting_heat is not None and not self.latent_heat <= self.melting_heat < math.inf:
            faults.append(
                f"melting_heat is {self.melting_heat / 1e3:g} kJ/kg and latent_heat {self.latent_heat / 1e3:g} kJ/kg;"
                " the stable form takes at least the heat that the first one gives"
            )
        freezing_faults = _curve_faults("freezing", self.freezing)
        if self.melting is not None:
            faults += _curve_faults("melting", self.melting)
        # The start of freezing is only known if the curve is in order.
        faults += freezing_faults or self._below_start_of_freezing()
        if not faults:
            faults = self._shrinks_on_freezing()
        _raise_if(self.name, faults)

    def _below_start_of_freezing(self) -> list[str]:
        starts = self.freezing_starts
        faults = []
        if not (math.isfinite(self.clear_point) and self.clear_point >= starts):
            faults.append(
                f"clear_point is {self.clear_point:g} °C and freezing starts at {starts:g} °C;"
                " wax clears on heating at or above the temperature at which it starts to freeze"
            )
        if not (math.isfinite(self.density_liquid_at) and self.density_liquid_at >= starts):
            faults.append(
                f"density_liquid_at is {self.density_liquid_at:g} °C and freezing starts at {starts:g} °C;"
                " give a density of the liquid"
            )
        return faults

    def _shrinks_on_freezing(self) -> list[str]:
        left = self.liquid_at(REFERENCE)
        if left >= 1.0:
            return []
        if self.volume.solid < _SMALLEST_SOLID - 1e-9:
            cold = float(self.volume.as_liquid(np.array(REFERENCE)))
            most = math.floor(1e4 * (1.0 - left * cold - _SMALLEST_SOLID * (1.0 - left)) + 1e-6) / 100.0
            return [
                f"total_shrinkage is {100.0 * self.total_shrinkage:.3g} %, but at {REFERENCE:g} °C {100.0 * left:.3g} %"
                " of this wax is still liquid, so what has frozen by then would have lost"
                f" {100.0 * (1.0 - self.volume.solid):.3g} %, and no wax loses more than"
                f" {100.0 * (1.0 - _SMALLEST_SOLID):.3g} %; give a total_shrinkage of at most {most:g} %"
            ]
        temperature = np.array([REFERENCE, self.freezing_starts])
        liquid, solid = self.volume.as_liquid(temperature), self.volume.as_solid(temperature)
        if (solid <= liquid).all():
            return []
        return [
            f"total_shrinkage is {100.0 * self.total_shrinkage:.3g} %, but from {self.density_liquid_at:g} down to"
            f" {REFERENCE:g} °C the liquid alone would lose {100.0 * (1.0 - liquid[0]):.3g} % (expansion_liquid), and"
            " the solid must be smaller than the liquid all the way up to the start of freezing;"
            " give a larger total_shrinkage"
        ]

    def liquid_at(self, temperature: float) -> float:
        """Liquid share on cooling [-].

        Parameters
        ----------
        temperature : float
            Temperature of the wax [°C].

        Returns
        -------
        float
            From 0, solid throughout, to 1 [-].
        """
        return float(np.interp(temperature, *np.array(self.freezing).T))

    @property
    def volume(self) -> VolumeLaw:
        """Volume by temperature and liquid share."""
        return volume_law(
            total_shrinkage=self.total_shrinkage,
            liquid_left=self.liquid_at(REFERENCE),
            reference=self.density_liquid_at,
            expansion_liquid=self.expansion_liquid,
            expansion_solid=self.expansion_solid,
        )

    def overview(self) -> OverviewTable:
        """Return the main properties, as a notebook shows them."""
        ends, starts, clear = (
            format_quantity(value, "temperature", digits=1)
            for value in (self.freezing_ends, self.freezing_starts, self.clear_point)
        )
        return OverviewTable(
            title=self.name,
            rows=(
                ("Freezes from", f"{starts}, nine tenths down to {ends}"),
                ("Clear at", clear),
                ("Latent heat", f"{self.latent_heat / 1e3:.0f} kJ/kg"),
                (
                    "Conductivity, solid and liquid",
                    f"{self.conductivity_solid:g} and {self.conductivity_liquid:g} W/m/K",
                ),
                (
                    "Heat capacity",
                    f"{self.heat_capacity_solid:.0f} J/kg/K solid, {self.heat_capacity_liquid:.0f} liquid",
                ),
                ("Density", f"{self.density_solid:.0f} kg/m³ solid, {self.density_liquid:.0f} liquid"),
                ("Shrinks by", format_quantity(self.total_shrinkage, "fraction")),
            ),
        )

    def stirred(self, factor: float, *, above: float) -> Wax:
        """Return the wax with a liquid that conducts better where it circulates.

        Parameters
        ----------
        factor : float
            On the conductivity of the liquid [-].
        above : float
            Liquid fraction above which the wax circulates [-].

        Returns
        -------
        Wax
            Otherwise the same.
        """
        conductivity = self.conductivity_liquid
        return replace(self, conductivity_liquid=factor * conductivity, at_rest=(above, conductivity))

    @property
    def freezing_starts(self) -> float:
        """Temperature at which the first crystals form on cooling [°C]."""
        return self.freezing[-1][0]

    @property
    def freezing_ends(self) -> float:
        """Temperature at which 90 % of the heat of freezing is out [°C]."""
        return temperature_at(self.freezing, END)


def _not_positive(material: object, fields: Iterable[str]) -> list[str]:
    faults = []
    for field in fields:
        value: float = getattr(material, field)
        # Written so that a NaN is a fault.
        if not (math.isfinite(value) and value > 0.0):
            faults.append(f"{field} is {value:g}; it must be a finite number above zero")
    return faults


def _curve_faults(name: str, curve: Curve) -> list[str]:
    temperatures = [temperature for temperature, _ in curve]
    fractions = [fraction for _, fraction in curve]
    faults = []
    if len(curve) < 2 or fractions[0] != 0.0 or fractions[-1] != 1.0:
        faults.append(f"{name} must run from liquid fraction 0 at its end to 1 at its start")
    if not all(math.isfinite(temperature) and temperature > -_ZERO_CELSIUS for temperature in temperatures):
        faults.append(f"{name} has a temperature that is not finite or below absolute zero")
    if not all(lower < upper for lower, upper in pairwise(temperatures)):
        faults.append(f"{name} must rise in temperature from point to point")
    if not all(lower <= upper for lower, upper in pairwise(fractions)):
        faults.append(f"{name} must not fall in liquid fraction as the temperature rises")
    return faults


def _raise_if(name: str, faults: list[str]) -> None:
    if faults:
        raise MaterialError("\n".join(f"{name}: {fault}" for fault in faults))
