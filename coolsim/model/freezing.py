r"""Enthalpy, temperature, liquid fraction and conductivity of a freezing material, as one table.

The enthalpy per volume is :math:`H(T) = \int \rho c\,dT + \rho L f(T)`, zero at 0 °C in the solid. The solver
carries H and looks everything else up, because T(H) is single-valued and its slope bounded, whatever the freezing
range. Between the table's points T, f and the Kirchhoff potential :math:`\theta = \int k\,dT` are straight lines
in H; outside the freezing range, where c and k are constant, those lines are exact.
"""

from __future__ import annotations

from copy import copy
from dataclasses import dataclass, replace
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from coolsim.model.materials import Inert, Wax
from coolsim.model.section import Array, Integers, Material

Pieces = NDArray[np.intp]
_INTERVALS = 512
_POINTS_BETWEEN = 64


@dataclass(frozen=True, slots=True, kw_only=True)
class EnthalpyTable:
    """Straight pieces in enthalpy: piece 0 is solid, the last one liquid, those between are equally wide.

    Freezing ends and starts at the enthalpies `solidus` and `liquidus` [J/m3]. For each piece: the enthalpy from which
    it is counted [J/m3], and there temperature [°C], liquid fraction [-] and Kirchhoff potential [W/m] with their
    slopes over the enthalpy.
    """

    solidus: float
    liquidus: float
    base: Array
    temperature: Array
    temperature_slope: Array
    liquid: Array
    liquid_slope: Array
    potential: Array
    potential_slope: Array


def on_heating(wax: Wax) -> Wax:
    """Give a wax the curve and the heat by which it melts instead of those by which it freezes.

    Parameters
    ----------
    wax : Wax
        A wax with its freezing curve on cooling.

    Returns
    -------
    Wax
        The same in its stable form, in which flakes come from the shelf and to which set wax changes: its melting
        curve, with its end at the clear point, and its heat of melting. Where the melting curve is not known it is an
        estimate: wax melts over as wide a range as it freezes over.

    Examples
    --------
    >>> from coolsim import catalogue_wax
    >>> on_heating(catalogue_wax("paraffin")).freezing
    ((44.0, 0.0), (50.0, 0.1), (56.0, 1.0))
    >>> soft = on_heating(catalogue_wax("soft-vegetable"))
    >>> soft.freezing_starts, soft.latent_heat
    (52.8, 162000.0)
    """
    curve = wax.freezing if wax.melting is None else wax.melting
    lag = wax.clear_point - curve[-1][0]
    return replace(
        wax,
        freezing=tuple((temperature + lag, liquid) for temperature, liquid in curve),
        latent_heat=wax.latent_heat if wax.melting_heat is None else wax.melting_heat,
        melting=None,
        melting_heat=None,
        # A density stated between the two curves is one of melt that is cooling; its mass per cell stays the same.
        density_liquid_at=max(wax.density_liquid_at, wax.clear_point),
    )


