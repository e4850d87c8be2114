"""Whatever the data, the answer is a scenario or a ScenarioError."""

import copy
import json
import math
import tomllib
from pathlib import Path

from hypothesis import given
from hypothesis import strategies as st

from coolsim.errors import ScenarioError
from coolsim.model.jar import Jar
from coolsim.scenario import load_scenario, scenario_from_data, scenario_keys

SCENARIOS = sorted((Path(__file__).parents[2] / "scenarios").glob("*.toml"))
DATA = [tomllib.loads(file.read_text(encoding="utf-8")) for file in SCENARIOS]
NAMES = [key.name for key in scenario_keys()]

UNITS = ["mm", "m", "in", "°C", "°F", "K", "g", "oz", "mL", "L", "%", "h", "min", "W/mK", "W/m2K", "kJ/kg", ""]
quantities = st.builds(
    lambda number, unit: f"{number} {unit}",
    st.one_of(st.floats(), st.integers(-10, 200), st.just("1 1/2"), st.just("1/0")),
    st.sampled_from(UNITS),
)
values = st.recursive(
    st.one_of(
        quantities,
        st.text(max_size=20),
        st.integers(),
        st.floats(),
        st.booleans(),
        st.none(),
        st.dates(),
        st.sampled_from(["glass", "board", "paraffin", "beeswax", "open", "none", "us", "B", "insulated"]),
    ),
    lambda inner: st.one_of(st.lists(inner, max_size=4), st.dictionaries(st.text(max_size=8), inner, max_size=3)),
    max_leaves=6,
)
places = st.one_of(
    st.sampled_from(NAMES),
    st.sampled_from(sorted({name.split(".")[0] for name in NAMES})),
    st.text(max_size=12),
    st.builds(lambda table, name: f"{table}.{name}", st.sampled_from(["vessel", "wax", "run"]), st.text(max_size=9)),
)


@given(
    start=st.sampled_from(DATA),
    changes=st.lists(st.tuples(places, st.one_of(values, st.just(...))), min_size=1, max_size=6),
)
def test_mutated_data_give_a_scenario_or_a_scenario_error(start, changes):
    data = copy.deepcopy(start)
    for place, value in changes:
        table, _, name = place.rpartition(".")
        target = data.setdefault(table, {}) if table else data
        if isinstance(target, dict):
            if value is ...:
                target.pop(name, None)
            else:
                target[name] = value
    check_outcome(lambda: scenario_from_data(data, where="jar.toml"), "jar.toml")


# Values within their own limits: most such scenarios are refused or accepted by the checks between the keys.
@given(
    start=st.sampled_from(DATA),
    diameter=st.integers(20, 300),
    height=st.integers(20, 400),
    wall=st.floats(0.1, 15.0),
    base=st.floats(0.1, 30.0),
    fill=st.tuples(st.sampled_from(["level", "volume", "mass"]), st.integers(1, 400)),
    pour=st.floats(0.0, 120.0),
    room=st.floats(-20.0, 60.0),
    load=st.floats(0.0, 15.0),
)
def test_plausible_data_give_a_possible_jar_or_a_scenario_error(
    start, diameter, height, wall, base, fill, pour, room, load
):
    data = copy.deepcopy(start)
    data["vessel"] |= {
        "diameter": f"{diameter} mm",
        "height": f"{height} mm",
        "wall": f"{wall:.3f} mm",
        "base": f"{base:.3f} mm",
    }
    unit = {"level": "mm", "volume": "mL", "mass": "g"}[fill[0]]
    data["pour"] = {"temperature": f"{pour:.3f} °C", fill[0]: f"{fill[1]} {unit}"}
    data["room"] = {"temperature": f"{room:.3f} °C"}
    data["wax"]["fragrance_load"] = f"{load:.3f} %"
    data.pop("report", None)
    check_outcome(lambda: scenario_from_data(data, where="jar.toml"), "jar.toml")


def check_outcome(make, where):
    """Call and accept a possible scenario, or a ScenarioError with one line for each fault; all else passes through."""
    faults = ()
    try:
        scenario = make()
    except ScenarioError as error:
        faults = error.faults
    else:
        check_possible(scenario)
    assert all(fault.startswith(f"{where}: ") and len(fault.splitlines()) == 1 for fault in faults)


def check_possible(scenario):
    jar = scenario.jar
    assert isinstance(jar, Jar)
    assert jar.vessel.inner_radius > 0
    assert jar.depth > 0
    # 1e-8 m: a fill to the rim may be over it by the rounding of volumes.
    assert jar.headspace > -1e-8
    # Cloudy at most by the tenth that still pours.
    assert jar.wax.liquid_at(jar.pour) >= 0.9 - 1e-9
    assert jar.room.at(0.0) < jar.wax.freezing_starts
    assert jar.surround is None or (jar.surround.gap > 0 and jar.surround.headroom >= 0)
    assert all(math.isfinite(time) and 0 < time <= jar.horizon for time in scenario.map_times)
    json.dumps(scenario.data)


@given(content=st.one_of(st.binary(max_size=200), st.text(max_size=200).map(str.encode)))
def test_any_file_gives_a_scenario_or_a_scenario_error(tmp_path_factory, content):
    path = tmp_path_factory.mktemp("any") / "jar.toml"
    path.write_bytes(content)
    check_outcome(lambda: load_scenario(path), path)


@given(file=st.sampled_from(SCENARIOS), cut=st.integers(0, 3000), piece=st.text(max_size=6), length=st.integers(0, 12))
def test_a_damaged_file_gives_a_scenario_or_a_scenario_error(tmp_path_factory, file, cut, piece, length):
    text = file.read_text(encoding="utf-8")
    path = tmp_path_factory.mktemp("damaged") / "jar.toml"
    path.write_bytes((text[:cut] + piece + text[cut + length :]).encode())
    check_outcome(lambda: load_scenario(path), path)
