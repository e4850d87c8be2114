"""Scenarios drawn from all that the keys allow, and what must hold for the run of each.

Keys that hang on each other (sizes, fill, pour, freezing, room) are drawn so that most scenarios pass the check; every
other key of the tables is drawn from its own limits, new ones included.
"""

from __future__ import annotations

import math

import numpy as np
from hypothesis import HealthCheck, assume, settings
from hypothesis import strategies as st

from coolsim.errors import ScenarioError
from coolsim.model.catalogue import NEVER_SETS
from coolsim.model.materials import catalogue_wax, inert_names, wax_names
from coolsim.report.run_page import answers_data, answers_table
from coolsim.scenario import scenario_from_data
from coolsim.scenario.melt import MeltTable
from coolsim.scenario.room import RoomTable
from coolsim.scenario.run import AnswersTable, FilmsTable
from coolsim.scenario.support import SupportTable
from coolsim.scenario.surround import SurroundTable
from coolsim.scenario.table import Table, said_of, value_in
from coolsim.scenario.values import Choice, Count, Number, Quantity
from coolsim.scenario.vessel import VesselTable
from coolsim.scenario.wax import WaxTable
from coolsim.solve.simulate import simulate
from coolsim.units import parse_quantity

# Four files of tests: two hundred scenarios in all in a plain run of the tests, the same ones each time; ten thousand
# fresh ones with the profile that tests/conftest.py registers.
_FEW, _MANY = 50, settings.get_profile("ten-thousand").max_examples
_MANY_WANTED = settings.default.max_examples == _MANY
some_examples = settings(
    max_examples=_MANY if _MANY_WANTED else _FEW,
    derandomize=not _MANY_WANTED,
    deadline=None,
    suppress_health_check=[HealthCheck.too_slow, HealthCheck.filter_too_much, HealthCheck.data_too_large],
)

# A step may overshoot by a few times the error that it is allowed (0.2 K if not stated); an unstable one is off by tens
# of kelvins. The solver itself takes a step again that bends a temperature by ten times that error.
OVERSHOOT_LEAST, OVERSHOOT_TOLERANCES = 0.5, 2.5
# Volumes are added up in a few thousand terms, each with a rounding of 1e-16.
VOLUME_OPEN = 1e-12

# Units in which a drawn value is written, metric and US, with (value in the first + shift) * factor.
_UNITS = {
    "length": (("mm", 1e-3, 0.0), ("in", 25.4e-3, 0.0)),
    "temperature": (("°C", 1.0, 0.0), ("°F", 1.0 / 1.8, 32.0)),
    "temperature_difference": (("K", 1.0, 0.0), ("°F", 1.0 / 1.8, 0.0)),
    "mass": (("g", 1e-3, 0.0), ("oz", 28.349523125e-3, 0.0)),
    "volume": (("mL", 1e-6, 0.0), ("fl oz", 29.5735295625e-6, 0.0)),
    "duration": (("min", 60.0, 0.0), ("h", 3600.0, 0.0)),
    "film_coefficient": (("W/m2K", 1.0, 0.0),) * 2,
    "conductivity": (("W/mK", 1.0, 0.0),) * 2,
    "density": (("kg/m3", 1.0, 0.0), ("lb/ft3", 0.45359237 / 0.3048**3, 0.0)),
    "heat_capacity": (("J/kgK", 1.0, 0.0), ("kJ/kgK", 1000.0, 0.0)),
    "latent_heat": (("kJ/kg", 1000.0, 0.0),) * 2,
    "viscosity": (("mPas", 1e-3, 0.0),) * 2,
    "expansion": (("1/K", 1.0, 0.0),) * 2,
    "speed": (("m/s", 1.0, 0.0),) * 2,
    "molar_mass": (("g/mol", 1e-3, 0.0),) * 2,
    "fraction": (("%", 0.01, 0.0),) * 2,
}
# Limits this far apart are drawn by factors.
_WIDE = 30.0
# A value on its limit may pass it by the rounding of the twelve digits that are written.
_INWARDS = 1e-9

