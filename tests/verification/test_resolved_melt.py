"""The stirring of the melt against resolved flow computations of a jar.

Source of all figures: computed independently for this project: finite-volume Boussinesq flow with an
enthalpy-porosity mush on open CFD libraries, 34 x 70 cells, checked on a coarser and a finer mesh; without gravity it
agrees with a conduction code. The stiffness C of the mush (Carman-Kozeny constant, kg/m3/s) is not known for wax, so
there is one column for a slushy mush, C 1e5, and one for a stiffer, C 1e6, and "small" for a smaller jar at C 1e6.

Case: rigid cylinder of radius 34 mm and height 70 mm (small: 25 and 50 mm); rho 880, c 2100, k 0.165 liquid and 0.22
solid, latent heat 130 kJ/kg given off evenly from 45 to 35 °C, expansion 7.3e-4 1/K, 20 mPa s at 60 °C; from 65 °C,
films of 10, 9 and 8 W/m2/K at side, top and base to 21 °C.
"""

import functools

import numpy as np
import pytest

from coolsim.model.freezing import CellTables
from coolsim.model.problem import Accuracy, Boundary, Melt, Problem
from coolsim.solve.simulate import simulate
from coolsim.studies.verify.freezing_problems import (
    AIR,
    CONDUCTION,
    falls_below,
    frozen_share_reaches,
    made_up_wax,
    one_block,
)

WAX = made_up_wax(
    freezing=(35.0, 45.0), conductivity_solid=0.22, conductivity_liquid=0.165, density=880.0, latent_heat=130e3
)
TOP_FILM = 9.0

EVENTS = (
    "centre 45 °C",
    "mean 45 °C",
    "top 45 °C",
    "top 40 °C",
    "a quarter solid",
    "half solid",
    "three quarters solid",
    "90 % solid",
    "99 % solid",
    "all below 35 °C",
)
COMPUTED = {
    "no gravity": (6251, 2734, 829, 2307, 3901, 6616, 10116, 13226, 16789, 18273),
    "C 1e5": (1859, 1764, 1676, 5909, 3406, 5655, 8589, 11239, 14527, 16011),
    "C 1e6": (1893, 1764, 1704, 4889, 3448, 5851, 9020, 11888, 15329, 16813),
    "small": (1362, 1260, 1222, 3661, 2486, 4172, 6301, 8100, 10133, 10982),
}
# The stiffer the mush, the sooner it stops to flow.
FLOWS_ABOVE = {"C 1e5": 0.5, "C 1e6": 0.7, "small": 0.7}


@functools.cache
def run(column):
    radius, height = (0.025, 0.050) if column == "small" else (0.034, 0.070)
    melt = CONDUCTION
    if column in FLOWS_ABOVE:
        melt = Melt(relaxation=90.0, flows_above=FLOWS_ABOVE[column])
    if column == "effective":
        melt = Melt(mixing="effective", conductivity_factor=10.0, flows_above=FLOWS_ABOVE["C 1e6"])
    result = simulate(
        Problem(
            # The mesh of the flow computation, where the surface is half a millimetre from the uppermost cells.
            section=one_block(WAX, radius=radius, height=height, radial_cells=34, axial_cells=70, start=65.0),
            boundaries=(
                Boundary(name="side", part="wax", facing="outwards", film=10.0, path="side"),
                Boundary(name="top", part="wax", facing="up", film=TOP_FILM, path="top"),
                Boundary(name="base", part="wax", facing="down", film=8.0, path="base"),
            ),
            room=AIR,
            melt=melt,
            accuracy=Accuracy(tolerance=0.25),
            horizon=30000.0,
            stop_when_cool=False,
        )
    )
    assert result.ledger.closed
    return result


def mean_surface_temperature(result):
    """Area mean of the temperature of the surface, from the uppermost cells and the film [°C]."""
    uppermost = result.wax.cells[-1]
    tables = CellTables(result.tables, result.block[uppermost])
    enthalpy = result.history.enthalpy[:, uppermost]
    piece = tables.piece(enthalpy)
    towards = tables.conductivity(piece) / (result.wax.z_edges[-1] - result.wax.z[-1])
    surface = (towards * tables.temperature(enthalpy, piece) + TOP_FILM * AIR) / (towards + TOP_FILM)
    return surface @ result.wax.volume[-1] / result.wax.volume[-1].sum()


