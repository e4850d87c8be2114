"""The table `[mush]`: how soft half-frozen wax is."""

from __future__ import annotations

from typing import Annotated

from coolsim.model.catalogue import stiffness_of
from coolsim.model.softness import AIRY_SUCTION, Softness
from coolsim.scenario.table import ESTIMATE, Doubt, TomlTable, like
from coolsim.scenario.values import Number, Quantity


class MushTable(TomlTable):
    """How soft half-frozen wax is: yield stress = stiffness × (solid share − gels_at) ^ exponent."""

    stiffness: Annotated[float, Quantity("pressure", "1 kPa", "10 GPa", "3 MPa")] = like(
        Softness,
        "stiffness",
        "Yield stress that the law gives entirely solid wax.",
        source=ESTIMATE,
        spread=True,
        ruler=True,
        behind="Dips, dish and cavity",
    )
    exponent: Annotated[float, Number(1.0, 8.0)] = like(
        Softness,
        "exponent",
        "How fast wax gets softer with less solid in it.",
        source=ESTIMATE,
        behind="Dips, dish and cavity",
    )
    gels_at: Annotated[float, Quantity("fraction", "0 %", "50 %", "2 %")] = like(
        Softness,
        "gels_at",
        "Solid share at which the crystals begin to hold together.",
        source=ESTIMATE,
        doubt=Doubt(0.01, 0.1, "estimate: fats gel at 1.5 to 10 % solid", "ends"),
        spread=True,
        behind="Rim, wick and top",
    )
    suction: Annotated[float, Quantity("pressure", "0 Pa", "101 kPa", "100 kPa")] = like(
        Softness,
        "suction",
        "What the shrinking wax bears before voids open in it; air that comes out of the wax makes it less.",
        source=ESTIMATE,
        doubt=Doubt(AIRY_SUCTION, 1.005e5, "estimate: one atmosphere, less for dissolved air", "ends"),
        spread=True,
        ruler=True,
        behind="Dips, dish and cavity",
    )


def softness_of(mush: MushTable, kind: str) -> Softness:
    """Build the law of the yield stress of a kind of wax."""
    known = stiffness_of(kind)
    within = 10.0 if known.high is None else known.high / known.nominal
    return Softness(sure_within=within, **mush.given(*MushTable.model_fields))
