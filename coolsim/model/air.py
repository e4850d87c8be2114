"""Properties of dry air at one atmosphere.

Viscosity and conductivity are the dilute-gas part of the reference correlation for air; the pressure
terms left out are below 0.3 % at one atmosphere. Density is that of an ideal gas, and the heat capacity
that of a mixture of rigid rotors with harmonic vibration. The usual two-constant laws of Sutherland's kind
were not taken: that of the US Standard Atmosphere 1976 has a
conductivity 0.3 % low at 20 °C and 1.1 % at -30 °C.

References
----------
Lemmon, E. W. and Jacobsen, R. T (2004), Int. J. Thermophys. 25:21 (viscosity and conductivity).
Lemmon, E. W., Jacobsen, R. T, Penoncello, S. G. and Friend, D. G. (2000), J. Phys. Chem. Ref. Data 29:331
(molar mass, composition, vibration temperatures).
The coefficients are from memory; a test checks the results against CoolProp.
"""

from collections.abc import Callable
from math import exp, log, sqrt
from typing import Generic, NamedTuple, TypeVar

import numpy as np
from numpy.typing import NDArray

from coolsim.errors import MaterialError
from coolsim.model.constants import GAS_CONSTANT, STANDARD_ATMOSPHERE, STANDARD_GRAVITY, ZERO_CELSIUS

AIR_LOWEST = -30.0
"""Lowest temperature `dry_air` answers for [°C]."""
AIR_HIGHEST = 250.0
"""Highest temperature `dry_air` answers for [°C]."""

_KELVIN = ZERO_CELSIUS
_MOLAR_MASS = 28.9586e-3  # kg/mol
_SPECIFIC_GAS_CONSTANT = GAS_CONSTANT / _MOLAR_MASS
_DENSITY_TIMES_KELVIN = STANDARD_ATMOSPHERE / _SPECIFIC_GAS_CONSTANT

# Lemmon & Jacobsen 2004: Lennard-Jones energy [K] and size [nm], reducing temperature [K].
_WELL_DEPTH = 103.3
_WELL_SIZE = 0.360
_REDUCING_TEMPERATURE = 132.6312
_VISCOSITY_FACTOR = 0.0266958e-6 * sqrt(1000.0 * _MOLAR_MASS) / _WELL_SIZE**2  # Pa s/K^0.5
_COLLISION_0, _COLLISION_1, _COLLISION_2, _COLLISION_3, _COLLISION_4 = (0.431, -0.4623, 0.08406, 0.005341, -0.00331)
# Their conductivity is in mW/m/K and their viscosity in µPa s, hence the first factor of a thousand.
_CONDUCTIVITY_1, _CONDUCTIVITY_2, _CONDUCTIVITY_3 = 1.308e3, 1.405e-3, -1.036e-3

# Mole fractions and vibration temperatures [K] of nitrogen and oxygen; argon has no internal motion.
_NITROGEN, _NITROGEN_VIBRATION = 0.7812, 3364.0
_OXYGEN, _OXYGEN_VIBRATION = 0.2096, 2242.0
_RIGID_HEAT_CAPACITY = 2.5 + _NITROGEN + _OXYGEN  # in units of the gas constant

Number = TypeVar("Number", float, NDArray[np.float64])
"""One number, or an array of them."""


class Fluid(NamedTuple, Generic[Number]):
    """State of a fluid at one atmosphere: dry air here, water in `coolsim.model.water`.

    A named tuple and not a frozen dataclass, because one is built in each call of a film law.

    - `conductivity`: Thermal conductivity [W/m/K].
    - `kinematic_viscosity`: Viscosity over density [m²/s].
    - `diffusivity`: Thermal diffusivity [m²/s].
    - `prandtl`: Prandtl number [-].
    - `density`: Density [kg/m³].
    - `heat_capacity`: Specific heat capacity at constant pressure [J/kg/K].
    - `expansion`: Volumetric thermal expansion coefficient [1/K].
    """

    conductivity: Number
    kinematic_viscosity: Number
    diffusivity: Number
    prandtl: Number
    density: Number
    heat_capacity: Number
    expansion: Number


