"""The catalogue of materials as text for people and as data for machines."""

from __future__ import annotations

import dataclasses
from collections.abc import Mapping, Sequence
from typing import Any

from coolsim.errors import MaterialError
from coolsim.model.catalogue import (
    CONTACTS,
    EMISSIVITIES,
    FATS,
    FLUTE_HEIGHTS,
    FRAGRANCE_MOLAR_MASS,
    INERTS,
    PARAFFIN_CURVES,
    TIN_WALL,
    CatalogueValue,
    Composition,
    FreezingCurve,
)
from coolsim.model.fats import fat_curve
from coolsim.model.freezing_curve import temperature_at
from coolsim.model.materials import catalogue_values, catalogue_wax, wax_names
from coolsim.report.blocks import Block, Column, Note, Row, Table
from coolsim.report.text.page import as_text

_GROUPS: tuple[tuple[str, Mapping[str, Mapping[str, CatalogueValue]]], ...] = (
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
_SHOWN_SHARES = (0.95, 0.75, 0.5, 0.25, 0.1)
_LEGEND = (
    "Marks: published (read in the source named), computed independently (worked out for coolsim from what the source"
    " gives), open library (from the open property library named), from memory (recalled, not checked), estimate"
    " (a judgement), published correlation (what a published model of triglycerides gives for the acids, within 7 °C)."
    " Where your supplier states a value, state it in the scenario instead."
)


def catalogue_names() -> tuple[str, ...]:
    """List what the catalogue holds: waxes, paraffin grades, other materials, and groups of single values.

    Examples
    --------
    >>> catalogue_names()[:2]
    ('soft-vegetable', 'paraffin')
    """
    return (*wax_names(), *(name for _, group in _GROUPS for name in group))


def overview_blocks() -> list[Block]:
    """List all materials with the values that matter most."""
    described = {name: _nominal(catalogue_values(name)) for name in wax_names() if name not in PARAFFIN_CURVES}
    waxes = [_wax(name, values, values) for name, values in described.items()]
    paraffin = described["paraffin"]
    for name in PARAFFIN_CURVES:
        grade = catalogue_wax(name)
        own = {key: getattr(grade, key) for key in ("freezing_starts", "freezing_ends", "latent_heat")}
        waxes.append(_wax(name, own, paraffin))
    inerts = ("conductivity", "density", "heat_capacity")
    return [
        Table(
            columns=(Column(width=18), *(Column(width=width, right=True) for width in (15, 11, 14, 14))),
            headings=(
                "wax", "freezes from-to\n[°C]", "latent heat\n[kJ/kg]", "k solid/liquid\n[W/m/K]",
                "density liquid\n[kg/m3]",
            ),
            rows=tuple(waxes),
            ruled=True,
        ),
        Table(
            columns=(Column(width=26), *(Column(width=width, right=True) for width in (12, 7, 13))),
            headings=("material", "conductivity\n[W/m/K]", "density\n[kg/m3]", "heat capacity\n[J/kg/K]"),
            rows=tuple(
                (name, *(f"{value:g}" for value in map(_nominal(values).get, inerts)))
                for name, values in INERTS.items()
            ),
            ruled=True,
        ),
        Note(f"Single values: {', '.join(_GROUPS[1][1])}."),
        Note("Waxes freeze from their start down to where 90 % of the heat is out; the rest follows below."),
    ]  # fmt: skip


catalogue_overview = as_text(overview_blocks)


def catalogue_blocks(names: Sequence[str]) -> list[Block]:
    """Write every value of some materials with range, mark and source; MaterialError for one that is not there."""
    return [*(_entry(name) for name in names), Note(_LEGEND)]


catalogue_text = as_text(catalogue_blocks)


def catalogue_data(names: Sequence[str]) -> dict[str, Any]:
    """Give some materials as plain data that `json.dumps` takes; MaterialError for one that is not there.

    A paraffin grade has rows of °C and liquid fraction [-], and ``otherwise``, the wax with its other properties; a wax
    of fatty acids has the same rows, and its acids.
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
    values: dict[str, Any] = {key: dataclasses.asdict(value) for key, value in found.items()}
    if name in FATS:
        fat = FATS[name]
        values["acids"] = [[share, dict(acids)] for share, acids in fat.parts]
        values["crystal_form"] = fat.form
        values["freezing"] = [list(point) for point in fat_curve(fat).curve]
    return values


def _found(name: str) -> Mapping[str, CatalogueValue] | FreezingCurve:
    if name in PARAFFIN_CURVES:
        return PARAFFIN_CURVES[name]
    if name in wax_names():
        return catalogue_values(name)
    for _, group in _GROUPS:
        if name in group:
            return group[name]
    raise MaterialError(f"no material {name!r} in the catalogue; choose from {', '.join(catalogue_names())}")


def _entry(name: str) -> Table:
    found = _found(name)
    rows: list[Row] = []
    if isinstance(found, FreezingCurve):
        rows += [f"{100 * fraction:3.0f} % liquid at {temperature:g} °C" for temperature, fraction in found.points]
        rows += [("latent_heat", f"{found.latent_heat / 1e3:g} kJ/kg")]
        rows += [f"    {found.mark}: {found.source}. All else as paraffin."]
    else:
        if name in FATS:
            rows += _made_of(FATS[name])
        for key, value in found.items():
            rows += [(key, _figures(key, value)), f"    {value.mark}: {value.source}"]
    return Table(title=name, columns=(Column(width=24), Column(width=56)), rows=tuple(rows), gap=0, ruled=True)


def _made_of(fat: Composition) -> list[Row]:
    """Write the acids of a wax, and how it freezes by them."""
    rows: list[Row] = []
    for share, acids in fat.parts:
        of_which = "" if share == 1.0 else f"{100 * share:g} % of a fat with "
        rows.append(("acids", of_which + ", ".join(f"{name} {100 * one:g} %" for name, one in acids)))
    curve = fat_curve(fat)
    points = ", ".join(f"{100 * one:.0f} % at {temperature_at(curve.curve, one):.1f}" for one in _SHOWN_SHARES)
    return [
        *rows,
        ("crystal_form", fat.form),
        ("liquid on cooling", f"{points} °C"),
        ("solid at 20 °C", f"{100 * curve.solid(20.0):.0f} %"),
    ]


def _figures(key: str, value: CatalogueValue) -> str:
    factor, unit = _PERCENT if key.endswith("shrinkage") else _SHOWN_IN.get(value.unit, (1.0, value.unit))
    text = f"{factor * value.nominal:g} {unit}".rstrip()
    if value.low is None or value.high is None:
        return text
    return f"{text}  ({factor * value.low:g} to {factor * value.high:g})"


def _nominal(values: Mapping[str, CatalogueValue]) -> dict[str, float]:
    return {key: value.nominal for key, value in values.items()}


def _wax(name: str, own: Mapping[str, float], rest: Mapping[str, float]) -> tuple[str, ...]:
    return (
        name,
        f"{own['freezing_starts']:g} to {own['freezing_ends']:g}",
        f"{own['latent_heat'] / 1e3:g}",
        f"{rest['conductivity_solid']:g} / {rest['conductivity_liquid']:g}",
        f"{rest['density_liquid']:g} at {rest['density_liquid_at']:g} °C",
    )
