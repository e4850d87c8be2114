"""How a fat freezes, from its fatty acids: liquid share against temperature, heat, and what the catalogue says of it.

The acids of each fat are spread over its triglycerides at random. Liquid and solid are ideal mixtures, the solid of one
crystal form: K_i = (mole share in the solid)/(mole share in the liquid) = exp[(dH_i/R)(1/T - 1/T_i)]. The solid share S
follows from the flash of Rachford & Rice, sum z_i (K_i - 1)/(1 + S (K_i - 1)) = 0. With every dH_i above zero the sum
falls as T rises, so T is found for each share by halving, the two ends among them.

It is a curve in equilibrium. A jar that cools faster freezes a little lower, and less of the heat comes out.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from functools import lru_cache

import numpy as np

from coolsim.errors import MaterialError
from coolsim.model.catalogue import TRIGLYCERIDES, CatalogueValue, Composition, Fat, Mark
from coolsim.model.freezing_curve import END, Curve, liquid_at, temperature_at
from coolsim.model.section import Array, Integers
from coolsim.model.triglycerides import ACIDS, GLYCERIDE, melting_points_and_heats

ERROR = 7.0
"""How far the model's temperatures are off for fats of 16 and 18 carbons [K]."""

LAURIC = 0.05
"""Largest mass share of acids of 14 carbons and less for which the model may be asked [-]."""

_SHORT = 14
_WITHOUT_HEAT = 0.01
_GAS_CONSTANT = 8.31446261815324  # J/mol/K, exact by the SI of 2019
_ZERO_CELSIUS = 273.15
_SHARES = (0.0, 0.005, 0.01, 0.02, *(step / 20.0 for step in range(1, 20)), 0.98, 0.99, 0.995, 1.0)
_SOLVED, _HALVINGS = 101, 24
_LEAST_RISE = 0.02
_HEAT_OFF = 0.2


@dataclass(frozen=True, slots=True)
class FatCurve:
    """How a fat freezes in one crystal form: its curve, and the heat over the whole of it [J/kg].

    Temperatures are rounded to 0.1 °C and the heat to 1 kJ/kg, since the model errs by far more. The points of a fat of
    few triglycerides stand 0.02 K apart at least, because a curve has a slope.
    """

    curve: Curve
    heat: float

    @property
    def starts(self) -> float:
        """Temperature at which the first of it freezes, and the last of it melts [°C]."""
        return self.curve[-1][0]

    @property
    def ends(self) -> float:
        """Temperature at which 90 % is solid [°C]."""
        return temperature_at(self.curve, END)

    def solid(self, temperature: float) -> float:
        """Share that is solid at a temperature [°C], [-]."""
        return 1.0 - liquid_at(self.curve, temperature)


@lru_cache(maxsize=64)
def fat_curve(composition: Composition) -> FatCurve:
    """Compute how a fat freezes.

    Equation (4) of `coolsim.theory`.

    Parameters
    ----------
    composition : Composition
        Its acids, and the crystal form.

    Returns
    -------
    FatCurve
        Curve and heat.

    Raises
    ------
    MaterialError
        If the model cannot answer for it: too many short acids, or triglycerides that do not crystallise in this form.

    Examples
    --------
    >>> from coolsim.model.catalogue import FATS
    >>> soft = fat_curve(FATS["soft-vegetable"])
    >>> soft.starts, soft.ends, soft.heat
    (46.5, 23.3, 128000.0)
    >>> round(soft.solid(20.0), 2)
    0.95
    """
    names, chains, moles = _triglycerides(composition)
    points, heats = melting_points_and_heats(names, chains, form=composition.form)
    without = float(moles[heats <= 0.0].sum())
    if without > _WITHOUT_HEAT:
        raise MaterialError(
            f"wax: crystal_form is {composition.form}, in which {100 * without:.0f} % of the triglycerides of these"
            " acids never crystallise; choose beta-prime"
        )
    masses = np.array([ACIDS[name].molar_mass for name in names])[chains].sum(axis=1) + GLYCERIDE
    solid = np.linspace(0.0, 1.0, _SOLVED)
    temperature, liquid_of_each = _flash(moles, points + _ZERO_CELSIUS, heats, solid)
    mass = float(moles @ masses)
    liquid = (1.0 - solid) * (liquid_of_each @ masses) / mass
    at = np.interp(_SHARES, liquid[::-1], temperature[::-1] - _ZERO_CELSIUS)
    # From the start of freezing down, which keeps its place.
    spaced = _LEAST_RISE * np.arange(len(at))
    falling = np.minimum.accumulate(at[::-1].round(1) + spaced) - spaced
    return FatCurve(
        curve=tuple(zip(falling[::-1].round(2).tolist(), _SHARES, strict=True)),
        heat=round(float(moles @ heats) / mass, -3),
    )


