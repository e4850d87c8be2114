"""Materials by name, wax with fragrance, and the properties of the liquid.

`Wax` and `Inert` are kept in `coolsim.model.properties` and can be imported from here.
"""

import math
from collections.abc import Mapping
from dataclasses import replace
from functools import cache
from typing import Any

import numpy as np

from coolsim.errors import MaterialError
from coolsim.model.catalogue import (
    ASSUMED,
    FATS,
    FRAGRANCE_MOLAR_MASS,
    INERTS,
    NEVER_SETS,
    PARAFFIN_CURVES,
    WAXES,
    CatalogueValue,
    Composition,
    FreezingCurve,
)
from coolsim.model.fats import clear_point, composed_values, fat_curve, stable
from coolsim.model.freezing_curve import straight_curve, temperature_at
from coolsim.model.properties import Inert, Wax

__all__ = [
    "CatalogueValue",
    "Inert",
    "Wax",
    "catalogue_inert",
    "catalogue_values",
    "catalogue_wax",
    "coldest_pour",
    "freezing_of",
    "inert_names",
    "liquid_density",
    "poured_density",
    "viscosity",
    "wax_names",
    "with_fragrance",
]

_GAS_CONSTANT = 8.31446261815324  # J/mol/K, exact by the SI of 2019
_ZERO_CELSIUS = 273.15
_LARGEST_FRAGRANCE_LOAD = 0.15
_HOTTEST_LIQUID = 120.0


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
    return (*WAXES, *(name for name in FATS if name not in WAXES), *PARAFFIN_CURVES)


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


@cache
def catalogue_wax(name: str) -> Wax:
    """Build a wax from the nominal values of the catalogue.

    Parameters
    ----------
    name : str
        One of `wax_names`.

    Returns
    -------
    Wax
        The wax, without fragrance. Its freezing curve comes from its fatty acids where the catalogue has them, or is a
        measured one; otherwise it is straight down to where 90 % is out, and has a tail as long.

    Raises
    ------
    MaterialError
        If the catalogue has no such wax.

    Notes
    -----
    `density` is that of the liquid halfway between the temperature at which it is stated and the start of
    freezing: the wax is poured in that range.

    Examples
    --------
    >>> wax = catalogue_wax("soft-vegetable")
    >>> wax.freezing_starts, wax.latent_heat, round(wax.density)
    (46.5, 128000.0, 885)
    """
    if name in PARAFFIN_CURVES:
        return _with_curve(catalogue_wax("paraffin"), name, PARAFFIN_CURVES[name])
    values = {key: value.nominal for key, value in catalogue_values(name).items()}
    starts, ends = values.pop("freezing_starts"), values.pop("freezing_ends")
    freezing, melting = straight_curve(starts, ends), None
    if name in NEVER_SETS:
        freezing = ((ends, 0.0), (starts, 1.0))
    elif name in FATS:
        freezing, melting = fat_curve(FATS[name]).curve, stable(FATS[name]).curve
    halfway = 0.5 * (starts + values["density_liquid_at"])
    density = _density(values["density_liquid"], values["expansion_liquid"], values["density_liquid_at"], halfway)
    return Wax(name=name, freezing=freezing, melting=melting, density=density, at_rest=None, **values)


def catalogue_values(name: str) -> Mapping[str, CatalogueValue]:
    """List what the catalogue says of a wax, by the names of the `Wax` fields.

    Parameters
    ----------
    name : str
        One of `wax_names`, but for the paraffin grades with a measured curve.

    Returns
    -------
    mapping
        Values with range, mark and source. A wax known by its fatty acids has the other properties of soft vegetable
        wax.

    Raises
    ------
    MaterialError
        If the catalogue has no such values.

    Examples
    --------
    >>> catalogue_values("hard-vegetable")["clear_point"].nominal
    70.1
    """
    if name in FATS and name not in WAXES:
        return {**WAXES["soft-vegetable"], **composed_values(FATS[name], mark=ASSUMED)}
    if name not in WAXES:
        raise MaterialError(f"no material {name!r} in the catalogue; choose from {', '.join(wax_names())}")
    return WAXES[name]


