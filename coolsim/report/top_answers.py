"""The top and the inside of the set wax: in words, as lines of the table, and as plain data."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Any

from coolsim.model.problem import Answers
from coolsim.report.runs import HARD_SPACE, NOT_KNOWN, Group, Row, Run
from coolsim.report.wording import hours_minutes, length_text, volume_text
from coolsim.solve.contraction import Shrinkage
from coolsim.units import System

MELT_NOTE = (
    "The range: wax circulates while its liquid share is above melt.flows_above. For fats this share is known only"
    " loosely, and the top hangs on it strongly. It is the first thing to fit: put a thermometer into one jar and"
    " compare the curves."
)
"""What stands under a table that has the range of the top."""

_PIT = "a pit at the wick"


def top_group() -> Group:
    """List the lines on the top and the inside.

    Returns
    -------
    Group
        The verdicts with the numbers beside them.
    """
    return Group(
        heading="Top and inside (estimates)",
        rows=(
            Row(label="The top is", cell=_verdict_cell),
            Row(label="Middle minus rim", cell=_of_top(lambda top, units: length_text(top.flatness, units))),
            Row(label="Rim below the pour", cell=_of_top(lambda top, units: length_text(top.rim_dip, units))),
            Row(label="Middle below the pour", cell=_of_top(lambda top, units: length_text(top.centre_dip, units))),
            Row(label="Dish", cell=_of_top(lambda top, units: volume_text(top.dish_volume, units))),
            Row(label="Hidden cavity", cell=_cavity),
            Row(label="Its roof under the top", cell=_of_cavity(lambda _, roof, units: length_text(roof, units))),
            Row(
                label="Its height in the wax",
                cell=_of_cavity(lambda middle, _, units: length_text(middle, units)),
            ),
            Row(label="Pores", cell=_of_top(lambda top, units: volume_text(top.ledger.pores, units))),
            Row(label="Volume lost", cell=_lost_volume),
        ),
    )


def melt_group() -> Group:
    """List the lines on the top over the range of the melt.

    Returns
    -------
    Group
        From the least to the largest value of each number.
    """
    return Group(
        heading="The same over the range of the melt",
        rows=(
            Row(label="melt.flows_above", cell=_shares),
            Row(label="The top is", cell=_verdicts),
            Row(label="Middle minus rim", cell=_span("flatness", length_text)),
            Row(label="Rim below the pour", cell=_span("rim_dip", length_text)),
            Row(label="Middle below the pour", cell=_span("centre_dip", length_text)),
            Row(label="Dish", cell=_span("dish_volume", volume_text)),
            Row(label="Hidden cavity", cell=_span("cavity_volume", volume_text)),
        ),
    )


def verdict(top: Shrinkage, limits: Answers) -> str:
    """Say in a word what a top is, by the thresholds of the scenario.

    Parameters
    ----------
    top : Shrinkage
        The top.
    limits : Answers
        The thresholds.

    Returns
    -------
    str
        "flat", "dished", "a pit at the wick" or "domed".
    """
    return limits.verdict(top.flatness)


def set_top(run: Run) -> Shrinkage | None:
    """Return the top of a run whose wax has set.

    Parameters
    ----------
    run : Run
        The run.

    Returns
    -------
    Shrinkage or None
        None where the wax has not set within the run.
    """
    return None if run.events.fully_set is None else run.result.shrinkage


def top_data(run: Run) -> dict[str, Any] | None:
    """Give the top and the inside as plain data.

    Parameters
    ----------
    run : Run
        The run.

    Returns
    -------
    dict or None
        As `answers_data` says.
    """
    top, limits = run.result.shrinkage, run.result.answers
    if top is None:
        return None
    r, z = (None, None) if top.cavity_place is None else top.cavity_place
    return {
        "verdict": None if set_top(run) is None else verdict(top, limits),
        "cavity": None if set_top(run) is None else top.cavity_volume >= limits.cavity_from,
        "rim_dip_m": top.rim_dip,
        "centre_dip_m": top.centre_dip,
        "flatness_m": top.flatness,
        "dish_volume_m3": top.dish_volume,
        "cavity_volume_m3": top.cavity_volume,
        "cavity_roof_m": top.cavity_roof,
        "cavity_r_m": r,
        "cavity_above_bottom_m": z,
        "lost_m3": top.ledger.total,
        "lost_surface_m3": top.ledger.surface,
        "lost_cavities_m3": top.ledger.cavities,
        "lost_pores_m3": top.ledger.pores,
        "lost_solid_m3": top.ledger.solid,
        "mass_open_share": top.ledger.open_share,
    }


def melt_data(run: Run) -> list[dict[str, Any]] | None:
    """Give the top over the range of the melt as plain data.

    Parameters
    ----------
    run : Run
        The run.

    Returns
    -------
    list of dict or None
        As `answers_data` says.
    """
    if run.melt_range is None:
        return None
    names = {"rim_dip": "m", "centre_dip": "m", "flatness": "m", "dish_volume": "m3", "cavity_volume": "m3"}
    return [
        {
            "flows_above": share,
            "verdict": None if top is None else verdict(top, run.result.answers),
            **{f"{name}_{unit}": None if top is None else getattr(top, name) for name, unit in names.items()},
        }
        for share, top in zip(run.melt_range.flows_above, run.melt_range.tops, strict=True)
    ]


def _of_top(text: Callable[[Shrinkage, System], str]) -> Callable[[Run, System], str]:
    def cell(run: Run, units: System) -> str:
        top = set_top(run)
        return NOT_KNOWN if top is None else text(top, units)

    return cell


def _of_cavity(text: Callable[[float, float, System], str]) -> Callable[[Run, System], str]:
    def cell(run: Run, units: System) -> str:
        top = set_top(run)
        if top is None or top.cavity_place is None or top.cavity_roof is None:
            return NOT_KNOWN
        return text(top.cavity_place[1], top.cavity_roof, units)

    return cell


def _verdict_cell(run: Run, units: System) -> str:
    top, limits = set_top(run), run.result.answers
    if top is None:
        return f"not set within {hours_minutes(run.result.time[-1])}{HARD_SPACE}h"
    word = verdict(top, limits)
    return f"{word} (limit {length_text(limits.pit_from if word == _PIT else limits.flat_within, units)})"


def _cavity(run: Run, units: System) -> str:
    top = set_top(run)
    if top is None:
        return NOT_KNOWN
    text = volume_text(top.cavity_volume, units)
    return text if top.cavity_volume >= run.result.answers.cavity_from else f"none to speak of: {text}"


def _lost_volume(run: Run, _: System) -> str:
    top = run.result.shrinkage
    if top is None:
        return NOT_KNOWN
    return f"{100 * top.ledger.total / float(run.result.required_wax().volume.sum()):.1f} %"


def _shares(run: Run, _: System) -> str:
    if run.melt_range is None:
        return "nothing circulates"
    return f"{100 * run.melt_range.flows_above[0]:.0f} % to {100 * run.melt_range.flows_above[-1]:.0f} %"


def _verdicts(run: Run, _: System) -> str:
    if run.melt_range is None:
        return NOT_KNOWN
    words = ["not set in time" if top is None else verdict(top, run.result.answers) for top in run.melt_range.tops]
    return " or ".join(dict.fromkeys(words))


def _span(name: str, text: Callable[[float, System], str]) -> Callable[[Run, System], str]:
    def cell(run: Run, units: System) -> str:
        span = None if run.melt_range is None else run.melt_range.span(name)
        if span is None:
            return NOT_KNOWN
        low, high = (text(value, units).replace(" ", HARD_SPACE) for value in span)
        return low if low == high else f"{low} to {high}"

    return cell


def any_melt_range(runs: Sequence[Run]) -> bool:
    """Tell whether some run has the range of the top.

    Parameters
    ----------
    runs : sequence of Run
        The runs.

    Returns
    -------
    bool
        Whether there is one.
    """
    return any(run.melt_range is not None for run in runs)
