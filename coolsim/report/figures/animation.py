"""The film: jars cut open while they cool, side by side under one clock, as a GIF or an MP4.

Melt is clear and has a gloss, set wax is opaque; the solid front, the sinking top and the cavity that opens under it
are drawn to scale. Pictures are dense where much happens. The last one stays for a while, then it fades into the first.

It is read on a phone, so the page is half as wide as a figure. It is laid out once, and for each picture only the jars
and what is told of them are drawn. Wax takes a limited number of colours, which keeps the file small and lets all
pictures do with the 256 colours of a GIF.
"""

from __future__ import annotations

import functools
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from io import BytesIO
from pathlib import Path
from typing import Any

import numpy as np
from matplotlib.artist import Artist
from matplotlib.axes import Axes
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.colors import to_rgb
from matplotlib.figure import Figure
from matplotlib.lines import Line2D
from matplotlib.patches import Patch, Polygon, Rectangle
from matplotlib.path import Path as MplPath
from matplotlib.text import Text
from numpy.typing import NDArray

# Matplotlib draws no picture without it.
from PIL import Image
from scipy.spatial import cKDTree

from coolsim.errors import OutputError
from coolsim.model.section import Array
from coolsim.report.figures.curves import reached_events
from coolsim.report.figures.cut import (
    GLASS,
    HOLLOW,
    HOLLOW_HATCH,
    WAX,
    cavity_outlines,
    draw_pour_level,
    draw_vessel,
    draw_wick,
    inner_radius,
    is_hollow,
    surface,
    vessel_of,
)
from coolsim.report.figures.field_map import PixelMap
from coolsim.report.figures.mp4 import encode_mp4
from coolsim.report.figures.panels import columns_for
from coolsim.report.figures.section_panel import bench_top, draw_solid_front, fields_at, from_bottom, room_text, upright
from coolsim.report.figures.section_parts import on_pixels, on_wax
from coolsim.report.figures.style import LARGE, NORMAL, PICTURE_DPI, SMALL, Runs, in_style, titles_fit
from coolsim.report.whole_file import write_bytes
from coolsim.report.wording import hours_minutes, length_text, temperature_text
from coolsim.solve.contraction import Shrinkage
from coolsim.solve.curves import temperature_of_point, usual_points
from coolsim.solve.result import Result
from coolsim.units import System

FRAMES, SECONDS = 96, 12.0
"""Pictures of a film from the pour to its end [-], and how long they play [s], unless said otherwise."""

MOST_FRAMES = 300
"""Each picture is kept in memory until all are written [-]."""

MOST_RUNS = 4
"""More than so many jars in a film are too small to read [-]."""

SHORTEST_PICTURE = 0.02
"""Many programs slow down a GIF that shows a picture for less [s]."""

_STILL_AT_START, _STILL_AT_END, _FADE = 0.5, 2.0, 1.0
"""How much longer the first and the last picture are shown, and how long the last takes to fade into the first [s]."""

_LENGTH = 1e3
# On paper [in]: a jar alone, or beside others; over it the clock, and its title and temperatures; a line under it.
_ALONE, _BESIDE = 4.0, 2.5
_CLOCK, _TITLE, _LINE, _GAP, _EDGE = 0.42, 0.55, 1.42 * NORMAL / 72, 0.16, 0.08
_KEY, _FOOT = 0.26, 0.2
_LETTERS_PER_INCH = 10.5
_MARGIN, _BENCH = 1.06, 12.0  # widths of what stands on the bench; of which so much is drawn [mm]
_BARS = {"metric": 20.0, "us": 25.4}  # mm
_EVEN = 0.25  # share of the pictures that go with time alone
# How wax looks: clear melt; four fifths opaque where it has just set. The gloss goes from dark at the glass to white.
_CLEAR, _DEEP, _CLOUDS, _SHADES = "#dd9f33", "#9a6414", 1.6, 16
_DARKEST, _BRIGHTEST, _DARKER, _BRIGHTER = -3, 7, 0.13, 0.095
_SHEEN, _SHEEN_DEEP = 3, 0.9e-3  # levels of gloss, and how deep it is under the surface [m]
_LOOKS = {"bench": "#ddd3c4", "board": "#d2bd97", "pad": "#d2bd97", "flaps": "#d2bd97", "mat": "#d2bd97"}
_OTHERS, _WATER = "#e4e4e4", "#cfe3ee"
_TOLD = ("rim_set", "top_closed", "fully_set", "top_final", "cool")
_LATER = "0.72"  # of what has not happened yet
_BITS, _GREYS = 6, 24
_FOOTER = "computed, not measured  ·  the clock runs faster where little happens"


