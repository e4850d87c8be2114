"""When each place of the surface has set, between and beyond the middles of the columns."""

from __future__ import annotations

import numpy as np

from coolsim.model.section import Array
from coolsim.solve.wax_body import WaxBody


def at_radius(wax: WaxBody, times: Array, radius: float) -> float:
    """Time of a place of the surface [s], from those of the columns; NaN where it is not known.

    Straight in the square of the radius, in which it is smooth round the axis, and drawn on to the axis and the wall.
    """
    if len(times) < 2:
        return float(times[0])
    squares = wax.r**2
    after = int(np.clip(np.searchsorted(squares, radius**2), 1, len(squares) - 1))
    share = (radius**2 - squares[after - 1]) / (squares[after] - squares[after - 1])
    drawn = times[after - 1] + share * (times[after] - times[after - 1])
    return float(np.maximum(drawn, 0.0))
