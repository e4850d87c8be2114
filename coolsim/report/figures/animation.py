"""The section while it cools, as an animated GIF: runs side by side under one clock.

Left of the axis the jar is shown as it looks, the melt clear and what has set opaque; right of it by its temperatures,
on one scale. The top sinks and a cavity opens. Pictures are dense where much happens.

The page is laid out once. For each picture only what changes is drawn anew over a kept background. Wax and temperatures
take a limited number of colours, which keeps the file small and lets all pictures do with the 256 colours of a GIF.
"""

from __future__ import annotations

import tempfile
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from math import ceil, floor
from pathlib import Path
from typing import Any

import numpy as np
from matplotlib.animation import PillowWriter
from matplotlib.artist import Artist
from matplotlib.axes import Axes
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.colors import Colormap, to_rgb
from matplotlib.figure import Figure
from matplotlib.patches import Patch
from matplotlib.path import Path as MplPath
from matplotlib.text import Text
from numpy.typing import NDArray
from scipy.spatial import cKDTree

from coolsim.errors import OutputError
from coolsim.model.cell import BOX_AIR
from coolsim.model.section import Array
from coolsim.report.figures.curves import reached_events
from coolsim.report.figures.cut import GLASS, WAX, inner_radius, surface
from coolsim.report.figures.panels import height_label
from coolsim.report.figures.section_panel import (
    Scales,
    draw_front_lines,
    draw_key,
    draw_still,
    draw_sunk_top,
    fields_at,
    from_bottom,
    room_corner,
    room_text,
    scales_of,
)
from coolsim.report.figures.section_parts import node_temperature, on_pixels, on_wax, under
from coolsim.report.figures.style import (
    HALO,
    LARGE,
    NORMAL,
    PAGE_WIDTH,
    SMALL,
    Runs,
    colours,
    in_style,
    styled,
    titles_fit,
)
from coolsim.report.whole_file import write_bytes
from coolsim.report.wording import hours_minutes, in_units
from coolsim.solve.contraction import Shrinkage
from coolsim.solve.result import Result
from coolsim.units import System

FRAMES, SECONDS = 60, 12.0
"""Pictures of an animation [-], and how long it plays [s], unless said otherwise."""

MOST_FRAMES = 300
"""Each picture is kept in memory until all are written [-]."""

MOST_RUNS = 4
"""More than so many panels beside each other are too small to read [-]."""

SHORTEST_PICTURE = 0.02
"""Many programs slow down a GIF that shows a picture for less [s]."""

_DPI = 100
_WIDEST_PANEL, _SIDES, _OVER, _KEY = 4.1, 0.75, 1.15, 0.95
_LETTERS_PER_INCH = 11
_LINE = 1.2 * NORMAL / 72
_EVENTS_IN_A_LINE, _FEWER = 4, 2  # in a panel of full width, and in a narrower one
_STEP = 0.5  # K of one colour
_EVEN = 0.25  # share of the pictures that go with time alone
# How wax looks: clear melt with a gloss; four fifths opaque where it has just set.
_CLEAR, _GLOSS, _CLOUDS, _SHADES = "#d99a2b", (0.70, 0.78), 1.6, 16
_LOOKS = {"wax": _CLEAR, "glass": GLASS, "bench": "#d9d6d0", "board": "#d2bd97", "pad": "#d2bd97", "flaps": "#d2bd97"}
_OTHERS, _WATER = "#e4e4e4", "#cfe3ee"
_STILL_AT_END = 1.5  # s
_BITS, _GREYS, _MOST_COLOURS = 6, 24, 120
# A comment block that says what wrote the file, and the byte that ends one.
_COMMENT, _END = b"\x21\xfe\x07coolsim\x00", b"\x3b"
_COMPUTED = "computed, not measured"


@dataclass(frozen=True, slots=True, kw_only=True)
class _Panel:
    """What changes in one panel; where its pixels are on the page, and in the section [m]."""

    axes: Axes
    result: Result
    rows: NDArray[np.intp]
    columns: NDArray[np.intp]
    x: Array
    z: Array
    looks: NDArray[np.uint8]
    wax: NDArray[np.bool_]
    tops: Sequence[Shrinkage | None]
    room: Text
    told: Text
    in_a_line: int