@dataclass(slots=True, kw_only=True)
class _Panel:
    """A jar: its run, its tops in all pictures, what is drawn over its wax; what is told of it, and from when [s]."""

    axes: Axes
    high: float
    hollow: bool
    result: Result
    tops: Sequence[Shrinkage | None]
    over: list[Artist]
    now: Text
    sunk: Text
    told: Sequence[tuple[float, Text]]


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
    events = [time for result in results for time, _ in _events(result) if time < end]
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


def _events(result: Result) -> list[tuple[float, str]]:
    """List what is told of a run, and when it has happened [s]."""
    found = [(time, text) for time, _, text in reached_events(result, _TOLD)]
    skin = None if result.events is None else result.events.first_skin
    if skin is not None and skin.melted_again is not None:
        found.append((skin.melted_again, f"first skin melted again {hours_minutes(skin.melted_again)}"))
    if result.ended != "cool":
        end = float(result.time[-1])
        found.append((end, f"run ends {hours_minutes(end)}"))
    return sorted(found)


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
    """Write a film of up to `MOST_RUNS` jars side by side under one clock, as a GIF, or as an MP4 where ffmpeg is.

    It goes in so many pictures [-] and seconds [s] up to a time [s], stays there, and fades into its beginning. A run
    that ended keeps its last state and says so. Equal runs give equal bytes.
    """
    ending = Path(path).suffix.lower()
    if ending not in (".gif", ".mp4"):
        raise OutputError(f"{path}: cannot be written: a film is a GIF or an MP4. End the name in .gif or .mp4.")
    times = animation_times([result for _, result in runs], frames=frames, until=until)
    if len(runs) > MOST_RUNS:
        raise ValueError(f"found {len(runs)} runs; an animation shows {MOST_RUNS} side by side at most")
    if not seconds / frames >= SHORTEST_PICTURE:
        raise ValueError(f"{frames} frames in {seconds:g} s are too quick; each needs {SHORTEST_PICTURE:g} s at least")

    def pictures() -> Iterator[NDArray[np.uint8]]:
        for done, picture in enumerate(animation_pictures(runs, times, units=units), start=1):
            yield picture
            if on_frame is not None:
                on_frame(done, frames)

    shown = _looped(pictures(), frames / seconds)
    with in_style():
        return write_bytes(
            path, _gif(shown, frames / seconds) if ending == ".gif" else encode_mp4(path, shown, frames / seconds)
        )


def _looped(pictures: Iterator[NDArray[np.uint8]], rate: float) -> Iterator[NDArray[np.uint8]]:
    """Go through pictures of which so many are shown in a second [1/s]: hold the ends, and lead the last to the first.

    A fade is no melting back: nothing is shown that does not happen.
    """
    first = last = next(pictures)
    yield from [first] * (1 + round(_STILL_AT_START * rate))
    for last in pictures:
        yield last
    yield from [last] * round(_STILL_AT_END * rate)
    steps = round(_FADE * rate)
    for share in 0.5 - 0.5 * np.cos(np.pi * np.arange(1, steps + 1) / (steps + 1)):
        yield np.rint((1.0 - share) * last + share * first).astype(np.uint8)