@lru_cache(maxsize=64)
def enthalpy_table(material: Material) -> EnthalpyTable:
    """Tabulate a material.

    Parameters
    ----------
    material : Inert or Wax
        An inert material gets one piece: H = rho c T.

    Returns
    -------
    EnthalpyTable
        Its straight pieces.

    Notes
    -----
    Equations (2) and (7) of `coolsim.theory`.
    c and k are mixed by liquid fraction, :math:`c = c_s + (c_l - c_s) f`, so H and theta are quadratic in T along
    each straight piece of f(T); the conductivity of a stirred wax jumps where it begins to circulate. Both are
    integrated exactly at 64 points per piece and then sampled at equal steps of H; the error that is left is below
    1e-4 of the freezing range.
    """
    if isinstance(material, Inert):
        capacity = material.density * material.heat_capacity
        zero = np.zeros(1)
        return EnthalpyTable(
            solidus=0.0,
            liquidus=np.inf,
            base=zero,
            temperature=zero,
            temperature_slope=np.array([1.0 / capacity]),
            liquid=zero,
            liquid_slope=zero,
            potential=zero,
            potential_slope=np.array([material.conductivity / capacity]),
        )
    points = np.asarray(material.freezing, dtype=float)
    temperature = np.concatenate(
        [np.linspace(a, b, _POINTS_BETWEEN, endpoint=False) for a, b in zip(points[:-1, 0], points[1:, 0], strict=True)]
        + [points[-1:, 0]]
    )
    liquid = np.interp(temperature, points[:, 0], points[:, 1])
    solid_capacity = material.density * material.heat_capacity_solid
    liquid_capacity = material.density * material.heat_capacity_liquid
    capacity = solid_capacity + (liquid_capacity - solid_capacity) * liquid
    conductivity = _conductivity(material, liquid)
    step = np.diff(temperature)
    sensible = np.concatenate([[0.0], np.cumsum(0.5 * (capacity[1:] + capacity[:-1]) * step)])
    enthalpy = solid_capacity * temperature[0] + sensible + material.density * material.latent_heat * liquid
    potential = material.conductivity_solid * temperature[0] + np.concatenate(
        [[0.0], np.cumsum(0.5 * (conductivity[1:] + conductivity[:-1]) * step)]
    )
    nodes = np.linspace(enthalpy[0], enthalpy[-1], _INTERVALS + 1)
    width = nodes[1] - nodes[0]
    at_nodes = [np.interp(nodes, enthalpy, values) for values in (temperature, liquid, potential)]
    slopes = [np.diff(values) / width for values in at_nodes]
    return EnthalpyTable(
        solidus=float(enthalpy[0]),
        liquidus=float(enthalpy[-1]),
        base=np.concatenate([nodes[:1], nodes]),
        temperature=_with_solid(at_nodes[0]),
        temperature_slope=_with_ends(slopes[0], 1.0 / solid_capacity, 1.0 / liquid_capacity),
        liquid=_with_solid(at_nodes[1]),
        liquid_slope=_with_ends(slopes[1], 0.0, 0.0),
        potential=_with_solid(at_nodes[2]),
        potential_slope=_with_ends(
            slopes[2], material.conductivity_solid / solid_capacity, material.conductivity_liquid / liquid_capacity
        ),
    )


def _conductivity(material: Wax, liquid: Array) -> Array:
    at_rest = material.conductivity_liquid if material.at_rest is None else material.at_rest[1]
    conductivity: Array = material.conductivity_solid + (at_rest - material.conductivity_solid) * liquid
    if material.at_rest is not None:
        conductivity[liquid > material.at_rest[0]] = material.conductivity_liquid
    return conductivity


def _with_solid(at_nodes: Array) -> Array:
    return np.concatenate([at_nodes[:1], at_nodes])


def _with_ends(inner: Array, first: float, last: float) -> Array:
    return np.concatenate([[first], inner, [last]])


def enthalpy_at(table: EnthalpyTable, temperature: Array) -> Array:
    """Enthalpy [J/m3] of a material in equilibrium at temperatures of any shape [°C]."""
    temperature = np.asarray(temperature, dtype=float)
    below = table.base[0] + (temperature - table.temperature[0]) / table.temperature_slope[0]
    if len(table.base) == 1:
        return np.asarray(below, dtype=np.float64)
    above = table.base[-1] + (temperature - table.temperature[-1]) / table.temperature_slope[-1]
    between = np.interp(temperature, table.temperature[1:], table.base[1:])
    enthalpy: Array = np.where(
        temperature < table.temperature[1], below, np.where(temperature > table.temperature[-1], above, between)
    )
    return enthalpy


def enthalpy_of_mixture(table: EnthalpyTable, temperature: Array, liquid: Array) -> Array:
    """Enthalpy [J/m3] of wax of which a share [-] is liquid at a temperature [°C], whether or not that is its curve.

    Solid below its curve and liquid above it are drawn on straight to where they meet.
    """
    solid = table.base[0] + (temperature - table.temperature[0]) / table.temperature_slope[0]
    melt = table.base[-1] + (temperature - table.temperature[-1]) / table.temperature_slope[-1]
    enthalpy: Array = solid + liquid * (melt - solid)
    return enthalpy