def animation_times(results: Sequence[Result], *, frames: int = FRAMES, until: float | None = None) -> Array:
    """Choose the times [s] of so many pictures [-], from the pour to an end [s], or that of the longest run.

    They are dense where much changes, and as many as possible show just what they tell of: an event.
    """
    if not results:
        raise ValueError("an animation needs at least one run")
    if not 2 <= frames <= MOST_FRAMES:
        raise ValueError(f"found {frames} frames; an animation has 2 to {MOST_FRAMES}")
    end = max(float(result.time[-1]) for result in results) if until is None else until
    if not 0.0 < end < float("inf"):
        raise ValueError(f"found an end at {end:g} s; give a time after the pour")
    moments = np.unique(np.concatenate([[0.0, end], *(result.time[result.time < end] for result in results)]))
    changed = sum((_changed(result, moments) for result in results if result.wax is not None), np.zeros(len(moments)))
    happened = changed / (changed[-1] or 1.0) * (1.0 - _EVEN) + moments / end * _EVEN
    times: Array = np.interp(np.linspace(0.0, 1.0, frames) * happened[-1], happened, moments)
    events = [time for result in results for time, _, _ in reached_events(result) if time < end]
    nearest = [int(np.argmin(np.abs(times - time))) for time in events]
    for picture, time in zip(nearest, events, strict=True):
        if 0 < picture < frames - 1:
            times[picture] = time
    return times


def _changed(result: Result, moments: Array) -> Array:
    """How much has changed until some moments [s]: the solid share, with which the top sinks, and the looks [-]."""
    solid = result.solid_fraction()
    change = np.abs(np.diff(solid)) + np.abs(np.diff(_opacity(solid, result)))
    changed: Array = np.interp(moments, result.time, np.concatenate([[0.0], np.cumsum(change)]))
    return changed


def _opacity(solid: Array, result: Result) -> Array:
    """How opaque wax of a solid share [-] looks [-], an estimate: crystals cloud it long before it bears anything."""
    opacity: Array = 1.0 - np.exp(-_CLOUDS * np.clip(solid, 0.0, 1.0) / max(1.0 - result.sets_at, 1e-6))
    return opacity


def save_animation(
    path: Path | str,
    runs: Runs,
    *,
    frames: int = FRAMES,
    seconds: float = SECONDS,
    until: float | None = None,
    units: System = "metric",
    on_frame: Callable[[int, int], None] | None = None,
) -> Path:
    """Write an animated GIF of the temperature of the section, up to `MOST_RUNS` side by side under one clock.

    It plays for some seconds [s] in so many pictures [-] up to a time [s], the last one shown longer. A run that ended
    keeps its last state and says so. Equal runs give equal bytes.
    """
    if Path(path).suffix.lower() != ".gif":
        raise OutputError(f"{path}: cannot be written: an animation is a GIF. End the name in .gif.")
    times = animation_times([result for _, result in runs], frames=frames, until=until)
    if len(runs) > MOST_RUNS:
        raise ValueError(f"found {len(runs)} runs; an animation shows {MOST_RUNS} side by side at most")
    if not seconds / frames >= SHORTEST_PICTURE:
        raise ValueError(f"{frames} frames in {seconds:g} s are too quick; each needs {SHORTEST_PICTURE:g} s at least")
    with in_style(), tempfile.TemporaryDirectory() as folder:
        file = Path(folder) / "animation.gif"
        writer = PillowWriter(fps=frames / seconds)  # type: ignore[arg-type]
        palette = _Palette()
        for done, picture in enumerate(animation_pictures(runs, times, units=units), start=1):
            if done == 1:
                page = _Picture(figsize=(picture.shape[1] / _DPI, picture.shape[0] / _DPI))
                writer.setup(page, str(file), _DPI)
            page.pixels = palette.nearest(picture)
            writer.grab_frame()
            if on_frame is not None:
                on_frame(done, frames)
        for _ in range(round(_STILL_AT_END * frames / seconds)):
            writer.grab_frame()
        writer.finish()
        content = file.read_bytes().removesuffix(_END) + _COMMENT + _END
    return write_bytes(path, content)


