"""A jar cut through its axis, small, without numbers, to stand beside others of one scale: with box and next jar."""

from __future__ import annotations

from typing import Any

from matplotlib.axes import Axes
from matplotlib.patches import Rectangle

from coolsim.model.jar import Jar
from coolsim.report.figures.cut import (
    draw_hollow,
    draw_vessel,
    draw_wax,
    draw_wick,
    inner_radius,
    is_hollow,
    surface,
    vessel_of,
)
from coolsim.report.figures.section_parts import held
from coolsim.report.figures.style import DASHED
from coolsim.solve.contraction import Shrinkage
from coolsim.solve.result import Result

BOARD, WATER = "#d9c2a0", "#d7e7f0"
_EDGE = "0.35"
_OVER = 10e-3
_BATH = 20e-3
_MM = 1e3

Extent = tuple[float, float, float, float]
"""Left, lower, right and upper edge, heights from the bottom of the wax [m]."""


def extent_of(result: Result, jar: Jar) -> Extent:
    """Tell what a jar takes with what stands round it."""
    pieces = [*vessel_of(result).pieces, *_board(result, jar)]
    left, low = (min(piece[side] for piece in pieces) for side in (0, 1))
    right, high = (max(piece[side] for piece in pieces) for side in (2, 3))
    if _has_neighbours(jar):
        left = min(left, _neighbour(jar) - jar.vessel.wall)
    bath = 0.0 if jar.water is None else _BATH
    return left - bath, low, right + bath, max(high, jar.depth + _OVER)


def draw_small_cut(axes: Axes, result: Result, jar: Jar, extent: Extent, *, before: Shrinkage | None = None) -> None:
    """Draw a jar in axes that show an extent [m], in millimetres, and the top of another run over it, dashed."""
    left, low, right, high = (_MM * edge for edge in extent)
    axes.set(xlim=(left, right), ylim=(low, high), aspect="equal", xticks=[], yticks=[])
    axes.spines[:].set_visible(False)
    axes.patch.set_visible(False)
    for piece in _board(result, jar):
        _draw_piece(axes, piece, "board", facecolor=BOARD, linewidth=0.4)
    for water in held(result, extent[2]):
        bottom = result.required_wax().bottom
        piece = (float(water.x[0]), float(water.z[0]) - bottom, float(water.x[-1]), float(water.z[-1]) - bottom)
        _draw_piece(axes, piece, "water", facecolor=WATER, linewidth=0.4)
    draw_vessel(axes, vessel_of(result), _MM)
    if _has_neighbours(jar):
        wall, foot = _neighbour(jar), -jar.vessel.base
        piece = (wall - jar.vessel.wall, foot, wall, foot + jar.vessel.height)
        _draw_piece(axes, piece, "neighbour", facecolor="white", linewidth=0.7, linestyle=(0, (2, 1)))
    if jar.support.material is not None:
        ground = _MM * min(piece[1] for piece in (*vessel_of(result).pieces, *_board(result, jar)))
        axes.plot([left, right], [ground] * 2, color=_EDGE, linewidth=1.0, clip_on=False, zorder=0.5, gid="bench")
    top = result.shrinkage
    if top is None:
        return
    radius, rim = inner_radius(top), _MM * (top.pour_level - top.rim_dip)
    draw_wax(axes, top.r, radius, top.level, _MM)
    draw_wick(axes, radius, top.pour_level, _MM)
    if is_hollow(top, result.answers):
        draw_hollow(axes, top, _MM)
    axes.plot([-_MM * radius, _MM * radius], [rim, rim], color="black", linewidth=0.4, zorder=3.5, gid="rim")
    if before is not None:
        x, z = (_MM * one for one in surface(before.r, inner_radius(before), before.level))
        axes.plot(x, z, color="black", linewidth=0.7, linestyle=DASHED, zorder=3.5, gid="before")


def _draw_piece(axes: Axes, piece: Extent, name: str, **look: Any) -> None:
    left, low, right, high = (_MM * edge for edge in piece)
    axes.add_patch(Rectangle((left, low), right - left, high - low, edgecolor=_EDGE, gid=name, **look))


def _has_neighbours(jar: Jar) -> bool:
    """Whether another jar stands beside it with nothing but air between."""
    if jar.surround is None:
        return False
    return jar.surround.exposed_sides < 4 if jar.places is None else jar.places.jars > 1 and not jar.places.dividers


def _neighbour(jar: Jar) -> float:
    """Where the wall of the jar on the left begins [m]: as far off as twice the gap."""
    gap = 0.0 if jar.surround is None else jar.surround.gap
    return -0.5 * jar.vessel.diameter - 2.0 * gap


def _board(result: Result, jar: Jar) -> list[Extent]:
    """List the pieces of the box: no wall on the left where a neighbour stands."""
    pieces = list(vessel_of(result, "board", "pad").pieces)
    box = jar.surround
    if box is not None and box.flaps == "closed":
        left, right, top = (pick(piece[side] for piece in pieces) for pick, side in ((min, 0), (max, 2), (max, 3)))
        pieces.append((left, top, right, top + box.flap_layers * box.layer))
    return [piece for piece in pieces if piece[2] > 0.0 or not _has_neighbours(jar)]
