"""The catalogue of materials as text for people and as data for machines."""

from __future__ import annotations

import dataclasses
import textwrap
from collections.abc import Mapping, Sequence
from typing import Any

from coolsim.errors import MaterialError
from coolsim.model.catalogue import (
    CONTACTS,
    EMISSIVITIES,
    FLUTE_HEIGHTS,
    FRAGRANCE_MOLAR_MASS,
    INERTS,
    PARAFFIN_CURVES,
    TIN_WALL,
    WAXES,
    CatalogueValue,
    FreezingCurve,
)

_WIDTH = 80
_GROUPS: tuple[tuple[str, Mapping[str, Mapping[str, CatalogueValue]]], ...] = (
    ("waxes", WAXES),
    ("other materials", INERTS),
    (
        "surfaces, board and contacts",
        {
            "emissivities": EMISSIVITIES,
            "flutes": FLUTE_HEIGHTS,
            "contacts": CONTACTS,
            "tins": {"wall": TIN_WALL},
            "fragrance": {"molar_mass": FRAGRANCE_MOLAR_MASS},
        },
    ),
)
# Factor and unit as a scenario would state them, so that a value can be copied.
_SHOWN_IN: Mapping[str, tuple[float, str]] = {
    "J/kg": (1e-3, "kJ/kg"),
    "J/kg/K": (1.0, "J/kgK"),
    "W/m/K": (1.0, "W/mK"),
    "W/m2/K": (1.0, "W/m2K"),
    "Pa s": (1e3, "mPas"),
    "m": (1e3, "mm"),
    "kg/mol": (1e3, "g/mol"),
    "-": (1.0, ""),
}
_PERCENT = (100.0, "%")
_LEGEND = (
    "Marks: published (read in the source named), computed independently (worked out for coolsim from what the source"
    " gives), open library (from the open property library named), from memory (recalled, not checked), estimate"
    " (a judgement). Where your supplier states a value, state it in the scenario instead."
)


def catalogue_names() -> tuple[str, ...]:
    """List what the catalogue holds.

    Returns
    -------
    tuple of str
        Names of waxes, paraffin grades, other materials, and groups of single values.

    Examples
    --------
    >>> catalogue_names()[:2]
    ('soft-vegetable', 'paraffin')
    """
    names = [name for _, group in _GROUPS for name in group]
    waxes = len(WAXES)
    return (*names[:waxes], *PARAFFIN_CURVES, *names[waxes:])


def catalogue_overview() -> str:
    """Write a table of all materials with the values that matter most.

    Returns
    -------
    str
        Lines of at most 80 columns.
    """
    lines = [
        "wax                 freezes from-to  latent heat  k solid/liquid  density liquid",
        "                               [°C]      [kJ/kg]         [W/m/K]         [kg/m3]",
        "-" * _WIDTH,
    ]
    for name, values in WAXES.items():
        starts, ends = values["freezing_starts"].nominal, values["freezing_ends"].nominal
        lines.append(_wax_line(name, starts, ends, values["latent_heat"].nominal, values))
    for name, curve in PARAFFIN_CURVES.items():
        (ends, _), (starts, _) = curve.points[0], curve.points[-1]
        lines.append(_wax_line(name, starts, ends, curve.latent_heat, WAXES["paraffin"]))
    lines += [
        "",
        "material                    conductivity  density  heat capacity",
        "                                 [W/m/K]  [kg/m3]       [J/kg/K]",
        "-" * 64,
    ]
    for name, values in INERTS.items():
        conductivity, density = values["conductivity"].nominal, values["density"].nominal
        lines.append(f"{name:26}  {conductivity:12g}  {density:7g}  {values['heat_capacity'].nominal:13g}")
    lines += ["", *_wrap(f"Single values: {', '.join(_GROUPS[2][1])}.")]
    lines += ["", *_wrap("Paraffin grades with a measured curve: from 95 to 5 % liquid.")]
    return "\n".join(lines)


def catalogue_text(names: Sequence[str]) -> str:
    """Write every value of some materials with its range, mark and source.

    Parameters
    ----------
    names : sequence of str
        Some of `catalogue_names`.

    Returns
    -------
    str
        Lines of at most 80 columns.

    Raises
    ------
    MaterialError
        If the catalogue has no such entry.
    """
    return "\n\n".join([*("\n".join(_entry(name)) for name in names), "\n".join(_wrap(_LEGEND))])


def catalogue_data(names: Sequence[str]) -> dict[str, Any]:
    """Give some materials as plain data that `json.dumps` takes.

    Parameters
    ----------
    names : sequence of str
        Some of `catalogue_names`.

    Returns
    -------
    dict
        For each name its properties, each with ``nominal``, ``low``, ``high``, ``unit`` (SI, °C), ``mark`` and
        ``source``. A paraffin grade has ``freezing`` (rows of °C and liquid fraction), ``latent_heat`` [J/kg],
        ``mark``, ``source`` and ``otherwise``, the wax that has its other properties.

    Raises
    ------
    MaterialError
        If the catalogue has no such entry.
    """
    return {name: _data(name) for name in names}


def _data(name: str) -> dict[str, Any]:
    found = _found(name)
    if isinstance(found, FreezingCurve):
        return {
            "freezing": [list(point) for point in found.points],
            "latent_heat": found.latent_heat,
            "mark": found.mark,
            "source": found.source,
            "otherwise": "paraffin",
        }
    return {key: dataclasses.asdict(value) for key, value in found.items()}


def _found(name: str) -> Mapping[str, CatalogueValue] | FreezingCurve:
    if name in PARAFFIN_CURVES:
        return PARAFFIN_CURVES[name]
    for _, group in _GROUPS:
        if name in group:
            return group[name]
    raise MaterialError(f"no material {name!r} in the catalogue; choose from {', '.join(catalogue_names())}")


def _entry(name: str) -> list[str]:
    found = _found(name)
    lines = [name, "-" * _WIDTH]
    if isinstance(found, FreezingCurve):
        lines += [f"{100 * fraction:3.0f} % liquid at {temperature:g} °C" for temperature, fraction in found.points]
        lines.append(f"latent_heat             {found.latent_heat / 1e3:g} kJ/kg")
        return [*lines, *_wrap(f"{found.mark}: {found.source}. All else as paraffin.", "    ")]
    for key, value in found.items():
        lines.append(f"{key:24}{_figures(key, value)}")
        lines += _wrap(f"{value.mark}: {value.source}", "    ")
    return lines


def _figures(key: str, value: CatalogueValue) -> str:
    factor, unit = _PERCENT if key.endswith("shrinkage") else _SHOWN_IN.get(value.unit, (1.0, value.unit))
    text = f"{factor * value.nominal:g} {unit}".rstrip()
    if value.low is None or value.high is None:
        return text
    return f"{text}  ({factor * value.low:g} to {factor * value.high:g})"


def _wax_line(name: str, starts: float, ends: float, heat: float, values: Mapping[str, CatalogueValue]) -> str:
    freezes = f"{starts:g} to {ends:g}"
    conducts = f"{values['conductivity_solid'].nominal:g} / {values['conductivity_liquid'].nominal:g}"
    density = values["density_liquid"]
    dense = f"{density.nominal:g} at {values['density_liquid_at'].nominal:g} °C"
    return f"{name:18}  {freezes:>15}  {heat / 1e3:11g}  {conducts:>14}  {dense:>14}"


def _wrap(text: str, indent: str = "") -> list[str]:
    return textwrap.wrap(text, _WIDTH, initial_indent=indent, subsequent_indent=indent, break_on_hyphens=False)
