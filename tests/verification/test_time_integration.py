"""A second time integrator on the same cells and laws: alternating directions must not show in any event time."""

import dataclasses

import pytest

from coolsim.model.layout import problem_of
from coolsim.model.problem import Accuracy, Melt
from coolsim.solve.events import close_ledger, find_events, wax_body
from coolsim.solve.network import build
from coolsim.solve.simulate import simulate
from tests.support.freezing_cases import CONDUCTION, event_times, tumbler
from tests.support.second_opinion import integrate_implicitly


@pytest.mark.parametrize("melt", [CONDUCTION, Melt()], ids=["conduction", "stratified"])
def test_implicit_backward_differences_agree_on_every_event_of_a_glass_jar(melt):
    problem = dataclasses.replace(problem_of(tumbler(boxed=False, melt=melt)), accuracy=Accuracy(tolerance=0.02))
    result = simulate(problem)
    assert result.ledger.closed
    network = build(problem)
    history = integrate_implicitly(network, tolerance=0.01, longest_step=40.0)
    assert close_ledger(network, history).closed
    second = event_times(find_events(network, history, wax_body(network)))
    # 0.1 %: both integrators are of second order, and half the steps change either by less than 0.04 %.
    assert event_times(result.events) == pytest.approx(second, rel=1e-3)
