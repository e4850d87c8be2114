"""The cut jars as drawings of SVG, all to one scale: as the script moves them, and at their key times."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise

from coolsim.answers.catalogue import BY_KEY
from coolsim.report.figures.cut import GLASS, WAX
from coolsim.report.figures.style import colours
from coolsim.report.page.data import SEEN, PagedJar, Shown, degrees_of, events_of, nearest
from coolsim.report.page.outlines import Part, Picture, named, parts_of
from coolsim.report.page.words import as_html
from coolsim.units import System

_BOX = "#d2bd97"
_COLOURS = {"glass": GLASS, "bench": "#d9d6d0", "board": _BOX, "pad": _BOX, "flaps": _BOX, "water": "#cfe3ee"}
_SOFT, _OTHER = "#d99a2b", "#bdbdb4"
_WICK, _OVER, _MARGIN = 12, 80, 20  # tenths of a millimetre
_KEY_EVENTS = [BY_KEY[key].label for key in ("rim_set_s", "top_closed_s", "fully_set_s", "top_final_s")]


class Stage:
    """The cut jars, all to one scale."""

    def __init__(self, jars: Sequence[PagedJar], levels: Sequence[float], units: System) -> None:
        self.jars, self.levels, self.units = jars, levels, units
        self.parts = [parts_of(one.result) for one in jars]
        boxes = [part.box for parts in self.parts for part in parts]
        left, right = min(box[0] for box in boxes), max(box[2] for box in boxes)
        wicks = [round(-1e4 * one.result.required_wax().z_edges[-1]) - _OVER for one in jars]
        top, low = min(*wicks, *(box[1] for box in boxes)) - _MARGIN, max(box[3] for box in boxes)
        self.view = (left, top, right - left, low - top)
        bands = len(levels) - 1
        self.inks = [_hex(colours()((number + 0.5) / bands)) for number in range(bands)]

    def live(self, number: int) -> str:
        """Draw a jar, by its number [-], that the script fills."""
        jar = self.jars[number]
        return (
            f'<figure class="jar" data-live="{number}"><figcaption>{as_html(jar.short)}</figcaption>'
            f"{self._svg(number, None, f'live{number}')}</figure>"
        )

    def stills(self, number: int, times: Sequence[float], shown: Shown) -> str:
        """Draw a jar, by its number [-], at its key times, which are among those of the pictures [s]."""
        jar = self.jars[number]
        found = []
        for at, (time, label, told) in enumerate(events_of(jar)):
            if label not in _KEY_EVENTS:
                continue
            frame = nearest(times, time)
            told_seen = "; ".join(
                f"{name.lower()} {value}" for name, value in zip(SEEN, shown.seen[frame], strict=True)
            )
            found.append(
                f'<figure class="jar">{self._svg(number, shown.pictures[frame], f"still{number}-{at}")}'
                f"<figcaption><b>{as_html(label)}, {as_html(told)}</b>: {as_html(told_seen)}</figcaption></figure>"
            )
        return f'<h3>{as_html(jar.short)}</h3><div class="row">{"".join(found)}</div>'

    def key(self, shown: Sequence[Shown]) -> str:
        """Say what the colours, lines and patterns are."""
        share = " or ".join(dict.fromkeys(f"{100.0 * one.result.sets_at:.0f}" for one in self.jars))
        lines = [
            (_area(_SOFT), "left half: liquid or soft"),
            (_area(WAX), "left half: set"),
            ('<path class="front" d="M0 8H30"/>', f"solid front: {share} % liquid left, the wax has set"),
            ('<path class="stiff" d="M0 8H30"/>', "stiff front: outside of it the wax is no longer drawn down"),
            ('<path class="poured" d="M0 8H30"/>', "poured to here"),
            ('<rect class="wick" width="30" height="16"/>', "wick (not computed)"),
        ]
        if any(picture.cavity for one in shown for picture in one.pictures):
            lines.append(('<rect class="cavity" width="30" height="16"/>', "hidden cavity"))
        names: dict[str, dict[str, None]] = {}
        for jar, parts in zip(self.jars, self.parts, strict=True):
            for part in parts:
                if part.what != "wax":
                    names.setdefault(_colour(part), {})[named(jar.result, part)] = None
        lines += [(_area(colour), ", ".join(found)) for colour, found in names.items()]
        told = [
            f'<li><svg viewBox="0 0 30 16" aria-hidden="true">{mark}</svg> {as_html(text)}</li>' for mark, text in lines
        ]
        degrees = degrees_of(self.levels, self.units)
        bands = "".join(
            f'<rect x="{10 * at}" width="10" height="14" fill="{ink}"><title>{as_html(low)} to {as_html(high)}</title>'
            "</rect>"
            for at, (ink, (low, high)) in enumerate(zip(self.inks, pairwise(degrees), strict=True))
        )
        numbers = "".join(
            f'<text x="{10 * at}" y="23">{one.partition(" ")[0]}</text>'
            for at, one in enumerate(degrees)
            if at % 2 == 0
        )
        unit = degrees[0].rpartition(" ")[2]
        moved = any(one.result.changes for one in self.jars)
        still = "<p>What stands round the jar is drawn as it is at the pour.</p>" if moved else ""
        return (
            f'{still}<ul class="key">{"".join(told)}</ul>'
            f'<p class="what">Right half: temperature of the wax [{unit}]</p>'
            f'<svg class="scale" viewBox="-8 0 {10 * len(self.inks) + 18} 26" role="img" aria-label="Scale of the'
            f' temperature, from {as_html(degrees[0])} to {as_html(degrees[-1])}">{bands}{numbers}</svg>'
        )

    def _svg(self, number: int, picture: Picture | None, name: str) -> str:
        """Draw a jar at one time, or without its wax for the script."""
        jar = self.jars[number]
        parts = "".join(
            f'<rect x="{left}" y="{high}" width="{right - left}" height="{low - high}"'
            f' fill="{_colour(part)}" class="part"><title>{as_html(named(jar.result, part))}</title>'
            "</rect>"
            for part in self.parts[number]
            if part.what != "wax"
            for left, high, right, low in [part.box]
        )
        depth = round(1e4 * float(jar.result.required_wax().z_edges[-1]))
        radius = round(1e4 * float(jar.result.required_wax().r_edges[-1]))
        p = picture or Picture(wax="", top="", soft="", front="", stiff="", bands=("",) * len(self.inks), cavity="")
        bands = "".join(
            f'<path data-band fill="{ink}" stroke="{ink}" stroke-width="2" d="{band}"/>'
            for ink, band in zip(self.inks, p.bands, strict=True)
        )
        left, top, width, height = self.view
        return (
            f'<svg viewBox="{left} {top} {width} {height}" role="img" aria-labelledby="{name}-title">'
            f'<title id="{name}-title">{as_html(jar.short)}, cut through the wick</title>'
            f'<defs><clipPath id="{name}-wax"><path data-wax d="{p.wax}"/></clipPath><pattern id="{name}-dots"'
            ' width="24" height="24" patternUnits="userSpaceOnUse"><circle cx="6" cy="6" r="3" fill="#6b4300"/>'
            "</pattern>"
            "</defs>"
            f'{parts}<g clip-path="url(#{name}-wax)"><rect x="{-radius}" y="{-depth}" width="{2 * radius}"'
            f' height="{depth}" fill="{WAX}"/><g transform="scale(-1 1)"><path data-soft fill="{_SOFT}" d="{p.soft}"/>'
            f'<path data-soft fill="url(#{name}-dots)" d="{p.soft}"/></g><g>{bands}</g>'
            f'<path data-front class="halo" d="{p.front}"/><path data-front class="front" d="{p.front}"/>'
            f'<path data-stiff class="halo" d="{p.stiff}"/><path data-stiff class="stiff" d="{p.stiff}"/>'
            f'<g transform="scale(-1 1)"><path data-front class="front" d="{p.front}"/>'
            f'<path data-stiff class="stiff" d="{p.stiff}"/></g>'
            f'<path data-cavity class="cavity" d="{p.cavity}"/></g>'
            f'<path class="poured" d="M{-radius} {-depth}H{radius}"/><path data-topline class="top" d="{p.top}"/>'
            f'<rect class="wick" x="{-_WICK}" y="{-depth - _OVER}" width="{2 * _WICK}" height="{depth + _OVER}"/>'
            "</svg>"
        )


def _hex(colour: Sequence[float]) -> str:
    return "#" + "".join(f"{round(255 * one):02x}" for one in colour[:3])


def _area(colour: str) -> str:
    return f'<rect width="30" height="16" fill="{colour}"/>'


def _colour(part: Part) -> str:
    return _COLOURS.get(part.what, _OTHER)
