"""What if, on one page: this jar in the middle, and small changes round it, each as a cut jar with what it does."""

from __future__ import annotations

from pathlib import Path

from matplotlib.figure import Figure
from matplotlib.patches import Polygon, Rectangle

from coolsim.report.cautions import Topic, cautions
from coolsim.report.figures.saving import save_figure, save_pages
from coolsim.report.figures.small_cut import Extent, draw_small_cut, extent_of
from coolsim.report.figures.style import INKS, LARGE, NORMAL, PAGE_WIDTH, SMALL, in_style
from coolsim.report.paper.page import Frame, Paper, usual_paper
from coolsim.report.paper.typeset import POINT, SPACING, Writer, broken, text_width
from coolsim.report.text.changes import change_text
from coolsim.report.text.runs import titled_runs
from coolsim.report.text.whatif import (
    BETTER,
    SUNK,
    WITHIN,
    effect_text,
    flag_text,
    now_text,
    rests_on,
    set_text,
    sunk_text,
    word_of,
)
from coolsim.report.wording import capital, length_text, temperature_text, top_text
from coolsim.scenario.wording import INVENTED
from coolsim.studies.workshop.whatif import Outcome, WhatIf
from coolsim.units import System

_TOPICS: tuple[Topic, ...] = ("burns", "shock", "still")
_ACROSS, _MIDDLE = 3, 4
_BETWEEN, _PAD, _CUT = 0.18, 0.07, 1.75
_WIDTH = (PAGE_WIDTH - (_ACROSS - 1) * _BETWEEN) / _ACROSS
_LOOKS = {1: INKS[1], 0: "0.35", -1: INKS[2]}
# Half the outline of an arrow that points up, in a square of one by one.
_ARROW = ((0.0, 1.0), (0.5, 0.45), (0.22, 0.45), (0.22, 0.0))
_ARROW_SIZE = 0.17
_TOLD = (
    "All jars are cut to one scale. Dashed: the top of this jar as it is, and at an edge the wall of the next jar. What"
    " is sunk lies under the thin line from rim to rim; what is cross-hatched is a hidden cavity. All are estimates."
)


def draw_what_if(found: WhatIf, *, paper: Paper | None = None, units: System | None = None) -> Figure:
    """Draw the page; the paper is the one that goes with the units if left out, the units those of the scenario."""
    scenario = found.usual.scenario
    chosen = units or scenario.units
    frame = Frame(paper=paper or usual_paper(chosen), title=scenario.title)
    runs = titled_runs([(scenario.title, one) for one in (found.usual.result,) if one is not None], [scenario.jar])
    care = " ".join(
        [*([INVENTED] if scenario.invented else []), *cautions(runs, [scenario], units=chosen, topics=_TOPICS)]
    )
    foot = [" ".join([_TOLD, SUNK, *rests_on(found, chosen)]), care]
    with in_style():
        page = frame.page("What if")
        head = frame.writer([page], "What if", bottom=0.0)
        head.text(f"{BETTER} {WITHIN} Numbered by what helps most.", size=NORMAL, after=0.1)
        bottom = frame.bottom + sum(_height(told) for told in foot)
        below = frame.writer([page], "What if", top=bottom, bottom=0.0)
        for told in foot:
            below.text(told, size=SMALL, after=0.04)
        around = list(found.tried)
        cells = [*around[:_MIDDLE], found.usual, *around[_MIDDLE:]]
        high = (head.y - bottom) / _ACROSS
        extent = _common([one for one in cells if one.result is not None])
        for index, one in enumerate(cells):
            row, column = divmod(index, _ACROSS)
            left, top = frame.left + column * (_WIDTH + _BETWEEN), head.y - row * high
            rank = 0 if one is found.usual else around.index(one) + 1
            _cell(page, frame, found, one, rank, (left, top - high + _BETWEEN, high - _BETWEEN), extent, chosen)
        frame.foot(page, 1, of=1)
    return page


def write_what_if(found: WhatIf, path: Path | str, *, paper: Paper | None = None, units: System | None = None) -> Path:
    """Write the page as PDF, PNG or SVG, after the end of the name; the same outcome writes the same bytes."""
    page, scenario = draw_what_if(found, paper=paper, units=units), found.usual.scenario
    if Path(path).suffix.lower() == ".pdf":
        return save_pages([page], path, title=f"What if: {scenario.title}", author=scenario.author)
    return save_figure(page, path)


def _height(told: str) -> float:
    return len(broken(told, PAGE_WIDTH, SMALL)) * SPACING * SMALL * POINT + 0.04


