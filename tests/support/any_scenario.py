"""Scenarios drawn from all that the keys allow; `any_run` says what must hold for the run of each.

Keys that depend on each other (sizes, fill, pour, freezing, room) are drawn so that most scenarios pass the check;
every other key of the tables is drawn from its own limits, new ones included.
"""

from __future__ import annotations

import math
from dataclasses import replace

from hypothesis import HealthCheck, settings
from hypothesis import strategies as st

from coolsim.model.catalogue import FATS, FLUTE_HEIGHTS, NEVER_SETS, Composition
from coolsim.model.materials import catalogue_wax, freezing_of, inert_names, wax_names
from coolsim.scenario.acids import Acids
from coolsim.scenario.calendar import ClockTime
from coolsim.scenario.day import DRAUGHT, DayTable
from coolsim.scenario.melt import MeltTable
from coolsim.scenario.mush import MushTable
from coolsim.scenario.room import RoomTable
from coolsim.scenario.run import AnswersTable, FilmsTable
from coolsim.scenario.support import SupportTable
from coolsim.scenario.surround import SurroundTable
from coolsim.scenario.table import TomlTable, said_of, value_in
from coolsim.scenario.values import Choice, Count, Number, Quantity
from coolsim.scenario.vessel import VesselTable
from coolsim.scenario.wax import WaxTable
from coolsim.units import parse_quantity

# Few scenarios in a plain run of the tests, the same ones each time; many fresh ones with the profile that
# tests/conftest.py registers.
_MANY_WANTED = settings.default.max_examples == settings.get_profile("ten-thousand").max_examples


def examples(few, many):
    """How many scenarios a test runs in a plain run, and with the profile."""
    return settings(
        max_examples=many if _MANY_WANTED else few,
        derandomize=not _MANY_WANTED,
        deadline=None,
        suppress_health_check=[HealthCheck.too_slow, HealthCheck.filter_too_much, HealthCheck.data_too_large],
    )


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
    "pressure": (("Pa", 1.0, 0.0),) * 2,
}
# Limits this far apart are drawn by factors.
_WIDE = 30.0
# A value on its limit may pass it by the rounding of the twelve digits that are written.
_INWARDS = 1e-9

