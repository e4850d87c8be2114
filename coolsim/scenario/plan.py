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
    start : float or None
        When weighing and melting begin, after midnight [s], if it is stated.
    cure : float
        Time from the pour to the first test burn [s].
    """

    number: str = ""
    fragrance: str = ""
    start: float | None = None
    cure: float = 14 * 86400.0
