"""The contraction of several runs, followed together."""

from dataclasses import fields, is_dataclass, replace

import numpy as np
import pytest

from coolsim.scenario import built_in_pair, with_overrides
from coolsim.solve import shrinkage
from coolsim.solve.result import shrink_results, shrunk_together
from coolsim.solve.simulate import simulate

QUICK = {"run.refinement": 0.5, "run.tolerance": "1 K"}
BARE, BOXED = (with_overrides(one, QUICK) for one in built_in_pair())
# What shares a step with others has the same numbers, but for the order of sums: round-off of some hundred steps, and
# of volumes that are differences.
SAME = {"rtol": 1e-9, "atol": 1e-14}


@pytest.fixture(scope="module")
def runs():
    """Jars of two rooms and pours; one of another size, cut alike; one cut otherwise; and wax that stays warm."""
    narrow = with_overrides(BARE, {"vessel.diameter": "60 mm", "pour.volume": "120 mL"})
    other = with_overrides(BARE, {"run.refinement": 0.6})
    scenarios = (
        BARE,
        BOXED,
        with_overrides(BARE, {"room.temperature": "16 °C", "pour.temperature": "70 °C"}),
        narrow,
        other,
    )
    return [*(simulate(one.jar) for one in scenarios), simulate(BARE.jar, until=2400.0)]


def assert_same(found, expected):
    for field in fields(expected):
        one, other = getattr(found, field.name), getattr(expected, field.name)
        if is_dataclass(other):
            assert_same(one, other)
        elif other is None:
            assert one is None, field.name
        else:
            np.testing.assert_allclose(one, other, **SAME, err_msg=field.name)


def test_runs_that_are_followed_together_find_what_each_finds_alone(runs):
    shapes = {one.wax.volume.shape for one in runs}
    assert len(shapes) == 2
    together = shrinkage.shrink_together([one.course() for one in runs])
    for (found,), one in zip(together, runs, strict=True):
        assert_same(found, one.shrunk(one.melt.softness))


def test_one_run_with_wax_of_several_softnesses_finds_what_it_finds_with_each(runs):
    result = runs[0]
    law = result.melt.softness
    # The last bears nothing: all that it loses is void.
    laws = [law, replace(law, stiffness=1e7), replace(law, stiffness=9e5), replace(law, suction=0.0)]
    (found,) = shrunk_together([(result, laws)])
    for one, softness in zip(found, laws, strict=True):
        assert_same(one, result.shrunk(softness))
    assert len({round(one.depth, 5) for one in found}) == len(laws)


def test_each_run_is_told_at_its_own_times(runs):
    asked = [(0.0, 1800.0), (3600.0, 7200.0, 9000.0), ()]
    courses = [replace(one.course(), at=times) for one, times in zip(runs, asked, strict=False)]
    for told, one, times in zip(shrinkage.shrink_together(courses), runs, asked, strict=False):
        assert len(told) == len(times)
        for found, expected in zip(told, one.tops_at(times), strict=True):
            assert_same(found, expected)


def test_results_keep_what_was_found_for_all_of_them_at_once(monkeypatch):
    results = [simulate(BARE.jar), simulate(BOXED.jar)]
    shrink_results(results)
    monkeypatch.setattr(shrinkage, "_Bodies", None)
    assert results[0].shrinkage.depth > results[1].shrinkage.depth > 1e-3


def test_the_top_hardly_depends_on_the_number_of_steps(runs, monkeypatch):
    courses = [one.course() for one in runs[:3]]

    def followed(steps):
        monkeypatch.setattr(shrinkage, "_STEPS", steps)
        tops = [top for (top,) in shrinkage.shrink_together(courses)]
        return np.array([[top.depth for top in tops], [top.void_volume for top in tops]])

    usual = shrinkage._STEPS
    fine = followed(10 * usual)
    off = np.array([followed(steps) / fine - 1.0 for steps in range(usual - 40, usual + 21, 10)])
    # 0.25 % and less, a tenth of what the cells are off by, with room for another processor. Twice that if the last
    # column to get stiff sinks for a whole step or not at all.
    assert np.sqrt(np.mean(off**2, axis=(0, 2))) == pytest.approx([0.0, 0.0], abs=0.0035)