def enthalpy_at_fraction(table: EnthalpyTable, fraction: float) -> float:
    """Enthalpy [J/m3] at which a share of the wax is liquid [-]; 0 gives the end and 1 the start of freezing."""
    if len(table.base) == 1:
        raise ValueError("an inert material has no liquid fraction")
    if fraction <= 0.0:
        return table.solidus
    return float(np.interp(fraction, table.liquid[1:], table.base[1:]))


class CellTables:
    """The tables of several materials behind each other, looked up for all cells of a grid at once."""

    def __init__(self, tables: tuple[EnthalpyTable, ...], which: Integers) -> None:
        sizes = np.array([len(table.base) for table in tables])
        starts = np.concatenate([[0], np.cumsum(sizes)[:-1]])
        last = np.where(sizes > 1, sizes - 1, 0).astype(float)
        width = np.array([table.base[2] - table.base[1] if len(table.base) > 1 else np.inf for table in tables])
        # A cell's piece is the whole part of H * scale + shift, kept between its material's first and last piece;
        # inert cells (scale 0) always land in the middle of their only piece.
        scale = 1.0 / width
        first = starts + 0.5
        shift = np.where(sizes > 1, 1.0 + starts - np.array([table.solidus for table in tables]) * scale, first)
        self._scale, self._shift = scale[which], shift[which]
        self._first, self._last = first[which], (first + last)[which]
        base = np.concatenate([table.base for table in tables])
        self._slope = np.concatenate([table.temperature_slope for table in tables])
        self._capacity = 1.0 / self._slope
        self._intercept = np.concatenate([table.temperature for table in tables]) - base * self._slope
        self._at_zero = -self._intercept * self._capacity
        self._liquid_slope = np.concatenate([table.liquid_slope for table in tables])
        self._liquid = np.concatenate([table.liquid for table in tables]) - base * self._liquid_slope
        self._potential_slope = np.concatenate([table.potential_slope for table in tables])
        self._conductivity = self._potential_slope * self._capacity
        self._potential = np.concatenate([table.potential for table in tables]) - base * self._potential_slope

    def of(self, cells: Integers) -> CellTables:
        """Those of some of the cells, by their index."""
        found = copy(self)
        for name in ("_scale", "_shift", "_first", "_last"):
            setattr(found, name, getattr(self, name).take(cells))
        return found

    def piece(self, enthalpy: Array) -> Pieces:
        """Index of the straight piece that each cell is on by its enthalpy [J/m3], for the look-ups below."""
        position = enthalpy * self._scale
        position += self._shift
        np.maximum(position, self._first, out=position)
        np.minimum(position, self._last, out=position)
        return position.astype(np.intp)

    def temperature(self, enthalpy: Array, piece: Pieces) -> Array:
        """Temperature of the cells [°C], same shape as `enthalpy`."""
        values = self._slope.take(piece)
        values *= enthalpy
        values += self._intercept.take(piece)
        return values

    def capacity(self, piece: Pieces) -> Array:
        """Slope dH/dT on each cell's piece [J/m3/K]."""
        return self._capacity.take(piece)

    def at_zero(self, piece: Pieces) -> Array:
        """Enthalpy that each cell's piece has at 0 °C, drawn on straight [J/m3]: H = capacity T + this."""
        enthalpy: Array = self._at_zero.take(piece)
        return enthalpy

    def liquid(self, enthalpy: Array, piece: Pieces) -> Array:
        """Liquid fraction of the cells [-]; 0 in inert ones."""
        values = self._liquid_slope.take(piece)
        values *= enthalpy
        values += self._liquid.take(piece)
        return values

    def potential(self, enthalpy: Array, piece: Pieces) -> Array:
        """Kirchhoff potential of the cells [W/m]."""
        values = self._potential_slope.take(piece)
        values *= enthalpy
        values += self._potential.take(piece)
        return values

    def conductivity(self, piece: Pieces) -> Array:
        """Local conductivity d(theta)/dT on each cell's piece [W/m/K]."""
        conductivity: Array = self._conductivity.take(piece)
        return conductivity
