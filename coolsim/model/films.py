"""Heat transfer coefficients of air, or of still water, at the outer surfaces and in closed spaces.

All properties are taken at the mean of the two temperatures (film temperature), as each law asks. The public
tuples below hold the range of each law in its own variable, lowest and highest. Above its range a law raises
`MaterialError`. Below it the law goes over to conduction through still air, as said in its notes; a
caller who wants to warn of that compares `rayleigh_number` with the range.
"""

from collections.abc import Callable
from math import cbrt, log, pi, pow, sqrt

from coolsim.model.air import Fluid, Number, beyond_range, dry_air, rayleigh_number, rayleigh_of, refuse_unless_positive
from coolsim.model.air_spaces import (
    GAP_ASPECT,
    GAP_RAYLEIGH,
    LAYER_RAYLEIGH,
    MEASURED_GAP_ASPECT,
    MEASURED_GAP_RAYLEIGH,
    exchange_through_opening,
    film_in_level_layer,
    film_in_upright_gap,
)

__all__ = [
    "CYLINDER_PECLET_LOWEST",
    "CYLINDER_REYNOLDS_HIGHEST",
    "FACE_DOWN_RAYLEIGH",
    "FACE_UP_RAYLEIGH",
    "GAP_ASPECT",
    "GAP_RAYLEIGH",
    "LAYER_RAYLEIGH",
    "MEASURED_GAP_ASPECT",
    "MEASURED_GAP_RAYLEIGH",
    "PLATE_REYNOLDS",
    "PLATE_TRANSITION_REYNOLDS",
    "STILL_AIR_FACE_NUSSELT",
    "WALL_LAMINAR_RAYLEIGH",
    "WALL_RAYLEIGH",
    "WALL_SLENDERNESS",
    "combined_film",
    "exchange_through_opening",
    "film_across_cylinder",
    "film_along_plate",
    "film_in_level_layer",
    "film_in_upright_gap",
    "film_on_face_down",
    "film_on_face_up",
    "film_on_upright_wall",
    "rayleigh_number",
    "slenderness",
]

WALL_RAYLEIGH = (0.0, 1e12)
"""Rayleigh number on the height of an upright wall (Churchill & Chu 1975) [-]."""
WALL_LAMINAR_RAYLEIGH = 1e9
"""Rayleigh number up to which the laminar form for the upright wall is used alone [-]."""
_TRANSITION = log(1.7)
WALL_SLENDERNESS = (0.0, 5.0)
"""Curvature parameter of an upright cylinder, see `slenderness`, for which the factor was fitted [-]."""
FACE_UP_RAYLEIGH = (1e4, 1e11)
"""Rayleigh number on a quarter of the diameter, face whose air rises freely (McAdams) [-]."""
FACE_DOWN_RAYLEIGH = (1e5, 1e10)
"""Rayleigh number on a quarter of the diameter, face that holds its air down (McAdams) [-]."""
CYLINDER_PECLET_LOWEST = 0.2
"""Lowest Reynolds times Prandtl number of a cylinder in cross-flow (Churchill & Bernstein 1977) [-]."""
CYLINDER_REYNOLDS_HIGHEST = 1e7
"""Highest Reynolds number of a cylinder in cross-flow (Churchill & Bernstein 1977) [-]."""
PLATE_REYNOLDS = (0.0, 1e8)
"""Reynolds number on the length of a plate in a parallel stream [-]."""
PLATE_TRANSITION_REYNOLDS = 5e5
"""Reynolds number at which the layer along a plate becomes turbulent [-]."""
STILL_AIR_FACE_NUSSELT = 2.0 / pi
"""Nusselt number, on a quarter of the diameter, of a disc that loses heat by conduction only [-].

An isothermal disc on a half space conducts 4 k R (T − T∞); over its area that is 8 k/(pi D)."""
FREE_FACE, HELD_FACE = 0.54, 0.27
"""Factors before Ra^¼ of a level face whose air rises freely, or is held by it [-]."""
FACE_LAMINAR_RAYLEIGH = 1e7
"""Rayleigh number up to which the quarter-power law holds for a face whose air rises freely [-]."""
_NOTHING = 1e-300