_WIDEST_GAP = 79.9e-3
# Of a box of many jars, [places] says these.
_SAID_BY_PLACES = ("gap", "box_width", "exposed_sides")
_INERT_KEYS = ("conductivity", "density", "heat_capacity")
_ALTERNATIVE = {name for name, field in SurroundTable.model_fields.items() if said_of(field).instead}
_BY_HAND = {
    "diameter", "height", "wall", "base", "thickness", "material", "temperature", "lowest", "kind", "underside", "mat",
    "mat_thickness", "depth", "film", *_INERT_KEYS, *_ALTERNATIVE,
}  # fmt: skip
_OF_WAX = (
    "latent_heat", "heat_capacity_solid", "heat_capacity_liquid", "conductivity_solid", "conductivity_liquid",
    "density_solid", "density_liquid", "viscosity", "viscosity_at", "viscosity_slope", "molar_mass",
    "emissivity", "fragrance_load", "fragrance_molar_mass",
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


def specs_of(table: type[TomlTable]):
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
    return ({**draw(some_keys(VesselTable, us)), **draw(material_of(VesselTable, us)), **table}, sizes)


@st.composite
def waxes(draw, us):
    """A wax of the catalogue, or of any acids, with its load of fragrance, and where it freezes about [°C]."""
    kind = draw(st.sampled_from(wax_names()))
    wax = catalogue_wax(kind)
    table = {"kind": kind, "fragrance_load": f"{draw(st.floats(0.0, 15.0)):.6g} %"}
    if kind in FATS and draw(st.booleans()):
        table["acids"] = draw(fatty_acids())
        wax = replace(wax, **freezing_of(Composition(Acids().read(table["acids"]))))
    return table, (wax.freezing_ends, wax.freezing_starts)


@st.composite
def fatty_acids(draw):
    """Acids of a fat that is not liquid in every room."""
    hard = draw(st.floats(30.0, 100.0))
    groups = ((hard, ("16:0", "18:0", "18:1 trans")), (100.0 - hard, ("18:1", "18:2")))
    found = {}
    for whole, names in groups:
        parts = [draw(st.floats(0.01, 1.0)) for _ in names]
        found |= {name: f"{whole * part / sum(parts):.6g} %" for name, part in zip(names, parts, strict=True)}
    return found


@st.composite
def measured_waxes(draw, us):
    """A wax of which some properties are the workshop's own, with a freezing range or a measured freezing curve."""
    kind = draw(st.sampled_from([name for name in wax_names() if name not in NEVER_SETS]))
    table = {"kind": kind, **draw(some_keys(WaxTable, us, of=_OF_WAX))}
    # Most waxes would be impossible if the liquid alone might lose as much.
    total = draw(st.floats(5.0, 25.0))
    table |= {
        "total_shrinkage": f"{total:.6g} %",
        "expansion_liquid": write(draw(between(1e-4, 3e-4)), "expansion", us),
        "expansion_solid": write(draw(st.floats(0.0, 3e-4)), "expansion", us),
    }
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
def boxes(draw, us, jar):
    """A box round a jar of given sizes [m], its width and height stated in either way."""
    table = {**draw(some_keys(SurroundTable, us)), **draw(st.sampled_from([{}, {"material": "board"}]))}
    if draw(st.booleans()):
        table |= draw(material_of(SurroundTable, us))
    gap, headroom = draw(between(1e-3, _WIDEST_GAP)), draw(st.floats(0.0, 149.9e-3))
    if draw(st.booleans()):
        table |= {"gap": write(gap, "length", us), "headroom": write(headroom, "length", us)}
    else:
        # A ring as long as the four sides.
        table["box_width"] = write(0.5 * math.pi * (0.5 * jar["diameter"] + gap), "length", us)
        table["box_height"] = write(jar["height"] + headroom, "length", us)
    if draw(st.integers(0, 3)) == 0:
        table["temperature"] = write(draw(st.floats(-20.0, 89.9)), "temperature", us)
    specs = specs_of(SurroundTable)
    name = draw(st.sampled_from(["flute", "layer"]))
    table[name] = draw(value_of(specs[name], us))
    if table.get("flaps") == "open" or "cover_thickness" not in table:
        table = {name: value for name, value in table.items() if not name.startswith("cover_")}
    return table


@st.composite
def waters(draw, us, jar):
    """Water, still or stirred, up a jar of a given height [m], or up to the level of its wax."""
    table = {"kind": "water", "temperature": write(draw(st.floats(0.0, 89.9)), "temperature", us)}
    if draw(st.booleans()):
        table["depth"] = write(draw(st.floats(1.1e-3, 0.9999 * jar["height"])), "length", us)
    return {**table, **draw(some_keys(SurroundTable, us, of=("film",)))}


@st.composite
def places(draw, us, jar, surround):
    """Where jars of given sizes [m] stand in one box, stated in any of three ways."""
    diameter, flute = jar["diameter"], surround.get("flute")
    rows, columns = draw(st.integers(1, 4)), draw(st.integers(1, 5))
    # Side of a cell beyond which the mean gap is out of range, less the jar: room for a spacing, or for two halves.
    room = 0.5 * math.pi * (0.5 * diameter + _WIDEST_GAP) - diameter
    divider = parse_quantity(surround["layer"], "length") if flute is None else FLUTE_HEIGHTS[flute].nominal
    dividers = draw(st.booleans())
    spacing = draw(st.floats((1.0 + _INWARDS) * divider if dividers else 0.0, min(room, 149e-3)))
    to_wall = draw(st.floats(0.0, 0.5 * room))
    table = {"rows": rows, "columns": columns, "dividers": dividers}
    stated = draw(st.sampled_from(["distances", "size", "size and spacing"]))
    if stated == "distances":
        table["to_wall"] = write(to_wall, "length", us)
    else:
        for name, count in (("inner_length", columns), ("inner_width", rows)):
            table[name] = write(count * diameter + (count - 1) * spacing + 2.0 * to_wall, "length", us)
    if stated != "size":
        table["spacing"] = write(spacing, "length", us)
    every = [[row, column] for row in range(1, rows + 1) for column in range(1, columns + 1)]
    if draw(st.booleans()):
        table["empty"] = draw(st.permutations(every))[: draw(st.integers(0, len(every) - 1))]
    return table


@st.composite
def scenarios(draw, *, wax=waxes, box=None, many=False, changing=False):
    """Data of a scenario; most pass the check. Many jars in the box, or one; changes on the way always, or at times."""
    us = draw(st.booleans())
    vessel, jar = draw(vessels(us))
    material, (ends, starts) = draw(wax(us))
    pour = draw(st.floats(min(starts, 119.0), 120.0))
    room = draw(st.floats(-20.0, max(-19.0, min(60.0, ends - 3.0))))
    depth = max(5.1e-3, draw(st.floats(0.05, 0.9999)) * (jar["height"] - jar["base"]))
    volume = math.pi * (0.5 * jar["diameter"] - jar["wall"]) ** 2 * depth
    fill = draw(
        st.sampled_from(
            [
                {"level": write(depth, "length", us)},
                {"volume": write(volume, "volume", us)},
                # Less than any wax of the catalogue has; more would not always fit the jar.
                {"mass": write(750.0 * volume, "mass", us)},
            ]
        )
    )
    melt = draw(some_keys(MeltTable, us))
    hours = draw(st.integers(1, 8))
    air = draw(some_keys(RoomTable, us))
    data = {
        "title": "any",
        "units": "us" if us else "metric",
        "vessel": vessel,
        "wax": material,
        "pour": {"temperature": write(pour, "temperature", us), **fill},
        "support": draw(slabs(us) if many else supports(us)),
        "room": {**air, "temperature": write(room, "temperature", us)},
        "melt": melt,
        "mush": draw(some_keys(MushTable, us)),
        "answers": draw(some_keys(AnswersTable, us)),
        "films": draw(some_keys(FilmsTable, us)),
        "run": {
            "refinement": 0.5,
            "tolerance": draw(st.sampled_from(["0.2 K", "1 K", "0.1 K"])),
            "horizon": f"{hours} h",
        },
    }
    if box is not None:
        surround = draw(box(us, jar))
        if many:
            data["places"] = draw(places(us, jar, surround))
            surround = {name: value for name, value in surround.items() if name not in _SAID_BY_PLACES}
        data["surround"] = surround
    elif room >= 0.0 and draw(st.integers(0, 3)) == 0:
        data |= {"support": {"kind": "rack"}, "surround": draw(waters(us, jar))}
    if changing or draw(st.integers(0, 3)) == 0:
        flaps = data["surround"].get("flaps", "closed") if box is not None else None
        data["day"] = {
            **draw(some_keys(DayTable, us)),
            "changes": draw(changes(minutes=60 * hours - 1, flaps=flaps, still=not air.get("air_speed"))),
        }
    if draw(st.integers(0, 1 if changing else 3)) == 0:
        data["pour"]["clock"] = draw(clock_times())
        data["room"] = {**air, **draw(courses(us, room))}
    return data


@st.composite
def clock_times(draw):
    """A time of the day."""
    return ClockTime().show(60.0 * draw(st.integers(0, 24 * 60 - 1)))


@st.composite
def courses(draw, us, warmest):
    """A room that changes by the clock, never warmer than it may be [°C]: a cold night, or rows."""
    below = st.floats(-20.0, max(-19.9, warmest - 0.1))
    if draw(st.booleans()):
        return {
            "temperature": write(max(-19.0, warmest), "temperature", us),
            "lowest": write(draw(below), "temperature", us),
            "coldest": draw(clock_times()),
        }
    times = draw(st.lists(clock_times(), min_size=2, max_size=8, unique=True))
    return {"course": [[time, write(draw(below), "temperature", us)] for time in times]}


@st.composite
def slabs(draw, us):
    """A slab, at the temperature of the room, warmed, cooled, or held from below."""
    table = {
        **draw(some_keys(SupportTable, us)),
        **draw(material_of(SupportTable, us)),
        "thickness": write(draw(between(0.31e-3, 199e-3)), "length", us),
        "underside": draw(st.sampled_from(["air", "insulated"])),
    }
    if draw(st.integers(0, 3)) == 0:
        table["temperature"] = write(draw(st.floats(-20.0, 100.0)), "temperature", us)
        table["underside"] = draw(st.sampled_from(["air", "held"]))
    return table


@st.composite
def supports(draw, us):
    """What one jar stands on: a rack, or a slab with or without a mat."""
    if draw(st.integers(0, 5)) == 0:
        return {**draw(some_keys(SupportTable, us)), "kind": "rack"}
    table = draw(slabs(us))
    if draw(st.integers(0, 3)) == 0:
        table["mat"] = draw(st.sampled_from(inert_names()))
        table["mat_thickness"] = write(draw(between(0.31e-3, 49e-3)), "length", us)
    return table


@st.composite
def changes(draw, *, minutes, flaps, still):
    """A few things that happen to the jar one after the other, each of which can happen then.

    `flaps` says how those of its box are at first, None without a box; it may be put into the box on the way.
    """
    boxed, lidded = flaps is not None and draw(st.booleans()), False
    times = sorted(draw(st.lists(st.integers(1, minutes), min_size=1, max_size=6, unique=True)))
    rows = []
    for minute in times:
        able = ["lid off" if lidded else "lid on", DRAUGHT, *([] if still else ["still air"])]
        if flaps is not None:
            able.append("out of the box" if boxed else "into the box")
        if boxed:
            able.append("flaps closed" if flaps == "open" else "flaps open")
        what = draw(st.sampled_from(able))
        rows.append([f"{minute} min", what, *([f"{draw(between(0.01, 5.0)):.6g} m/s"] if what == DRAUGHT else [])])
        lidded = {"lid on": True, "lid off": False}.get(what, lidded)
        still = {DRAUGHT: False, "still air": True}.get(what, still)
        boxed = {"into the box": True, "out of the box": False}.get(what, boxed)
        flaps = {"flaps open": "open", "flaps closed": "closed"}.get(what, flaps)
    return rows
