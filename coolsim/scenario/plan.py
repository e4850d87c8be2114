"""What a scenario says about the batch and its day beside the physics."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, kw_only=True)
class Plan:
    """What sheet, day plan and label say about a batch.

    Parameters
    ----------
    number : str
        Its number or name; may be empty.
    fragrance : str
        What the fragrance oil is called; may be empty.
    load : float
        Mass of fragrance oil in the mass of the mix [-].
    start : float or None
        When weighing and melting begin, after midnight [s], if it is stated.
    melting : float
        Time from the start of melting until the oil is added [s].
    resting : float
        Time from adding the oil until the pour [s].
    cure : float
        Time from the pour to the first test burn [s].
    """

    number: str = ""
    fragrance: str = ""
    load: float = 0.0
    start: float | None = None
    melting: float = 3600.0
    resting: float = 900.0
    cure: float = 14 * 86400.0