_INERT_KEYS = ("conductivity", "density", "heat_capacity")
_ALTERNATIVE = {name for name, field in SurroundTable.model_fields.items() if said_of(field).instead}
_BY_HAND = {
    "diameter", "height", "wall", "base", "thickness", "material", "temperature", "lowest", "kind", "underside", "mat",
    "mat_thickness", *_INERT_KEYS, *_ALTERNATIVE,
}  # fmt: skip
_OF_WAX = (
    "latent_heat", "heat_capacity_solid", "heat_capacity_liquid", "conductivity_solid", "conductivity_liquid",
    "density_solid", "density_liquid", "expansion_liquid", "viscosity", "viscosity_slope", "molar_mass", "emissivity",
    "fragrance_load", "fragrance_molar_mass",
)  # fmt: skip


def write(value, kind, us):
    """A value [SI, °C] as a scenario states it."""
    unit, factor, shift = _UNITS[kind][us]
    return f"{value / factor + shift:.12g} {unit}"


@st.composite
def between(draw, low, high):
    """A number between two, by factors where they are far apart."""
    if low > 0.0 and high / low > _WIDE:
        return math.exp(draw(st.floats(math.log(low), math.log(high))))
    return draw(st.floats(low, high))


@st.composite
def value_of(draw, spec, us):
    """A value within the limits of a key."""
    match spec:
        case Quantity():
            low, high = (parse_quantity(end, spec.kind) for end in (spec.low, spec.high))
            inwards = _INWARDS * (high - low)
            return write(draw(between(low + inwards, high - inwards)), spec.kind, us)
        case Number():
            return draw(between(spec.low, spec.high))
        case Count():
            return draw(st.integers(spec.low, spec.high))
        case Choice():
            return draw(st.sampled_from(spec.options))


def specs_of(table: type[Table]):
    """Kind of value of each key of a table."""
    found = {name: value_in(field) for name, field in table.model_fields.items()}
    return {name: spec for name, spec in found.items() if isinstance(spec, (Quantity, Number, Count, Choice))}


@st.composite
def some_keys(draw, table, us, *, of=None):
    """Up to a few keys of a table, all but those that are drawn by hand."""
    specs = {name: spec for name, spec in specs_of(table).items() if (name in of if of else name not in _BY_HAND)}
    chosen = draw(st.lists(st.sampled_from(sorted(specs)), max_size=4, unique=True))
    return {name: draw(value_of(specs[name], us)) for name in chosen}


@st.composite
def material_of(draw, table, us):
    """A material of the catalogue, or one of the workshop's own with any properties."""
    if draw(st.integers(0, 3)):
        return {"material": draw(st.sampled_from(inert_names()))}
    specs = specs_of(table)
    return {"material": "of our own", **{name: draw(value_of(specs[name], us)) for name in _INERT_KEYS}}


@st.composite
def vessels(draw, us):
    """A vessel that holds 10 mm of wax in width and height at least, and its inner height [m]."""
    diameter = draw(st.floats(20e-3, 300e-3))
    height = draw(st.floats(20e-3, 400e-3))
    wall = draw(between(0.1e-3, min(15e-3, 0.5 * diameter - 5e-3)))
    base = draw(between(0.1e-3, min(30e-3, height - 10e-3)))
    sizes = {"diameter": diameter, "height": height, "wall": wall, "base": base}
    table = {name: write(value, "length", us) for name, value in sizes.items()}
    if draw(st.booleans()):
        table["temperature"] = write(draw(st.floats(-20.0, 119.0)), "temperature", us)
    return (
        {**draw(some_keys(VesselTable, us)), **draw(material_of(VesselTable, us)), **table},
        (diameter, wall, height - base),
    )


@st.composite
def waxes(draw, us):
    """A wax of the catalogue with its load of fragrance, and where it starts to freeze about [°C]."""
    kind = draw(st.sampled_from(wax_names()))
    wax = catalogue_wax(kind)
    load = draw(st.floats(0.0, 15.0))
    return {"kind": kind, "fragrance_load": f"{load:.6g} %"}, (wax.freezing_ends, wax.freezing_starts)


