"""Whatever passes the check runs to its end: finite temperatures between the coldest and the hottest there was at the
start, and a closed ledger of heat and of mass. Wild jars on purpose, on a coarse grid."""

import numpy as np
from hypothesis import HealthCheck, assume, example, given, settings
from hypothesis import strategies as st

from coolsim.errors import ScenarioError
from coolsim.model.catalogue import FLUTE_HEIGHTS
from coolsim.model.materials import inert_names, wax_names
from coolsim.scenario import scenario_from_data
from coolsim.solve.simulate import simulate

# A step of alternating directions may overshoot by a share of the tolerance allowed for its error; nothing near the
# kelvin that an unstable step would be off by.
OVERSHOOT = 0.5

boxes = st.fixed_dictionaries(
    {
        "gap": st.floats(1.0, 60.0).map(lambda gap: f"{gap} mm"),
        "headroom": st.floats(0.0, 120.0).map(lambda room: f"{room} mm"),
        "flute": st.sampled_from(tuple(FLUTE_HEIGHTS)),
        "flaps": st.sampled_from(["open", "closed"]),
        "side_layers": st.integers(1, 4),
        "under_layers": st.integers(0, 3),
        "exposed_sides": st.integers(1, 4),
    }
)


@settings(max_examples=60, deadline=None, suppress_health_check=[HealthCheck.too_slow, HealthCheck.filter_too_much])
@given(
    diameter=st.floats(25.0, 250.0),
    height=st.floats(25.0, 300.0),
    wall=st.floats(0.15, 8.0),
    base=st.floats(0.15, 15.0),
    material=st.sampled_from(inert_names()),
    level=st.floats(0.1, 1.0),
    wax=st.sampled_from(wax_names()),
    load=st.integers(0, 12),
    pour=st.floats(45.0, 100.0),
    glass=st.one_of(st.none(), st.floats(0.0, 70.0)),
    support=st.sampled_from(inert_names()),
    thickness=st.floats(1.0, 60.0),
    underside=st.sampled_from(["air", "insulated"]),
    box=st.one_of(st.none(), boxes),
    room=st.floats(-10.0, 28.0),
    draught=st.one_of(st.just(0.0), st.floats(0.05, 3.0)),
    melt=st.fixed_dictionaries(
        {
            "mixing": st.sampled_from(["stratified", "effective", "none"]),
            "flows_above": st.floats(50.0, 99.0).map(lambda share: f"{share} %"),
        }
    ),
)
# Light air was driven away by what it was owed from a longer step, to thousands of degrees.
@example(
    diameter=212.5,
    height=217.94,
    wall=5.0,
    base=2.55,
    material="glass",
    level=0.99999,
    wax="soft-vegetable",
    load=0,
    pour=45.0,
    glass=None,
    support="glass",
    thickness=1.0,
    underside="air",
    box={
        "gap": "1.0 mm",
        "headroom": "0.0 mm",
        "flute": "E",
        "flaps": "open",
        "side_layers": 1,
        "under_layers": 0,
        "exposed_sides": 1,
    },
    room=0.0,
    draught=0.0,
    melt={"mixing": "effective", "flows_above": "50.0 %"},
)
def test_whatever_passes_the_check_runs_to_its_end(
    diameter, height, wall, base, material, level, wax, load, pour, glass, support, thickness, underside, box, room,
    draught, melt,
):  # fmt: skip
    inside = height - base
    assume(inside > 10.0 and diameter - 2 * wall > 10.0)
    vessel = {
        "diameter": f"{diameter} mm",
        "height": f"{height} mm",
        "wall": f"{wall} mm",
        "base": f"{base} mm",
        "material": material,
    }
    if glass is not None:
        vessel["temperature"] = f"{glass} °C"
    data = {
        "title": "any",
        "vessel": vessel,
        "wax": {"kind": wax, "fragrance_load": f"{load} %"},
        "pour": {"temperature": f"{pour} °C", "level": f"{max(5.0, level * inside)} mm"},
        "support": {"material": support, "thickness": f"{thickness} mm", "underside": underside},
        "room": {"temperature": f"{room} °C", "air_speed": f"{draught} m/s"},
        "melt": melt,
        "run": {"refinement": 0.5, "horizon": "12 h"},
    }
    if box is not None:
        data["surround"] = box
    try:
        scenario = scenario_from_data(data, where="any")
    except ScenarioError:
        assume(False)
    jar = scenario.jar
    result = simulate(jar)
    everywhere = result.temperatures(np.arange(len(result.block)))
    glass_start = jar.room.at(0.0) if jar.vessel.start is None else jar.vessel.start
    bounds = sorted([jar.pour, glass_start, jar.room.at(0.0)])
    assert np.isfinite(everywhere).all()
    assert everywhere.min() >= bounds[0] - OVERSHOOT, f"{bounds[0] - everywhere.min():.2f} K too cold"
    assert everywhere.max() <= bounds[-1] + OVERSHOOT, f"{everywhere.max() - bounds[-1]:.2f} K too hot"
    nodes = result.history.nodes
    assert nodes.size == 0 or (nodes.min() >= bounds[0] - OVERSHOOT and nodes.max() <= bounds[-1] + OVERSHOOT)
    assert result.ledger.closed, result.warnings
    shrinkage = result.shrinkage
    assert shrinkage.ledger.open_share < 1e-12
    assert result.ended in ("cool", "horizon")
