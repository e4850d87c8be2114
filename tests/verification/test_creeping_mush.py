"""The softness rule against a resolved computation of the creeping mush.

Source of all figures: computed independently for this project: the resolved mush by finite elements, on the fields
that this package's own run gives. A creeping mush with a yield stress 3 MPa (s - 0.02)^4, s the solid share, that
adheres to the glass as soon as it is stiff, and draws as long as the suction is below one atmosphere; then a void
opens. Its own error: 0.03 mm at half the radius, 0.1 mm in the middle, 0.06 mL of void.

Levels are depths below the pour [mm], at 0.9, 0.75, 0.5 and 0.25 of the radius and in the middle, the mean within 5
mm of the axis; void is all that is not at the surface [mL]. Two freezing curves: "comp" as a partly hydrogenated
vegetable fat gives it from its acids, with a latent heat of 128 kJ/kg; "line" straight from 45 to 35 °C for nine
tenths of the heat.
"""

from __future__ import annotations

import functools
import itertools
from dataclasses import dataclass, field
from typing import Any

import numpy as np
import pytest

from coolsim.scenario import scenario_from_data
from coolsim.solve.simulate import simulate

COMP = [
    ["46.5 °C", "100 %"], ["45 °C", "96 %"], ["44 °C", "93 %"], ["42 °C", "85 %"], ["40 °C", "77 %"],
    ["38 °C", "67 %"], ["36 °C", "58 %"], ["34 °C", "49 %"], ["32 °C", "40 %"], ["30 °C", "31 %"], ["28 °C", "24 %"],
    ["26 °C", "17 %"], ["24 °C", "11 %"], ["22 °C", "7.5 %"], ["20 °C", "4.7 %"], ["18 °C", "2.8 %"], ["15 °C", "1 %"],
    ["10 °C", "0 %"],
]  # fmt: skip
CURVES: dict[str, dict[str, Any]] = {
    "comp": {"freezing": COMP, "latent_heat": "128 kJ/kg"},
    "line": {"freezing": [["45 °C", "100 %"], ["35 °C", "10 %"], ["25 °C", "0 %"]]},
}
JAR: dict[str, Any] = {
    "vessel": {"diameter": "78 mm", "height": "86 mm", "wall": "3.5 mm", "base": "8 mm", "material": "glass"},
    "wax": {"kind": "soft-vegetable", "fragrance_load": "8 %"},
    "pour": {"temperature": "65 °C", "volume": "235 mL"},
    "support": {"material": "oak", "thickness": "30 mm"},
    "room": {"temperature": "21 °C"},
}
BOX = {"gap": "12 mm", "headroom": "15 mm", "flute": "B"}
# Bare on the bench; else in a box with closed or open flaps, and so many sides exposed.
SIDES = {"closed": 4, "closed2": 2, "closed1": 1, "open4": 4, "open3": 3, "open2": 2, "open1": 1}
CHANGES: dict[str, dict[str, str]] = {
    "": {},
    "room 16 °C": {"room.temperature": "16 °C"},
    "room 26 °C": {"room.temperature": "26 °C"},
    "pour 75 °C": {"pour.temperature": "75 °C"},
    "pour 56 °C": {"pour.temperature": "56 °C"},
    "warm jar": {"vessel.temperature": "45 °C"},
    "pour 60 °C, warm jar": {"pour.temperature": "60 °C", "vessel.temperature": "45 °C"},
    "no fragrance": {"wax.fragrance_load": "0 %"},
    "60 mm": {"vessel.diameter": "60 mm", "pour.volume": "130 mL"},
    "90 mm": {"vessel.diameter": "90 mm", "pour.volume": "320 mL"},
    "110 mm": {"vessel.diameter": "110 mm", "pour.volume": "480 mL"},
    "tall": {"vessel.height": "140 mm", "pour.volume": "450 mL"},
    "shallow": {"pour.volume": "140 mL"},
    "softer": {"mush.stiffness": "1 MPa"},
    "much softer": {"mush.stiffness": "0.3 MPa"},
    "stiffer": {"mush.stiffness": "10 MPa"},
    "gels late": {"mush.gels_at": "5 %"},
    "little suction": {"mush.suction": "30 kPa"},
}
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