@st.composite
def measured_waxes(draw, us):
    """A wax of which some properties are the workshop's own, with a freezing range or a measured freezing curve."""
    kind = draw(st.sampled_from([name for name in wax_names() if name not in NEVER_SETS]))
    table = {"kind": kind, **draw(some_keys(WaxTable, us, of=_OF_WAX))}
    total = draw(st.floats(0.0, 25.0))
    table |= {"total_shrinkage": f"{total:.6g} %", "solid_shrinkage": f"{total * draw(st.floats(0.0, 1.0)):.5g} %"}
    ends = draw(st.floats(5.0, 85.0))
    starts = ends + draw(between(0.05, 30.0))
    clear = starts + draw(st.floats(0.0, 4.0))
    table["clear_point"] = write(clear, "temperature", us)
    # The liquid's density is stated for the liquid.
    table["density_liquid_at"] = write(min(119.9, starts + 5.0), "temperature", us)
    if draw(st.booleans()):
        table["freezing_starts"], table["freezing_ends"] = (write(one, "temperature", us) for one in (starts, ends))
    else:
        inner = draw(
            st.lists(st.tuples(st.floats(0.02, 0.98), st.floats(0.0, 1.0)), max_size=5, unique_by=lambda one: one[0])
        )
        places, shares = sorted(place for place, _ in inner), sorted(share for _, share in inner)
        rows = [(0.0, 0.0), *zip(places, shares, strict=True), (1.0, 1.0)]
        table["freezing"] = [
            [write(ends + place * (starts - ends), "temperature", us), f"{100 * share:.6g} %"] for place, share in rows
        ]
    return table, (ends, starts)


@st.composite
def boxes(draw, us):
    """A box, its width and height stated in either way."""
    table = {**draw(some_keys(SurroundTable, us)), **draw(st.sampled_from([{}, {"material": "board"}]))}
    if draw(st.booleans()):
        table |= draw(material_of(SurroundTable, us))
    table["gap"] = write(draw(between(1e-3, 79.9e-3)), "length", us)
    table["headroom"] = write(draw(st.floats(0.0, 149.9e-3)), "length", us)
    specs = specs_of(SurroundTable)
    name = draw(st.sampled_from(["flute", "layer"]))
    table[name] = draw(value_of(specs[name], us))
    if table.get("flaps") == "open" or "cover_thickness" not in table:
        table = {name: value for name, value in table.items() if not name.startswith("cover_")}
    return table


@st.composite
def scenarios(draw, *, wax=waxes, box=None):
    """Data of a scenario; most pass the check."""
    us = draw(st.booleans())
    vessel, (diameter, wall, inside) = draw(vessels(us))
    material, (ends, starts) = draw(wax(us))
    pour = draw(st.floats(min(starts, 119.0), 120.0))
    room = draw(st.floats(-20.0, max(-19.0, min(60.0, ends - 3.0))))
    depth = max(5.1e-3, draw(st.floats(0.05, 0.9999)) * inside)
    if draw(st.booleans()):
        fill = {"level": write(depth, "length", us)}
    else:
        fill = {"volume": write(math.pi * (0.5 * diameter - wall) ** 2 * depth, "volume", us)}
    melt = draw(some_keys(MeltTable, us))
    if "feeds_above" in melt:
        melt["flows_above"] = melt["feeds_above"]
    support = draw(supports(us))
    tolerance = draw(st.sampled_from(["0.2 K", "1 K", "0.1 K"]))
    data = {
        "title": "any",
        "units": "us" if us else "metric",
        "vessel": vessel,
        "wax": material,
        "pour": {"temperature": write(pour, "temperature", us), **fill},
        "support": support,
        "room": {**draw(some_keys(RoomTable, us)), "temperature": write(room, "temperature", us)},
        "melt": melt,
        "answers": draw(some_keys(AnswersTable, us)),
        "films": draw(some_keys(FilmsTable, us)),
        "run": {"refinement": 0.5, "tolerance": tolerance, "horizon": f"{draw(st.integers(1, 8))} h"},
    }
    if box is not None:
        data["surround"] = draw(box(us))
    if draw(st.integers(0, 3)) == 0:
        data["day"] = {"changes": draw(changes(boxed=box is not None))}
    if draw(st.integers(0, 3)) == 0:
        data["pour"]["clock"] = "17:00"
        data["room"] |= {
            "lowest": write(draw(st.floats(-20.0, max(-19.9, room - 0.1))), "temperature", us),
            "coldest": "5:00",
        }
    return data


