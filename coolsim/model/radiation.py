"""Heat exchange by radiation between grey, diffuse surfaces.

The coefficients are exact, not a slope at a mean temperature: coefficient times temperature difference is the
full fourth-power law at the temperatures given.
"""

from math import sqrt
from typing import overload

import numpy as np
from numpy.typing import NDArray

from coolsim.model.constants import STEFAN_BOLTZMANN, ZERO_CELSIUS

FloatArray = NDArray[np.float64]

_SIGMA = STEFAN_BOLTZMANN
_KELVIN = ZERO_CELSIUS


@overload
def radiation_film(surface: float, surroundings: float, *, emissivity: float) -> float: ...
@overload
def radiation_film(surface: FloatArray, surroundings: float | FloatArray, *, emissivity: float) -> FloatArray: ...
@overload
def radiation_film(surface: float, surroundings: FloatArray, *, emissivity: float) -> FloatArray: ...
def radiation_film(
    surface: float | FloatArray, surroundings: float | FloatArray, *, emissivity: float
) -> float | FloatArray:
    """Radiation coefficient of a small grey surface in large surroundings.

    Heat flux over the temperature difference between the surface and what it sees [W/m²/K]. The emissivity [-] may be
    an exchange factor such as that of `mouth_exchange_factor`; a ValueError if it is not between 0 and 1.

    Notes
    -----
    Equation (17) of `coolsim.theory`.
    h = eps sigma (T1² + T2²)(T1 + T2), temperatures in kelvin (Stefan and Boltzmann). Finite, and
    4 eps sigma T³, where both temperatures are equal.

    Examples
    --------
    >>> round(radiation_film(40.0, 21.0, emissivity=0.9), 3)
    5.721
    """
    if not 0.0 <= emissivity <= 1.0:
        raise ValueError(f"emissivity {emissivity!r}: must be between 0 and 1")
    first = surface + _KELVIN
    second = surroundings + _KELVIN
    return emissivity * _SIGMA * (first * first + second * second) * (first + second)


@overload
def radiation_between(
    warm: float, cold: float, *, emissivity_inner: float, emissivity_outer: float, area_ratio: float = 1.0
) -> float: ...
@overload
def radiation_between(
    warm: FloatArray,
    cold: float | FloatArray,
    *,
    emissivity_inner: float,
    emissivity_outer: float,
    area_ratio: float = 1.0,
) -> FloatArray: ...
@overload
def radiation_between(
    warm: float, cold: FloatArray, *, emissivity_inner: float, emissivity_outer: float, area_ratio: float = 1.0
) -> FloatArray: ...
def radiation_between(
    warm: float | FloatArray,
    cold: float | FloatArray,
    *,
    emissivity_inner: float,
    emissivity_outer: float,
    area_ratio: float = 1.0,
) -> float | FloatArray:
    """Radiation coefficient between two faces that see only each other.

    Long concentric cylinders, or parallel plates with `area_ratio` 1. Which of the two is the warmer does
    not matter to the coefficient.

    Heat flow per area of the inner face and temperature difference [W/m²/K], for emissivities of the inner (smaller)
    and the outer face, and the area of the inner over that of the outer [-]; a ValueError if one of them is not above 0
    and at most 1.

    Notes
    -----
    Equations (17) and (19) of `coolsim.theory`.
    h = sigma (T1² + T2²)(T1 + T2) / [1/eps1 + (A1/A2)(1/eps2 − 1)], temperatures in kelvin.

    References
    ----------
    Bergman, T. L. et al. (2011), Introduction to Heat Transfer, two-surface enclosures (from memory).

    Examples
    --------
    >>> round(radiation_between(50.0, 30.0, emissivity_inner=0.9, emissivity_outer=0.92), 3)
    5.82
    """
    for name, value in (
        ("emissivity_inner", emissivity_inner),
        ("emissivity_outer", emissivity_outer),
        ("area_ratio", area_ratio),
    ):
        if not 0.0 < value <= 1.0:
            raise ValueError(f"{name} {value!r}: must be above 0 and at most 1")
    exchange = 1.0 / (1.0 / emissivity_inner + area_ratio * (1.0 / emissivity_outer - 1.0))
    first = warm + _KELVIN
    second = cold + _KELVIN
    return exchange * _SIGMA * (first * first + second * second) * (first + second)


def view_factor_coaxial_discs(radius_a: float, radius_b: float, distance: float) -> float:
    """View factor from one disc to another on the same axis, facing it.

    Share of the radiation leaving disc a that reaches disc b [-], by radii and distance [m]; touching discs are exact.
    A ValueError if a radius is not positive or the distance negative.

    Notes
    -----
    Equation (18) of `coolsim.theory`.
    The standard closed form F = {X − [X² − 4 q]^½}/2 with q = (rb/ra)² and X = 1 + q + (d/ra)², here written
    so that neither a large distance (a difference of near-equal numbers) nor d = 0 loses digits.

    References
    ----------
    Howell, J. R., A Catalog of Radiation Heat Transfer Configuration Factors, case C-41 (from memory).

    Examples
    --------
    >>> round(view_factor_coaxial_discs(1.0, 1.0, 1.0), 6)
    0.381966
    """
    if not (radius_a > 0.0 and radius_b > 0.0 and distance >= 0.0):
        raise ValueError(
            f"discs of radius {radius_a!r} and {radius_b!r} m at a distance of {distance!r} m:"
            " the radii must be positive and the distance not negative"
        )
    q = (radius_b / radius_a) ** 2
    e = (distance / radius_a) ** 2
    return 2.0 * q / (1.0 + q + e + sqrt((1.0 - q) ** 2 + 2.0 * e * (1.0 + q) + e * e))


def mouth_exchange_factor(view_factor: float, emissivity: float) -> float:
    """Effective emissivity of a surface at the bottom of a short tube.

    The surface sees black surroundings through a mouth of its own size, partly straight and partly by way of
    the tube wall, which passes on what it receives (a re-radiating, adiabatic wall).

    Exchange factor per area of the surface [-], for use as the emissivity in `radiation_film`, from the view factor to
    the mouth and the emissivity; a ValueError if the former is not between 0 and 1, or the latter not above 0 and at
    most 1.

    Notes
    -----
    Equation (18) of `coolsim.theory`.
    F' = (1 + F)/2 from the three-surface network with equal discs; then 1/(1/eps − 1 + 1/F'). The wall is one
    zone at one temperature. A wall free to vary along the tube gives F' equal to the transmission probability
    of a tube for molecules (Clausing 1932): 0.4 % less at a depth of half a radius, 2.8 % less at one radius.

    References
    ----------
    Bergman, T. L. et al. (2011), Introduction to Heat Transfer, re-radiating surfaces (from memory).

    Examples
    --------
    >>> round(mouth_exchange_factor(view_factor_coaxial_discs(35.5, 35.5, 15.0), 0.92), 3)
    0.773
    """
    if not 0.0 <= view_factor <= 1.0:
        raise ValueError(f"view factor {view_factor!r}: must be between 0 and 1")
    if not 0.0 < emissivity <= 1.0:
        raise ValueError(f"emissivity {emissivity!r}: must be above 0 and at most 1")
    return 1.0 / (1.0 / emissivity - 1.0 + 2.0 / (1.0 + view_factor))
