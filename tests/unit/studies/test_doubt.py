"""How far the times of a plan may be off is what `coolsim spread` says, to the last digit."""

from concurrent.futures import ThreadPoolExecutor

import pytest

from coolsim.scenario import with_overrides
from coolsim.studies.spread.inputs import usual_inputs
from coolsim.studies.spread.spread import RUNS, spread
from coolsim.studies.workshop import doubt as module
from coolsim.studies.workshop.doubt import doubt_of
from tests.support.pair import closed_pair

# Too short for the jar to set: the top closes in most cases only.
SHORT = with_overrides(closed_pair()[0], {"run.refinement": 0.5, "run.tolerance": "1 K", "run.horizon": "60 min"})
FEW = 16


def bands(found):
    return {one.name: (one.nominal, one.low, one.median, one.high, one.occurs) for one in found.answers}


def test_it_is_the_spread_with_its_usual_number_of_cases_seed_and_cut(monkeypatch):
    assert spread.__kwdefaults__["runs"] == RUNS
    # Fewer than usual, for both alike.
    monkeypatch.setitem(spread.__kwdefaults__, "runs", FEW)
    seen = []
    with ThreadPoolExecutor(1) as executor:
        found = doubt_of(SHORT, executor=executor, on_run=lambda done, total: seen.append((done, total)))
        same = spread(SHORT, executor=executor)
    assert bands(found) == bands(same)
    assert (found.seed, len(found.rows)) == (same.seed, FEW)
    assert seen[-1] == (FEW + 1, FEW + 1)
    # Otherwise the same figures would say little.
    assert 0.0 < found.answer("top_closed_s").occurs < 1.0


def test_where_nothing_is_left_to_vary_no_run_is_made(monkeypatch):
    monkeypatch.setattr(module, "usual_inputs", lambda scenario: ((), usual_inputs(scenario)[0]))
    monkeypatch.setattr(module, "spread", lambda *_, **__: pytest.fail("a spread was made"))
    assert doubt_of(SHORT) is None
