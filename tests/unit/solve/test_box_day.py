"""A day of jars in a box: what happens to all of them on the way."""

from dataclasses import replace

import numpy as np
import pytest

from coolsim import Places, Room, simulate, simulate_box
from coolsim.model.jar import Change
from coolsim.model.problem import Accuracy
from tests.support.pair import closed_pair

JAR = replace(closed_pair()[1].jar, accuracy=Accuracy(refinement=0.5, tolerance=1.0))
PITCH = 0.09
HOUR = 3600.0
EVENTS = ("rim_set", "top_closed", "fully_set", "solid_throughout", "cool")
OPENED = Change(
    time=3 * HOUR, happens="flaps open", surround=replace(JAR.surround, flaps="open"), foot=JAR.vessel.foot
)  # fmt: skip
OUT = Change(time=6 * HOUR, happens="out of the box", foot=JAR.vessel.foot, moved=True)
NOTHING = Change(time=2 * HOUR, happens="a look", surround=JAR.surround, foot=JAR.vessel.foot)


def day_of(rows, columns, *changes, accuracy=JAR.accuracy, **other):
    box = Places(
        rows=rows, columns=columns, length=columns * PITCH, width=rows * PITCH, pitch_along=PITCH, pitch_across=PITCH,
        **other,
    )  # fmt: skip
    return simulate_box(replace(JAR, places=box, changes=changes, accuracy=accuracy))


def times(result):
    return np.array([getattr(result.events, name) for name in EVENTS])


@pytest.mark.parametrize("changes", [(OPENED,), (OPENED, OUT)])
def test_a_box_of_one_jar_has_the_day_of_the_single_jar(changes):
    gap = 2.0 * PITCH / np.pi - 0.5 * JAR.vessel.diameter
    surround = replace(JAR.surround, gap=gap, plan=PITCH**2)
    alone = [
        change if change.surround is None else replace(change, surround=replace(surround, flaps=change.surround.flaps))
        for change in changes
    ]
    single = simulate(replace(JAR, surround=surround, changes=tuple(alone)))
    (result,) = day_of(1, 1, *changes).results
    # The same equations in the same order.
    assert times(result) == pytest.approx(times(single), rel=1e-9)
    assert result.changes == single.changes


def test_a_change_that_changes_nothing_changes_nothing():
    fine = replace(JAR.accuracy, tolerance=0.2)
    still, looked = day_of(2, 3, accuracy=fine), day_of(2, 3, NOTHING, accuracy=fine)
    for one, other in zip(still.results, looked.results, strict=True):
        # The steps begin anew at the look, and fall differently.
        assert times(other) == pytest.approx(times(one), rel=1e-3)


def test_the_ledger_of_a_day_closes():
    found = day_of(2, 3, OPENED, OUT, empty=((1, 1),))
    assert found.ledger.open_share < 1e-9
    assert all(result.ledger.open_share < 1e-9 for result in found.results)


def test_jars_out_of_the_box_cool_alike_from_then_on():
    inside, out = day_of(2, 3), day_of(2, 3, OUT)
    for one, other in zip(inside.results, out.results, strict=True):
        assert other.events.cool < one.events.cool
    spread = [max(x) - min(x) for x in ([one.events.cool for one in found.results] for found in (inside, out))]
    assert spread[1] < 0.7 * spread[0]
    # Nothing of the box is left then.
    air = out.history.nodes[:, out.nodes.index("box air")]
    assert np.isnan(air[out.history.time > 6 * HOUR]).all()
    assert np.isfinite(air[out.history.time < 6 * HOUR]).all()


def test_the_room_keeps_its_course_through_the_changes_of_the_box():
    box = Places(rows=1, columns=2, length=2 * PITCH, width=PITCH, pitch_along=PITCH, pitch_across=PITCH)
    room = Room(temperature=lambda time: 21.0 - time / HOUR)
    changes = (replace(OPENED, time=600.0), replace(OUT, time=1200.0))
    found = simulate_box(replace(JAR, places=box, room=room, changes=changes, horizon=1800.0))
    for history in (found.history, found.results[0].history):
        assert history.room == pytest.approx(21.0 - history.time / HOUR, rel=1e-12)
        # A part begins where the one before has ended: no time is told twice.
        assert np.diff(history.time).min() > 0.0


def test_opening_the_flaps_closes_the_tops_earlier():
    # An hour after the pour no top has closed.
    closed, opened = day_of(2, 3), day_of(2, 3, replace(OPENED, time=HOUR))
    for one, other in zip(closed.results, opened.results, strict=True):
        assert HOUR < other.events.top_closed < one.events.top_closed


def test_a_box_into_which_jars_are_put_on_the_way_has_all_its_kinds():
    into = Change(time=HOUR, happens="into the box", surround=JAR.surround, foot=JAR.vessel.foot, moved=True)
    box = Places(rows=2, columns=3, length=0.27, width=0.18, pitch_along=PITCH, pitch_across=PITCH)
    found = simulate_box(replace(JAR, surround=None, places=box, changes=(into,)))
    assert [kind.name for kind in found.kinds] == ["corner", "edge"]
    corner, edge = found.results
    before = corner.time < HOUR
    assert corner.hottest_wax()[before] == pytest.approx(edge.hottest_wax()[before], rel=1e-12)
    assert edge.events.fully_set > corner.events.fully_set
