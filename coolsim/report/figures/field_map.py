"""Pictures of what a section holds: each pixel has the colour of what lies under its middle."""

from __future__ import annotations

from abc import abstractmethod
from collections.abc import Iterable
from math import ceil, floor

import numpy as np
from matplotlib.artist import Artist
from matplotlib.axes import Axes
from matplotlib.backend_bases import RendererBase
from matplotlib.colors import Normalize
from numpy.typing import NDArray

from coolsim.model.section import Array
from coolsim.report.figures.section_parts import Field, on_pixels
from coolsim.report.figures.style import colours


class PixelMap(Artist):
    """A picture over all that its axes show, by so many units of theirs to the metre (length [1/m]).

    A page knows its pixels when it is drawn, so that is when colours are asked for: an edge is as sharp as they are,
    and nothing is sampled twice.
    """

    def __init__(self, *, length: float) -> None:
        super().__init__()
        self._length = length
        # Below all that is drawn on it, and inside the axes: the layout need not measure it.
        self.set_zorder(0.0)
        self.set_in_layout(False)

    @abstractmethod
    def pixels(self, x: Array, z: Array) -> NDArray[np.uint8]:
        """Give red, green, blue and opacity of the pixels with their middles at x and z [m], from the lowest row up."""

    def draw(self, renderer: RendererBase) -> None:
        """Draw the picture."""
        axes = self.axes
        if not isinstance(axes, Axes) or not self.get_visible():
            return
        fine = renderer.get_image_magnification()
        first, middles = [], []
        box = axes.bbox
        for (start, end), (low, high) in (((box.x0, box.x1), axes.get_xlim()), ((box.y0, box.y1), axes.get_ylim())):
            places = np.arange(floor(fine * start), ceil(fine * end))
            share = ((places + 0.5) / fine - start) / (end - start)
            first.append(places[0] / fine)
            middles.append((low + share * (high - low)) / self._length)
        renderer.open_group("map", self.get_gid())
        gc = renderer.new_gc()
        gc.set_clip_rectangle(box)
        renderer.draw_image(gc, first[0], first[1], self.pixels(*middles))
        gc.restore()
        renderer.close_group("map")
        self.stale = False


class FieldMap(PixelMap):
    """Temperatures or times in the colours of a scale.

    Parameters
    ----------
    fields : iterable of Field
        What is shown, the last one on top, in the units of the scale of colours.
    norm : Normalize
        Scale of colours.
    length : float
        Units of the axes in a metre [1/m].
    """

    def __init__(self, fields: Iterable[Field], norm: Normalize, *, length: float) -> None:
        super().__init__(length=length)
        self.fields, self.norm = tuple(fields), norm

    def pixels(self, x: Array, z: Array) -> NDArray[np.uint8]:
        """Colour the fields."""
        found: NDArray[np.uint8] = colours()(self.norm(np.ma.masked_invalid(on_pixels(self.fields, x, z))), bytes=True)
        return found