class _Picture(Figure):
    """A page that has been drawn: the writer gets its pixels as they are, which takes a tenth of drawing them again."""

    pixels: NDArray[np.uint8]

    def savefig(self, fname: Any, **_: Any) -> None:
        """Write the pixels to a stream."""
        fname.write(self.pixels.tobytes())


class _Palette:
    """The colours that all pictures do with: what is the same in two of them then takes no room in the file."""

    def __init__(self) -> None:
        shades = np.linspace(0.0, 1.0, _SHADES + 1)[:, None]
        wax = [(1.0 - shades) * start + shades * _rgb(WAX) for start in (_rgb(_CLEAR), 0.5 * _rgb(_CLEAR) + 127.5)]
        greys = np.repeat(np.linspace(0.0, 255.0, _GREYS)[:, None], 3, axis=1)
        others = [_rgb(colour)[None, :] for colour in (*_LOOKS.values(), _OTHERS, _WATER)]
        degrees = colours().resampled(_MOST_COLOURS)(range(_MOST_COLOURS))[:, :3] * 255.0
        self._colours = np.rint(np.concatenate([greys, *wax, *others, degrees])).astype(np.uint8)
        levels = np.arange(2.0, 256.0, 2 ** (8 - _BITS))
        cube = np.stack(np.meshgrid(levels, levels, levels, indexing="ij"), axis=-1)
        self._index = cKDTree(self._colours).query(cube.reshape(-1, 3))[1]

    def nearest(self, picture: NDArray[np.uint8]) -> NDArray[np.uint8]:
        """Draw a picture in these colours."""
        red, green, blue = np.moveaxis(picture[:, :, :3].astype(np.intp) >> (8 - _BITS), 2, 0)
        found = picture.copy()
        found[:, :, :3] = self._colours[self._index[((red << _BITS) + green << _BITS) + blue]]
        return found


def animation_pictures(
    runs: Runs, times: Sequence[float] | Array, *, units: System = "metric"
) -> Iterator[NDArray[np.uint8]]:
    """Draw the pictures at the times [s] one by one, as red, green, blue and opacity; nothing is transparent."""
    panel = min((PAGE_WIDTH - _SIDES) / len(runs), _WIDEST_PANEL)
    scales = scales_of(runs, [[float(time) for time in times]] * len(runs), units=units, panel=panel)
    page = _page(runs, scales, panel)
    canvas = FigureCanvasAgg(page)
    all_axes = page.subfigs[0].axes
    with in_style():
        still = [artist for axes in all_axes for artist in _over_the_map(axes)]
        for artist in still:
            artist.set_visible(False)
        canvas.draw()  # type: ignore[no-untyped-call]
        pixels = np.asarray(canvas.buffer_rgba())  # type: ignore[no-untyped-call]
        under = pixels.copy()
        renderer = canvas.get_renderer()  # type: ignore[no-untyped-call]
        renderer.clear()
        for artist in still:
            artist.set_visible(True)
            artist.draw(renderer)
        covered = pixels[:, :, 3] > 0
        opacity = pixels[covered][:, 3:] / 255.0
        over = opacity * pixels[covered][:, :3]
        clock = page.text(0.5, 0.99, "", ha="center", va="top", fontsize=LARGE + 8, fontweight="bold")
        panels = [
            _panel(axes, result, times, scales, page.bbox.height, _in_a_line(panel))
            for axes, (_, result) in zip(all_axes, runs, strict=True)
        ]
        for number, time in enumerate(times):
            pixels[:] = under
            for one in panels:
                _draw_map(one, page, pixels, float(time), one.tops[number], scales)
            pixels[covered, :3] = np.rint((1.0 - opacity) * pixels[covered, :3] + over)
            for one in panels:
                _tell(one, page, float(time), scales)
            clock.set_text(f"{hours_minutes(float(time))} h")
            page.draw_artist(clock)
            yield pixels.copy()