FITTED = (
    Case("comp", "bare", "", (1.01, 1.34, 2.37, 5.12), 6.77, 4.99),
    Case("comp", "closed", "", (1.10, 1.38, 2.42, 4.78), 6.07, 4.86),
    Case("comp", "open4", "", (1.04, 1.34, 2.47, 4.56), 5.65, 5.10),
    Case("comp", "open2", "", (1.08, 1.42, 2.51, 4.05), 4.77, 5.11),
    Case("comp", "closed2", "", (1.17, 1.47, 2.52, 4.23), 5.05, 4.83),
    Case("comp", "open1", "", (1.14, 1.51, 2.50, 3.66), 4.16, 5.13),
    Case("line", "bare", "", (1.01, 1.30, 2.15, 3.95), 4.83, 6.25),
    Case("line", "closed", "", (1.08, 1.26, 2.17, 4.00), 4.97, 6.12),
    Case("line", "open4", "", (1.00, 1.27, 2.14, 3.68), 4.40, 6.43),
    Case("line", "open2", "", (1.02, 1.23, 2.13, 3.36), 3.90, 6.63),
    Case("line", "closed2", "", (1.08, 1.28, 2.20, 3.78), 4.55, 6.17),
    Case("line", "open1", "", (1.03, 1.27, 2.07, 3.11), 3.53, 6.75),
    Case("comp", "bare", "room 16 °C", (0.95, 1.39, 2.43, 5.01), 6.54, 5.98),
    Case("comp", "open2", "room 16 °C", (1.06, 1.39, 2.46, 4.04), 4.79, 6.23),
    Case("comp", "bare", "room 26 °C", (1.03, 1.32, 2.35, 5.18), 6.85, 3.37),
    Case("comp", "bare", "pour 75 °C", (1.42, 1.76, 2.80, 5.59), 7.28, 4.98),
    Case("comp", "bare", "pour 56 °C", (0.40, 1.03, 2.07, 4.83), 6.50, 4.97),
    Case("comp", "bare", "warm jar", (0.93, 1.27, 2.35, 5.36), 7.18, 5.07),
    Case("comp", "bare", "60 mm", (0.92, 1.31, 2.11, 5.50), 7.37, 2.83, own={"middle": 1.4}),
    Case("comp", "open2", "60 mm", (1.06, 1.37, 2.38, 3.94), 4.58, 2.95),
    Case("comp", "bare", "110 mm", (1.02, 1.40, 2.55, 4.64), 5.84, 9.77),
    Case("comp", "open2", "110 mm", (1.07, 1.47, 2.61, 4.06), 4.76, 9.75),
    Case("comp", "bare", "tall", (1.91, 2.42, 3.93, 9.79), 13.05, 10.29, own={"half": 0.45}),
    Case("comp", "bare", "shallow", (0.62, 0.88, 1.55, 2.96), 3.77, 2.75),
    Case("comp", "bare", "softer", (1.05, 1.44, 2.71, 6.36), 8.51, 3.81),
    Case("comp", "bare", "stiffer", (0.98, 1.26, 2.08, 4.02), 5.13, 6.01),
    Case("comp", "bare", "little suction", (0.99, 1.29, 2.09, 3.95), 5.04, 6.00),
    Case("comp", "open2", "softer", (1.19, 1.65, 3.00, 4.78), 5.59, 3.85),
    Case("comp", "open2", "stiffer", (1.03, 1.27, 2.11, 3.32), 3.89, 6.14),
    Case("comp", "open2", "little suction", (1.03, 1.29, 2.11, 3.28), 3.83, 6.13),
    Case("line", "bare", "stiffer", (0.99, 1.24, 1.86, 3.11), 3.70, 7.10),
)
# Never used to fit the constants of the rule.
KEPT_BACK = (
    Case("comp", "open3", "", (1.06, 1.37, 2.50, 4.34), 5.25, 5.09),
    Case("comp", "closed1", "", (1.25, 1.60, 2.57, 3.72), 4.22, 4.78),
    Case("comp", "closed", "room 16 °C", (1.10, 1.37, 2.41, 4.77), 6.10, 5.88),
    Case("comp", "bare", "pour 60 °C, warm jar", (0.69, 1.05, 2.14, 5.15), 6.97, 5.05),
    Case("comp", "closed", "90 mm", (1.11, 1.42, 2.49, 4.71), 6.01, 6.47),
    Case("comp", "closed", "shallow", (0.67, 0.89, 1.55, 2.80), 3.49, 2.71),
    Case("comp", "bare", "much softer", (1.15, 1.64, 3.25, 7.75), 10.25, 2.14),
    Case("comp", "bare", "no fragrance", (0.88, 1.27, 2.33, 5.03), 6.64, 5.45),
    Case("line", "open3", "", (1.01, 1.23, 2.15, 3.53), 4.18, 6.52),
    Case(
        "comp",
        "open2",
        "tall",
        (1.99, 2.49, 4.25, 6.78),
        7.91,
        11.25,
        own={"rim": 0.5, "three quarters": 0.4, "middle": 1.6, "void": 2.2},
    ),
    Case("comp", "bare", "gels late", (1.03, 1.36, 2.40, 5.48), 7.45, 4.66, own={"middle": 1.3}),
)


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
    data: dict[str, Any] = {name: dict(table) for name, table in JAR.items()} | {"title": "any", "mush": {}}
    data["wax"] |= CURVES[case.curve]
    data["vessel"]["foot"] = "25 W/m2K"
    if case.stands != "bare":
        data["surround"] = BOX | {"flaps": case.stands.rstrip("1234"), "exposed_sides": SIDES[case.stands]}
        data["vessel"]["foot"] = "30 W/m2K"
    for key, value in CHANGES[case.change].items():
        table, name = key.split(".")
        data[table][name] = value
    top = simulate(scenario_from_data(data, where=str(case)).jar).shrinkage
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
