"""The softness rule against a resolved computation of the creeping mush."""

import itertools

import pytest
from held import held

from coolsim.studies.verify.mush import (
    ASKED,
    FITTED,
    KEPT_BACK,
    MUSH_JARS,
    MUSH_KEPT_BACK,
    MUSH_STANDS,
    MUSH_WAXES,
    by_name,
    found,
)


@pytest.mark.parametrize("case", [MUSH_STANDS, MUSH_JARS, MUSH_WAXES, MUSH_KEPT_BACK], ids=lambda case: case.id)
def test_the_rule_meets_the_resolved_mush(case):
    """Missed by more than is asked, of 31 cases that the constants of the rule were fitted to.

    The void of the straight curve with one exposed side lies at the 12 % that are asked: just met on some grids, just
    missed on others and on one twice as fine. A jar of 60 mm: the middle is 1.29 mm too high, 18 %. Wax 122 mm deep:
    0.38 mm, 10 %, at half the radius. The middle of a bare jar is 5 to 10 % too high, that of a jar with two exposed
    sides up to 13 % too low, so the rule makes less of a box than the resolved mush: middle below the rim 5.13 mm bare
    and 4.85 in the closed box, 5 %, where that has 5.76 and 4.97 mm, 14 %.

    Of those that it was not fitted to all but two are met. Wax 122 mm deep with neighbours on two sides, the worst:
    there the rule sinks too far and leaves too little void, by 0.43 mm at the rim, 1.47 mm (19 %) in the middle, 1.98
    mL (18 %) of void. Wax that gels late: the middle is 1.16 mm (16 %) too high.
    """
    held(case)


def test_every_slack_of_its_own_is_needed():
    own = [(case, name) for case in (*FITTED, *KEPT_BACK) for name in case.own]
    assert own
    for case, name in own:
        meant = by_name(case.levels, case.middle, case.void)[name]
        off = abs(by_name(*found(case))[name] - meant)
        # 0.98: what lies at the bound itself is met on one grid and missed on the next.
        assert off > 0.98 * max(ASKED[name][0], ASKED[name][1] * meant), f"{case}, {name}: off by {off:.2f}"


def test_the_rule_puts_jars_in_the_order_of_the_resolved_mush():
    """By the middle below the rim: what the resolved mush sets apart by more than 0.3 mm, of the same wax and jar.

    The nearest are a pour at 56 and one at 65 °C: 6.10 and 5.76 mm, by the rule 5.19 and 5.13.
    """
    apart, wrong = 0, []
    for one, other in itertools.combinations((*FITTED, *KEPT_BACK), 2):
        meant = [case.middle - case.levels[0] for case in (one, other)]
        if one.kind != other.kind or abs(meant[0] - meant[1]) <= 0.3:
            continue
        got = [middle - levels[0] for levels, middle, _ in map(found, (one, other))]
        apart += 1
        if (got[0] - got[1]) * (meant[0] - meant[1]) <= 0.0:
            wrong.append((str(one), str(other)))
    assert apart > 100
    assert not wrong


def test_boxes_with_neighbours_make_the_hole_shallower_and_flaps_make_no_difference_to_it():
    """The more sides the neighbours keep warm, the more evenly rim and middle stiffen.

    So the hole gets shallower with each side that is not exposed. Flaps only slow the top, whose skin sinks with the
    wax.
    """
    depth = {
        case.stands: found(case)[1] - found(case)[0][0]
        for case in (*FITTED, *KEPT_BACK)
        if (case.curve, case.change) == ("comp", "")
    }
    assert depth["bare"] > depth["open4"] > depth["open3"] > depth["open2"] > depth["open1"]
    # The resolved mush: 35 % shallower with two sides exposed, 48 % with one.
    assert 0.20 < 1.0 - depth["open2"] / depth["bare"] < 0.35
    assert 0.35 < 1.0 - depth["open1"] / depth["bare"] < 0.48
    # 0.36 mm at most in the resolved mush, 0.19 where there are neighbours.
    for sides in ("4", "2", "1"):
        assert depth[f"open{sides}"] == pytest.approx(depth["closed" if sides == "4" else f"closed{sides}"], abs=0.36)