def _common(outcomes: list[Outcome]) -> Extent:
    extents = [extent_of(one.result, one.scenario.jar) for one in outcomes if one.result is not None]
    lefts, lows, rights, highs = zip(*extents, strict=True)
    return min(lefts), min(lows), max(rights), max(highs)


def _cell(
    page: Figure,
    frame: Frame,
    found: WhatIf,
    one: Outcome,
    rank: int,
    place: tuple[float, float, float],
    extent: Extent,
    units: System,
) -> None:
    """Draw an outcome at a place: left and lower edge, and height [in]."""
    left, low, high = place
    width, height = page.get_size_inches()
    if one.change is None:
        page.add_artist(
            Rectangle(
                (left - _PAD, low - _PAD), _WIDTH + 2 * _PAD, high + 2 * _PAD, fill=False, edgecolor="black",
                linewidth=1.2, transform=page.dpi_scale_trans,
            )
        )  # fmt: skip
    across, up = extent[2] - extent[0], extent[3] - extent[1]
    scale = min(_CUT / across, high / up)
    if one.result is not None:
        axes = page.add_axes((left / width, low / height, scale * across / width, scale * up / height))
        before = None if one.change is None or found.usual.result is None else found.usual.result.shrinkage
        draw_small_cut(axes, one.result, one.scenario.jar, extent, before=before)
    beside = left + scale * across + 0.08
    column = Writer(
        start=lambda: page, pages=[page], left=beside, width=left + _WIDTH - beside, top=low + high, bottom=-high
    )
    _words(column, page, found, one, rank, units)


def _words(column: Writer, page: Figure, found: WhatIf, one: Outcome, rank: int, units: System) -> None:
    change = one.change
    if change is None:
        column.text("This jar, as it is", size=NORMAL, weight="bold", after=0.04)
    else:
        said = capital(change_text(change.name, change.value, units))
        column.text(f"{rank}  {said}", size=NORMAL, weight="bold", after=0.01)
        now = now_text(change, units)
        if now:
            _clipped(column, now, 1)
        column.gap(0.03)
    if one.answers is not None:
        for name, told in (("set", set_text(one)), ("sunk", sunk_text(one, units))):
            column.row((name, told), (0.38, column.width - 0.38), size=LARGE, bold=(1,), between=0.0, after=0.0)
        column.gap(0.05)
    flag = flag_text(found, one)
    if change is not None:
        _verdict(column, page, found, one)
    if flag:
        column.text(f"! {flag}", size=SMALL, weight="bold", after=0.02)
    if change is not None:
        _clipped(column, capital(effect_text(found, one)), 4)
        return
    if one.result is not None:
        _clipped(column, capital(top_text(one.result, units)), 2)
    jar = one.scenario.jar
    poured, vessel, room = (temperature_text(one, units) for one in (jar.pour, jar.vessel_start, jar.room.at(0.0)))
    filled = f"{one.scenario.file.wax.called}, {length_text(jar.depth, units)} deep"
    _clipped(column, f"{capital(filled)}; wax {poured}, jar {vessel}, room {room}", 4)


def _clipped(column: Writer, told: str, most: int) -> None:
    """Set a text in so many lines [-] at most: the name of a wax, or why a jar cannot be run, may be long."""
    lines = broken(told, column.width, SMALL)
    if len(lines) > most:
        lines = broken(told, column.width - 0.15, SMALL)[:most]
        lines[-1] += " …"
    column.text("\n".join(lines), size=SMALL, after=0.02)


def _verdict(column: Writer, page: Figure, found: WhatIf, one: Outcome) -> None:
    """Draw an arrow with the word for it; two bars where there is no difference."""
    better = found.effect(one).better
    base = column.y - 0.15
    half = [(x, y if better >= 0 else 1.0 - y) for x, y in _ARROW]
    outlines = [[*half, *((-x, y) for x, y in half[::-1])]]
    if not better:
        outlines = [[(-0.4, y), (0.4, y), (0.4, y + 0.2), (-0.4, y + 0.2)] for y in (0.2, 0.6)]
    for outline in outlines:
        points = [(column.left + _ARROW_SIZE * (0.5 + x), base + _ARROW_SIZE * y) for x, y in outline]
        page.add_artist(
            Polygon(
                points, closed=True, facecolor=_LOOKS[better], edgecolor="none", transform=page.dpi_scale_trans,
                gid=f"arrow {better}",
            )
        )  # fmt: skip
    word = word_of(found, one)
    column.row(
        ("", word),
        (_ARROW_SIZE + 0.07, text_width(word, LARGE, "bold") + 0.1),
        size=LARGE,
        bold=(1,),
        between=0.0,
        after=0.02,
    )
