"""The softness rule against a resolved computation of the creeping mush.

Source of all figures: computed independently for this project: the resolved mush by finite elements, on the fields
that this package's own run gives. A creeping mush with a yield stress 3 MPa (s - 0.02)^4, s the solid share, that
adheres to the glass as soon as it is stiff, and draws as long as the suction is below one atmosphere; then a void
opens. Its own error: 0.03 mm at half the radius, 0.1 mm in the middle, 0.06 mL of void.

The jars, the laws of that mush and its results are the case V15 of `tests/verification/cases`: depths below the pour
[mm], at 0.9, 0.75, 0.5 and 0.25 of the radius and in the middle, the mean within 5 mm of the axis; void is all that is
not at the surface [mL]. Two freezing curves: "comp" as a partly hydrogenated vegetable fat gives it from its acids;
"line" straight from 45 to 35 °C for nine tenths of the heat.
"""

from __future__ import annotations

import functools
import itertools
from dataclasses import dataclass, field
from typing import Any

import numpy as np
import pytest
from case_statements import data, rows

from coolsim.scenario import scenario_from_data
from coolsim.solve.simulate import simulate

JAR, BOX, CURVES, CHANGES = (data("V15", name) for name in ("jar", "box", "curves", "changes"))
OF_THE_WAX = ("no fragrance", "softer", "much softer", "stiffer", "gels late", "little suction")
OF_THE_JAR = ("60 mm", "90 mm", "110 mm", "tall", "shallow")
PLACES = (0.9, 0.75, 0.5, 0.25)


@dataclass(frozen=True)
class Case:
    """One jar, and what the resolved mush gives for it; `own` are the slacks of what the rule misses."""

    curve: str
    stands: str
    change: str
    levels: tuple[float, float, float, float]
    middle: float
    void: float
    own: dict[str, float] = field(default_factory=dict, compare=False, hash=False)

    def __str__(self) -> str:
        return " ".join(filter(None, (self.curve, self.stands, self.change)))

    @property
    def kind(self) -> tuple[str, str, str]:
        """Curve, wax and jar: what of it is set apart by how it stands, and how it is poured, may be compared."""
        return (
            self.curve,
            self.change if self.change in OF_THE_WAX else "",
            self.change if self.change in OF_THE_JAR else "",
        )


# Slacks of what the rule misses.
MISSED: dict[tuple[str, str, str], dict[str, float]] = {
    ("comp", "bare", "60 mm"): {"middle": 1.4},
    ("comp", "bare", "tall"): {"half": 0.45},
    ("comp", "open2", "tall"): {"rim": 0.5, "three quarters": 0.4, "middle": 1.6, "void": 2.2},
    ("comp", "bare", "gels late"): {"middle": 1.3},
}


def cases(*, fitted: bool) -> tuple[Case, ...]:
    """Cases that the constants of the rule were fitted to, or those that were kept back."""
    found = []
    for row in rows("V15"):
        if (row["coolsim's rule was fitted to it"] == "yes") != fitted:
            continue
        named = row["curve"], row["stands"], row["change"]
        levels = tuple(float(row[f"at {place:g} R [mm]"]) for place in PLACES)
        middle, void = float(row["middle [mm]"]), float(row["void [mL]"])
        found.append(Case(*named, levels, middle, void, own=MISSED.get(named, {})))
    return tuple(found)


FITTED, KEPT_BACK = cases(fitted=True), cases(fitted=False)


# What is asked of the rule: within so many millimetres (millilitres), or within such a share. A quarter of the radius
# lies on the flank of the hole, where a place that is a little off in r is much off in height: it is held like the
# middle.
ASKED = {
    "rim": (0.35, 0.0),
    "three quarters": (0.35, 0.0),
    "half": (0.3, 0.0),
    "quarter": (0.6, 0.16),
    "middle": (0.6, 0.15),
    "void": (0.5, 0.12),
}


def by_name(levels, middle, void):
    return dict(zip(ASKED, (*levels, middle, void), strict=True))


@functools.cache
def found(case: Case) -> tuple[np.ndarray, float, float]:
    """Levels at the places, middle [mm] and void [mL] of the package's own run."""
    stated: dict[str, Any] = {name: dict(part) if isinstance(part, dict) else part for name, part in JAR.items()}
    stated["wax"]["freezing"] = CURVES[case.curve]
    if case.stands != "bare":
        flaps, sides = case.stands.rstrip("1234"), case.stands[-1]
        stated["surround"] = BOX | {"flaps": flaps, "exposed_sides": int(sides) if sides.isdigit() else 4}
        stated["vessel"]["foot"] = "30 W/m2K"
    for key, value in CHANGES.get(case.change, {}).items():
        table, name = key.split(".")
        stated[table][name] = value
    top = simulate(scenario_from_data(stated, where=str(case)).jar).shrinkage
    below = np.interp(np.array(PLACES) * top.r[-1], top.r, top.pour_level - top.level)
    return 1e3 * below, 1e3 * top.centre_dip, 1e6 * top.void_volume


def held(case: Case) -> None:
    """Hold a case to what is asked, or where it misses that to its own slack, which it then needs."""
    meant = by_name(case.levels, case.middle, case.void)
    for name, value in by_name(*found(case)).items():
        off, allowed = abs(value - meant[name]), max(ASKED[name][0], ASKED[name][1] * meant[name])
        said = f"{case}, {name}: {value:.2f} instead of {meant[name]:.2f}"
        assert off < case.own.get(name, allowed), said
        assert name not in case.own or off > allowed, f"{said} needs no slack of its own"


@pytest.mark.parametrize("case", FITTED, ids=str)
def test_the_rule_meets_the_resolved_mush(case):
    """Missed by more than is asked, of 31 cases that the constants of the rule were fitted to.

    A jar of 60 mm: the middle is 1.29 mm too high, 18 %. Wax 122 mm deep: 0.38 mm, 10 %, at half the radius. The middle
    of a bare jar is 5 to 10 % too high, that of a jar with two exposed sides up to 13 % too low, so the rule makes less
    of a box than the resolved mush: middle below the rim 5.13 mm bare and 4.85 in the closed box, 5 %, where that has
    5.76 and 4.97 mm, 14 %.
    """
    held(case)


@pytest.mark.parametrize("case", KEPT_BACK, ids=str)
def test_the_rule_meets_cases_that_it_was_not_fitted_to(case):
    """All of them but two.

    Wax 122 mm deep with neighbours on two sides, the worst: there the rule sinks too far and leaves too little void, by
    0.43 mm at the rim, 1.47 mm (19 %) in the middle, 1.98 mL (18 %) of void. Wax that gels late: the middle is 1.16 mm
    (16 %) too high.
    """
    held(case)


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