def _air_of_a_film(mean: float, difference: float) -> Fluid[float]:
    return dry_air(mean)


def slenderness(surface: float, air: float, *, height: float, diameter: float) -> float:
    """Curvature parameter of an upright cylinder in free convection.

    32^½ Gr^−¼ H/D [-], to be compared with `WALL_SLENDERNESS`, for a wall and air that differ [°C], and its height and
    outer diameter [m].

    Examples
    --------
    >>> round(slenderness(40.0, 21.0, height=0.075, diameter=0.075), 2)
    0.18
    """
    state = dry_air(0.5 * (surface + air))
    grashof = rayleigh_of(state, abs(surface - air), height) / state.prandtl
    return sqrt(32.0 / sqrt(grashof)) * height / diameter


def film_on_upright_wall(
    surface: float,
    air: float,
    *,
    height: float,
    diameter: float | None = None,
    fluid: Callable[[float, float], Fluid[float]] = _air_of_a_film,
) -> float:
    """Free-convection film on an upright plate or the outside of an upright cylinder.

    The mean over the height [W/m²/K], for the wall and the air far from it [°C]. The diameter [m] is the outer one of a
    cylinder, whose thin boundary layer is helped by its curvature; none for a plate. `fluid` gives the properties of
    air, or of water, in a film with a mean temperature [°C] and a difference across it [K]. A Rayleigh number above the
    range, or air outside of `dry_air`, is a MaterialError, a size that is not positive a ValueError.

    Notes
    -----
    Equation (22) of `coolsim.theory`.
    Laminar, Ra ≤ 1e9: Nu = 0.68 + 0.670 Ra^¼/[1 + (0.492/Pr)^(9/16)]^(4/9). Above: Nu = {0.825 +
    0.387 Ra^(1/6)/[1 + (0.492/Pr)^(9/16)]^(8/27)}². The second is a third higher where they meet, so up to
    1.7e9 one goes over into the other, evenly in the logarithms: a film that jumps leaves a thin wall in water no
    temperature to settle at.
    Cylinder: Nu times 1 + B xi^C, xi the `slenderness`, B and C functions of Pr. The factor was fitted for
    xi up to 5; nearer to equal temperatures it keeps its value at 5. With that the film
    tends to pure conduction: for a cylinder as high as wide Nu = 1.5 at equal temperatures, and 1.6 is the
    conduction from a whole cylinder of that shape (Yovanovich 1987, from memory).

    References
    ----------
    Churchill, S. W. and Chu, H. H. S. (1975), Int. J. Heat Mass Transfer 18:1323.
    Popiel, C. O., Wojtkowiak, J. and Bober, K. (2007), Exp. Thermal Fluid Sci. 32:607.

    Examples
    --------
    >>> round(film_on_upright_wall(40.0, 21.0, height=0.075, diameter=0.075), 2)
    5.87
    """
    refuse_unless_positive("height", height)
    difference = abs(surface - air)
    state = fluid(0.5 * (surface + air), difference)
    prandtl = state.prandtl
    rayleigh = rayleigh_of(state, difference, height)
    if rayleigh > WALL_RAYLEIGH[1]:
        raise beyond_range("Rayleigh number of an upright wall", rayleigh, WALL_RAYLEIGH[1])
    nusselt = laminar_wall(rayleigh, prandtl)
    if rayleigh > WALL_LAMINAR_RAYLEIGH:
        shape = 1.0 + pow(0.492 / prandtl, 0.5625)
        turbulent = (0.825 + 0.387 * pow(rayleigh, 1.0 / 6.0) / pow(shape, 8.0 / 27.0)) ** 2
        nusselt *= pow(turbulent / nusselt, min(1.0, log(rayleigh / WALL_LAMINAR_RAYLEIGH) / _TRANSITION))
    if diameter is not None:
        refuse_unless_positive("diameter", diameter)
        nusselt *= curvature(rayleigh, prandtl, height / diameter, log, max)
    return nusselt * state.conductivity / height


def laminar_wall(rayleigh: Number, prandtl: Number) -> Number:
    """Nusselt number of an upright plate by its Rayleigh and Prandtl numbers [-], laminar."""
    nusselt: Number = 0.68 + 0.670 * rayleigh**0.25 / (1.0 + (0.492 / prandtl) ** 0.5625) ** (4.0 / 9.0)
    return nusselt