def freezing_of(composition: Composition) -> dict[str, Any]:
    """Give the fields of a `Wax` that follow from its fatty acids.

    Parameters
    ----------
    composition : Composition
        Its acids, and the form in which it crystallises in a jar.

    Returns
    -------
    dict
        Freezing and melting curve, both heats and the clear point.

    Raises
    ------
    MaterialError
        If the model of triglycerides cannot answer for these acids.

    Examples
    --------
    >>> from coolsim.model.catalogue import Composition
    >>> stearin = Composition(parts=((1.0, (("16:0", 0.45), ("18:0", 0.55))),))
    >>> freezing_of(stearin)["latent_heat"]
    170000.0
    """
    frozen, melted = fat_curve(composition), stable(composition)
    return {
        "freezing": frozen.curve,
        "latent_heat": frozen.heat,
        "melting": melted.curve,
        "melting_heat": max(melted.heat, frozen.heat),
        "clear_point": clear_point(composition),
    }


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
    if name not in INERTS:
        raise MaterialError(f"no material {name!r} in the catalogue; choose from {', '.join(inert_names())}")
    return Inert(name=name, **{key: value.nominal for key, value in INERTS[name].items()})


def with_fragrance(
    wax: Wax, load: float, *, molar_mass_wax: float | None = None, molar_mass_oil: float = FRAGRANCE_MOLAR_MASS.nominal
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
        The mix. Its heats are scaled with the share of wax, and the freezing curve and clear point move
        down. Density, conductivity, heat capacity and shrinkage stay: what the oil changes is within their
        scatter.

    Raises
    ------
    MaterialError
        If the load is outside its range or a molar mass is not a positive finite number.

    Notes
    -----
    Equation (6) of `coolsim.theory`.
    Ideal solution, the oil only in the liquid: :math:`\Delta T = R T^2 x / (M L)` with x the mole fraction of
    oil, T in kelvin, M the molar mass and L the latent heat of the wax alone, for the clear point its heat of
    melting [van 't Hoff's law of freezing-point depression].

    Examples
    --------
    >>> plain = catalogue_wax("soft-vegetable")
    >>> scented = with_fragrance(plain, 0.08)
    >>> round(plain.freezing_starts - scented.freezing_starts, 1)
    2.1
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
    melting_heat = wax.latent_heat if wax.melting_heat is None else wax.melting_heat

    def lowered(temperature: float, heat: float) -> float:
        per_kelvin = _GAS_CONSTANT * mole_fraction / (wax_molar_mass * heat)
        return temperature - per_kelvin * (temperature + _ZERO_CELSIUS) ** 2

    return replace(
        wax,
        name=f"{wax.name} with {100.0 * load:g} % fragrance",
        latent_heat=wax.latent_heat * (1.0 - load),
        freezing=tuple((lowered(temperature, wax.latent_heat), fraction) for temperature, fraction in wax.freezing),
        clear_point=lowered(wax.clear_point, melting_heat),
        melting_heat=None if wax.melting_heat is None else wax.melting_heat * (1.0 - load),
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


def poured_density(wax: Wax, temperature: float) -> float:
    """Density [kg/m3] of wax that is poured at a temperature [°C]; below the start of freezing some has contracted."""
    if temperature >= wax.freezing_starts:
        return liquid_density(wax, temperature)
    at_start = liquid_density(wax, wax.freezing_starts)
    now, then = wax.volume.density(
        np.array([temperature, wax.freezing_starts]), np.array([wax.liquid_at(temperature), 1.0])
    )
    return float(at_start * now / then)


def coldest_pour(wax: Wax, thickest: float) -> float:
    """Temperature down to which a wax pours [°C], if no more than a share of it may be solid [-]."""
    return temperature_at(wax.freezing, 1.0 - thickest)


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


def _require_liquid(wax: Wax, temperature: float) -> None:
    if not wax.freezing_starts <= temperature <= _HOTTEST_LIQUID:
        raise MaterialError(
            f"{wax.name}: {temperature:g} °C is outside the liquid range of the law,"
            f" {wax.freezing_starts:g} to {_HOTTEST_LIQUID:g} °C"
        )
