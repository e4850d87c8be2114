"""Batches beside what is computed: when a log says that the two drift apart."""

import itertools

import numpy as np
import pytest

from coolsim.studies.fit.batches import Logged
from coolsim.studies.fit.drift import ENOUGH, RECENT, Compared, by_chance, drifts
from coolsim.studies.fit.seen import seen_in_log


def batches(*differences, what="dish"):
    """Batches that were seen so far [mm] above what is computed."""
    return [
        Compared(
            batch=Logged(day="", room=None, pour=None, top="", seen=(seen_in_log(f"{what}={2 + one} mm"),)),
            scenario=None,
            result=None,
            computed={what: 0.002},
        )
        for one in differences
    ]


def verdict(*differences):
    (found,) = drifts(batches(*differences))
    assert found.count == len(differences)
    return found.verdict


def score(values):
    return sum(int(np.sign(late - soon)) for soon, late in itertools.combinations(values, 2))


def test_chance_of_a_score_is_the_share_of_all_orders_that_are_as_far_from_even():
    scores = np.array([score(order) for order in itertools.permutations(range(6))])
    for one in range(-15, 16, 2):
        assert by_chance(6, one) == pytest.approx(np.mean(abs(scores) >= abs(one)), rel=1e-12)


@pytest.mark.parametrize(
    ("differences", "says"),
    [
        ((1.0,) * (ENOUGH - 1), "too few"),
        ((0.3, -0.2, 0.4, -0.1, 0.2, -0.3), "steady"),
        # All one way, but less than a ruler may be wrong.
        ((0.4, 0.3, 0.4, 0.2, 0.4, 0.3), "steady"),
        ((0.9, 0.7, 1.0, 0.6, 0.9, 0.8), "off"),
        ((-0.9, -0.7, -1.0, -0.6, -0.9, -0.8), "off"),
        # One of the last six goes the other way; then six in which it does not.
        ((0.9, 0.7, 1.0, -0.1, 0.9, 0.8), "steady"),
        ((-0.1, 0.9, 0.7, 1.0, 0.6, 0.9, 0.8), "off"),
        ((0.0, 0.1, 0.2, 0.3, 0.4, 0.5), "rising"),
        ((0.5, 0.4, 0.2, 0.3, 0.0, -0.1), "falling"),
        # Equal ones count for neither.
        ((0.0, 0.0, 0.0, 0.1, 0.1, 0.1), "steady"),
        # What was long ago is another shop.
        ((*np.arange(-9.0, -8.0, 0.1), *(0.2, -0.2) * (RECENT // 2)), "steady"),
    ],
)
def test_a_log_warns_by_the_rule_that_it_states(differences, says):
    assert verdict(*differences) == says


def test_one_false_alarm_in_twenty_is_shared_by_all_that_was_seen():
    rising = (0.1, 0.0, 0.2, 0.3, 0.4, 0.5)  # 14 of 15 pairs rise: 12 orders of 720
    assert by_chance(6, score(rising)) == pytest.approx(12 / 720, rel=1e-12)
    assert verdict(*rising) == "rising"
    level = (0.1, -0.1) * 3
    others = [batches(*level, what=what) for what in ("rim", "middle")]  # three are tested: each at 1 in 60
    alone = batches(*rising)
    together = [
        Compared(
            batch=Logged(day="", room=None, pour=None, top="", seen=tuple(s for one in row for s in one.batch.seen)),
            scenario=None,
            result=None,
            computed={what: at for one in row for what, at in one.computed.items()},
        )
        for row in zip(alone, *others, strict=True)
    ]
    assert next(one.verdict for one in drifts(together)) == "steady"


def test_what_is_never_reached_in_the_run_has_no_difference():
    (one,) = batches(1.0)
    never = Compared(batch=one.batch, scenario=None, result=None, computed={"dish": None})
    assert drifts([never])[0].count == 0
