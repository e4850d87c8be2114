r"""Melting point and heat of melting of a triglyceride, in each of its three crystal forms.

A triglyceride has n carbons in its three fatty acids: p in the shorter outer one, p + x in the middle one and p + y in
the longer outer one. It takes

.. math:: \Delta H = h n + h_0 + h_{xy} f + \sum_u h_u n_u, \quad f = 2 - e^{-((x - x_0)/k)^2} - e^{-(y/k)^2}

to melt, and does so at

.. math:: T = T_\infty (1 + A/n - A B/n^2), \quad T_\infty = 401.15\ K,

where A and B are quadratic in x and y, with a term for each unsaturated acid, for each beyond the first of its sort,
and for each pair of oleic and linoleic acid.

The model is published (References); its parameters were taken from a list that others had typed, and count as from
memory until somebody has checked them against the paper. Against measured fats of 16 and 18 carbons it errs by 7 K; for
fats of coconut and palm kernel it is of no use.

References
----------
Wesdorp, as in Moorthy, A. S. et al. (2016), J. Am. Oil Chem. Soc., doi:10.1007/s11746-016-2935-1.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from types import MappingProxyType

import numpy as np

from coolsim.errors import MaterialError
from coolsim.model.catalogue import CrystalForm
from coolsim.model.section import Array, Integers

_ENDLESS_CHAIN = 401.15
_ZERO_CELSIUS = 273.15
_UNSATURATED = ("18:1", "18:1 trans", "18:2")
_CARBON, _HYDROGEN, _OXYGEN = 12.011e-3, 1.008e-3, 15.999e-3  # kg/mol


@dataclass(frozen=True, slots=True)
class Acid:
    """A fatty acid: its carbons and double bonds [-]."""

    carbons: int
    double_bonds: int = 0

    @property
    def molar_mass(self) -> float:
        """Molar mass of the free acid [kg/mol]."""
        return self.carbons * _CARBON + 2 * (self.carbons - self.double_bonds) * _HYDROGEN + 2 * _OXYGEN


ACIDS: Mapping[str, Acid] = MappingProxyType(
    {
        **{f"{carbons}:0": Acid(carbons) for carbons in range(12, 24, 2)},
        "18:1": Acid(18, 1),
        "18:1 trans": Acid(18, 1),
        "18:2": Acid(18, 2),
    }
)
"""Fatty acids of the model by carbons and double bonds: oleic acid is 18:1, elaidic 18:1 trans, linoleic 18:2."""

GLYCERIDE = 3 * _CARBON + 2 * _HYDROGEN
"""What glycerol adds to the three acids, less the water that they give off [kg/mol]."""


@dataclass(frozen=True, slots=True, kw_only=True)
class _Parameters:
    """Of one crystal form: heats in kJ/mol; O, E, J are 18:1, 18:1 trans and 18:2."""

    heat: tuple[float, float, float]  # for each carbon, constant, for chains of unequal length
    heat_of: tuple[float, float, float]  # for each O, E, J
    unequal: tuple[float, float]  # k, x0
    a: tuple[float, ...]  # constant, x, x2, xy, y, y2
    a_of: tuple[float, ...]  # for each O, E, J; each O, E, J beyond the first; each pair of O and J
    b: tuple[float, ...]
    b_of: tuple[float, float]  # for each O, J


_FORMS: Mapping[CrystalForm, _Parameters] = MappingProxyType(
    {
        "alpha": _Parameters(
            heat=(2.7, -31.95, -13.28),
            heat_of=(-31.7, -11.7, -37.7),
            unequal=(4.39, 1.25),
            a=(-9.058, 0.003, -0.062, 0.115, -0.453, -0.006),
            a_of=(-3.46, -1.38, -3.35, -0.01, 0.01, -3.68, 0.53),
            b=(-4.484, -0.001, 0.149, -0.366, 1.412, -0.002),
            b_of=(0.0, 5.4),
        ),
        "beta-prime": _Parameters(
            heat=(3.86, -35.86, -19.35),
            heat_of=(-28.3, -15.9, -37.7),
            unequal=(1.99, 2.46),
            a=(-8.454, -0.104, -0.019, 0.074, -0.497, 0.012),
            a_of=(-2.2, -1.34, -2.51, 0.27, 0.04, 0.55, -1.0),
            b=(-0.265, 0.550, 0.074, -0.341, 2.342, -0.136),
            b_of=(-4.3, -7.8),
        ),
        "beta": _Parameters(
            heat=(3.89, -17.16, -22.29),
            heat_of=(-30.2, -15.9, -37.7),
            unequal=(2.88, 0.77),
            a=(-8.048, 0.074, -0.035, 0.008, -0.404, 0.011),
            a_of=(-2.93, -1.68, -4.69, 0.89, 0.4, 1.21, 0.71),
            b=(2.670, -0.317, 0.086, 0.041, 0.550, 9e-4),
            b_of=(-3.7, -1.5),
        ),
    }
)


def melting_points_and_heats(acids: Sequence[str], chains: Integers, *, form: CrystalForm) -> tuple[Array, Array]:
    """Melting points and heats of melting of many triglycerides.

    Equation (5) of `coolsim.theory`.

    Parameters
    ----------
    acids : sequence of str
        Names of `ACIDS`.
    chains : (n, 3) ndarray
        The three acids of each triglyceride, as places in `acids` [-]; the one in the middle stands in the middle.
    form : {"alpha", "beta-prime", "beta"}
        The crystal form.

    Returns
    -------
    (n,) ndarray, (n,) ndarray
        Melting points [°C] and heats of melting [J/mol]. A heat of zero or less means that the form is not one in
        which this triglyceride crystallises.

    Raises
    ------
    MaterialError
        If an acid is none of the model.

    Examples
    --------
    Tripalmitin and triolein in the stable form:

    >>> import numpy as np
    >>> chains = np.array([[0, 0, 0], [1, 1, 1]])
    >>> points, heats = melting_points_and_heats(["16:0", "18:1"], chains, form="beta")
    >>> points.round(2).tolist(), (heats / 1e3).round(1).tolist()
    ([64.48, -1.32], [168.0, 100.8])
    """
    for name in acids:
        if name not in ACIDS:
            raise MaterialError(f"no fatty acid {name!r} in the model; choose from {', '.join(ACIDS)}")
    given = _FORMS[form]
    carbons = np.array([ACIDS[name].carbons for name in acids])[chains].astype(float)
    shorter = np.minimum(carbons[:, 0], carbons[:, 2])
    n, x = carbons.sum(axis=1), carbons[:, 1] - shorter
    y = np.maximum(carbons[:, 0], carbons[:, 2]) - shorter
    oleic, elaidic, linoleic = (
        np.array([name == one for name in acids])[chains].sum(axis=1).astype(float) for one in _UNSATURATED
    )
    each = np.stack([oleic, elaidic, linoleic])
    width, middle = given.unequal
    unequal = 2.0 - np.exp(-(((x - middle) / width) ** 2)) - np.exp(-((y / width) ** 2))
    per_carbon, constant, for_unequal = given.heat
    heat = per_carbon * n + constant + for_unequal * unequal + np.array(given.heat_of) @ each
    powers = np.stack([np.ones_like(x), x, x * x, x * y, y, y * y])
    beyond_first = np.maximum(each - 1.0, 0.0)
    a = np.array(given.a) @ powers + np.array(given.a_of) @ np.vstack([each, beyond_first, oleic * linoleic])
    b = np.array(given.b) @ powers + np.array(given.b_of) @ np.stack([oleic, linoleic])
    kelvin = _ENDLESS_CHAIN * (1.0 + a / n - a * b / n**2)
    return kelvin - _ZERO_CELSIUS, 1e3 * heat