def _gif(pictures: Iterator[NDArray[np.uint8]], rate: float) -> bytes:
    """Pack pictures into a GIF that plays again and again, so many in a second [1/s]."""
    palette, file = _Palette(), BytesIO()
    shown = (palette.nearest(picture) for picture in pictures)
    # The comment tells what wrote it. To optimise is to keep only what differs from the picture before.
    how: dict[str, Any] = {"duration": 1000.0 / rate, "loop": 0, "comment": b"coolsim", "optimize": True}
    next(shown).save(file, format="GIF", save_all=True, append_images=shown, **how)
    return file.getvalue()


class _Palette:
    """The colours that all pictures do with: what is the same in two of them then takes no room in the file."""

    def __init__(self) -> None:
        greys = np.repeat(np.linspace(0.0, 255.0, _GREYS)[:, None], 3, axis=1)
        others = [_rgb(colour)[None, :] for colour in (*dict.fromkeys(_LOOKS.values()), GLASS, _OTHERS, _WATER)]
        self._colours = np.concatenate([greys, _wax_colours().reshape(-1, 3), *others]).astype(np.uint8)
        levels = np.arange(2.0, 256.0, 2 ** (8 - _BITS))
        cube = np.stack(np.meshgrid(levels, levels, levels, indexing="ij"), axis=-1)
        self._nearest = cKDTree(self._colours).query(cube.reshape(-1, 3))[1].astype(np.uint8)

    def nearest(self, picture: NDArray[np.uint8]) -> Image.Image:
        """Draw a picture in these colours."""
        red, green, blue = np.moveaxis(picture[:, :, :3] >> (8 - _BITS), 2, 0).astype(np.uint32)
        found = Image.fromarray(self._nearest[((red << _BITS) + green << _BITS) + blue])
        found.putpalette(self._colours.tobytes())
        return found


def _rgb(colour: str) -> NDArray[np.uint8]:
    return np.rint(255.0 * np.array(to_rgb(colour))).astype(np.uint8)


@functools.cache
def _wax_colours() -> NDArray[np.uint8]:
    """Colours of wax by its gloss, from the darkest level, and by its opacity in shades."""
    level = np.arange(_DARKEST, _BRIGHTEST + 1)[:, None]
    deep, bright = -_DARKER * np.minimum(level, 0), _BRIGHTER * np.maximum(level, 0)
    clear = (1.0 - deep - bright) * _rgb(_CLEAR) + deep * _rgb(_DEEP) + bright * 255.0
    opaque = np.linspace(0.0, 1.0, _SHADES + 1)[:, None]
    return np.rint((1.0 - opaque) * clear[:, None, :] + opaque * _rgb(WAX)).astype(np.uint8)


class _WaxMap(PixelMap):
    """Wax under its surface, as clear or opaque as it looks at a time [s]."""

    def __init__(self, result: Result, top: Shrinkage, time: float) -> None:
        super().__init__(length=_LENGTH)
        self._result, self._top, self._time = result, top, time

    def pixels(self, x: Array, z: Array) -> NDArray[np.uint8]:
        """Colour the wax."""
        result, top = self._result, self._top
        radius = inner_radius(top)
        under = np.interp(x, *surface(top.r, radius, top.level)) - z[:, None]
        body = from_bottom(result, on_wax(result.required_wax(), result.liquid_map(self._time)))
        # Warm wax may rise above the level of its pour.
        solid = 1.0 - on_pixels([body], x, np.clip(z, body.z[0], body.z[-1]))
        opaque = np.rint(_SHADES * _opacity(np.nan_to_num(solid), result)).astype(np.intp)
        level = _gloss(x / radius, z / top.pour_level) + np.where(under < _SHEEN_DEEP, _SHEEN, 0.0)
        level = np.rint(np.clip(level, _DARKEST, _BRIGHTEST)).astype(np.intp)
        found = np.zeros((len(z), len(x), 4), dtype=np.uint8)
        found[:, :, :3] = _wax_colours()[level - _DARKEST, opaque]
        found[:, :, 3] = np.where((under >= 0.0) & (z[:, None] >= 0.0) & (np.abs(x) <= radius), 255, 0)
        return found


