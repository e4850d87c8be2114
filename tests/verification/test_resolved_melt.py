"""The stirring of the melt against resolved flow computations of a jar, and what other models make of it."""

import numpy as np
import pytest
from held import held

from coolsim.studies.verify.freezing_problems import AIR
from coolsim.studies.verify.melt import (
    COMPUTED,
    EVENTS,
    FLOW_WAX,
    STILL_MELT,
    STRATIFIED_MELT,
    mean_surface_temperature,
    resolved_jar,
    times_of,
)


@pytest.mark.parametrize("case", [STRATIFIED_MELT, STILL_MELT], ids=lambda case: case.id)
def test_melt_meets_every_event_of_the_flow_computation(case):
    held(case)


def deviations(column, *, against):
    """Relative deviation of each event of a run from a column of the flow computation."""
    found = np.array(list(times_of(column).values()))
    return dict(zip(EVENTS, found / np.array(COMPUTED[against]) - 1.0, strict=True))


# An effective conductivity of ten times that of the liquid, by another code of 2 mm cells, against the same column
# (computed independently): the best fit there is, and its deviations in per cent.
EFFECTIVE = {
    "centre 45 °C": 0.3,
    "top 45 °C": -24.0,
    "top 40 °C": -38.0,
    "a quarter solid": -3.6,
    "half solid": -1.2,
    "three quarters solid": 0.1,
    "90 % solid": 0.9,
    "99 % solid": 1.1,
    "all below 35 °C": 1.1,
}


def test_effective_conductivity_misses_the_flow_computation_as_an_independent_code_does():
    found = deviations("effective", against="C 1e6")
    for event, stated in EFFECTIVE.items():
        # 2.5 points: at which liquid share the other code let the wax come to rest is not on record; between 70 and
        # 90 % these figures move by 6. The top at 40 °C moves by 15, and is trusted to 6 % to begin with.
        spread = 9.0 if event == "top 40 °C" else 2.5
        assert 100 * found[event] == pytest.approx(stated, abs=spread), event


@pytest.mark.parametrize("column", ["C 1e5", "C 1e6"])
def test_pure_conduction_misses_a_stirred_melt_by_far(column):
    # So the model of the melt is needed, and the test above it can fail.
    missed = deviations("no gravity", against=column)
    assert missed["centre 45 °C"] > 2.0
    assert missed["top 45 °C"] < -0.45
    assert missed["top 40 °C"] < -0.45
    assert missed["all below 35 °C"] > 0.05


@pytest.mark.parametrize("column", ["no gravity", "C 1e6", "C 1e5"])
def test_last_liquid_lies_on_the_axis_and_the_melt_lifts_it(column):
    radius, found = resolved_jar(column).events.last_liquid
    assert radius < 1e-3
    if column != "no gravity":
        assert found > resolved_jar("no gravity").events.last_liquid[1] + 2e-3


def at_ten_minutes(column):
    """Temperatures after 600 s, by place [°C]; base and side as means over their faces."""
    result = resolved_jar(column)
    wax, now, liquid = result.wax, result.temperature_map(600.0), result.liquid_map(600.0)
    conductivity = FLOW_WAX.conductivity_solid + liquid * (FLOW_WAX.conductivity_liquid - FLOW_WAX.conductivity_solid)

    def face(cells, half, film):
        towards = conductivity[cells] / half
        return (towards * now[cells] + film * AIR) / (towards + film)

    base = face((0, slice(None)), wax.z[0], 8.0)
    return {
        "axis, 5 mm up": np.interp(0.005, wax.z, now[:, 0]),
        "axis, mid-height": np.interp(0.5 * wax.z_edges[-1], wax.z, now[:, 0]),
        "base": np.average(base, weights=wax.volume[0]),
        "top": np.interp(600.0, result.time, mean_surface_temperature(result)),
        "side": face((slice(None), -1), wax.r_edges[-1] - wax.r[-1], 10.0).mean(),
    }


# After ten minutes, C 1e5, all still liquid.
TEN_MINUTES = {"axis, 5 mm up": 48.7, "axis, mid-height": 56.9, "base": 44.4, "top": 56.7, "side": 52.3}


def test_stratified_melt_lies_in_layers_like_the_flow():
    # 2 K of the 9 K that the melt has lost by then: at the axis the reduced model is 1.1 K too warm, at the top 1.8 K
    # and at the side 1.1 K too cold. It has neither thermals nor a film along the wall.
    assert at_ten_minutes("C 1e5") == pytest.approx(TEN_MINUTES, abs=2.0)


def test_pure_conduction_lies_in_no_layers():
    found = at_ten_minutes("no gravity")
    # The axis has hardly cooled, and the surface is a crust.
    assert found["axis, mid-height"] > TEN_MINUTES["axis, mid-height"] + 5.0
    assert found["top"] < TEN_MINUTES["top"] - 5.0
