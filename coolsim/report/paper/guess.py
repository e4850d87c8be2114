"""Guess and reveal: blank cut jars to draw into, the same jars as computed, and one of them to roll of paper."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from pathlib import Path

from matplotlib.axes import Axes
from matplotlib.figure import Figure

from coolsim.answers.answer import Value
from coolsim.answers.catalogue import BY_KEY, answers_of
from coolsim.answers.text import value_text
from coolsim.answers.verdict import WORDS
from coolsim.model.jar import Jar
from coolsim.report.figures.saving import save_pages
from coolsim.report.figures.set_jar import draw_poured_jar, draw_set_jar, extent_of, ring_times
from coolsim.report.figures.style import LARGE, PAGE_WIDTH, SMALL, in_style
from coolsim.report.paper.page import Frame, Paper, usual_paper
from coolsim.report.paper.paper_jar import paper_jar
from coolsim.report.paper.true_size import MM, PER_METRE, largest_scale, ratio_text, true_axes
from coolsim.report.paper.typeset import Writer
from coolsim.report.text.pour import PLACES
from coolsim.report.text.whatif import faults_text
from coolsim.report.wording import hours_minutes, length_text, temperature_text, told_top
from coolsim.scenario import Scenario
from coolsim.scenario.wording import INVENTED
from coolsim.solve.result import Result
from coolsim.studies.pour.choose import Stand
from coolsim.studies.pour.limits import broken_limits
from coolsim.studies.workshop.guesses import MOST_JARS
from coolsim.units import System

_BETWEEN = 0.15
_EMPTY = "___________"
_ASKED = (
    "Draw into each jar: a cross where the last liquid sits, and the top as it looks when all has set. Then write down"
    " when the rim sets and when all has set, in hours and minutes after the pour, and mark what the top is."
)
_SHOWN = (
    "The cross is the last liquid. Lines join what sets at the same time, at the times below, and what sets early is"
    " dark. The dashed line is the level of the pour; between it and the top lie the surfaces on the way down."
)
_MOST_RINGS = 4
_MINUTE, _AT_ONCE = 60.0, "in the first minute"
_BELOW = 1.75


@dataclass(frozen=True, slots=True, kw_only=True)
class GuessedJar:
    """A jar to guess about: what it is called, how it stands, its scenario, and the run that has the answers.

    Of a box of jars it is the one that is set last, and `kind` says which.
    """

    title: str
    stand: Stand
    scenario: Scenario
    result: Result
    kind: str = ""

    @property
    def jar(self) -> Jar:
        """What was simulated."""
        return self.scenario.jar

    def told(self, units: System) -> str:
        """Say room, pour and stand."""
        jar = self.jar
        place = PLACES[self.stand] + (f", {self.kind}" if self.kind else "")
        room, pour = (temperature_text(one, units) for one in (jar.room.at(0.0), jar.pour))
        return f"{place}. Room at {room}. Poured at {pour}, {length_text(jar.depth, units)} deep."


def draw_guess(
    jars: Sequence[GuessedJar], *, paper: Paper | None = None, units: System | None = None
) -> tuple[Figure, ...]:
    """Draw the pages: to guess on, with the answers, and two with the first jar to cut out and roll.

    Parameters
    ----------
    jars : sequence of GuessedJar
        One or more, at most `MOST_JARS`.
    paper : {"a4", "letter"}, optional
        The paper; the one that goes with the units if left out.
    units : {"metric", "us"}, optional
        Units of the workshop; those of the first scenario if left out.

    Returns
    -------
    tuple of Figure
        Four pages on their side.

    Raises
    ------
    ValueError
        If there are more jars, or none.
    """
    if not 1 <= len(jars) <= MOST_JARS:
        raise ValueError(f"there is room for 1 to {MOST_JARS} jars, not for {len(jars)}")
    chosen = units or jars[0].scenario.units
    frame = Frame(paper=paper or usual_paper(chosen), title=jars[0].scenario.title)
    with in_style():
        pages = [
            _jars_page(frame, "Guess", _ASKED, jars, _draw_blank, _write_blank, units=chosen, named=True),
            _jars_page(frame, "Reveal", f"{_SHOWN} {_rests(jars)}", jars, _draw_answer, _write_answer, units=chosen),
            *paper_jar(frame, jars[0].scenario.title, jars[0].jar, jars[0].result, units=chosen),
        ]
        frame.number(pages)
    return tuple(pages)


def write_guess(
    jars: Sequence[GuessedJar], path: Path | str, *, paper: Paper | None = None, units: System | None = None
) -> Path:
    """Write the pages as one PDF; the same jars write the same bytes."""
    first = jars[0].scenario
    return save_pages(
        draw_guess(jars, paper=paper, units=units), path, title=f"Guess: {first.title}", author=first.author
    )


def _rests(jars: Sequence[GuessedJar]) -> str:
    told = "Middle values, computed, not measured; tops are estimates."
    return f"{told} {INVENTED}" if any(one.scenario.invented for one in jars) else told


def _jars_page(
    frame: Frame,
    heading: str,
    told: str,
    jars: Sequence[GuessedJar],
    draw: Callable[[Axes, Result], None],
    write: Callable[[Writer, GuessedJar, System], None],
    *,
    units: System,
    named: bool = False,
) -> Figure:
    """Draw jars of one scale beside each other, each under what is known of it and over what is asked or answered."""
    page = frame.page(heading)
    column = frame.writer([page], heading)
    if named:
        column.gap(0.12)
        column.text(f"Name {2 * _EMPTY}     Date {_EMPTY}", size=LARGE, after=0.12)
    column.text(told, size=SMALL + 1.5, after=0.1)
    wide = (PAGE_WIDTH - (len(jars) - 1) * _BETWEEN) / len(jars)
    lefts = [number * (wide + _BETWEEN) for number in range(len(jars))]
    heads = [frame.writer([page], heading, left=left, width=wide, top=column.y) for left in lefts]
    for head, letter, one in zip(heads, "ABCD", jars, strict=False):
        head.text(f"{letter}  {one.title}", size=LARGE, weight="bold", after=0.04)
        head.text(one.told(units), size=SMALL + 1.0, after=0.1)
    top, low = min(head.y for head in heads), frame.bottom + _BELOW
    extents = [tuple(PER_METRE * one for one in extent_of(jar.result)) for jar in jars]
    left, bottom, right, high = (pick(one[side] for one in extents) for side, pick in enumerate((min, min, max, max)))
    scale = largest_scale(right - left, high - bottom, lambda _: (wide, top - low))
    inch = MM * float(scale)
    base = low + 0.5 * (top - low - (high - bottom) * inch) - bottom * inch
    for one, at in zip(jars, lefts, strict=True):
        axes = true_axes(page, frame.left + at + 0.5 * wide, base, (left, bottom, right, high), scale)
        draw(axes, one.result)
        below = frame.writer([page], heading, left=at, width=wide, top=low - 0.05, bottom=0.0)
        write(below, one, units)
    foot = frame.writer([page], heading, top=frame.bottom + 0.2, bottom=0.0)
    foot.text(f"The jars are drawn {ratio_text(scale)}.", size=SMALL)
    return page


def _draw_blank(axes: Axes, result: Result) -> None:
    draw_poured_jar(axes, result, length=PER_METRE)


def _draw_answer(axes: Axes, result: Result) -> None:
    draw_set_jar(axes, result, ring_times(result, _MOST_RINGS), length=PER_METRE)


def _write_blank(column: Writer, one: GuessedJar, units: System) -> None:
    for label in ("Rim sets after", "Fully set after"):
        column.text(f"{label} {_EMPTY}", size=SMALL + 1.5, after=0.1)
    column.text("The top will be", size=SMALL + 1.5, after=0.05)
    for word in WORDS:
        column.text(f"□ {word}", size=SMALL + 1.5, after=0.02, indent=0.1)


def _write_answer(column: Writer, one: GuessedJar, units: System) -> None:
    result = one.result
    answers = answers_of(result, one.jar)
    widths = (0.85, column.width - 0.85)
    r, z = result.required_events().last_liquid
    place = "on the axis" if r <= result.required_wax().r[0] else f"{length_text(r, units)} off the axis"
    broken = broken_limits(one.jar, one.scenario.pour_limits, answers=[answers])
    shares = ", ".join(
        f"{way} {value_text(BY_KEY[f'heat_share_{way}'], answers[f'heat_share_{way}'], units)}"
        for way in ("top", "side", "base")
    )
    rows = [
        *((BY_KEY[key].label, _when(key, answers[key], units)) for key in ("rim_set_s", "fully_set_s")),
        ("Last liquid", f"{place}, {length_text(z, units)} up"),
        ("The top is", told_top(result, units)),
        ("Heat through", shares),
        *([("And also", faults_text(breach.limit for breach in broken))] if broken else []),
        ("Lines at", ", ".join(hours_minutes(float(time)) for time in ring_times(result, _MOST_RINGS))),
    ]
    for row in rows:
        column.row(row, widths, size=SMALL + 0.5, bold=(1,), between=0.06)


def _when(key: str, value: Value, units: System) -> str:
    """Write a time; what sets at once needs no tenth of a minute."""
    return _AT_ONCE if isinstance(value, float) and value < _MINUTE else value_text(BY_KEY[key], value, units)