def _gloss(across: Array, up: Array) -> Array:
    """Levels of gloss at shares of the radius and of the depth: dark towards the glass, with two lights of a window."""

    def light(place: float, width: float, level: float) -> Array:
        return np.asarray(level * np.exp(-(((across - place) / width) ** 2)))

    lights = light(-0.7, 0.075, _BRIGHTEST + 1.5) + light(0.83, 0.04, 0.6 * _BRIGHTEST)
    ends = np.clip(up / 0.16 - 0.5, 0.0, 1.0) * np.clip((1.0 - up) / 0.12 - 0.6, 0.0, 1.0)
    return np.asarray(_DARKEST * np.abs(across) ** 5 + ends[:, None] * lights)


def animation_pictures(
    runs: Runs, times: Sequence[float] | Array, *, units: System = "metric"
) -> Iterator[NDArray[np.uint8]]:
    """Draw the pictures at the times [s] one by one, as red, green, blue and opacity; nothing is transparent."""
    with in_style():
        page, panels, clock = _page(runs, times, units)
        canvas = FigureCanvasAgg(page)
        canvas.draw()  # type: ignore[no-untyped-call]
        pixels = np.asarray(canvas.buffer_rgba())  # type: ignore[no-untyped-call]
        still, told = pixels.copy(), -1.0
        for number, time in enumerate(times):
            pixels[:] = still
            for text in (text for panel in panels for at, text in panel.told if told < at <= time):
                text.set_color("black")
                page.draw_artist(text)
            # What is told once stays.
            still[:], told = pixels, float(time)
            for panel in panels:
                _draw_jar(panel, page, float(time), panel.tops[number])
                _tell(panel, page, float(time), panel.tops[number], units)
            clock.set_text(f"{hours_minutes(float(time))} h")
            page.draw_artist(clock)
            yield pixels.copy()


