"""The card of a wax of one's own: what a fit found of it, and when the jar is ready with it, before and after."""

from __future__ import annotations

import datetime
from pathlib import Path

from matplotlib.figure import Figure

from coolsim.answers.catalogue import BY_KEY
from coolsim.answers.text import value_text
from coolsim.errors import OutputError
from coolsim.report.cautions import cautions
from coolsim.report.figures.fit import draw_log
from coolsim.report.figures.style import LARGE, PAGE_WIDTH, SMALL, in_style
from coolsim.report.paper.page import Frame, usual_paper
from coolsim.report.paper.typeset import Writer
from coolsim.report.text.fit import field_cells, seen_texts, sources_text
from coolsim.report.text.kept import earlier_text, found_sentence, jar_word, not_kept
from coolsim.report.wording import capital
from coolsim.scenario.kept import KEPT_FOLDER
from coolsim.scenario.toml_file import toml_value
from coolsim.studies.fit.fit import FittedJar
from coolsim.studies.fit.own_wax import OwnWax, is_of_wax
from coolsim.studies.workshop.moments import day_text
from coolsim.units import System

_BETWEEN = 0.35
_LEFT = 5.1
_RIGHT = PAGE_WIDTH - _LEFT - _BETWEEN
_TIMES = ("rim_set_s", "wick_free_until_s", "top_closed_s", "fully_set_s", "cool_s")
_CURVES, _LESS, _BESIDE, _UNDER = 2.75, 0.15, 0.55, 0.45  # inches
_IN_WORDS = {
    "wax.freezing_starts": "freezes from",
    "wax.freezing_ends": "90 % of the heat out at",
    "wax.latent_heat": "heat of freezing",
    "wax.total_shrinkage": "shrinks by",
    "mush.stiffness": "stiffness of set wax",
    "mush.suction": "bears a suction of",
}
_VALUES = (1.65, 0.85, 0.9, 0.85, 0.85)


def draw_wax_card(own: OwnWax, name: str, *, day: datetime.date, units: System) -> Figure:
    """Draw the card of a wax that is kept under a name, on the paper of the units; the day is that of the fit."""
    fit = own.fit
    frame = Frame(paper=usual_paper(units), title=fit.scenario.title)

    def overfull() -> Figure:
        raise OutputError(f"{frame.title}: a card is one page, and so many values do not fit on it. Fit fewer.")

    with in_style():
        page = frame.page(name)
        whole = frame.writer([page], overfull)
        source = f"{sources_text(fit)}, with {Path(fit.scenario.where).name}"
        whole.text(f"A wax of your own, found on {day_text(day)} from {source}.", after=0.1)
        whole.text(found_sentence(own, units), size=LARGE + 3, weight="bold", after=0.14)
        left = frame.writer([page], overfull, top=whole.y, width=_LEFT)
        _values(left, own, name, units)
        right = frame.writer([page], overfull, top=whole.y, left=_LEFT + _BETWEEN, width=_RIGHT)
        _curves(right, own, units)
        _times(right, own, units)
        for caution in cautions([], [own.scenario], units=units, topics=("who comes first", "burns", "still")):
            left.point(caution, size=SMALL + 0.5, after=0.04)
        frame.foot(page, 1, of=1)
    return page


def _values(column: Writer, own: OwnWax, name: str, units: System) -> None:
    column.text("The wax", size=LARGE, weight="bold")
    heads = ("", "assumed", "found", "95 % from", "to")
    column.row(heads, _VALUES, size=SMALL + 1.0, bold=range(5), right=range(1, 5), after=0.06, line=1.0)
    for one in own.fit.fields:
        if is_of_wax(one.known.key):
            key, before, value, low, high, known = field_cells(one, units)
            told = "" if known == "yes" else f" ({'hardly known' if known == 'no' else 'known in part'})"
            cells = (f"{_IN_WORDS.get(key, key)}{told}", before, value, low, high)
            column.row(cells, _VALUES, size=SMALL + 1.0, right=range(1, 5), bold=(2,), after=0.07, line=0.3)
    column.gap(0.06)
    others = not_kept(own.fit)
    column.text(
        "Of 100 true values 95 lie between the two ends, as far as the model holds. Temperatures and heat are those of"
        f" the wax without fragrance.{f' {others}.' if others else ''}",
        size=SMALL + 0.5,
        after=0.1,
    )
    column.text(
        f"Any scenario near the folder {KEPT_FOLDER} gets it by kind = {toml_value(name)} under [wax].", after=0.12
    )


def _curves(column: Writer, own: OwnWax, units: System) -> None:
    """Draw the first log with the curves before and after the fit, and write what was seen of that jar."""
    jar = next((one for one in own.fit.jars if one.measured.log is not None), own.fit.jars[0])
    if jar.measured.log is not None:
        _log(column, jar, units)
    elif jar.measured.seen:
        column.text("What was seen, and the model before and after the fit", size=LARGE, weight="bold")
    for seen in seen_texts(jar, units):
        column.text(capital(seen), size=SMALL + 0.5, after=0.03)
    column.gap(0.1)


def _log(column: Writer, jar: FittedJar, units: System) -> None:
    column.text("The log, and the model before and after the fit", size=LARGE, weight="bold")
    page = column.pages[-1]
    width, height = page.get_size_inches()
    tall = _CURVES - _LESS * len(jar.measured.seen)
    axes = page.add_axes(
        (
            (column.left + _BESIDE) / width,
            (column.y - tall + _UNDER) / height,
            (column.width - _BESIDE) / width,
            (tall - _UNDER) / height,
        )
    )
    draw_log(axes, None, jar, 0, units)
    column.gap(tall + 0.1)


def _times(column: Writer, own: OwnWax, units: System) -> None:
    column.text(f"{jar_word(own).capitalize()}, hours since the pour", size=LARGE, weight="bold")
    widths = (_RIGHT - 3.2, 0.9, 0.9, 1.4)
    heads = ("", "assumed", "found", "")
    column.row(heads, widths, size=SMALL + 1.0, bold=range(4), right=(1, 2, 3), after=0.06, line=1.0)
    for key in _TIMES:
        answer = BY_KEY[key]
        before, after = (value_text(answer, one[key], units) for one in (own.assumed, own.found))
        cells = (answer.called, before, after, earlier_text(own, key))
        column.row(cells, widths, size=SMALL + 1.0, bold=(2,), right=(1, 2, 3), after=0.06, line=0.3)
    jars = " Of the jars in the box each time is that of the jar to go by." if own.scenario.jar.places else ""
    column.text(
        f"Runs of this {jar_word(own)} as its scenario states it, but for the wax.{jars} Computed, not measured.",
        size=SMALL + 0.5,
    )
