"""When places have set, on prescribed enthalpies and on tops that close from an odd side."""

from dataclasses import replace

import numpy as np
import pytest

from coolsim.model.freezing import enthalpy_at_fraction
from coolsim.model.problem import Accuracy, Boundary, Melt, Thresholds
from coolsim.model.section import Span
from coolsim.scenario import built_in_pair, with_overrides
from coolsim.solve.events import surface_set, wax_body
from coolsim.solve.integrate import integrate
from coolsim.solve.network import build
from coolsim.solve.simulate import simulate
from coolsim.studies.verify.problems import FIXED, Layer, cylinder, reference_wax, sets_at

WAX = reference_wax((45.0, 50.0))
PAST_ITS_TURN = range(56, 63)  # Pours [°C] of the bare tumbler, through both turns.


def test_a_place_has_set_when_the_wax_that_a_fingertip_feels_bears_it():
    # Cells of 2 mm, their middles 1, 3 and 5 mm deep; a fingertip that feels 4 mm deep feels half-way to the third.
    problem = cylinder(
        [Layer(part="wax", material=WAX, length=0.01, cells=1, start=60.0)],
        boundaries=[],
        axial=(Span(name="height", length=0.006, cells=3),),
        horizon=1.0,
    )
    problem = replace(problem, answers=Thresholds(touch_depth=4e-3), melt=Melt(mixing="none", softness=sets_at(0.35)))
    network = build(problem)
    wax = wax_body(network)
    level = enthalpy_at_fraction(wax.table, 0.35)
    # From the bottom up: the lowest cell falls from 3 above to 1 below, the others have set.
    enthalpy = level + 1e6 * np.array([[3.0, -1.0, -5.0], [-1.0, -1.0, -5.0]])
    history = replace(integrate(network), time=np.array([0.0, 100.0]), enthalpy=enthalpy)
    # Half-way between: 1 above to 1 below.
    assert surface_set(network, history, wax) == pytest.approx([50.0])
    thin = build(replace(problem, answers=Thresholds(touch_depth=0.5e-3)))
    # Less than half a cell: that of the uppermost one, set from the first moment on.
    assert surface_set(thin, history, wax) == pytest.approx([0.0])


def test_a_top_that_closes_from_the_middle_has_its_first_place_set_there():
    problem = cylinder(
        [Layer(part="wax", material=WAX, length=0.03, cells=6, start=60.0)],
        boundaries=[
            Boundary(name="side", part="wax", facing="outwards", film=FIXED, air=90.0),
            Boundary(name="top", part="wax", facing="up", film=40.0, path="top"),
        ],
        axial=(Span(name="height", length=0.01, cells=5),),
        horizon=3600.0,
        accuracy=Accuracy(tolerance=1.0),
    )
    result = simulate(replace(problem, melt=Melt(mixing="none")))
    touched = result.surface_set
    # The glass is held above the start of freezing: there it never sets.
    assert np.isnan(touched[-1])
    assert result.events.rim_set == np.nanmin(touched) == touched[0]
    assert result.events.top_closed is None


def test_wax_is_set_before_it_is_solid_throughout():
    problem = cylinder(
        [Layer(part="wax", material=WAX, length=0.02, cells=4, start=60.0)],
        boundaries=[Boundary(name="side", part="wax", facing="outwards", film=20.0)],
        horizon=4 * 3600.0,
        accuracy=Accuracy(tolerance=1.0),
    )
    result = simulate(replace(problem, melt=Melt(mixing="none", softness=sets_at(0.5))))
    liquid = np.array(
        [result.liquid_map(time).max() for time in (result.events.fully_set, result.events.solid_throughout)]
    )
    # Straight in enthalpy between steps, as the share is.
    assert liquid == pytest.approx([0.5, 0.0], abs=0.02)
    assert result.events.fully_set == np.nanmax(result.set_time())


def test_how_far_a_skin_and_the_rim_are_from_melting_again_tells_whether_they_do_and_goes_on_smoothly_beyond():
    quick = with_overrides(built_in_pair()[0], {"run.refinement": 0.5, "run.tolerance": "0.2 K"})
    poured = [simulate(with_overrides(quick, {"pour.temperature": f"{pour} °C"}).jar).events for pour in PAST_ITS_TURN]
    skins = [one.first_skin for one in poured]
    assert [skin.melted_again is not None for skin in skins] == [skin.warmest > 0.0 for skin in skins]
    assert [one.rim_set > 0.0 for one in poured] == [skin.rim_warmest > 0.0 for skin in skins]
    for far in ([skin.warmest for skin in skins], [skin.rim_warmest for skin in skins]):
        steps = np.diff(far)
        assert far[0] < 0.0 < far[-1]
        # Measured: from 0.6 to 1.5 K for each kelvin of the pour; the time of the rim jumps by minutes.
        assert (steps > 0.3).all()
        assert (steps < 2.5).all()
