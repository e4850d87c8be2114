"""The numerical error of the answers: as lines of the table, and as plain data."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from typing import Any

from coolsim.report.runs import HARD_SPACE, NOT_KNOWN, Group, Row, Run
from coolsim.studies.grid_error import ANSWERS, ErrorEstimate
from coolsim.units import System

ERROR_NOTE = (
    "Numerical uncertainty: what the grid and the steps may add, found from a second run on cells and steps longer by"
    " a half: the difference, extrapolated with the order 2 of the scheme, three times (ASME V&V 20). It says nothing"
    " about the wax, the air and the melt, which are far less sure. Held against runs four times as fine, it was right"
    " for 33 of 36 times, but for 19 of 30 figures of the top and the cavity only: which ring locks first"
    " jumps from grid to grid, so take those for 8 % at best."
)
"""What stands under a table that has the numerical uncertainty."""

_MINUTES = (1.0 / 60.0, "min", 1.0 / 60.0, "min")
_LENGTH = (1e3, "mm", 1.0 / 0.0254, "in")
_VOLUME = (1e6, "mL", 1.0 / 29.5735295625e-6, "fl oz")
_ROWS = (
    ("Rim set", "rim_set_s", _MINUTES),
    ("Wick free until", "wick_free_until_s", _MINUTES),
    ("Top closed", "top_closed_s", _MINUTES),
    ("Fully set", "fully_set_s", _MINUTES),
    ("Solid throughout", "solid_throughout_s", _MINUTES),
    ("May be lidded", "cool_s", _MINUTES),
    ("First skin melts again", "skin_melted_again_s", _MINUTES),
    ("Middle minus rim", "flatness_m", _LENGTH),
    ("Dish", "dish_volume_m3", _VOLUME),
    ("Hidden cavity", "cavity_volume_m3", _VOLUME),
)
_JUMPING = frozenset({"flatness_m", "rim_dip_m", "centre_dip_m", "dish_volume_m3", "cavity_volume_m3"})
_MOST_DECIMALS = 3


def error_group(runs: Sequence[Run]) -> Group:
    """List the lines on the numerical uncertainty.

    Parameters
    ----------
    runs : sequence of Run
        The runs of the table; what none of them came to has no line.

    Returns
    -------
    Group
        Each answer with what grid and steps may add to it.
    """
    rows = [
        Row(label=label, cell=_cell(name, factors))
        for label, name, factors in _ROWS
        if any(run.error is not None and run.error[name].value is not None for run in runs)
    ]
    return Group(heading="Numerical uncertainty", rows=tuple(rows))


def any_error(runs: Sequence[Run]) -> bool:
    """Tell whether some run has its numerical error.

    Parameters
    ----------
    runs : sequence of Run
        The runs.

    Returns
    -------
    bool
        Whether there is one.
    """
    return any(run.error is not None for run in runs)


def error_data(run: Run) -> dict[str, Any] | None:
    """Give the numerical error as plain data.

    Parameters
    ----------
    run : Run
        The run.

    Returns
    -------
    dict or None
        As `answers_data` says.
    """
    if run.error is None:
        return None
    return {name: {**_plain(run.error[name]), "bounds_the_error": name not in _JUMPING} for name in ANSWERS}


def _plain(one: ErrorEstimate) -> dict[str, Any]:
    return {
        "value": one.value,
        "extrapolated": one.extrapolated,
        "uncertainty": one.uncertainty,
        "order": one.order,
        "safety_factor": one.safety,
        "basis": one.basis,
    }


def _cell(name: str, factors: tuple[float, str, float, str]) -> Callable[[Run, System], str]:
    def cell(run: Run, units: System) -> str:
        one = None if run.error is None else run.error[name]
        if one is None or one.value is None:
            return NOT_KNOWN
        if one.uncertainty is None:
            return one.basis
        factor, unit = factors[:2] if units == "metric" else factors[2:]
        return plus_minus(factor * one.value, factor * one.uncertainty).replace(" ", HARD_SPACE) + HARD_SPACE + unit

    return cell


def plus_minus(value: float, uncertainty: float) -> str:
    """Write a value with its uncertainty, which is rounded up to one digit.

    Parameters
    ----------
    value, uncertainty : float
        Both in the unit that is to follow [any one unit].

    Returns
    -------
    str
        Both with the same decimals, at most three.

    Examples
    --------
    >>> plus_minus(121.0, 0.31), plus_minus(-3.94, 0.0001), plus_minus(1210.0, 31.0)
    ('121.0 ± 0.4', '-3.940 ± 0.001', '1210 ± 31')
    """
    decimals = _MOST_DECIMALS
    if uncertainty > 0.0:
        decimals = max(0, min(_MOST_DECIMALS, -math.floor(math.log10(uncertainty))))
    step = 10.0**-decimals
    # A hair less, so that rounding does not push a whole number of steps to the next one.
    rounded = step * math.ceil(uncertainty / step - 1e-9)
    return f"{value:.{decimals}f} ± {rounded:.{decimals}f}"
