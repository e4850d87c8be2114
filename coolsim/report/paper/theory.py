"""The theory on paper: its equations, the nomenclature, and what is left out, for the book of the checks."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from functools import partial

from matplotlib.figure import Figure

from coolsim.report.figures.style import PAGE_WIDTH, SMALL, in_style
from coolsim.report.paper.page import Frame
from coolsim.report.paper.typeset import BODY, POINT, SPACING, Writer, put
from coolsim.theory import INDICES, LEFT_OUT, LEFT_OUT_NOTE, MARKS, NOMENCLATURE, THEORY, Chapter, Equation

COLUMNS = 3
_HEADING, _ENDING = "Theory", "What is left out, and what that costs"
_BETWEEN = 0.25
WIDTH = (PAGE_WIDTH - (COLUMNS - 1) * _BETWEEN) / COLUMNS
"""Width of a column [in]."""

INDENT = 0.28
"""Where formulas and terms begin, right of the numbers [in]."""

FORMULA = SMALL
"""Size of formulas [pt]."""

TERMS = SMALL - 0.5
"""Size of what is said of them [pt]."""

_SYMBOLS = 4
_SYMBOL = (0.3, 1.55, 0.65)
_LEFT_OUT = (1.5, 4.3, 2.4, PAGE_WIDTH - 8.2)


def displayed(formula: str) -> str:
    """Give a formula fractions as large as on a line of their own."""
    return formula.replace(r"\frac", r"\dfrac")


def theory_pages(frame: Frame) -> list[Figure]:
    """Set the theory on pages, in columns; their feet need the number of all pages of the book."""
    with in_style():
        pages = [frame.page(_HEADING)]
        writers = _columns(frame, pages)
        writer = next(writers)
        for block in _blocks():
            if _height(frame, block) > writer.y - writer.bottom:
                writer = next(writers)
            block(writer)
        pages.append(frame.page(_ENDING))
        _ending(frame, pages)
    return pages


def _columns(frame: Frame, pages: list[Figure]) -> Iterator[Writer]:
    """Give column after column, on page after page."""
    while True:
        for number in range(COLUMNS):
            yield frame.writer(pages, _HEADING, left=number * (WIDTH + _BETWEEN), width=WIDTH)
        pages.append(frame.page(f"{_HEADING} (continued)"))


def _blocks() -> Iterator[Callable[[Writer], None]]:
    """Give what must not be parted."""
    for chapter in THEORY:
        yield partial(_opening, chapter)
        yield from (partial(_equation, one) for one in chapter.equations[1:])


def _height(frame: Frame, block: Callable[[Writer], None]) -> float:
    """How high a block is [in]."""
    trial = frame.writer([Figure()], _HEADING, width=WIDTH)
    block(trial)
    return trial.top - trial.y


def _opening(chapter: Chapter, writer: Writer) -> None:
    writer.text(chapter.title, size=BODY, weight="bold", after=0.04)
    _equation(chapter.equations[0], writer)


def _equation(equation: Equation, writer: Writer) -> None:
    put(writer.pages[-1], f"({equation.number})", writer.left, writer.y, size=SMALL)
    writer.text(equation.name, size=SMALL, weight="bold", indent=INDENT, after=0.03)
    for formula in equation.formulas:
        writer.formula(displayed(formula), size=FORMULA, after=0.035, indent=INDENT)
    told = f"{equation.terms} [{equation.origin}; {equation.where}]"
    writer.text(told, size=TERMS, indent=INDENT, after=0.05, indices=True)


def _ending(frame: Frame, pages: list[Figure]) -> None:
    """Set what is left out, and below it the symbols in columns."""
    whole = frame.writer(pages, _ENDING)
    whole.row(("Left out", "What it does", "What that costs", "Rests on"), _LEFT_OUT, bold=range(4), line=1.0)
    for one in LEFT_OUT:
        whole.row((one.what, one.effect, one.cost, one.basis), _LEFT_OUT, size=SMALL, bold=(0,), after=0.05, line=0.3)
    whole.text(LEFT_OUT_NOTE, size=SMALL, after=0.12)
    whole.text("Nomenclature", size=BODY, weight="bold", after=0.04)
    each = -(-len(NOMENCLATURE) // _SYMBOLS)
    for number in range(_SYMBOLS):
        left = number * sum(_SYMBOL)
        column = frame.writer(pages, _ENDING, left=left, width=sum(_SYMBOL), top=whole.y)
        for symbol in NOMENCLATURE[number * each : (number + 1) * each]:
            put(pages[-1], f"${symbol.formula}$", column.left, column.y, size=SMALL, math=True)
            column.row(("", symbol.meaning, f"[{symbol.unit}]"), _SYMBOL, size=SMALL, after=0.01)
    below = frame.writer(pages, _ENDING, top=whole.y - each * (SPACING * SMALL * POINT + 0.01) - 0.1)
    told = "; ".join(f"{mark}: {meaning}" for mark, meaning in MARKS.items())
    below.text(f"{INDICES} Marks: {told}.", size=SMALL)
