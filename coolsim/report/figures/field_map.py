"""A map of temperatures or times as one picture: each pixel has the colour of what lies under its middle."""

from __future__ import annotations

from collections.abc import Iterable
from math import ceil, floor

import numpy as np
from matplotlib.artist import Artist
from matplotlib.axes import Axes
from matplotlib.backend_bases import RendererBase
from matplotlib.colors import Normalize

from coolsim.report.figures.section_parts import Field, on_pixels
from coolsim.report.figures.style import colours


class FieldMap(Artist):
    """Fields, coloured over all that their axes show.

    A page knows its pixels when it is drawn, so that is when the fields are read off: an edge is as sharp as they are,
    and nothing is sampled twice.

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
        super().__init__()
        self.fields, self.norm, self._length = tuple(fields), norm, length
        # Below all that is drawn on it, and inside the axes: the layout need not measure it.
        self.set_zorder(0.0)
        self.set_in_layout(False)

    def draw(self, renderer: RendererBase) -> None:
        """Draw the picture."""
        axes = self.axes
        if not isinstance(axes, Axes) or not self.get_visible():
            return
        fine = renderer.get_image_magnification()
        pixels, middles = [], []
        box = axes.bbox
        for (start, end), (low, high) in (((box.x0, box.x1), axes.get_xlim()), ((box.y0, box.y1), axes.get_ylim())):
            pixels.append(np.arange(floor(fine * start), ceil(fine * end)))
            share = ((pixels[-1] + 0.5) / fine - start) / (end - start)
            middles.append((low + share * (high - low)) / self._length)
        picture = colours()(self.norm(np.ma.masked_invalid(on_pixels(self.fields, *middles))), bytes=True)
        renderer.open_group("map", self.get_gid())
        gc = renderer.new_gc()
        gc.set_clip_rectangle(box)
        renderer.draw_image(gc, pixels[0][0] / fine, pixels[1][0] / fine, picture)
        gc.restore()
        renderer.close_group("map")
        self.stale = False
