"""Water at one atmosphere, still, round a jar that stands in it."""

from math import exp

from coolsim.errors import MaterialError
from coolsim.model.air import Fluid

WATER_LOWEST, WATER_HIGHEST = 0.0, 110.0
"""Temperatures between which `water` answers [°C]; the fit goes on a little beyond boiling."""

_HEAT_CAPACITY = 4190.0


def water(temperature: float) -> Fluid:
    """Properties of liquid water, from 0 to 110 °C.

    Parameters
    ----------
    temperature : float
        Of the water [°C].

    Returns
    -------
    Fluid
        Conductivity, viscosity and heat capacity within 1.5 % up to 100 °C; expansion within 2 % from 10 °C on. It
        is a size: colder than 4 °C, where water shrinks when it is warmed, the plume turns round and no more.

    Raises
    ------
    MaterialError
        If the temperature is outside of the range.

    References
    ----------
    Polynomials fitted for this project to CoolProp, formulation IAPWS-95 (open library); a test checks them against it.

    Examples
    --------
    >>> round(water(25.0).prandtl, 1)
    6.2
    """
    if not WATER_LOWEST <= temperature <= WATER_HIGHEST:
        raise MaterialError(
            f"water temperature {temperature:g} °C: the properties of water hold from {WATER_LOWEST:g} to"
            f" {WATER_HIGHEST:g} °C. Check the temperatures of the jar and of its bath."
        )
    x = 0.01 * temperature
    conductivity = 0.55647 + x * (0.23536 + x * (-0.15243 + x * 0.038232))
    viscosity = exp(-6.3354 + x * (-3.2227 + x * (2.0777 - x * 0.70135)))
    density = 999.9 + x * (4.8851 + x * (-74.322 + x * (40.524 - x * 12.666)))
    slope = 0.01 * (4.8851 + x * (-148.644 + x * (121.572 - x * 50.664)))
    diffusivity = conductivity / (density * _HEAT_CAPACITY)
    kinematic = viscosity / density
    return Fluid(
        conductivity, kinematic, diffusivity, kinematic / diffusivity, density, _HEAT_CAPACITY, abs(slope) / density
    )
