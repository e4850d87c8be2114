"""What a set top is called."""

from __future__ import annotations

from typing import Literal

from coolsim.model.problem import Thresholds

Verdict = Literal["flat", "dished", "a pit at the wick", "domed"]
"""What a set top may be."""


def verdict_of(flatness: float, thresholds: Thresholds) -> Verdict:
    """Say in a word what a top is whose middle lies this far over its rim [m]."""
    if abs(flatness) <= thresholds.flat_within:
        return "flat"
    if flatness > 0.0:
        return "domed"
    return "a pit at the wick" if -flatness >= thresholds.pit_from else "dished"
