"""Smooth curves through points, without new maxima or minima."""

from __future__ import annotations

import numpy as np

from coolsim.model.section import Array


def smooth(places: Array, values: Array, at: Array) -> Array:
    """Go through values at ascending places along their first direction by cubics, and read them off within the ends.

    Written here because scipy.interpolate takes as long to import as a figure to draw.

    References
    ----------
    Fritsch, F. N. & Butland, J. (1984). A method for constructing local monotone piecewise cubic interpolants. SIAM
    J. Sci. Stat. Comput. 5, 300-304.
    """
    along = (-1, *[1] * (values.ndim - 1))
    step = np.diff(places).reshape(along)
    rise = np.diff(values, axis=0) / step
    slope = np.repeat(rise[:1], len(places), axis=0)
    if len(places) > 2:
        before, behind = 2.0 * step[1:] + step[:-1], step[1:] + 2.0 * step[:-1]
        same = rise[1:] * rise[:-1] > 0.0
        first, second = (np.where(same, one, 1.0) for one in (rise[:-1], rise[1:]))
        slope[1:-1] = np.where(same, (before + behind) / (before / first + behind / second), 0.0)
        slope[0] = _at_end(step[0], step[1], rise[0], rise[1])
        slope[-1] = _at_end(step[-1], step[-2], rise[-1], rise[-2])
    left = np.clip(np.searchsorted(places, at, side="right") - 1, 0, len(places) - 2)
    off = (at - places[left]).reshape(along)
    bend = (slope[:-1] + slope[1:] - 2.0 * rise) / step
    curve = (rise - slope[:-1]) / step - bend
    found: Array = values[left] + off * (slope[left] + off * (curve[left] + off * (bend / step)[left]))
    return found


def _at_end(step: Array, next_step: Array, rise: Array, next_rise: Array) -> Array:
    """Slope at an end: of the parabola through three points, bounded so that the curve turns nowhere."""
    slope = ((2.0 * step + next_step) * rise - step * next_rise) / (step + next_step)
    turns = (rise * next_rise <= 0.0) & (np.abs(slope) > 3.0 * np.abs(rise))
    bounded: Array = np.where(slope * rise <= 0.0, 0.0, np.where(turns, 3.0 * rise, slope))
    return bounded
