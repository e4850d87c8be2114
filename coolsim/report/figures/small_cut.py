"""A jar cut through its axis, small, without numbers, to stand beside others of one scale: with box and next jar."""

from __future__ import annotations

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
    """Draw a jar in the middle of axes that show an extent [m], and the top of another run over it as a dashed line."""
    top = result.shrinkage
    axes.set(xlim=(extent[0], extent[2]), ylim=(extent[1], extent[3]), aspect="equal", xticks=[], yticks=[])
    axes.spines[:].set_visible(False)
    axes.patch.set_visible(False)
    for left, low, right, high in _board(result, jar):
        axes.add_patch(
            Rectangle(
                (left, low), right - left, high - low, facecolor=BOARD, edgecolor=_EDGE, linewidth=0.4, gid="board"
            )
        )  # fmt: skip
    for water in held(result, extent[2]):
        low = result.required_wax().bottom
        axes.add_patch(
            Rectangle(
                (water.x[0], water.z[0] - low), water.x[-1] - water.x[0], water.z[-1] - water.z[0], facecolor=WATER,
                edgecolor=_EDGE, linewidth=0.4, gid="water",
            )
        )  # fmt: skip
    draw_vessel(axes, vessel_of(result), 1.0)
    if _has_neighbours(jar):
        axes.add_patch(
            Rectangle(
                (_neighbour(jar) - jar.vessel.wall, -jar.vessel.base), jar.vessel.wall, jar.vessel.height,
                facecolor="white", edgecolor=_EDGE, linewidth=0.7, linestyle=(0, (2, 1)), gid="neighbour",
            )
        )  # fmt: skip
    if jar.support.material is not None:
        ground = min(piece[1] for piece in (*vessel_of(result).pieces, *_board(result, jar)))
        axes.plot(
            [extent[0], extent[2]], [ground] * 2, color=_EDGE, linewidth=1.0, clip_on=False, zorder=0.5, gid="bench"
        )
    if top is None:
        return
    radius = inner_radius(top)
    draw_wax(axes, top.r, radius, top.level, 1.0)
    draw_wick(axes, radius, top.pour_level, 1.0)
    if is_hollow(top, result.answers):
        draw_hollow(axes, top, 1.0)
    axes.plot(
        [-radius, radius], [top.pour_level - top.rim_dip] * 2, color="black", linewidth=0.4, zorder=3.5, gid="rim"
    )
    if before is not None:
        x, z = surface(before.r, inner_radius(before), before.level)
        axes.plot(x, z, color="black", linewidth=0.7, linestyle=DASHED, zorder=3.5, gid="before")


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