def curvature(
    rayleigh: Number,
    prandtl: Number,
    ratio: Number,
    log: Callable[[Number], Number],
    greatest: Callable[[Number, Number], Number],
) -> Number:
    """Nusselt number of an upright cylinder over that of the plate, by its height over its diameter [-].

    The functions are those of `math` for one and of `numpy` for many.
    """
    # Put so that neither a Grashof number of zero is divided by, nor a plate, with a ratio of zero, is refused.
    bend = 32.0**0.5 * ratio
    xi = bend / greatest((rayleigh / prandtl) ** 0.25, bend / WALL_SLENDERNESS[1] + _NOTHING)
    factor = 0.0571322 + 0.20305 * prandtl**-0.43
    power = 0.9165 - 0.0043 * prandtl**0.5 + 0.01333 * log(prandtl) + 0.0004809 / prandtl
    greater: Number = 1.0 + factor * xi**power
    return greater


def film_on_face_up(
    surface: float, air: float, *, diameter: float, fluid: Callable[[float, float], Fluid[float]] = _air_of_a_film
) -> float:
    """Free-convection film on a round level face that looks up.

    The mean [W/m²/K] for the face and the air far from it [°C]; a face colder than the air behaves as a warm one that
    looks down. For `fluid` and errors see `film_on_upright_wall`.

    Notes
    -----
    Equation (23) of `coolsim.theory`.
    Length L = area/perimeter = D/4. Warm: Nu = 0.54 Ra^¼ up to Ra = 1e7, 0.15 Ra^⅓ above (6 % higher where
    they meet). Cold: Nu = 0.27 Ra^¼. Never below the conduction from a disc into still air,
    `STILL_AIR_FACE_NUSSELT`; for a face of 75 mm that takes over within 3 mK (warm) or 0.05 K (cold) of the
    air. Between it and the range (the last degrees, or a narrow jar) the quarter-power law is used as it is.

    References
    ----------
    McAdams, W. H. (1954), Heat Transmission, 3rd edition; length after Lloyd, J. R. and Moran, W. R. (1974),
    J. Heat Transfer 96:443 (both from memory).

    Examples
    --------
    >>> round(film_on_face_up(40.0, 21.0, diameter=0.075), 2)
    7.86
    """
    return _film_on_level_face(surface, air, diameter, fluid, surface >= air)


def film_on_face_down(
    surface: float, air: float, *, diameter: float, fluid: Callable[[float, float], Fluid[float]] = _air_of_a_film
) -> float:
    """Free-convection film on a round level face that looks down.

    The mean [W/m²/K] by the laws of `film_on_face_up`; a face colder than the air behaves as a warm one that looks up.

    Equation (23) of `coolsim.theory`.

    Examples
    --------
    >>> round(film_on_face_down(40.0, 21.0, diameter=0.075), 2)
    3.93
    """
    return _film_on_level_face(surface, air, diameter, fluid, surface <= air)


def _film_on_level_face(
    surface: float, air: float, diameter: float, fluid: Callable[[float, float], Fluid[float]], free: bool
) -> float:
    """Film of a face whose air rises freely, or is held by it."""
    difference = abs(surface - air)
    state = fluid(0.5 * (surface + air), difference)
    refuse_unless_positive("diameter", diameter)
    length = 0.25 * diameter
    rayleigh = rayleigh_of(state, difference, length)
    highest = FACE_UP_RAYLEIGH[1] if free else FACE_DOWN_RAYLEIGH[1]
    if rayleigh > highest:
        raise beyond_range("Rayleigh number of a level face", rayleigh, highest)
    if free and rayleigh > FACE_LAMINAR_RAYLEIGH:
        nusselt = 0.15 * cbrt(rayleigh)
    else:
        nusselt = laminar_face(rayleigh, FREE_FACE if free else HELD_FACE, max)
    return nusselt * state.conductivity / length