@styled
def _page(runs: Runs, scales: Scales, panel: float) -> Figure:
    """Lay out the page, without what changes."""
    width = _SIDES + panel * len(runs)
    lines = _EVENTS_IN_A_LINE // _in_a_line(panel)
    height = _OVER + (lines - 1) * _LINE + panel * (scales.top - scales.low) / (2 * scales.width) + _KEY
    # Whole pixels: the picture is copied as it is.
    figure = Figure(figsize=(round(width * _DPI) / _DPI, round(height * _DPI) / _DPI), dpi=_DPI, layout="constrained")
    above, below = figure.subfigures(2, 1, height_ratios=[height - _KEY, _KEY], squeeze=False)[:, 0]
    all_axes = above.subplots(1, len(runs), squeeze=False, sharey=True)[0]
    for axes, (title, result) in zip(all_axes, runs, strict=True):
        draw_still(axes, result, scales, named=True)
        letters = int(_LETTERS_PER_INCH * panel)
        pad = (1.0 + 1.2 * lines) * NORMAL
        axes.set_title(titles_fit(title, letters, lines=1), fontsize=NORMAL + 1, fontweight="bold", pad=pad)
        for side, told in ((0.0, "as it looks"), (1.0, "temperature")):
            axes.text(
                0.015 + 0.97 * side, 0.02, told, transform=axes.transAxes, ha="right" if side else "left", va="bottom",
                fontsize=SMALL, fontstyle="italic", path_effects=list(HALO),
            )  # fmt: skip
    all_axes[0].set_ylabel(height_label(scales.unit))
    # The room for the clock.
    above.suptitle(" ", fontsize=LARGE + 8)
    figure.text(0.99, 0.99, _COMPUTED, ha="right", va="top", fontsize=SMALL, in_layout=False)
    first = [
        Patch(facecolor=_CLEAR, edgecolor="black", linewidth=0.4, label="melt: clear"),
        Patch(facecolor=WAX, edgecolor="black", linewidth=0.4, label="set wax: opaque"),
    ]
    draw_key(below, runs, scales, map=_few_colours(scales), first=first)
    return figure


def _in_a_line(panel: float) -> int:
    """How many events are named beside each other above a panel of a width in inches."""
    return _EVENTS_IN_A_LINE if panel >= _WIDEST_PANEL else _FEWER


def _few_colours(scales: Scales) -> Colormap:
    low, high = (float(scales.degrees.inverse(end)) for end in (0.0, 1.0))
    kelvin = (high - low) / in_units("temperature", scales.units)[0]
    return colours().resampled(max(round(kelvin / _STEP), 2))


def _over_the_map(axes: Axes) -> list[Artist]:
    """All that lies on the map in the order in which it is drawn."""
    found: list[Artist] = [*axes.patches, *axes.collections, *axes.lines, *axes.texts]
    return sorted(found, key=lambda artist: artist.get_zorder())


def _panel(
    axes: Axes, result: Result, times: Sequence[float] | Array, scales: Scales, height: float, in_a_line: int
) -> _Panel:
    """Find the pixels of a panel on a page of a height, and add the texts that change."""
    box, size = axes.get_window_extent(), NORMAL if in_a_line == _EVENTS_IN_A_LINE else SMALL
    columns = np.arange(ceil(box.x0), floor(box.x1))
    # The first row of a picture is its top.
    rows = np.arange(ceil(height - box.y1), floor(height - box.y0))
    up = (height - rows - 0.5 - box.y0) / box.height
    x = (2.0 * (columns + 0.5 - box.x0) / box.width - 1.0) * scales.width / scales.length
    z = (scales.low + up * (scales.top - scales.low)) / scales.length
    looks, wax = _looks(result, x, z)
    return _Panel(
        axes=axes,
        result=result,
        rows=rows,
        columns=columns,
        x=x,
        z=z,
        looks=looks,
        wax=wax,
        tops=[None] * len(times) if result.wax is None else result.tops_at(list(times)),
        room=room_corner(axes),
        told=axes.text(0.5, 1.01, "", transform=axes.transAxes, ha="center", va="bottom", fontsize=size),
        in_a_line=in_a_line,
    )


