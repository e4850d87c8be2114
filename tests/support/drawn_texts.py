"""The texts of a figure as they are drawn, and which of them cannot be read."""

import itertools
from functools import lru_cache

import matplotlib
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.text import Text


# A figure is laid out for the first question about it; of the last one that was asked about the answer is kept.
@lru_cache(maxsize=1)
def texts(figure):
    """Texts that are really drawn, with their boxes in pixels."""
    renderer = FigureCanvasAgg(figure).get_renderer()
    # Places and sizes are all that is asked for; to paint the letters takes three times as long.
    figure.draw_without_rendering()
    ticks = set()
    for axes in figure.findobj(matplotlib.axes.Axes):
        for axis in (axes.xaxis, axes.yaxis):
            low, high = sorted(axis.get_view_interval())
            for tick in (*axis.get_major_ticks(), *axis.get_minor_ticks()):
                if not low - 1e-9 <= tick.get_loc() <= high + 1e-9 or not axes.axison:
                    ticks |= {tick.label1, tick.label2}
    hidden = {
        text for axes in figure.findobj(matplotlib.axes.Axes) if not axes.axison for text in axes.findobj(Text)
    } - {text for axes in figure.findobj(matplotlib.axes.Axes) if axes.get_legend() for text in axes.get_legend().texts}
    return [
        # The plain text's own extent: that of an annotation would hold its leader, too.
        (text, Text.get_window_extent(text, renderer))
        for text in figure.findobj(Text)
        if text.get_visible() and text.get_text().strip() and text not in ticks and text not in hidden
    ]


def overlaps(figure, *, pixels=1.0):
    """Pairs of texts that share more than so many pixels."""
    found = []
    for (one, a), (other, b) in itertools.combinations(texts(figure), 2):
        wide = min(a.x1, b.x1) - max(a.x0, b.x0)
        high = min(a.y1, b.y1) - max(a.y0, b.y0)
        if wide > pixels and high > pixels:
            found.append((one.get_text(), other.get_text()))
    return found


def beyond_the_page(figure):
    page = figure.bbox
    return [
        text.get_text()
        for text, box in texts(figure)
        if box.x0 < page.x0 - 1 or box.x1 > page.x1 + 1 or box.y0 < page.y0 - 1 or box.y1 > page.y1 + 1
    ]
