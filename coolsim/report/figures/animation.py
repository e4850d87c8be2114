"""The section while it cools, as an animated GIF: runs side by side under one clock, on one scale of temperature.

The page is laid out once. For each picture only what changes is drawn anew over a kept background: temperatures, front
lines, clock, and the events that have passed. Temperatures take a limited number of colours, which keeps the file small
and lets all pictures do with the 256 colours that a GIF has.
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
from matplotlib.colors import Colormap
from matplotlib.figure import Figure
from matplotlib.text import Text
from numpy.typing import NDArray

from coolsim.errors import OutputError
from coolsim.model.section import Array
from coolsim.report.figures.curves import reached_events
from coolsim.report.figures.section_panel import (
    Scales,
    draw_front_lines,
    draw_key,
    draw_still,
    fields_at,
    room_corner,
    room_text,
    scales_of,
)
from coolsim.report.figures.section_parts import Field
from coolsim.report.figures.style import LARGE, NORMAL, PAGE_WIDTH, SMALL, Runs, colours, in_style, styled, titles_fit
from coolsim.report.whole_file import write_bytes
from coolsim.report.wording import hours_minutes, in_units
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
_WIDEST_PANEL, _SIDES, _OVER, _KEY = 4.1, 0.6, 1.15, 0.8
_LETTERS_PER_INCH = 11
_LINE = 1.2 * NORMAL / 72
_EVENTS_IN_A_LINE, _FEWER = 4, 2  # in a panel of full width, and in a narrower one
_STEP = 0.5  # K of one colour
_STILL_AT_END = 1.5  # s
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
    room: Text
    told: Text
    in_a_line: int


def animation_times(results: Sequence[Result], *, frames: int = FRAMES, until: float | None = None) -> Array:
    """Choose the times [s] of so many pictures [-]: evenly from the pour to an end [s], or that of the longest run."""
    if not results:
        raise ValueError("an animation needs at least one run")
    if not 2 <= frames <= MOST_FRAMES:
        raise ValueError(f"found {frames} frames; an animation has 2 to {MOST_FRAMES}")
    end = max(float(result.time[-1]) for result in results) if until is None else until
    if not 0.0 < end < float("inf"):
        raise ValueError(f"found an end at {end:g} s; give a time after the pour")
    return np.linspace(0.0, end, frames)


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
        for done, picture in enumerate(animation_pictures(runs, times, units=units), start=1):
            if done == 1:
                page = _Picture(figsize=(picture.shape[1] / _DPI, picture.shape[0] / _DPI))
                writer.setup(page, str(file), _DPI)
            page.pixels = picture
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


def animation_pictures(
    runs: Runs, times: Sequence[float] | Array, *, units: System = "metric"
) -> Iterator[NDArray[np.uint8]]:
    """Draw the pictures at the times [s] one by one, as red, green, blue and opacity; nothing is transparent."""
    panel = min((PAGE_WIDTH - _SIDES) / len(runs), _WIDEST_PANEL)
    scales = scales_of(runs, [float(time) for time in times], units=units, panel=panel)
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
            _panel(axes, result, scales, page.bbox.height, _in_a_line(panel))
            for axes, (_, result) in zip(all_axes, runs, strict=True)
        ]
        for time in times:
            pixels[:] = under
            for one in panels:
                _draw_map(one, page, pixels, float(time), scales)
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
    height = _OVER + (lines - 1) * _LINE + panel * scales.top / (2 * scales.width) + _KEY
    # Whole pixels: the picture is copied as it is.
    figure = Figure(figsize=(round(width * _DPI) / _DPI, round(height * _DPI) / _DPI), dpi=_DPI, layout="constrained")
    above, below = figure.subfigures(2, 1, height_ratios=[height - _KEY, _KEY], squeeze=False)[:, 0]
    all_axes = above.subplots(1, len(runs), squeeze=False, sharey=True)[0]
    for axes, (title, result) in zip(all_axes, runs, strict=True):
        draw_still(axes, result, scales, named=True)
        letters = int(_LETTERS_PER_INCH * panel)
        pad = (1.0 + 1.2 * lines) * NORMAL
        axes.set_title(titles_fit(title, letters, lines=1), fontsize=NORMAL + 1, fontweight="bold", pad=pad)
    all_axes[0].set_ylabel(f"height [{scales.unit}]")
    # The room for the clock.
    above.suptitle(" ", fontsize=LARGE + 8)
    figure.text(0.99, 0.99, _COMPUTED, ha="right", va="top", fontsize=SMALL, in_layout=False)
    draw_key(below, runs, scales, map=_few_colours(scales))
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


def _panel(axes: Axes, result: Result, scales: Scales, height: float, in_a_line: int) -> _Panel:
    """Find the pixels of a panel on a page of a height, and add the texts that change."""
    box, size = axes.get_window_extent(), NORMAL if in_a_line == _EVENTS_IN_A_LINE else SMALL
    columns = np.arange(ceil(box.x0), floor(box.x1))
    # The first row of a picture is its top.
    rows = np.arange(ceil(height - box.y1), floor(height - box.y0))
    return _Panel(
        axes=axes,
        result=result,
        rows=rows,
        columns=columns,
        x=(2.0 * (columns + 0.5 - box.x0) / box.width - 1.0) * scales.width / scales.length,
        z=(height - rows - 0.5 - box.y0) / box.height * scales.top / scales.length,
        room=room_corner(axes),
        told=axes.text(0.5, 1.01, "", transform=axes.transAxes, ha="center", va="bottom", fontsize=size),
        in_a_line=in_a_line,
    )


def _draw_map(panel: _Panel, page: Figure, pixels: NDArray[np.uint8], time: float, scales: Scales) -> None:
    """Colour the pixels of a panel by their temperature, and draw the front lines."""
    shown = min(time, float(panel.result.time[-1]))
    degrees = _on_pixels(fields_at(panel.result, shown), panel.x, panel.z, scales)
    coloured = _few_colours(scales)(scales.degrees(degrees), bytes=True)
    part = np.ix_(panel.rows, panel.columns)
    pixels[part] = np.where(np.isfinite(degrees)[:, :, None], coloured, pixels[part])
    for line, _ in draw_front_lines(panel.axes, panel.result, shown, scales):
        # Not `axes.draw_artist`: in matplotlib 3.8 a part of a page knows no canvas but that of its beginning.
        page.draw_artist(line)
        line.remove()


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


def _on_pixels(fields: Iterator[Field], x: Array, z: Array, scales: Scales) -> Array:
    """Temperature of the pixels in the units of the workshop, straight between the points of a field; NaN outside."""
    scale, offset, _ = in_units("temperature", scales.units)
    found = np.full((len(z), len(x)), np.nan)
    for field in fields:
        columns = np.flatnonzero((x >= field.x[0]) & (x <= field.x[-1]))
        rows = np.flatnonzero((z >= field.z[0]) & (z <= field.z[-1]))
        if not len(columns) or not len(rows):
            # Thinner than a pixel: its outline shows where it is.
            continue
        left, across = _shares(field.x, x[columns])
        below, up = _shares(field.z, z[rows])
        wide = (1.0 - across) * field.values[:, left] + across * field.values[:, left + 1]
        values = (1.0 - up)[:, None] * wide[below] + up[:, None] * wide[below + 1]
        found[np.ix_(rows, columns)] = scale * values + offset
    return found


def _shares(points: Array, places: Array) -> tuple[NDArray[np.intp], Array]:
    """Point before each place, and how far the place is on the way to the next one."""
    before = np.clip(np.searchsorted(points, places, side="right") - 1, 0, len(points) - 2)
    return before, (places - points[before]) / (points[before + 1] - points[before])
