"""Exchange of heat through the air in gaps, level layers and openings.

As in `coolsim.model.films`, which offers these functions too, all properties are taken at the mean of the two
temperatures, and the public tuples hold the range of each law.
"""

from collections.abc import Callable
from math import cbrt, pow, sqrt
from typing import Literal

from coolsim.model.air import Number, beyond_range, dry_air, rayleigh_of, refuse_unless_positive

GAP_RAYLEIGH = (1e4, 1e7)
"""Rayleigh number on the width of an upright gap, law of the VDI Heat Atlas [-]."""
GAP_ASPECT = (10.0, 40.0)
"""Height over width of an upright gap, law of the VDI Heat Atlas [-]."""
MEASURED_GAP_RAYLEIGH = (0.0, 2e7)
"""Rayleigh number on the width of an upright gap, law of ElSherbiny et al. 1982 [-]."""
MEASURED_GAP_ASPECT = (5.0, 110.0)
"""Height over width of an upright gap, law of ElSherbiny et al. 1982 [-]."""
LAYER_RAYLEIGH = (0.0, 1e8)
"""Rayleigh number on the depth of a level layer (Hollands et al.) [-]."""

_CRITICAL_RAYLEIGH = 1708.0
_OPENING_FLOW = 0.055
_TURNING_ONSET = pow(6310.0, 1.36)


def film_in_upright_gap(
    warm: float, cold: float, *, height: float, width: float, law: Literal["vdi", "elsherbiny"] = "vdi"
) -> float:
    """Conduction and convection across a closed upright air gap, radiation not included.

    Heat flux over the temperature difference of the faces [W/m²/K], of which it does not matter which is the warmer
    [°C]; height of the gap and distance between the faces [m]; for `law` see the notes. A Rayleigh number above the
    range of the law, or air outside of `dry_air`, is a MaterialError, a size that is not positive or an unknown law a
    ValueError.

    Notes
    -----
    Equation (25) of `coolsim.theory`.
    "vdi": Nu = 0.42 Pr^0.012 Ra^¼ (H/L)^−¼, never below 1, on the width L, for `GAP_ASPECT`. In the
    published flow computation for air at H/L = 8 (Christon et al. 2002, see the tests) it is 31 % high,
    and for a jar in a box (H/L of 3 to 5) 42 to 49 % above the other law, which agrees within 8 % with
    that of Berkovsky and Polevikov for 2 < H/L < 10 (in Catton 1978, from memory).
    "elsherbiny": measured in air for `MEASURED_GAP_ASPECT`, and 4 % low in that case: the greatest of
    0.0605 Ra^⅓, {1 + [0.104 Ra^0.293/(1 + (6310/Ra)^1.36)]³}^⅓ and 0.242 (Ra L/H)^0.272.
    Neither refuses a gap of other proportions: compare H/L with the range of the law.

    References
    ----------
    VDI Heat Atlas (2010), free convection in closed spaces.
    ElSherbiny, S. M., Raithby, G. D. and Hollands, K. G. T. (1982), J. Heat Transfer 104:96 (from memory).

    Examples
    --------
    >>> round(film_in_upright_gap(40.0, 25.0, height=0.075, width=0.020), 2)
    4.05
    """
    refuse_unless_positive("height", height)
    refuse_unless_positive("width", width)
    state = dry_air(0.5 * (warm + cold))
    rayleigh = rayleigh_of(state, abs(warm - cold), width)
    if law == "vdi":
        if rayleigh > GAP_RAYLEIGH[1]:
            raise beyond_range("Rayleigh number of an upright gap", rayleigh, GAP_RAYLEIGH[1])
        nusselt = max(1.0, 0.42 * pow(state.prandtl, 0.012) * sqrt(sqrt(rayleigh * width / height)))
    elif law == "elsherbiny":
        if rayleigh > MEASURED_GAP_RAYLEIGH[1]:
            raise beyond_range("Rayleigh number of an upright gap", rayleigh, MEASURED_GAP_RAYLEIGH[1])
        nusselt = measured_gap(rayleigh, width / height, max)
    else:
        raise ValueError(f"law {law!r}: must be 'vdi' or 'elsherbiny'")
    return nusselt * state.conductivity / width


