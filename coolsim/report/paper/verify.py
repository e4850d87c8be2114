"""The book of the checks: a page for each, all of them in one table, and what they come to."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import partial
from itertools import groupby
from pathlib import Path

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.ticker import MaxNLocator

from coolsim._version import __version__
from coolsim.report.figures.saving import save_pages
from coolsim.report.figures.style import INKS, MARKERS, PAGE_WIDTH, SMALL, in_style
from coolsim.report.paper.page import PAPERS, Frame, Paper
from coolsim.report.paper.theory import displayed, theory_pages
from coolsim.report.paper.typeset import BODY, POINT, SPACING, Writer, formula_size
from coolsim.report.text.verify import misses, percent
from coolsim.studies.verify.case import KINDS, MARKS, Checked, Value, evidence
from coolsim.studies.verify.not_validated import NOT_VALIDATED

_TITLE = "The checks of coolsim"
_LEFT, _BETWEEN = 3.1, 0.26
_RIGHT = PAGE_WIDTH - _LEFT - _BETWEEN
_PLOT = 1.6
_BELOW = 0.008
_MOST_DIGITS = 7
MINUS = "\N{MINUS SIGN}"
_FORMULA = BODY + 1.0
# Name, computed, reference, error, tolerance: of a table as wide as the page leaves, and of two beside each other.
_ONE = (2.5, 1.0, 1.0, 1.0, 0.9)
_TWO = (1.11, 0.66, 0.66, 0.43, 0.46)
_SMALLEST = 7.0
_HEADS = ("", "computed", "reference", "error", "within")


@dataclass(frozen=True, slots=True)
class Book:
    """The pages in their order, and by name the one of each check, of all of them, and of what they come to."""

    pages: tuple[Figure, ...]
    named: Mapping[str, Figure]


def draw_book(checked: Sequence[Checked], *, paper: Paper = "a4") -> Book:
    """Draw the theory, a page for each check, all of them in a table, and what they come to."""
    frame = Frame(paper=paper, title=f"{_TITLE}, version {__version__}")
    with in_style():
        made = {one.case.id: _case_pages(frame, one) for one in checked}
        made["checks"] = _table_pages(frame, checked)
        made["summary"] = _summary_pages(frame, checked)
        pages = (*theory_pages(frame), *(page for each in made.values() for page in each))
        frame.number(pages)
    return Book(pages, {name: each[0] for name, each in made.items()})


def write_book(book: Book, path: Path | str) -> Path:
    """Write a book as one PDF; the same pages write the same bytes."""
    return save_pages(book.pages, path, title=_TITLE, author="")


def _case_pages(frame: Frame, one: Checked) -> list[Figure]:
    """Set a check on a page: set-up, equation, source and error on the left, values on the right."""
    case = one.case
    page = frame.page(f"{case.id}  {case.title}")
    pages = [page]
    left = frame.writer(pages, case.id, width=_LEFT)
    _part(left, "Set-up", case.setup)
    left.text("Equation", size=SMALL, weight="bold", after=0.04)
    for formula in case.formulas:
        _formula(left, formula)
    left.text(case.equation, size=SMALL, after=0.1)
    _part(left, "Source", f"{case.source} Mark: {case.mark} ({MARKS[case.mark]}). Evidence: {KINDS[case.kind]}.")
    _part(left, "Tolerance", case.slack)
    kept = f"{len(one.missed)} of {len(one.values)} values miss" if one.missed else f"All {len(one.values)} values kept"
    how = f" How to open it: coolsim verify --only {case.id}." if case.problems else ""
    _part(left, "Result", f"{kept}; the largest error is {one.worst:.2f} of its tolerance. coolsim {__version__}.{how}")
    _errors(frame, page, one.values, left.y)
    _values(frame, pages, one)
    return pages


def _part(writer: Writer, heading: str, text: str) -> None:
    writer.text(heading, size=SMALL, weight="bold", after=0.02)
    writer.text(text, size=SMALL, after=0.1)


def _formula(writer: Writer, formula: str) -> None:
    """Set a formula on a line of its own, smaller if it would be wider than the column."""
    parts = formula.split("$")
    # Words beside a formula become a part of it.
    words = (part if number % 2 else _upright(part) for number, part in enumerate(parts))
    inner = displayed("".join(words))
    room = writer.width - 0.15
    size = min(_FORMULA, _FORMULA * room / formula_size(inner, _FORMULA)[0])
    writer.formula(inner, size=size, indent=0.12, after=0.06)


def _upright(words: str) -> str:
    spaced = words.replace(" ", r"\ ")
    return rf"\mathrm{{{spaced}}}" if words else ""


def _values(frame: Frame, pages: list[Figure], one: Checked) -> None:
    """Set the values and orders in a table; where there are many in two beside each other, under their own headings."""
    rows = [*one.values, *one.orders]
    pitch = SPACING * SMALL * POINT + _BELOW
    if len(rows) * pitch < frame.top - frame.bottom - 0.4:
        writer = frame.writer(pages, one.case.id, left=_LEFT + _BETWEEN, width=sum(_ONE))
        _table(writer, [("", rows)], _ONE, SMALL)
        return
    groups = [(name, list(group)) for name, group in groupby(rows, key=lambda row: row.name.rpartition(": ")[0])]
    half = -(-len(groups) // 2)
    for number, part in enumerate((groups[:half], groups[half:])):
        left = _LEFT + _BETWEEN + 0.5 * number * _RIGHT
        writer = frame.writer(pages, one.case.id, left=left, width=sum(_TWO))
        _table(writer, part, _TWO, _SMALLEST)


def _table(writer: Writer, groups: Sequence[tuple[str, Sequence[Value]]], widths: Sequence[float], size: float) -> None:
    """Set groups of values of a size [pt] in columns of some widths [in]."""
    row = partial(writer.row, size=size, right=range(1, 5), between=0.06)
    row(_HEADS, widths, bold=range(5), line=0.7)
    for group, values in groups:
        if group:
            writer.text(group, size=size, weight="bold", after=_BELOW)
        for one in values:
            name = one.name.removeprefix(f"{group}: ") if group else one.name
            cells = (f"{name} [{one.unit}]" if one.unit else name, *_cells(one))
            row(cells, widths, bold=() if one.kept else range(1, 5), after=_BELOW)


def _cells(row: Value) -> tuple[str, ...]:
    """Write a value, its reference, error and tolerance to two digits of the tolerance."""
    digits = int(1 - np.floor(np.log10(row.tolerance)))
    if digits > _MOST_DIGITS:
        told = (
            f"{row.computed:.{_MOST_DIGITS}g}",
            f"{row.reference:.{_MOST_DIGITS}g}",
            f"{row.error:+.1e}",
            f"{row.tolerance:.1e}",
        )
    else:
        decimals = max(digits, 0)
        told = (
            f"{row.computed:.{decimals}f}",
            f"{row.reference:.{decimals}f}",
            f"{row.error:+z.{decimals}f}",
            f"{row.tolerance:.{decimals}f}",
        )
    return tuple(one.replace("-", MINUS) for one in told)


def _errors(frame: Frame, page: Figure, values: Sequence[Value], below: float) -> None:
    """Draw the error of each value in tolerances, where the left column has room."""
    height = min(_PLOT, below - 0.12 - frame.bottom - 0.4)
    axes = _axes(frame, page, left=0.45, width=_LEFT - 0.5, top=below - 0.12, height=height)
    axes.axhspan(-1.0, 1.0, color="0.93", linewidth=0)
    axes.axhline(0.0, color="black", linewidth=0.6)
    shares = [one.of_tolerance for one in values]
    axes.plot(range(1, len(values) + 1), shares, linestyle="", marker="o", markersize=3.0, color=INKS[1])
    most = 1.1 * max(1.0, *(abs(one) for one in shares if np.isfinite(one)), 0.0)
    axes.set_ylim(-most, most)
    axes.xaxis.set_major_locator(MaxNLocator(integer=True))
    axes.set_xlabel("value, in the order of the table")
    axes.set_ylabel("error / tolerance")


def _axes(frame: Frame, page: Figure, *, left: float, width: float, top: float, height: float) -> Axes:
    """Make axes on a page, from what is printed on the left and from the lower edge of the paper [in]."""
    wide, high = PAPERS[frame.paper]
    axes = page.add_axes(((frame.left + left) / wide, (top - height) / high, width / wide, height / high))
    axes.tick_params(labelsize=SMALL)
    return axes


def _table_pages(frame: Frame, checked: Sequence[Checked]) -> list[Figure]:
    """Every check on one line."""
    pages = [frame.page("All checks")]
    writer = frame.writer(pages, "All checks")
    widths = (0.5, 4.3, 1.5, 1.5, 0.6, 0.8, 0.8)
    writer.row(
        ("id", "what", "evidence", "mark of the source", "values", "worst", ""),
        widths,
        bold=range(7),
        right=(4, 5),
        line=1.0,
    )
    for one in checked:
        cells = (
            one.case.id,
            one.case.title,
            KINDS[one.case.kind],
            one.case.mark,
            str(len(one.values)),
            f"{one.worst:.2f}",
            f"{len(one.missed)} missed" if one.missed else "kept",
        )
        writer.row(cells, widths, right=(4, 5), bold=range(7) if one.missed else (), after=0.03)
    writer.gap(0.08)
    writer.text(
        "worst: the largest error of a check in tolerances; up to 1 it is kept. A value that is off by more ends"
        " `coolsim verify` with an error.",
        size=SMALL,
    )
    writer.text("Marks: " + "; ".join(f"{mark}: {meaning}" for mark, meaning in MARKS.items()) + ".", size=SMALL)
    return pages


def _summary_pages(frame: Frame, checked: Sequence[Checked]) -> list[Figure]:
    """Sum up all values, and say where there are none."""
    heading = "What the checks come to, and where there are none"
    page = frame.page(heading)
    pages = [page]
    width = 4.7
    axes = _axes(frame, page, left=0.5, width=width - 0.5, top=frame.top - 0.25, height=2.9)
    strip = _axes(frame, page, left=0.5, width=width - 0.5, top=frame.top - 3.75, height=1.9)
    _scatter(axes, checked)
    _strip(strip, checked)
    right = frame.writer(pages, heading, left=width + 0.4, width=PAGE_WIDTH - width - 0.4)
    right.text("By kind of evidence", size=SMALL, weight="bold", after=0.04)
    widths = (1.75, 0.6, 0.6, 0.7, 0.65, 0.6)
    right.row(
        ("", "checks", "values", "bias", "spread", "missed"),
        widths,
        size=SMALL,
        bold=range(6),
        right=range(1, 6),
        line=0.7,
    )
    for one in evidence(checked):
        cells = (
            f"{one.kind}  {KINDS[one.kind]}",
            str(one.cases),
            str(one.values),
            percent(one.bias).replace("-", MINUS),
            percent(one.spread, sign=False),
            str(one.missed),
        )
        right.row(cells, widths, size=SMALL, right=range(1, 6))
    right.gap(0.04)
    right.text(
        "Bias and spread: mean and standard deviation of the errors, each as a share of the reference, of temperatures"
        " as a share of the range that they lie in.",
        size=SMALL,
        after=0.12,
    )
    right.text("Not validated", size=SMALL, weight="bold", after=0.04)
    for what, why in NOT_VALIDATED:
        right.row((what, why), (1.25, right.width - 1.25), size=SMALL, bold=(0,), after=0.05)
    right.gap(0.1)
    right.text("Missed", size=SMALL, weight="bold", after=0.04)
    for text in misses(checked) or ["None of the values is off by more than its tolerance."]:
        right.text(text, size=SMALL, after=0.03)
    return pages


def _scatter(axes: Axes, checked: Sequence[Checked]) -> None:
    """Draw every value over its reference."""
    both: list[float] = []
    for kind, ink, marker in zip(KINDS, INKS, MARKERS, strict=False):
        values = [
            value
            for one in checked
            if one.case.kind == kind
            for value in one.values
            if min(value.computed, value.reference) > 0.0
        ]
        if not values:
            continue
        x, y = [one.reference for one in values], [one.computed for one in values]
        both += [*x, *y]
        axes.plot(
            x,
            y,
            linestyle="",
            marker=marker,
            markersize=3.5,
            color=ink,
            alpha=0.7,
            markeredgewidth=0,
            label=KINDS[kind],
        )
    axes.set_xscale("log")
    axes.set_yscale("log")
    line = np.array([min(both, default=1.0), max(both, default=1.0)])
    axes.plot(line, line, color="black", linewidth=0.6, zorder=0)
    axes.fill_between(line, 0.9 * line, 1.1 * line, color="0.9", linewidth=0, zorder=0)
    axes.set_xlabel("reference, each in its unit")
    axes.set_ylabel("computed")
    axes.set_title("Every value above zero; grey: within 10 %", loc="left")
    if both:
        axes.legend(loc="upper left")


def _strip(axes: Axes, checked: Sequence[Checked]) -> None:
    """Draw the relative errors by kind, with bias and spread."""
    found = evidence(checked)
    for place, one in enumerate(found):
        number = list(KINDS).index(one.kind)
        ink, marker = INKS[number], MARKERS[number]
        errors = [100.0 * v.relative for c in checked if c.case.kind == one.kind for v in c.values]
        apart = place + 0.25 * np.linspace(-1.0, 1.0, len(errors)) if len(errors) > 1 else [float(place)]
        axes.plot(apart, errors, linestyle="", marker=marker, markersize=2.5, color=ink, alpha=0.6, markeredgewidth=0)
        if one.bias is not None and one.spread is not None:
            bias, spread = 100.0 * one.bias, 100.0 * one.spread
            axes.errorbar([place + 0.36], [bias], [spread], color="black", marker="_", capsize=2.0, linewidth=0.8)
    axes.axhline(0.0, color="black", linewidth=0.5)
    axes.set_yscale("symlog", linthresh=0.1)
    ticks = (-100, -10, -1, -0.1, 0, 0.1, 1, 10, 100)
    axes.set_yticks(ticks, [f"{tick:g}".replace("-", MINUS) for tick in ticks])
    axes.set_ylim(-130.0, 130.0)
    axes.minorticks_off()
    axes.set_xticks(range(len(found)), [KINDS[one.kind].replace(" ", "\n") for one in found])
    axes.set_ylabel("error [%]")
