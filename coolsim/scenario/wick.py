"""The table `[wick]`: how long the wicks are cut, and how many a jar has."""

from __future__ import annotations

from typing import Annotated

from coolsim.model.batch import Wick
from coolsim.scenario.table import PRACTICE, TomlTable, like
from coolsim.scenario.values import Count, Quantity


class WickTable(TomlTable):
    """How long the wicks are cut, and how many a jar has."""

    number: Annotated[int, Count(1, 12)] = like(Wick, "number", "How many wicks a jar has.")
    trim: Annotated[float, Quantity("length", "0 mm", "50 mm", "6 mm")] = like(
        Wick, "trim", "How far a wick stands out of the wax once it is trimmed.", source=PRACTICE
    )
    holder: Annotated[float, Quantity("length", "0 mm", "200 mm", "20 mm")] = like(
        Wick, "holder", "What the tab at its foot and the holder over the rim take of a wick together.", source=PRACTICE
    )


def wick_of(wick: WickTable) -> Wick:
    """Build the wicks."""
    return Wick(**wick.given(*WickTable.model_fields))
