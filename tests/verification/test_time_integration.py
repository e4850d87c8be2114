"""A second time integrator on the same cells and laws: the product's way through time must not show in any event."""

import dataclasses

import pytest
from made_up_jars import event_times, tin, tumbler
from second_opinion import integrate_implicitly

from coolsim.model.layout import problem_of
from coolsim.model.problem import Accuracy, Melt
from coolsim.solve.events import close_ledger, find_events, surface_set, wax_body
from coolsim.solve.network import build
from coolsim.solve.simulate import simulate
from coolsim.studies.verify.freezing_problems import CONDUCTION


def run_both_ways(jar, *, tolerance):
    """Event times by the product and by backward differences of second order, on a coarse grid of the same cells."""
    # Short steps at the end too, where the wax nears the room and a straight line between steps is not its curve.
    accuracy = Accuracy(refinement=0.7, tolerance=tolerance, longest_step=200.0)
    problem = dataclasses.replace(problem_of(jar), accuracy=accuracy)
    result = simulate(problem)
    assert result.ledger.closed
    network = build(problem)
    history = integrate_implicitly(network, tolerance=0.01, longest_step=40.0)
    assert close_ledger(network, history).closed
    wax = wax_body(network)
    found = find_events(network, history, wax, surface_set(network, history, wax))
    return event_times(result.events), event_times(found)


@pytest.mark.parametrize("melt", [CONDUCTION, Melt()], ids=["conduction", "stratified"])
def test_implicit_backward_differences_agree_on_every_event_of_a_glass_jar(melt):
    product, second = run_both_ways(tumbler(boxed=False, melt=melt), tolerance=0.02)
    # 0.1 %: both integrators are of second order, and half the steps change either by less than 0.04 %.
    assert product == pytest.approx(second, rel=1e-3)


def test_implicit_backward_differences_agree_on_every_event_of_a_metal_tin():
    product, second = run_both_ways(tin(), tolerance=0.02)
    # As above. Thin metal carries heat fast along its wall: alternating directions were wrong by per cents here.
    assert product == pytest.approx(second, rel=1e-3)