@st.composite
def supports(draw, us):
    """What it stands on."""
    table = draw(some_keys(SupportTable, us))
    if draw(st.integers(0, 5)) == 0:
        return {**table, "kind": "rack"}
    table |= {
        **draw(material_of(SupportTable, us)),
        "thickness": write(draw(between(0.31e-3, 199e-3)), "length", us),
        "underside": draw(st.sampled_from(["air", "insulated"])),
    }
    if draw(st.integers(0, 3)) == 0:
        table["temperature"] = write(draw(st.floats(-20.0, 100.0)), "temperature", us)
        table["underside"] = draw(st.sampled_from(["air", "held"]))
    if draw(st.integers(0, 3)) == 0:
        table["mat"] = draw(st.sampled_from(inert_names()))
        table["mat_thickness"] = write(draw(between(0.31e-3, 49e-3)), "length", us)
    return table


@st.composite
def changes(draw, *, boxed):
    """A few things that happen to the jar, one after the other."""
    words = [
        ["lid on"],
        ["draught", "0.7 m/s"],
        ["lid off"],
        *([["out of the box"], ["into the box"]] if boxed else []),
    ]
    chosen = draw(st.permutations(words))[: draw(st.integers(1, len(words)))]
    minutes = sorted(draw(st.lists(st.integers(1, 400), min_size=len(chosen), max_size=len(chosen), unique=True)))
    return [[f"{minute} min", *row] for minute, row in zip(minutes, chosen, strict=True)]


def check_run(data):
    """Run a scenario if it passes the check, and hold the run to what holds for each."""
    try:
        scenario = scenario_from_data(data, where="any")
    except ScenarioError:
        assume(False)
    jar = scenario.jar
    result = simulate(jar)
    parts = np.array(result.parts)[result.block]
    everywhere = result.temperatures(np.arange(len(result.block)))
    # What a jar has left behind on its way is not there any more.
    stays = np.isin(parts, ["wax", "glass"]) if jar.changes else np.ones(len(parts), dtype=bool)
    assert np.isfinite(everywhere[:, stays]).all()
    # Heat has no sources and flows from warm to cold: nothing gets colder than the coldest, or hotter than the hottest,
    # of what there was at the start and of the room (maximum principle).
    room = result.history.room
    start = [jar.pour, float(room[0]) if jar.vessel.start is None else jar.vessel.start]
    start += [jar.support.start] if jar.support.start is not None else []
    coldest, hottest = min(*start, float(room.min())), max(*start, float(room.max()))
    margin = max(OVERSHOOT_LEAST, OVERSHOOT_TOLERANCES * jar.accuracy.tolerance)
    for called, found in (("cells", everywhere), ("air", result.history.nodes)):
        if found.size and not np.isnan(found).all():
            assert np.nanmin(found) >= coldest - margin, f"{called} {coldest - np.nanmin(found):.2f} K too cold"
            assert np.nanmax(found) <= hottest + margin, f"{called} {np.nanmax(found) - hottest:.2f} K too hot"
    assert result.ledger.closed, result.warnings
    assert result.shrinkage.ledger.open_share < VOLUME_OPEN
    assert result.ended in ("cool", "horizon")
    # Whatever was found can be told, to people and to machines.
    assert answers_table([("any", result)], units=scenario.units, jars=[jar])
    assert answers_data([("any", result)], jars=[jar])
