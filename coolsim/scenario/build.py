"""From the values of a scenario to the jar of `coolsim.model`, as far as they are known.

The values come as `Known`: a file with faults is known in part, and everything that can still be worked out from the
rest is, so that all of its faults are found at once.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from dataclasses import replace
from typing import Any

from coolsim.errors import MaterialError
from coolsim.model.box import Box
from coolsim.model.catalogue import CONTACTS, FLUTE_HEIGHTS, INERTS
from coolsim.model.jar import Jar, Support, Surround, Vessel
from coolsim.model.materials import (
    Inert,
    Wax,
    catalogue_inert,
    catalogue_wax,
    inert_names,
    liquid_density,
    with_fragrance,
)
from coolsim.model.problem import Accuracy, Answers, Melt
from coolsim.model.properties import METAL_CONDUCTIVITY
from coolsim.scenario.day_build import changes_of, room_of, starts_bare
from coolsim.scenario.files import ScenarioFile, table_model
from coolsim.scenario.known import Known, UnreadableError
from coolsim.scenario.tables import Table, WaxTable
from coolsim.scenario.values import Value

_INERT_FIELDS = ("conductivity", "density", "heat_capacity")
_NOT_PROPERTIES = (
    "kind",
    "freezing_starts",
    "freezing_ends",
    "freezing",
    "fragrance",
    "fragrance_load",
    "fragrance_molar_mass",
    "highest_temperature",
    "fragrance_limit",
)
_DENSITY_FOLLOWS = ("density_liquid", "density_liquid_at", "expansion_liquid")


def known_values(raw: Mapping[Any, Any]) -> Known:
    """Read what can be read of a scenario.

    Parameters
    ----------
    raw : mapping
        Parsed file.

    Returns
    -------
    Known
        Its values; keys at fault are not among them.
    """
    return Known(dict(_read(ScenarioFile, raw, "")))


def _read(model: type[Table], raw: Mapping[Any, Any], prefix: str) -> Iterator[tuple[str, Any]]:
    for name, field in model.model_fields.items():
        key = f"{prefix}{name}"
        table = table_model(field.annotation)
        given = raw.get(name)
        if table is not None:
            if isinstance(given, Mapping):
                yield from _read(table, given, f"{key}.")
            elif name not in raw and not field.is_required() and field.default_factory is not None:
                yield from _read(table, {}, f"{key}.")
        elif name in raw:
            value = next(spec for spec in field.metadata if isinstance(spec, Value))
            try:
                yield key, value.read(given)
            except ValueError:
                # Reported where pydantic meets it.
                continue
        elif not field.is_required():
            yield key, field.get_default()


def wax_of(known: Known) -> Wax:
    """Put the wax together, fragrance included; MaterialError if its values do not fit each other."""
    load, molar_mass = known("wax.fragrance_load"), known("wax.fragrance_molar_mass")
    return with_fragrance(plain_wax_of(known), load, molar_mass_oil=molar_mass)


def plain_wax_of(known: Known) -> Wax:
    """Put the wax together as it is bought, without fragrance; MaterialError if its values do not fit each other."""
    wax = catalogue_wax(known("wax.kind"))
    changes = {}
    for name in WaxTable.model_fields:
        if name not in _NOT_PROPERTIES and known(f"wax.{name}") is not None:
            changes[name] = known(f"wax.{name}")
    freezing = _freezing(known, wax)
    if freezing != wax.freezing:
        changes["freezing"] = freezing
        changes.setdefault("clear_point", freezing[-1][0] + wax.clear_point - wax.freezing_starts)
    wax = replace(wax, **changes)
    if any(name in changes for name in (*_DENSITY_FOLLOWS, "freezing")):
        # As the catalogue does: the liquid halfway between its stated density and the start of freezing.
        wax = replace(wax, density=liquid_density(wax, 0.5 * (wax.freezing_starts + wax.density_liquid_at)))
    return wax


def _freezing(known: Known, wax: Wax) -> tuple[tuple[float, float], ...]:
    table, starts, ends = (known(f"wax.{name}") for name in ("freezing", "freezing_starts", "freezing_ends"))
    if table is not None:
        curve: tuple[tuple[float, float], ...] = table
        return curve
    if starts is None and ends is None:
        return wax.freezing
    starts = wax.freezing_starts if starts is None else starts
    ends = wax.freezing_ends if ends is None else ends
    if not ends < starts:
        raise MaterialError(
            f"{wax.name}: freezing_ends is {ends:g} °C and freezing_starts {starts:g} °C; the end must be the colder"
        )
    return ((ends, 0.0), (starts, 1.0))


def inert_of(known: Known, table: str) -> Inert:
    """Put together what a vessel, support or box is made of; UnreadableError if the catalogue lacks it."""
    name = known(f"{table}.material")
    own = {field: known(f"{table}.{field}") for field in _INERT_FIELDS}
    given = {field: value for field, value in own.items() if value is not None}
    if name in inert_names():
        return replace(catalogue_inert(name), **given)
    if len(given) < len(_INERT_FIELDS):
        raise UnreadableError(f"{table}.material")
    return Inert(name=name, **given)


def depth_of(known: Known) -> float:
    """Depth of the wax [m], from level, volume or mass."""
    level, volume, mass = (known(f"pour.{name}") for name in ("level", "volume", "mass"))
    if level is not None:
        return float(level)
    if volume is None and mass is None:
        raise UnreadableError("pour.level")
    if volume is None:
        volume = mass / wax_of(known).density
    radius = 0.5 * known("vessel.diameter") - known("vessel.wall")
    if radius <= 0.0:
        raise UnreadableError("vessel.wall")
    return float(volume / (math.pi * radius**2))


def in_box_of_many(known: Known) -> bool:
    """Whether the scenario says where jars stand in a box."""
    return known.has("box.dividers") or known.has("box.rows")


def box_of(known: Known) -> Box:
    """Places of the jars in their box, from its inner size or from the distances; the jars may not fit it."""
    diameter, rows, columns = known("vessel.diameter"), known("box.rows"), known("box.columns")
    size = [known(f"box.{name}") for name in ("inner_length", "inner_width")]
    spacing, to_wall = known("box.spacing"), known("box.to_wall")
    if spacing is None and rows == columns == 1:
        spacing = 0.0
    if None in size:
        if spacing is None or to_wall is None:
            raise UnreadableError("box.spacing")
        pitches = [diameter + spacing] * 2
        size = [(count - 1) * (diameter + spacing) + diameter + 2.0 * to_wall for count in (columns, rows)]
    elif spacing is None:
        pitches = [size[0] / columns, size[1] / rows]
    else:
        pitches = [diameter + spacing] * 2
    return Box(
        rows=rows,
        columns=columns,
        length=size[0],
        width=size[1],
        pitch_along=pitches[0],
        pitch_across=pitches[1],
        dividers=known("box.dividers"),
        empty=known("box.empty"),
    )


def gap_of(known: Known) -> float:
    """Mean air gap between jar and board [m], from the gap, the width of a square box, or a box of many jars."""
    if in_box_of_many(known):
        box = box_of(known)
        sides = [side for place in box.places() if place not in box.empty for side in box.sides(place)]
        # Jars with empty places on all sides have no wall beside them.
        walls = [length for beside, length, _ in sides if beside is None] or [length for _, length, _ in sides]
        mean = sum(walls) / len(walls)
        return float(2.0 * mean / math.pi - 0.5 * known("vessel.diameter"))
    gap, width = known("surround.gap"), known("surround.box_width")
    if gap is not None:
        return float(gap)
    if width is None:
        raise UnreadableError("surround.gap")
    # A ring with the perimeter of the square: 2 pi r = 4 w.
    return float(2.0 * width / math.pi - 0.5 * known("vessel.diameter"))


def headroom_of(known: Known) -> float:
    """Air between the rim of the jar and the flaps [m]."""
    headroom, height = known("surround.headroom"), known("surround.box_height")
    if headroom is not None:
        return float(headroom)
    if height is None:
        raise UnreadableError("surround.headroom")
    return float(height - known("vessel.height"))


def jar_of(known: Known) -> Jar:
    """Build the jar of a scenario without faults.

    Parameters
    ----------
    known : Known
        All its values.

    Returns
    -------
    Jar
        What one run needs.
    """
    surround = _surround(known) if known.has("surround.flaps") else None
    at_first = None if starts_bare(known) else surround

    stands_on_board = at_first is not None and at_first.under_layers > 0

    def foot(on_board: bool) -> float:
        # A contact that is stated is that of the place at the pour.
        return _vessel(known, on_board=on_board, stated=on_board == stands_on_board).foot

    return Jar(
        name=known("title"),
        vessel=_vessel(known, on_board=stands_on_board),
        wax=wax_of(known),
        depth=depth_of(known),
        pour=known("pour.temperature"),
        support=_support(known),
        surround=at_first,
        changes=changes_of(known, surround=surround, feet=foot),
        box=box_of(known) if in_box_of_many(known) else None,
        room=room_of(known),
        melt=Melt(**_given(known, "melt", "mixing", "relaxation", "flows_above", "feeds_above", "conductivity_factor")),
        answers=Answers(**_given(known, "answers", *_ANSWERS)),
        accuracy=Accuracy(**_given(known, "run", "refinement", "tolerance")),
        horizon=known("run.horizon"),
        **_given(known, "films", "headspace_factor", "side_factor", "top_factor"),
    )


def _support(known: Known) -> Support:
    common = _given(known, "support", "reach", "emissivity", "contact")
    if known("support.kind") == "rack":
        return Support(material=None, **common)
    mat = known("support.mat")
    return Support(
        material=inert_of(known, "support"),
        start=known("support.temperature"),
        mat=None if mat is None else catalogue_inert(mat),
        mat_thickness=known("support.mat_thickness") or 0.0,
        **_given(known, "support", "thickness", "underside"),
        **common,
    )


_ANSWERS = ("skin_holds", "cool_within", "skin_margin", "flat_within", "pit_from", "cavity_from")


def _given(known: Known, table: str, *names: str) -> dict[str, Any]:
    return {name: known(f"{table}.{name}") for name in names}


def _vessel(known: Known, *, on_board: bool, stated: bool = True) -> Vessel:
    material = inert_of(known, "vessel")
    foot = known("vessel.foot") if stated else None
    if foot is None:
        metal = material.conductivity > METAL_CONDUCTIVITY
        stands = "jar-on-board" if on_board else "tin-on-bench" if metal else "glass-on-bench"
        foot = CONTACTS[stands].nominal
    return Vessel(
        material=material,
        foot=foot,
        start=known("vessel.temperature"),
        **_given(known, "vessel", "diameter", "height", "wall", "base", "emissivity", "shock_limit"),
    )


def _surround(known: Known) -> Surround:
    flute = known("surround.flute")
    thickness, conductivity = known("surround.cover_thickness"), known("surround.cover_conductivity")
    if conductivity is None:
        conductivity = INERTS["towel"]["conductivity"].nominal
    width = known("surround.box_width")
    return Surround(
        gap=gap_of(known),
        plan=None if width is None else width**2,
        headroom=headroom_of(known),
        board=inert_of(known, "surround"),
        start=known("surround.temperature"),
        layer=known("surround.layer") if flute is None else FLUTE_HEIGHTS[flute].nominal,
        cover=0.0 if thickness is None else thickness / conductivity,
        **_given(
            known,
            "surround",
            "side_layers",
            "flap_layers",
            "under_layers",
            "flaps",
            "emissivity",
            "exposed_sides",
        ),
    )
