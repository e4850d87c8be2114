"""Water at one atmosphere, still, round a jar that stands in it."""

from math import exp

from coolsim.errors import MaterialError
from coolsim.model.air import Fluid

WATER_LOWEST, WATER_HIGHEST = -5.0, 110.0
"""Temperatures between which `water` answers [°C]. The fit goes on a little beyond boiling, and below 0 °C as water
that has not frozen: a time step may leave a wall in ice-cold water a little colder, within the error allowed."""

_HEAT_CAPACITY = 4190.0


def water(temperature: float, difference: float = 0.0) -> Fluid[float]:
    """Properties of liquid water, from -5 to 110 °C.

    For the temperature of the water, or the mean of a film [°C] and the difference across it [K]; a MaterialError
    outside of the range. Conductivity, viscosity and heat capacity are within 1.5 % up to 100 °C, the expansion within
    2 % from 10 °C on. It is a size: colder than 4 °C, where water shrinks when it is warmed, the plume turns round and
    no more. In a film that lies on both sides of 4 °C it is the mean size over the film, which is never nothing: that
    at 4 °C alone would stop the flow of a film from 0 to 8 °C, and the wall of a thin jar would jump about there. Below
    0 °C, where the fit was not made, they are a few per cent off, the expansion a quarter (from memory).

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
    turn = 0.5 * difference * 1e-4 * (148.644 + x * (-243.144 + x * 151.992))
    if abs(slope) < turn:
        # Layers colder and warmer than 4 °C lie in the film.
        slope = 0.5 * (slope**2 / turn + turn)
    diffusivity = conductivity / (density * _HEAT_CAPACITY)
    kinematic = viscosity / density
    return Fluid(
        conductivity, kinematic, diffusivity, kinematic / diffusivity, density, _HEAT_CAPACITY, abs(slope) / density
    )