def _page(runs: Runs, times: Sequence[float] | Array, units: System) -> tuple[Figure, list[_Panel], Text]:
    """Lay out a page of whole and even pixels, as a video wants them; what changes is returned with it."""
    columns = columns_for(len(runs))
    rows = -(-len(runs) // columns)
    wide = _ALONE if columns == 1 else _BESIDE
    half = _MARGIN * _LENGTH * max(upright(result) for _, result in runs)
    # All stand on one bench.
    lows = [_LENGTH * bench_top(result) - _BENCH for _, result in runs]
    high = 1.03 * max(
        _LENGTH * float(field.z[-1]) - low
        for (_, result), low in zip(runs, lows, strict=True)
        for field in fields_at(result, 0.0)
    )
    tall = wide * high / (2.0 * half)
    told = max(len(_events(result)) for _, result in runs)
    cell = _TITLE + tall + (told + 1) * _LINE + _GAP
    size = [2 * round(0.5 * PICTURE_DPI * one) for one in (wide * columns, _CLOCK + rows * cell + _KEY + _FOOT)]
    width, height = (one / PICTURE_DPI for one in size)
    page = Figure(figsize=(width, height), dpi=PICTURE_DPI)
    page.canvas = FigureCanvasAgg(page)
    panels = []
    for number, ((title, result), low) in enumerate(zip(runs, lows, strict=True)):
        left, upper = wide * (number % columns), height - _CLOCK - cell * (number // columns)
        box = (left / width, (upper - _TITLE - tall) / height, wide / width, tall / height)
        axes = page.add_axes(box, xlim=(-half, half), ylim=(low, low + high))
        axes.set_axis_off()
        panels.append(_panel(page, axes, (left, upper - _TITLE), result, times))
        page.text(
            (left + 0.5 * wide) / width, (upper - 0.2) / height, titles_fit(title, int(_LETTERS_PER_INCH * wide)),
            ha="center", va="center", fontsize=LARGE, fontweight="bold", linespacing=1.1,
        )  # fmt: skip
    panels[0].over += _bar(page, panels[0].axes, units)
    page.legend(
        handles=_keys(panels), loc="lower center", bbox_to_anchor=(0.5, _FOOT / height), ncols=4, fontsize=NORMAL,
        handlelength=1.5, columnspacing=1.2, handletextpad=0.5, borderaxespad=0.0,
    )  # fmt: skip
    page.text(0.5, _EDGE / height, _FOOTER, ha="center", va="bottom", fontsize=SMALL)
    clock = page.text(0.5, 1.0 - _EDGE / height, "", ha="center", va="top", fontsize=2 * LARGE, fontweight="bold")
    return page, panels, clock


def _panel(
    page: Figure, axes: Axes, place: tuple[float, float], result: Result, times: Sequence[float] | Array
) -> _Panel:
    """Put into axes what is drawn over the wax, and beside them, from their upper left corner [in], what is told."""
    width, height = page.get_size_inches()
    wide, tall = axes.bbox.width / page.dpi, axes.bbox.height / page.dpi
    left, upper = place
    middle, inner = left + 0.5 * wide, left + 2.0 * _EDGE

    def text(x: float, y: float, ha: str, told: str = "") -> Text:
        colour = _LATER if told else "black"
        return page.text(x / width, y / height, told, ha=ha, va="baseline", fontsize=NORMAL, color=colour)

    told = []
    lines = upper - tall - _EDGE - _LINE * np.arange(0.7, 2.0 + len(_events(result)))
    for (time, event), line in zip(_events(result), lines[1:], strict=False):
        name, _, at = event.rpartition(" ")
        told.append((time, text(inner, line, "left", name)))
        told.append((time, text(left + wide - 2.0 * _EDGE, line, "right", at)))
    tops: Sequence[Shrinkage | None] = [None] * len(times)
    over: list[Artist] = []
    if result.shrinkage is not None:
        radius, depth = inner_radius(result.shrinkage), result.shrinkage.pour_level
        tops = result.tops_at(list(times))
        draw_pour_level(axes, radius, depth, _LENGTH)
        draw_vessel(axes, vessel_of(result), _LENGTH)
        draw_wick(axes, radius, depth, _LENGTH)
        over = sorted([*axes.lines, *axes.patches], key=lambda artist: artist.get_zorder())
        for artist in over:
            artist.set_animated(True)
    return _Panel(
        axes=axes,
        high=float(np.ptp(axes.get_ylim())),
        hollow=result.shrinkage is not None and is_hollow(result.shrinkage, result.answers),
        result=result,
        tops=tops,
        over=over,
        now=text(middle, upper + 0.5 * _EDGE, "center"),
        sunk=text(middle, lines[0], "center"),
        told=told,
    )


def _bar(page: Figure, axes: Axes, units: System) -> list[Artist]:
    """Draw a length on the bench, so that everybody sees that nothing is stretched."""
    long, x, y = _BARS[units], 0.94 * axes.get_xlim()[0], 0.4 * _BENCH / float(np.ptp(axes.get_ylim()))
    how: dict[str, Any] = {"transform": axes.get_xaxis_transform()}
    (bar,) = axes.plot([x, x + long], [y, y], color="black", linewidth=1.6, marker="|", markersize=6, gid="bar", **how)
    told = f"{length_text(long / _LENGTH, units)}, true to scale"
    drawn = [bar, page.text(x + 1.1 * long, y, told, va="center", fontsize=SMALL, **how)]
    for artist in drawn:
        artist.set_animated(True)
    return drawn


def _keys(panels: Sequence[_Panel]) -> list[Patch | Line2D]:
    """Give the handles of the legend."""
    how: dict[str, Any] = {"edgecolor": "black", "linewidth": 0.6}
    hollow = any(one.hollow for one in panels)
    return [
        Patch(facecolor=_CLEAR, label="melt", **how),
        Patch(facecolor=WAX, label="set wax", **how),
        Line2D([], [], color="black", linewidth=1.3, label="solid front"),
        *([Patch(facecolor=HOLLOW, hatch=HOLLOW_HATCH, label="hidden cavity", **how)] if hollow else []),
    ]


def _draw_jar(panel: _Panel, page: Figure, time: float, top: Shrinkage | None) -> None:
    """Draw a jar as it is at a time [s]: what it stands in, its wax, the vessel, front, top and cavity."""
    axes, result, shown = panel.axes, panel.result, min(time, float(panel.result.time[-1]))
    standing = {one.name for one in result.held}
    how: dict[str, Any] = {"edgecolor": "black", "linewidth": 0.6}

    def draw(artist: Artist) -> None:
        # Not `axes.draw_artist`: in matplotlib 3.8 a part of a page knows no canvas but that of its beginning.
        page.draw_artist(artist)
        artist.remove()

    fields = [field for field in fields_at(result, shown) if not field.air]
    there = [field for field in fields if np.isfinite(field.values).any()]
    bench = bench_top(result)
    if not any(field.what == "bench" for field in there):
        # It was left behind with the box: the jar stands on another one, of which the run knows nothing.
        bench = min(float(field.z[0]) for field in there)
    axes.set_ylim(_LENGTH * bench - _BENCH, _LENGTH * bench - _BENCH + panel.high)
    for field in fields:
        (left, right), (low, high) = (_LENGTH * one[[0, -1]] for one in (field.x, field.z))
        if field.what == "bench":
            (left, right), high = 1.1 * np.array(axes.get_xlim()), _LENGTH * bench
        elif all(field is not one for one in there) or (top is not None and field.what in ("wax", "glass")):
            continue
        colour = _WATER if field.what in standing else _LOOKS.get(field.what, _OTHERS)
        draw(axes.add_patch(Rectangle((left, low), right - left, high - low, facecolor=colour, **how)))
    lines: list[Artist] = []
    if top is not None:
        draw(axes.add_artist(_WaxMap(result, top, shown)))
        x, z = (_LENGTH * one for one in surface(top.r, inner_radius(top), top.level))
        front = draw_solid_front(axes, result, shown, _LENGTH)
        if front is not None:
            # Not where wax has sunk.
            front.set_clip_path(MplPath(np.column_stack([[*x, *x[[-1, 0]]], [*z, 0.0, 0.0]])), axes.transData)
            lines.append(front)
        for outline in cavity_outlines(top) if panel.hollow else ():
            draw(axes.add_patch(Polygon(_LENGTH * outline, facecolor=HOLLOW, hatch=HOLLOW_HATCH, **how)))
        lines.append(axes.add_line(Line2D(x, z, color="black", linewidth=1.3, solid_capstyle="butt")))
    for artist in panel.over:
        page.draw_artist(artist)
    for artist in lines:
        draw(artist)


def _tell(panel: _Panel, page: Figure, time: float, top: Shrinkage | None, units: System) -> None:
    """Write the temperatures, and how far the top has sunk."""
    result, end = panel.result, float(panel.result.time[-1])
    now = room_text(result, min(time, end), units).replace("\n", " ")
    if top is not None:
        centre = temperature_of_point(result, *usual_points(result.required_wax())["centre"])
        now += f"  ·  centre of the wax {temperature_text(float(np.interp(time, result.time, centre)), units)}"
        panel.sunk.set_text(f"middle of the top has sunk {length_text(top.centre_dip, units)}")
    panel.now.set_text(now)
    for text in (panel.now, panel.sunk):
        page.draw_artist(text)
