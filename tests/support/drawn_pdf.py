"""Lengths on paper: read from the commands of a PDF, and from what stands on a page."""

import re
import zlib

import numpy as np
from matplotlib.collections import LineCollection

POINTS_PER_MM = 72.0 / 25.4
_STREAM = re.compile(rb"stream\r?\n(.*?)\r?\nendstream", re.DOTALL)
_LINE = re.compile(rb"([\d.-]+) ([\d.-]+) m\s+([\d.-]+) ([\d.-]+) l\s")


def _commands(content):
    for packed in _STREAM.findall(content):
        try:
            yield zlib.decompress(packed)
        except zlib.error:
            continue


def level_lines(content):
    """Lengths of all level lines that begin a path [pt]."""
    found = []
    for drawn in _commands(content):
        for start in _LINE.findall(drawn):
            x, y, to_x, to_y = map(float, start)
            if abs(y - to_y) < 1e-3:
                found.append(abs(to_x - x))
    return found


def sizes(content):
    """Width and height of each page [pt]."""
    boxes = re.findall(rb"/MediaBox \[ ?([\d.]+) ([\d.]+) ([\d.]+) ([\d.]+) ?\]", content)
    return [(float(right), float(top)) for _, _, right, top in boxes]


def on_paper(figure, gid):
    """Left, lower, right and upper edge of all that has a mark [mm of paper], without the width of lines."""
    found = [_extents(one) for one in figure.findobj(lambda artist: artist.get_gid() == gid)]
    left, low = (min(box[side] for box in found) for side in (0, 1))
    right, top = (max(box[side] for box in found) for side in (2, 3))
    return tuple(25.4 * edge / figure.dpi for edge in (left, low, right, top))


def _extents(artist):
    if isinstance(artist, LineCollection):
        points = artist.get_transform().transform(np.vstack(artist.get_segments()))
        return (*points.min(axis=0), *points.max(axis=0))
    return artist.get_window_extent().extents