def deviations(column, *, against):
    """Relative deviation of each event of a run from a column of the flow computation."""
    result = run(column)
    time, middle = result.time, 0.5 * result.wax.z_edges[-1]
    top = mean_surface_temperature(result)
    found = (
        falls_below(time, result.temperature_at(0.0, middle), 45.0),
        falls_below(time, result.mean_wax_temperature(), 45.0),
        falls_below(time, top, 45.0),
        falls_below(time, top, 40.0),
        *(frozen_share_reaches(result, share) for share in (0.25, 0.5, 0.75, 0.9, 0.99)),
        falls_below(time, result.hottest_wax(), 35.0),
    )
    return dict(zip(EVENTS, np.array(found) / np.array(COMPUTED[against]) - 1.0, strict=True))


@pytest.mark.parametrize("column", FLOWS_ABOVE)
def test_stratified_melt_meets_every_event_of_the_flow_computation_within_five_per_cent(column):
    # The aim set for the reduced model. The flow computation itself is trusted to 0.2 % in the bulk, 1 % at the centre
    # and 2 to 6 % at the top.
    for event, deviation in deviations(column, against=column).items():
        assert abs(deviation) < 0.05, f"{event}: {100 * deviation:+.1f} %"


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


def test_pure_conduction_meets_the_flow_computation_without_gravity_within_three_per_cent():
    for event, deviation in deviations("no gravity", against="no gravity").items():
        assert abs(deviation) < 0.03, f"{event}: {100 * deviation:+.1f} %"


@pytest.mark.parametrize("column", ["C 1e5", "C 1e6"])
def test_pure_conduction_misses_a_stirred_melt_by_far(column):
    # So the model of the melt is needed, and the test above it can fail.
    missed = deviations("no gravity", against=column)
    assert missed["centre 45 °C"] > 2.0
    assert missed["top 45 °C"] < -0.45
    assert missed["top 40 °C"] < -0.45
    assert missed["all below 35 °C"] > 0.05


@pytest.mark.parametrize(
    ("column", "shares"), [("no gravity", (71, 15, 14)), ("C 1e5", (71, 18, 11)), ("C 1e6", (71, 18, 11))]
)
def test_heat_leaves_by_the_same_paths_as_in_the_flow_computation(column, shares):
    found = dict(run(column).ledger.by_path)
    # The figures are rounded to 1 %. The melt puts the hottest wax at the top a little less sharply than the flow does:
    # 1.5 % of the heat besides the half for rounding. Conduction alone is 3 % off at top and base.
    for path, share in zip(("side", "top", "base"), shares, strict=True):
        assert 100 * found[path] == pytest.approx(share, abs=0.6 if column == "no gravity" else 2.0)


@pytest.mark.parametrize(
    ("column", "height", "tolerance"), [("no gravity", 34.0, 1.5), ("C 1e6", 43.0, 5.0), ("C 1e5", 49.0, 10.0)]
)
def test_last_liquid_lies_on_the_axis_and_the_melt_lifts_it(column, height, tolerance):
    radius, found = run(column).events.last_liquid
    assert radius < 1e-3
    # One cell either way without gravity. The reduced model lifts the last liquid by half as much as the flow
    # does: it is a place where the temperature is nearly flat, so it is the figure that is met worst, 9.5 mm low where
    # the mush is a slurry.
    assert 1e3 * found == pytest.approx(height, abs=tolerance)
    if column != "no gravity":
        assert found > run("no gravity").events.last_liquid[1] + 2e-3


def at_ten_minutes(column):
    """Temperatures after 600 s, by place [°C]; base and side as means over their faces."""
    result = run(column)
    wax, now, liquid = result.wax, result.temperature_map(600.0), result.liquid_map(600.0)
    conductivity = WAX.conductivity_solid + liquid * (WAX.conductivity_liquid - WAX.conductivity_solid)

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