def _looks(result: Result, x: Array, z: Array) -> tuple[NDArray[np.uint8], NDArray[np.bool_]]:
    """Colours of the pixels as a jar looks that was just poured, white in the air, and which of them are wax."""
    looks, wax = np.full((len(z), len(x), 3), 255, dtype=np.uint8), np.zeros((len(z), len(x)), dtype=bool)
    standing = {one.name for one in result.held}
    for field in fields_at(result, 0.0):
        pixels = np.ix_(*under(field, x, z))
        colour = "#ffffff" if field.air else _WATER if field.what in standing else _LOOKS.get(field.what, _OTHERS)
        looks[pixels] = _rgb(colour)
        wax[pixels] = field.what == "wax"
    return looks, wax


def _rgb(colour: str) -> NDArray[np.uint8]:
    return np.rint(255.0 * np.array(to_rgb(colour))).astype(np.uint8)


def _draw_map(
    panel: _Panel, page: Figure, pixels: NDArray[np.uint8], time: float, top: Shrinkage | None, scales: Scales
) -> None:
    """Colour the pixels of a panel, and draw the front lines and the top."""
    result, shown = panel.result, min(time, float(panel.result.time[-1]))
    gone = np.zeros(panel.wax.shape, dtype=bool)
    if top is not None:
        gone = panel.wax & (panel.z[:, None] > np.interp(panel.x, *surface(top.r, inner_radius(top), top.level)))
    scale, offset, _ = in_units("temperature", scales.units)
    degrees = scale * on_pixels(fields_at(result, shown), panel.x, panel.z) + offset
    air = node_temperature(result, BOX_AIR, shown)
    degrees[gone] = np.nan if air is None else scale * air + offset
    coloured = _few_colours(scales)(scales.degrees(degrees), bytes=True)[:, :, :3]
    coloured[~np.isfinite(degrees)] = 255
    left = panel.x < 0.0
    coloured[:, left] = panel.looks[:, left]
    if top is not None:
        _draw_wax(panel, coloured, shown)
        coloured[gone & left] = 255
    pixels[panel.rows[:, None], panel.columns, :3] = coloured
    drawn: list[Artist] = [line for line, _ in draw_front_lines(panel.axes, result, shown, scales)]
    if top is not None:
        # What has sunk is white already, but lines of the fronts would run on through it.
        sunk, *others = draw_sunk_top(panel.axes, result, top, shown, scales)
        x, z = surface(top.r, inner_radius(top), top.level)
        wax = scales.length * np.column_stack([[*x, x[-1], x[0]], [*z, 0.0, 0.0]])
        for line in drawn:
            line.set_clip_path(MplPath(wax), panel.axes.transData)
        drawn += others
    for artist in drawn:
        # Not `axes.draw_artist`: in matplotlib 3.8 a part of a page knows no canvas but that of its beginning.
        page.draw_artist(artist)
        artist.remove()
    if top is not None:
        sunk.remove()


def _draw_wax(panel: _Panel, coloured: NDArray[np.uint8], time: float) -> None:
    """Colour the wax left of the axis, as clear or opaque as it looks."""
    result = panel.result
    body = from_bottom(result, on_wax(result.required_wax(), result.liquid_map(time)))
    opaque = _opacity(1.0 - on_pixels(iter([body]), panel.x, panel.z), result)
    opaque = np.rint(_SHADES * opaque)[:, :, None] / _SHADES
    inside = np.abs(panel.x) / float(result.required_wax().r_edges[-1])
    gloss = np.where((inside > _GLOSS[0]) & (inside < _GLOSS[1]), 0.5, 0.0)[:, None]
    clear = (1.0 - gloss) * _rgb(_CLEAR) + 255.0 * gloss
    here = panel.wax & (panel.x < 0.0)
    coloured[here] = np.rint((1.0 - opaque) * clear + opaque * _rgb(WAX))[here]


def _tell(panel: _Panel, page: Figure, time: float, scales: Scales) -> None:
    """Write the temperature of the room and the events that have passed."""
    result, end = panel.result, float(panel.result.time[-1])
    panel.room.set_text(room_text(result, min(time, end), scales.units))
    passed = [text for at, _, text in reached_events(result) if at <= time]
    if time > end:
        passed.append(f"ended {hours_minutes(end)}")
    starts = range(0, len(passed), panel.in_a_line)
    panel.told.set_text("\n".join("  ·  ".join(passed[at : at + panel.in_a_line]) for at in starts))
    page.draw_artist(panel.room)
    page.draw_artist(panel.told)
