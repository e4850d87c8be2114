"""What is known of places of the surface, by what is known of the columns."""

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


def mean_within(edges: Array, values: Array, radius: float) -> float:
    """Mean over the places within a radius [m], by the means of the columns between some edges (nr + 1,) [m].

    The column that the circle cuts rises or falls with the square of the radius as its neighbours do: cut off at its
    edge, the circle would be as much larger or smaller as a column is wide. Round a hole as wide as the circle it is
    the mean of the innermost column.
    """
    if radius <= edges[0]:
        return float(values[0])
    squares = edges**2
    middles, limit = 0.5 * (squares[1:] + squares[:-1]), float(np.clip(radius**2, squares[0], squares[-1]))
    cut = int(np.clip(np.searchsorted(squares, limit) - 1, 0, len(values) - 1))
    low, high = max(cut - 1, 0), min(cut + 1, len(values) - 1)
    slope = (values[high] - values[low]) / (middles[high] - middles[low]) if high > low else 0.0
    inside = values[cut] + 0.5 * slope * (limit - squares[cut + 1])
    whole = np.diff(squares[: cut + 1]) @ values[:cut] + (limit - squares[cut]) * inside
    return float(whole / (limit - squares[0]))