def stable(composition: Composition) -> FatCurve:
    """Compute how a fat melts in its stable form, in which it comes from the shelf."""
    return fat_curve(replace(composition, form="beta"))


def clear_point(composition: Composition) -> float:
    """Temperature at which the last of a fat melts on heating [°C]: in its stable form."""
    return max(stable(composition).starts, fat_curve(composition).starts)


def composed_values(composition: Composition, *, mark: Mark) -> Mapping[str, CatalogueValue]:
    """State what follows from a composition as the catalogue does: by the name of the property, with its range."""
    frozen, melted = fat_curve(composition), stable(composition)
    first, last = f"{composition.form} form, {TRIGLYCERIDES}", f"stable form, {TRIGLYCERIDES}"

    def degrees(nominal: float, source: str) -> CatalogueValue:
        return CatalogueValue(nominal, nominal - ERROR, nominal + ERROR, "°C", mark, source)

    def heat(nominal: float, source: str) -> CatalogueValue:
        low, high = (1.0 - _HEAT_OFF) * nominal, (1.0 + _HEAT_OFF) * nominal
        return CatalogueValue(nominal, low, high, "J/kg", mark, f"{source}; its range is an estimate")

    return {
        "clear_point": degrees(clear_point(composition), last),
        "freezing_starts": degrees(frozen.starts, first),
        "freezing_ends": degrees(frozen.ends, f"10 % is still liquid; {first}"),
        "latent_heat": heat(frozen.heat, first),
        "melting_heat": heat(melted.heat, last),
    }


def _triglycerides(composition: Composition) -> tuple[tuple[str, ...], Integers, Array]:
    """List the triglycerides of all parts by their acids, with the moles of each in one mole [-]."""
    names = tuple(dict.fromkeys(name for _, fat in composition.parts for name, _ in fat))
    size = len(names)
    first, middle, last = (axis.ravel() for axis in np.indices((size, size, size)))
    moles = np.zeros(size**3)
    for share, fat in composition.parts:
        of_acid = _mole_shares(names, fat)
        mean = 3.0 * float(of_acid @ np.array([ACIDS[name].molar_mass for name in names])) + GLYCERIDE
        moles += share / mean * of_acid[first] * of_acid[middle] * of_acid[last]
    # The two outer places are alike.
    kept = first <= last
    moles = np.where(first == last, moles, 2.0 * moles)[kept]
    chains = np.stack([first, middle, last], axis=1)[kept]
    there = moles > 0.0
    return names, chains[there], moles[there] / moles.sum()


def _mole_shares(names: tuple[str, ...], fat: Fat) -> Array:
    unknown = [name for name, _ in fat if name not in ACIDS]
    if unknown:
        raise MaterialError(f"wax: acids name {unknown[0]!r}; choose from {', '.join(ACIDS)}")
    given = dict(fat)
    short = sum(share for name, share in fat if ACIDS[name].carbons <= _SHORT) / sum(given.values())
    if short > LAURIC:
        raise MaterialError(
            f"wax: acids hold {100 * short:.0f} % of 12:0 and 14:0, but the model is of no use for fats like those of"
            f" coconut and palm kernel, with more than {100 * LAURIC:.0f} %; give a measured curve (freezing) and"
            " latent_heat instead"
        )
    moles = np.array([given.get(name, 0.0) / ACIDS[name].molar_mass for name in names])
    shares: Array = moles / moles.sum()
    return shares


def _flash(moles: Array, points: Array, heats: Array, solid: Array) -> tuple[Array, Array]:
    """Find the temperature of each solid share [K] and the mole shares in the liquid there, (n, m) [-]."""
    cold, hot = np.full(len(solid), points.min()), np.full(len(solid), points.max())
    share, over_gas = solid[:, None], heats / _GAS_CONSTANT
    for _ in range(_HALVINGS):
        middle = 0.5 * (cold + hot)
        excess = np.expm1(over_gas * (1.0 / middle[:, None] - 1.0 / points))
        freezes = (moles * excess / (1.0 + share * excess)).sum(axis=1) > 0.0
        cold, hot = np.where(freezes, middle, cold), np.where(freezes, hot, middle)
    return middle, moles / (1.0 + share * excess)
