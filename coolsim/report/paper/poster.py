"""The poster: one page to hang over the pouring table, with the jar in real size, to be read from afar."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from functools import cached_property
from math import pi
from pathlib import Path
from typing import Literal

import numpy as np
from matplotlib.figure import Figure
from matplotlib.lines import Line2D
from matplotlib.patches import Circle

from coolsim.answers.catalogue import answers_of
from coolsim.answers.worst import answers_of_box
from coolsim.model.section import Array
from coolsim.report.figures.saving import save_pages
from coolsim.report.figures.set_jar import draw_set_jar, extent_of, ring_times
from coolsim.report.figures.style import HALO, in_style
from coolsim.report.paper.page import usual_paper
from coolsim.report.paper.true_size import (
    MM,
    PER_METRE,
    PRINT_AT,
    SCALES,
    draw_ruler,
    largest_scale,
    line,
    scale_text,
    true_axes,
)
from coolsim.report.paper.typeset import POINT, SPACING, broken, put, rule, text_width
from coolsim.report.text.day_plan import closed_notes, plan_cells, times_note
from coolsim.report.text.pour import PLACES, off_text, rejected_text
from coolsim.report.text.scenario import noteworthy
from coolsim.report.wording import capital, caution_for, hours_minutes, temperature_text, told_top
from coolsim.scenario import Scenario
from coolsim.scenario.wording import INVENTED
from coolsim.solve.result import Result
from coolsim.solve.together import BoxResult
from coolsim.studies.pour.choose import PourChoice, PourStudy, degrees_text
from coolsim.studies.workshop.boxes import box_answers
from coolsim.studies.workshop.day_plan import DayPlan, StepName
from coolsim.studies.workshop.moments import day_text, moment_text
from coolsim.units import System

PosterPaper = Literal["a4", "a3", "letter"]

POSTERS: dict[PosterPaper, tuple[float, float]] = {
    "a4": (210.0 * MM, 297.0 * MM),
    "a3": (297.0 * MM, 420.0 * MM),
    "letter": (8.5, 11.0),
}
"""Width and height of a page that stands [in]."""

MOST_ROOMS: dict[PosterPaper, int] = {"a4": 3, "a3": 5, "letter": 3}
"""In how many rooms a poster says how hot to pour, if there is room for them [-]."""

# Sizes of the letters [pt], the largest first: smaller where the jar is in real size only so.
_BODIES: dict[PosterPaper, tuple[float, ...]] = {"a4": (18.0,), "a3": (28.0, 24.0), "letter": (18.0,)}
_PARTS = tuple(one for one in SCALES if one.numerator == 1)
# Of the page, beside and above what is printed: printers need 5 mm.
_EDGE, _END = 10.0 * MM, 7.0 * MM
# In sizes of the letters: other letters, a clock, and the lines to the names.
_SMALL, _SMALLER, _LARGER = 0.46, 0.75, 1.3
_DIAL, _LEADER = 3.6, 2.2
_RULED = 100.0 * MM
_SAME = 0.05
_FIRST_ANGLE = 0.7
_MOST_RINGS = 7
_HALF_DAY = 43200.0
_CLOCKS: dict[StepName, str] = {
    "wick": "Wick free until",
    "skin": "Top closed from",
    "still": "Do not move until",
    "lid": "Lid on from",
}
_SETS, _SINCE = "sets after", "after the pour"
_BLANK = "Draw the hands of the clocks in when you have poured."
_BOX = "The clocks are for all jars of the box; the jar that is drawn has the least flat top."
_RINGS = (
    "Rings, last liquid (cross) and top are middle values; a grey bar is of pours as good as the best; the wick is"
    " drawn. Computed, not measured: look before you touch."
)


@dataclass(frozen=True, kw_only=True)
class Poster:
    """What a poster shows: a jar, its run, the plan of its day, and pours in some rooms that are good for it.

    Of a box of jars it draws the one with the least flat top, and the plan counts all.
    """

    scenario: Scenario
    found: Result | BoxResult
    plan: DayPlan
    study: PourStudy

    @cached_property
    def drawn(self) -> tuple[Result, str]:
        """The run of the jar that is drawn, and which jar of a box it is."""
        if isinstance(self.found, Result):
            return self.found, ""
        kind = box_answers(self.found).least_flat.kind
        return self.found.at(kind.places[0]), kind.called

    def breaches(self, units: System) -> tuple[str, ...]:
        """Say which limits the planned pour breaks, and what mends it."""
        jar = self.scenario.jar
        found = self.found
        answers = answers_of(found, jar) if isinstance(found, Result) else answers_of_box(found, jar)[0]
        # The names of keys are not for a wall.
        told = noteworthy(self.scenario, units, answers=[answers])
        return tuple(one.replace(" (vessel.shock_limit)", "") for one in told)


@dataclass(frozen=True, slots=True, kw_only=True)
class _Sheet:
    """The page, the size of its letters [pt], and what stands on it between its edges [in]."""

    page: Figure
    body: float
    units: System

    @property
    def left(self) -> float:
        return _EDGE

    @property
    def width(self) -> float:
        return float(self.page.get_size_inches()[0]) - 2.0 * _EDGE

    @property
    def pitch(self) -> float:
        """From line to line [in]."""
        return SPACING * self.body * POINT

    def paragraph(self, text: str, top: float, *, size: float, weight: str = "normal") -> float:
        """Set a text from the top down; return where it ends [in]."""
        for one in broken(text, self.width, size, weight):
            put(self.page, one, self.left, top - 0.85 * size * POINT, size=size, weight=weight, va="baseline")
            top -= SPACING * size * POINT
        return top

    def high(self, text: str, *, size: float, weight: str = "normal") -> float:
        """Tell how high a text is [in]."""
        return len(broken(text, self.width, size, weight)) * SPACING * size * POINT


def draw_poster(
    poster: Poster, *, paper: PosterPaper | None = None, units: System | None = None
) -> tuple[Figure, Fraction]:
    """Draw a poster.

    Parameters
    ----------
    poster : Poster
        What it shows.
    paper : {"a4", "a3", "letter"}, optional
        The paper; the one that goes with the units if left out.
    units : {"metric", "us"}, optional
        Units of the workshop; those of the scenario if left out.

    Returns
    -------
    Figure
        One page that stands: the cut jar with its set times as rings, four clocks, and the pours that are good in some
        rooms.
    Fraction
        How large the jar is drawn: in real size if there is room for it, else in a part of that, which the page says.
    """
    chosen = units or poster.scenario.units
    on: PosterPaper = paper or usual_paper(chosen)
    with in_style():
        for body in _BODIES[on]:
            sheet = _Sheet(page=Figure(figsize=POSTERS[on]), body=body, units=chosen)
            scale = _draw(sheet, poster, MOST_ROOMS[on])
            if scale == 1:
                break
    return sheet.page, scale


def _draw(sheet: _Sheet, poster: Poster, most: int) -> Fraction:
    """Draw all that stands on a page with so many rooms at most [-]; return how large the jar is."""
    top = _head(sheet, poster)
    low = _foot(sheet, poster)
    # The jar in real size counts for more than many rooms.
    counts = [one for one in range(most, 0, -2) if one <= len(poster.study.choices)] or [1]
    room = {one: top - low - _rooms_height(sheet, one) - _clocks_height(sheet, poster.plan) for one in counts}
    scale, count = max((_scale(sheet, poster, high), one) for one, high in room.items())
    low = _draw_rooms(sheet, poster, _nearest(poster, count), low)
    low = _draw_clocks(sheet, poster.plan, low)
    _draw_jar(sheet, poster, scale, top=top, low=low)
    return scale


def write_poster(
    poster: Poster, path: Path | str, *, paper: PosterPaper | None = None, units: System | None = None
) -> tuple[Path, Fraction]:
    """Write a poster as a PDF, and tell how large the jar is drawn; the same poster writes the same bytes."""
    page, scale = draw_poster(poster, paper=paper, units=units)
    title = f"Poster: {poster.scenario.title}"
    return save_pages([page], path, title=title, author=poster.scenario.author), scale


def _head(sheet: _Sheet, poster: Poster) -> float:
    """Write shop, title and what stands where; return where that ends [in]."""
    page, body, scenario = sheet.page, sheet.body, poster.scenario
    y = float(page.get_size_inches()[1]) - _END - 1.9 * body * POINT
    line(page, scenario.author, sheet.left, y + 0.35 * body * POINT, width=sheet.width, size=1.4 * body)
    rule(page, sheet.left, sheet.left + sheet.width, y, linewidth=1.0)
    put(page, "our shop", sheet.left, y - 0.05, size=_SMALL * body)
    y -= 0.8 * body * POINT
    large = max(body, 1.5 * body * min(1.0, sheet.width / text_width(scenario.title, 1.5 * body, "bold")))
    lines = broken(scenario.title, sheet.width, large, "bold")
    for one in lines[:2] if len(lines) < 3 else [lines[0], f"{lines[1]} …"]:
        y -= SPACING * large * POINT
        line(page, one, sheet.left, y, width=sheet.width, size=large, weight="bold")
    kind = poster.drawn[1]
    place = f"{capital(kind)} of the box" if kind else PLACES[poster.study.own]
    room = temperature_text(scenario.jar.room.at(0.0), sheet.units)
    day = "" if scenario.date is None else f" · {day_text(scenario.date)}"
    told = f"{place} · room {room} · poured at {temperature_text(scenario.jar.pour, sheet.units)}{day}"
    y -= 1.15 * sheet.pitch
    line(page, told, sheet.left, y, width=sheet.width, size=body)
    return y - 0.25 * body * POINT


def _foot(sheet: _Sheet, poster: Poster) -> float:
    """Write cautions, ruler and what the figures rest on from the bottom up; return how high that reaches [in]."""
    page, body, units = sheet.page, sheet.body, sheet.units
    small = _SMALL * body
    noted = [times_note(poster.plan), *closed_notes([poster.plan]), _RINGS]
    if poster.drawn[1]:
        noted.insert(0, _BOX)
    if poster.plan.clock is None:
        noted.insert(0, _BLANK)
    for choice in poster.study.choices:
        if near := off_text(choice, units).removeprefix(", "):
            noted.append(f"In a room at {degrees_text(choice.room, units)} the advised pour is {near}.")
    if poster.scenario.invented:
        noted.append(INVENTED)
    y = _END + sheet.high(" ".join(noted), size=small)
    sheet.paragraph(" ".join(noted), y, size=small)
    y += 0.18 + 1.2 * small * POINT + 0.06
    above = draw_ruler(page, sheet.left, y, units=units, size=small)
    beside = _RULED + text_width("00 mm", small) + 0.1
    size = _SMALLER * body
    for number, one in enumerate(broken(PRINT_AT, sheet.width - beside, size)):
        put(page, one, sheet.left + beside, y - SPACING * number * size * POINT, size=size, va="baseline")
    y += max(above, size * POINT) + 0.04
    told = [(one, size) for one in poster.breaches(units)]
    for text, size in ((caution_for([poster.scenario], short=True), body), *told):
        y += sheet.high(text, size=size, weight="bold")
        sheet.paragraph(text, y, size=size, weight="bold")
    return y + 0.15 * body * POINT


def _nearest(poster: Poster, count: int) -> list[PourChoice]:
    """Choose the rooms that are nearest to that of the jar, from cold to warm."""
    own = poster.scenario.jar.room.at(0.0)
    near = sorted(poster.study.choices, key=lambda one: abs(one.room - own))[:count]
    return sorted(near, key=lambda one: one.room)


def _rooms_height(sheet: _Sheet, count: int) -> float:
    return 1.3 * sheet.pitch if count == 1 else (count + 1.2) * sheet.pitch


def _draw_rooms(sheet: _Sheet, poster: Poster, choices: Sequence[PourChoice], low: float) -> float:
    """Draw which pours are good in which room, upwards from a height; return where that ends [in]."""
    page, body, units = sheet.page, sheet.body, sheet.units
    own = poster.scenario.jar
    texts = [choice.advised(units) or f"none passes: {rejected_text(choice)}" for choice in choices]
    rooms = [degrees_text(choice.room, units) for choice in choices]
    if len(choices) == 1:
        told = f"Room {rooms[0]}: {'pour at ' if choices[0].as_good else ''}{texts[0]}"
        line(page, told, sheet.left, low + 0.4 * sheet.pitch, width=sheet.width, size=body, weight="bold")
        return low + _rooms_height(sheet, 1)
    here = [abs(choice.room - own.room.at(0.0)) < _SAME for choice in choices]
    first = max(text_width(f"{room}  ", body, "bold") for room in ("Room", *rooms))
    words = min(max(text_width(text, body, "bold") for text in ("Pour at", *texts)), 0.6 * sheet.width)
    bar = (sheet.left + first, sheet.left + sheet.width - words - 0.5 * body * POINT)
    pours = [own.pour, *(one.pour for choice in choices for one in choice.as_good)]
    coldest, span = min(pours), max(max(pours) - min(pours), 1.0)

    def place(pour: float) -> float:
        return bar[0] + (bar[1] - bar[0]) * (0.06 + 0.88 * (pour - coldest) / span)

    y = low + _rooms_height(sheet, len(choices)) - sheet.pitch
    line(page, "Room", sheet.left, y, width=first, size=body, weight="bold")
    line(page, "Pour at", sheet.left + sheet.width - words, y, width=words, size=body, weight="bold")
    planned = place(own.pour)
    ends = (planned, planned), (y - 0.1, y - len(choices) * sheet.pitch - 0.05)
    _stroke(page, *ends, linewidth=1.2, dashes=(4, 3), gid="planned pour")
    told = f"{temperature_text(own.pour, units)} planned"
    half = 0.5 * text_width(told, _SMALLER * body)
    at = min(max(planned, bar[0] + half), bar[1] - half)
    put(page, told, at, y, size=_SMALLER * body, ha="center", va="baseline")
    for room, text, choice, own_room in zip(rooms, texts, choices, here, strict=True):
        y -= sheet.pitch
        weight, middle = "bold" if own_room else "normal", y + 0.35 * body * POINT
        line(page, room, sheet.left, y, width=first, size=body, weight=weight)
        line(page, text, sheet.left + sheet.width - words, y, width=words, size=body, weight=weight)
        _stroke(page, bar, (middle, middle), linewidth=0.6, colour="0.5")
        if (best := choice.recommended) is not None:
            band = place(choice.as_good[0].pour), place(choice.as_good[-1].pour)
            _stroke(page, band, (middle, middle), linewidth=0.45 * body, colour="0.6", gid="pours as good")
            _dot(page, place(best.pour), middle, 0.28 * body * POINT, "black")
    return low + _rooms_height(sheet, len(choices))


def _beside(sheet: _Sheet, plan: DayPlan, name: StepName) -> list[tuple[str, float, str]]:
    """Write what stands beside a clock: each line with its size [pt] and weight."""
    step, body = plan.step(name), sheet.body
    wide = _beside_width(sheet)
    when = "–" if step is None else plan.told(step)
    rest = plan_cells(name, [plan])[0].removeprefix(when).strip()
    if plan.clock is None and step is not None and step.time is not None:
        rest = f"{_SINCE} {rest}"
    large = _LARGER * body if text_width(when, _LARGER * body, "bold") <= wide else body
    lines = [(_CLOCKS[name], body, "normal"), *((one, large, "bold") for one in broken(when, wide, large, "bold"))]
    return [*lines, (rest, _SMALLER * body, "normal")] if rest else lines


def _beside_width(sheet: _Sheet) -> float:
    return 0.5 * sheet.width - (_DIAL + 1.3) * sheet.body * POINT


def _row(sheet: _Sheet, plan: DayPlan) -> float:
    """Tell how high a row of clocks is [in]."""
    tallest = max(sum(size for _, size, _ in _beside(sheet, plan, name)) for name in _CLOCKS)
    return POINT * max((_DIAL + 0.3) * sheet.body, SPACING * tallest)


def _clocks_height(sheet: _Sheet, plan: DayPlan) -> float:
    return 2.0 * _row(sheet, plan) + 0.3 * sheet.pitch


def _draw_clocks(sheet: _Sheet, plan: DayPlan, low: float) -> float:
    """Draw four clocks upwards from a height; return where they end [in]."""
    row, dial = _row(sheet, plan), 0.5 * _DIAL * sheet.body * POINT
    for number, name in enumerate(_CLOCKS):
        step = plan.step(name)
        x, y = sheet.left + 0.5 * sheet.width * (number % 2), low + row * (1.5 - number // 2)
        time = None if step is None or step.time is None or plan.clock is None else plan.clock + step.time
        _dial(sheet.page, x + dial, y, dial, time)
        x += 2.0 * dial + 0.5 * sheet.body * POINT
        lines = _beside(sheet, plan, name)
        y += 0.5 * SPACING * POINT * sum(size for _, size, _ in lines)
        for text, size, weight in lines:
            y -= SPACING * size * POINT
            line(sheet.page, text, x, y + 0.3 * size * POINT, width=_beside_width(sheet), size=size, weight=weight)
    return low + _clocks_height(sheet, plan)


def _dial(page: Figure, x: float, y: float, radius: float, time: float | None) -> None:
    """Draw a clock at a time after midnight [s], without hands if it is not known: they are drawn in by hand."""
    face = Circle((x, y), radius, facecolor="white", edgecolor="black", linewidth=1.8, transform=page.dpi_scale_trans)
    face.set_gid("dial")
    page.add_artist(face)

    def hand(turn: float, start: float, end: float, linewidth: float, gid: str = "") -> None:
        across, up = np.sin(2.0 * pi * turn), np.cos(2.0 * pi * turn)
        ends = [(x + radius * share * across, y + radius * share * up) for share in (start, end)]
        _stroke(page, *zip(*ends, strict=True), linewidth=linewidth, gid=gid)

    for hour in range(12):
        hand(hour / 12.0, 0.78 if hour % 3 == 0 else 0.86, 0.95, 2.0 if hour % 3 == 0 else 1.0)
    _dot(page, x, y, 0.06 * radius, "black")
    if time is not None:
        hand(time / _HALF_DAY, -0.1, 0.5, 3.5, "hour hand")
        hand(12.0 * time / _HALF_DAY, -0.1, 0.75, 2.0, "minute hand")


def _labels(sheet: _Sheet, poster: Poster) -> list[tuple[float | None, str, str]]:
    """Tell the rings and the last liquid: the time of a ring [s], after the pour, and by the clock if it is known."""
    result, plan = poster.drawn[0], poster.plan
    times: list[float | None] = [float(one) for one in ring_times(result, _MOST_RINGS)]
    last = result.required_events().fully_set

    def told(time: float) -> tuple[str, str]:
        clock = "" if plan.clock is None else moment_text(time, plan.clock, sheet.units, day=plan.day)
        return f"{hours_minutes(time)} h", clock

    found = [(time, *told(time)) for time in times if time is not None]
    return [*found, *([] if last is None else [(None, *told(last))])]


def _labels_width(sheet: _Sheet, labels: Sequence[tuple[float | None, str, str]]) -> tuple[float, float]:
    """Measure what stands beside the jar [in]: times after the pour, and those by the clock."""
    after = max((text_width(one[1], sheet.body, "bold") for one in labels), default=0.0)
    clock = max((text_width(one[2], sheet.body, "bold") for one in labels), default=0.0)
    return after, clock + (0.6 * sheet.body * POINT if clock else 0.0)


def _extent(result: Result) -> tuple[float, float, float, float]:
    left, low, right, high = (PER_METRE * one for one in extent_of(result))
    return left, low, right, high


def _told(sheet: _Sheet, poster: Poster, scale: Fraction) -> list[tuple[str, float]]:
    """Write what stands below the jar, each line with its size [pt]: that it is not in real size first, and largest."""
    told = [] if scale == 1 else [(capital(scale_text(scale)), _LARGER * sheet.body)]
    top = f"Top: {told_top(poster.drawn[0], sheet.units)}"
    return [*told, *((one, sheet.body) for one in broken(top, sheet.width, sheet.body))]


def _told_height(told: Sequence[tuple[str, float]]) -> float:
    return SPACING * POINT * sum(size for _, size in told) + 0.05


def _scale(sheet: _Sheet, poster: Poster, high: float) -> Fraction:
    """Choose how large the jar is drawn where there is so much height for it and what stands below it [in]."""
    left, low, right, top = _extent(poster.drawn[0])
    wide = sheet.width - sum(_labels_width(sheet, _labels(sheet, poster))) - _LEADER * sheet.body * POINT
    return largest_scale(
        right - left, top - low, lambda scale: (wide, high - _told_height(_told(sheet, poster, scale))), _PARTS
    )


def _draw_jar(sheet: _Sheet, poster: Poster, scale: Fraction, *, top: float, low: float) -> None:
    """Draw the cut jar between two heights [in], with the times of its rings beside it and its top named below."""
    page, body = sheet.page, sheet.body
    result = poster.drawn[0]
    told = _told(sheet, poster, scale)
    low += _told_height(told)
    y = low - 0.05
    for text, size in told:
        y -= 0.95 * SPACING * size * POINT
        line(page, text, sheet.left, y, width=sheet.width, size=size, weight="bold" if size > body else "normal")
    extent, labels = _extent(result), _labels(sheet, poster)
    after, clock = _labels_width(sheet, labels)
    inch = MM * float(scale)
    leader = _LEADER * body * POINT
    whole = (extent[2] - extent[0]) * inch + leader + after + clock
    x = sheet.left + 0.5 * (sheet.width - whole) - extent[0] * inch
    base = low + 0.5 * (top - low - (extent[3] - extent[1]) * inch) - extent[1] * inch
    axes = true_axes(page, x, base, extent, scale)
    rings = draw_set_jar(axes, result, ring_times(result, _MOST_RINGS), length=PER_METRE)
    wax = result.required_wax()
    middle = base + 0.5 * PER_METRE * float(wax.z_edges[-1]) * inch
    names = x + extent[2] * inch + leader
    rows = len(labels) + (2 if scale == 1 else 1)
    pitch = min(1.15 * sheet.pitch, (top - low) / rows)
    highest = max(
        min(middle + 0.5 * (rows - 3) * pitch, top - (rows - len(labels) + 0.5) * pitch),
        low + (len(labels) - 0.5) * pitch,
    )
    line(page, _SETS, names, highest + 0.8 * pitch, width=after + clock + 0.2, size=_SMALLER * body)
    if scale == 1:
        width = sheet.left + sheet.width - names
        line(page, capital(scale_text(scale)), names, highest + 1.7 * pitch, width=width, size=_SMALLER * body)
    led, turned = _led([points for _, points in rings], result.required_events().last_liquid, len(labels))
    for number, ((time, since, by_clock), at) in enumerate(zip(labels, led, strict=True)):
        y = highest - pitch * (len(labels) - 1 - number if turned else number)
        weight = "bold" if time is None else "normal"
        ends = [x + PER_METRE * at[0] * inch, names - 0.1], [base + PER_METRE * at[1] * inch, y]
        _stroke(page, *ends, linewidth=0.8, halo=True, gid="leader")
        if time is not None:
            _dot(page, ends[0][0], ends[1][0], 0.03, "black")
        y -= 0.35 * body * POINT
        line(page, since, names + after, y, width=after, size=body, weight=weight, ha="right")
        line(page, by_clock, names + after + clock, y, width=clock, size=body, weight="bold", ha="right")


def _led(rings: Sequence[Array], last: tuple[float, float], count: int) -> tuple[list[tuple[float, float]], bool]:
    """Choose the place [m] from which a line leads to each name, and whether the latest stands on top.

    That is so where the first ring lies at the bottom: lines do not cross.
    """
    found = []
    for turned in (False, True):
        wanted = np.linspace(_FIRST_ANGLE, -_FIRST_ANGLE, count) * (-1.0 if turned else 1.0)
        places, off = [], 0.0
        for points, angle in zip(rings, wanted, strict=False):
            right = points[points[:, 0] >= 0.0]
            misses = np.abs(np.arctan2(right[:, 1] - last[1], right[:, 0] - last[0]) - angle)
            nearest = int(np.argmin(misses))
            off += float(misses[nearest])
            places.append((float(right[nearest, 0]), float(right[nearest, 1])))
        found.append((off, turned, [*places, *[last] * (count - len(places))]))
    _, turned, places = min(found)
    return places, turned


def _stroke(
    page: Figure,
    x: Sequence[float],
    y: Sequence[float],
    *,
    linewidth: float,
    colour: str = "black",
    dashes: tuple[float, float] | None = None,
    halo: bool = False,
    gid: str = "",
) -> None:
    """Draw a line between places on paper [in]."""
    page.add_artist(
        Line2D(
            x, y, color=colour, linewidth=linewidth, linestyle="-" if dashes is None else (0, dashes),
            solid_capstyle="butt", transform=page.dpi_scale_trans, path_effects=list(HALO) if halo else None, gid=gid,
        )
    )  # fmt: skip


def _dot(page: Figure, x: float, y: float, radius: float, colour: str) -> None:
    page.add_artist(
        Circle((x, y), radius, facecolor=colour, edgecolor="white", transform=page.dpi_scale_trans, zorder=3)
    )