def laminar_face(rayleigh: Number, factor: Number, greatest: Callable[[Number, float], Number]) -> Number:
    """Nusselt number of a level face by its Rayleigh number and `FREE_FACE` or `HELD_FACE` [-], laminar.

    The function is that of `math` for one and of `numpy` for many.
    """
    return greatest(factor * rayleigh**0.25, STILL_AIR_FACE_NUSSELT)


def film_across_cylinder(surface: float, air: float, *, diameter: float, speed: float) -> float:
    """Forced-convection film on a cylinder with the air moving across it.

    The mean around it [W/m²/K], for wall and air [°C], the outer diameter [m] and the speed of the air [m/s]. A
    Reynolds number above the range, or air outside of `dry_air`, is a MaterialError, a diameter that is not positive or
    a negative speed a ValueError.

    Notes
    -----
    Equation (24) of `coolsim.theory`.
    Nu = 0.3 + 0.62 Re^½ Pr^⅓/[1 + (0.4/Pr)^⅔]^¼ {1 + (Re/282000)^⅝}^⅘. Below Re Pr =
    0.2, outside the range, it falls to Nu = 0.3 at rest.

    References
    ----------
    Churchill, S. W. and Bernstein, M. (1977), J. Heat Transfer 99:300.

    Examples
    --------
    >>> round(film_across_cylinder(40.0, 21.0, diameter=0.075, speed=0.5), 2)
    8.74
    """
    refuse_unless_positive("diameter", diameter)
    state = dry_air(0.5 * (surface + air))
    reynolds = _reynolds(state, speed, diameter)
    if reynolds > CYLINDER_REYNOLDS_HIGHEST:
        raise beyond_range("Reynolds number of a cylinder", reynolds, CYLINDER_REYNOLDS_HIGHEST)
    prandtl = state.prandtl
    nusselt = 0.3 + (
        0.62
        * sqrt(reynolds)
        * cbrt(prandtl)
        / sqrt(sqrt(1.0 + pow(0.4 / prandtl, 2.0 / 3.0)))
        * pow(1.0 + pow(reynolds / 282000.0, 0.625), 0.8)
    )
    return nusselt * state.conductivity / diameter


def film_along_plate(surface: float, air: float, *, length: float, speed: float) -> float:
    """Forced-convection film on a flat plate with the air moving along it.

    The mean over the length in the direction of the stream [W/m²/K]; in air at rest the forced part is zero. For errors
    see `film_across_cylinder`.

    Notes
    -----
    Equation (24) of `coolsim.theory`.
    Nu = 0.664 Re^½ Pr^⅓ up to Re = 5e5; with a turbulent rear part above, (0.037 Re^⅘ − 871) Pr^⅓.

    References
    ----------
    Bergman, T. L. et al. (2011), Introduction to Heat Transfer, parallel flow over a plate (from memory).

    Examples
    --------
    >>> round(film_along_plate(40.0, 21.0, length=0.075, speed=0.5), 2)
    10.13
    """
    refuse_unless_positive("length", length)
    state = dry_air(0.5 * (surface + air))
    reynolds = _reynolds(state, speed, length)
    if reynolds <= PLATE_TRANSITION_REYNOLDS:
        factor = 0.664 * sqrt(reynolds)
    elif reynolds <= PLATE_REYNOLDS[1]:
        factor = 0.037 * pow(reynolds, 0.8) - 871.0
    else:
        raise beyond_range("Reynolds number of a plate", reynolds, PLATE_REYNOLDS[1])
    return factor * cbrt(state.prandtl) * state.conductivity / length


def _reynolds(state: Fluid[float], speed: float, length: float) -> float:
    if not speed >= 0.0:
        raise ValueError(f"air speed {speed!r} m/s: must not be negative")
    return speed * length / state.kinematic_viscosity


def combined_film(free: float, forced: float) -> float:
    """Film under free and forced convection together.

    (free³ + forced³)^⅓ of the films of either alone [W/m²/K], for currents that help or cross each other.

    Equation (24) of `coolsim.theory`.

    References
    ----------
    Bergman, T. L. et al. (2011), Introduction to Heat Transfer, combined convection (from memory).

    Examples
    --------
    >>> round(combined_film(5.0, 5.0), 3)
    6.3
    """
    return cbrt(free * free * free + forced * forced * forced)