def dry_air(temperature: float) -> Fluid[float]:
    """Properties of dry air at one atmosphere.

    All within 0.5 % of the reference equation of state, from -30 to 250 [°C]; a MaterialError outside of that, or if
    the temperature is not a number.

    Examples
    --------
    >>> round(dry_air(40.0).conductivity, 4)
    0.0273
    """
    if not AIR_LOWEST <= temperature <= AIR_HIGHEST:
        raise MaterialError(
            f"air temperature {temperature:g} °C: the properties of air hold from {AIR_LOWEST:g} to"
            f" {AIR_HIGHEST:g} °C. Check the temperatures of the surface and of the air."
        )
    return _air_at(temperature + _KELVIN, log, exp)


def dry_air_of_many(temperatures: NDArray[np.float64]) -> Fluid[NDArray[np.float64]]:
    """Properties as from `dry_air` at many temperatures [°C], of which the caller knows that they are in its range."""
    return _air_at(temperatures + _KELVIN, np.log, np.exp)


def _air_at(kelvin: Number, log: Callable[[Number], Number], exp: Callable[[Number], Number]) -> Fluid[Number]:
    """Properties at absolute temperatures [K], with the functions of `math` for one and of `numpy` for many."""
    x = log(kelvin / _WELL_DEPTH)
    collision = exp(_COLLISION_0 + x * (_COLLISION_1 + x * (_COLLISION_2 + x * (_COLLISION_3 + x * _COLLISION_4))))
    viscosity = _VISCOSITY_FACTOR * kelvin**0.5 / collision
    tau = _REDUCING_TEMPERATURE / kelvin
    conductivity = _CONDUCTIVITY_1 * viscosity + _CONDUCTIVITY_2 * tau**-1.1 + _CONDUCTIVITY_3 * tau**-0.3
    nitrogen = _NITROGEN_VIBRATION / kelvin
    oxygen = _OXYGEN_VIBRATION / kelvin
    # Einstein terms without the (1 - e^-u)^2 below them: under 3 % of a term of 2 % of the whole at 250 °C.
    heat_capacity = _SPECIFIC_GAS_CONSTANT * (
        _RIGID_HEAT_CAPACITY
        + _NITROGEN * nitrogen * nitrogen * exp(-nitrogen)
        + _OXYGEN * oxygen * oxygen * exp(-oxygen)
    )
    density = _DENSITY_TIMES_KELVIN / kelvin
    kinematic_viscosity = viscosity / density
    diffusivity = conductivity / (density * heat_capacity)
    return Fluid(
        conductivity,
        kinematic_viscosity,
        diffusivity,
        kinematic_viscosity / diffusivity,
        density,
        heat_capacity,
        1.0 / kelvin,
    )


def rayleigh_number(surface: float, air: float, *, length: float) -> float:
    """Rayleigh number of a temperature difference over a length in air.

    g beta |T1 − T2| L³/(nu alpha) [-], properties at the mean of the two temperatures [°C]. The length [m] is that of
    the law in question: a height, a quarter of a diameter, a width or a depth.

    Examples
    --------
    >>> round(rayleigh_number(40.0, 21.0, length=0.075), -4)
    710000.0
    """
    return rayleigh_of(dry_air(0.5 * (surface + air)), abs(surface - air), length)


def rayleigh_of(state: Fluid[Number], difference: Number, length: Number) -> Number:
    """Rayleigh number g beta dT L³/(nu alpha) [-] of a difference [K], whose sign it has, over a length [m].

    Equation (21) of `coolsim.theory`.
    """
    return (
        STANDARD_GRAVITY
        * state.expansion
        * difference
        * (length * length * length)
        / (state.kinematic_viscosity * state.diffusivity)
    )


def refuse_unless_positive(name: str, value: float) -> None:
    """Raise `ValueError` for a length [m] that is not positive."""
    if not value > 0.0:
        raise ValueError(f"{name} {value!r} m: must be positive")


def beyond_range(what: str, value: float, highest: float) -> MaterialError:
    """Error to raise where a law is asked for more than the highest value [-] that it holds for."""
    return MaterialError(
        f"{what} {value:.3g}: the law holds up to {highest:.0e}. Check the dimensions and temperatures."
    )
