"""What a set top is called, and how far that may be off because nobody knows how soft the wax is."""

from __future__ import annotations

from typing import Literal, NamedTuple

from coolsim.model.problem import Thresholds
from coolsim.solve.result import Result

Verdict = Literal["flat", "dished", "a pit at the wick", "domed"]
"""What a set top may be."""

WORDS: tuple[Verdict, ...] = ("flat", "dished", "a pit at the wick", "domed")
"""All of them."""

DEAD_BAND = 0.2e-3
"""A top this close to a limit, either way, is called by the words on both of its sides [m]."""


class Band(NamedTuple):
    """Least and largest depth of the middle below the rim [m]."""

    low: float
    high: float


def verdict_of(dish: float, hole: float, thresholds: Thresholds) -> Verdict:
    """Say in a word what a top is, by how deep dish and hole are [m].

    A hole is what lies below the level at half the radius, so a wide basin is dished, however deep.
    """
    if dish + hole < -thresholds.flat_within:
        return "domed"
    if hole >= thresholds.pit_from:
        return "a pit at the wick"
    return "dished" if max(dish, hole, dish + hole) > thresholds.flat_within else "flat"


def verdict_text(dish: float, hole: float, thresholds: Thresholds) -> str:
    """Say what a top is from its dish and its hole [m]; close to a limit with both words, the flatter one first."""
    low, high = (verdict_of(dish + off, hole + off, thresholds) for off in (-DEAD_BAND, DEAD_BAND))
    return low if low == high else f"{low} to {high}"


def depth_band(result: Result) -> Band | None:
    """Depth of the middle below the rim with stiffer and softer wax than that of the run; None without wax.

    What is not known about the top is worst known by how stiff mush is and what suction it bears
    (`Result.shrunk_otherwise`). The run itself stays as it is.
    """
    if result.wax is None or result.shrinkage is None:
        return None
    own = result.shrinkage.depth
    down, up = 0.0, 0.0
    for other in result.shrunk_otherwise:
        off = other.depth - own
        down, up = down + min(off, 0.0) ** 2, up + max(off, 0.0) ** 2
    return Band(low=max(0.0, own - down**0.5) if own > 0.0 else own - down**0.5, high=own + up**0.5)