def measured_gap(rayleigh: Number, ratio: Number, greatest: Callable[[Number, Number], Number]) -> Number:
    """Nusselt number of a closed upright gap by its Rayleigh number and its width over its height [-].

    The function is that of `math` for one and of `numpy` for many.
    """
    # The middle term of the law with its inner fraction expanded, so that Ra = 0 needs no division.
    onset = rayleigh**1.36
    turning = 0.104 * rayleigh**0.293 * onset / (onset + _TURNING_ONSET)
    third = 1.0 / 3.0
    either = greatest(0.0605 * rayleigh**third, (1.0 + turning * turning * turning) ** third)
    return greatest(either, 0.242 * (rayleigh * ratio) ** 0.272)


def film_in_level_layer(below: float, above: float, *, depth: float) -> float:
    """Conduction and convection through a level air layer, radiation not included.

    Heat flux over the temperature difference of lower and upper face [W/m²/K], a depth apart [m]. For errors see
    `film_in_upright_gap`.

    Notes
    -----
    Equation (26) of `coolsim.theory`.
    Heated from below: Nu = 1 + 1.44 [1 − 1708/Ra]* + [(Ra/5830)^⅓ − 1]*, where a bracket with a star is
    zero if negative. Nu = 1 if the upper face is the warmer. For wide layers; measured in air
    to about Ra = 1e5 (from memory). Against the later form for all fluids (Hollands 1984) it is within 1.5 %
    up to 1e6, 4 % low at 1e7 and 7 % low at 1e8, where it ends.

    References
    ----------
    Hollands, K. G. T., Raithby, G. D. and Konicek, L. (1975), Int. J. Heat Mass Transfer 18:879;
    Hollands, K. G. T. et al. (1976), J. Heat Transfer 98:189 (both from memory).

    Examples
    --------
    >>> round(film_in_level_layer(35.0, 25.0, depth=0.04), 2)
    2.35
    """
    refuse_unless_positive("depth", depth)
    state = dry_air(0.5 * (below + above))
    rayleigh = rayleigh_of(state, below - above, depth)
    if rayleigh > LAYER_RAYLEIGH[1]:
        raise beyond_range("Rayleigh number of a level layer", rayleigh, LAYER_RAYLEIGH[1])
    nusselt = 1.0
    if rayleigh > _CRITICAL_RAYLEIGH:
        nusselt += 1.44 * (1.0 - _CRITICAL_RAYLEIGH / rayleigh) + max(0.0, cbrt(rayleigh / 5830.0) - 1.0)
    return nusselt * state.conductivity / depth


def exchange_through_opening(inside: float, outside: float, *, diameter: float) -> float:
    """Heat exchange of the air in an open box with the room through a level opening.

    Warm air rises and room air sinks through the same opening.

    Heat flow over temperature difference [W/K], for the air in the box and in the room [°C] and the diameter of the
    opening, or of the circle of the same area [m]; 0 if the inside is not the warmer, since the air is then stable. For
    errors see `film_in_upright_gap`.

    Notes
    -----
    Equation (28) of `coolsim.theory`.
    Counterflow Q = 0.055 (D⁵ g drho/rho)^½ in each direction [m³/s], for an opening that is thin against its
    diameter (thickness below 0.15 D); heat rho c Q (T_in − T_out).

    References
    ----------
    Epstein, M. (1988), J. Heat Transfer 110:885; Brown, W. G. (1962), Int. J. Heat Mass Transfer 5:859 (both
    from memory).

    Examples
    --------
    >>> round(exchange_through_opening(31.0, 21.0, diameter=0.30), 2)
    1.84
    """
    refuse_unless_positive("diameter", diameter)
    state = dry_air(0.5 * (inside + outside))
    if inside <= outside:
        return 0.0
    # The relative difference of density of an ideal gas about the mean is that of absolute temperature.
    rayleigh = rayleigh_of(state, inside - outside, diameter)
    return opening_flow(rayleigh, state.prandtl) * state.conductivity * diameter


def opening_flow(rayleigh: Number, prandtl: Number) -> Number:
    """Heat through an opening, over temperature difference, conductivity of air and diameter [-].

    By the Rayleigh number on the diameter and the Prandtl number [-]: rho c Q of the law, with g drho/rho as Ra.
    """
    flow: Number = _OPENING_FLOW * (rayleigh * prandtl) ** 0.5
    return flow
