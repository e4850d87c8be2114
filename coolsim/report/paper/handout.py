"""The handout: one PDF to print for a class, bare beside boxed, that reads well in black and white."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from matplotlib.figure import Figure, SubFigure

from coolsim.report.figures.common import in_style, save_pages, styled
from coolsim.report.figures.curves import draw_cooling_curves, draw_heat_shares
from coolsim.report.figures.pour_chart import draw_pour_chart
from coolsim.report.figures.sections import draw_sections
from coolsim.report.figures.set_map import draw_set_map
from coolsim.report.figures.tops import draw_top_profiles, draw_tops
from coolsim.report.paper.handout_pages import Sheets, advice_pages, caution_page, cover_page, plan_page
from coolsim.report.paper.page import Frame, Paper, figure_page, usual_paper
from coolsim.report.wording import temperature_text
from coolsim.scenario import Scenario
from coolsim.scenario.plausible import states
from coolsim.solve.result import Result
from coolsim.studies.pour.choose import PourStudy
from coolsim.studies.workshop.advice import Advice
from coolsim.studies.workshop.day_plan import DayPlan, plan_day
from coolsim.studies.workshop.moments import day_text
from coolsim.units import System

_MOST_MAPS = 4
_SHARES = (0.125, 0.25, 0.5, 1.0)
_ROUND, _ROUND_MORE, _LONG = 300.0, 1800.0, 7200.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Handout:
    """What a handout shows: two jars side by side, bare before boxed if they differ in that, and their runs.

    It is about one of them (own [-]); the other one may be derived from it. The study is over several rooms, the chart
    lacks those left out because this wax would not set there, and there is advice for each jar.
    """

    scenarios: tuple[Scenario, Scenario]
    results: tuple[Result, Result]
    own: int
    derived: bool
    study: PourStudy
    advice: tuple[Advice, ...]
    left_out: tuple[str, ...] = ()

    @property
    def scenario(self) -> Scenario:
        """The scenario that the handout is about."""
        return self.scenarios[self.own]

    @property
    def differ(self) -> bool:
        """Whether one is bare and the other boxed."""
        bare, boxed = (one.jar.surround is None for one in self.scenarios)
        return bare != boxed

    @property
    def tags(self) -> tuple[str, str]:
        """What the two are called within a sentence."""
        return ("bare", "in the box") if self.differ else ("(A)", "(B)")

    @property
    def names(self) -> tuple[str, str]:
        """What the two are called in tables and figures."""
        titles = [one.title for one in self.scenarios]
        if not self.differ:
            return f"A: {titles[0]}", f"B: {titles[1]}"
        if not self.derived and titles[0] != titles[1]:
            return titles[0], titles[1]
        if self.derived:
            titles[1 - self.own] = "The same, in a box" if self.own == 0 else "The same, bare"
        return titles[0], titles[1]

    def plans(self, units: System) -> tuple[DayPlan, ...]:
        """Plan the day of each."""
        runs = zip(self.scenarios, self.results, strict=True)
        return tuple(plan_day(scenario, result, units=units) for scenario, result in runs)


def about(scenario: Scenario) -> str:
    """Write what is stated of title, author and day in one line."""
    day = "" if scenario.date is None else day_text(scenario.date)
    return " · ".join(part for part in (scenario.title, scenario.author, day) if part)


def draw_handout(handout: Handout, *, paper: Paper | None = None, units: System | None = None) -> tuple[Figure, ...]:
    """Draw the pages of a handout, on their side: no letter smaller than 7 pt, nothing that needs colour."""
    chosen = units or handout.scenario.units
    frame = Frame(paper=paper or usual_paper(chosen), title=about(handout.scenario))
    sheets = Sheets(
        frame=frame,
        scenarios=handout.scenarios,
        results=handout.results,
        names=handout.names,
        tags=handout.tags,
        own=handout.own,
        derived=handout.derived,
        plans=handout.plans(chosen),
        units=chosen,
    )
    with in_style():
        pages = [
            *cover_page(sheets),
            *_figure_pages(handout, frame, chosen),
            *plan_page(sheets),
            *advice_pages(sheets, handout.advice),
            *caution_page(sheets),
        ]
        frame.number(pages)
    return tuple(pages)


def write_handout(
    handout: Handout, path: Path | str, *, paper: Paper | None = None, units: System | None = None
) -> Path:
    """Write a handout as one PDF; the same handout writes the same bytes."""
    pages = draw_handout(handout, paper=paper, units=units)
    return save_pages(pages, path, title=handout.scenario.title, author=handout.scenario.author)


def map_times(scenarios: Sequence[Scenario], results: Sequence[Result]) -> tuple[float, ...]:
    """Choose at most four times [s] of the temperature maps.

    Those of the first scenario; where it states none and all is over before the usual ones, four that double up to the
    end of freezing.
    """
    times = scenarios[0].map_times
    stated = states(scenarios[0], "report.map_times")
    ends = [result.events.fully_set if result.events else None for result in results]
    end = max((float(result.time[-1]) if at is None else at) for at, result in zip(ends, results, strict=True))
    if not stated and times[-1] > end:
        step = _ROUND_MORE if end > _LONG else _ROUND
        last = max(step, step * round(end / step))
        return tuple(share * last for share in _SHARES)
    if len(times) <= _MOST_MAPS:
        return times
    apart = (len(times) - 1) / (_MOST_MAPS - 1)
    return tuple(times[round(index * apart)] for index in range(_MOST_MAPS))


def _figure_pages(handout: Handout, frame: Frame, units: System) -> list[Figure]:
    runs = list(zip(handout.names, handout.results, strict=True))
    ordered = [handout.scenario, handout.scenarios[1 - handout.own]]
    times = map_times(ordered, [handout.results[handout.own], handout.results[1 - handout.own]])
    probes = handout.scenario.probes if all(one.probes == handout.scenario.probes for one in ordered) else {}
    page = styled(figure_page)

    def curves(part: SubFigure) -> Figure:
        return draw_cooling_curves(runs, units=units, points=probes, into=part)

    return [
        page(
            frame,
            "When each place sets",
            [
                (4.0, lambda part: draw_set_map(runs, units=units, into=part)),
                (2.5, lambda part: draw_heat_shares(runs, units=units, into=part)),
            ],
            "Above: the wax cut through its axis. A line joins places that set at the same time after the pour; dark"
            " sets early, light sets late, and the cross marks the last liquid. Below: through which side the heat has"
            " left so far. What the top gives off closes the top early; what goes through side and base does not.",
        ),
        page(
            frame,
            "Temperatures inside and around",
            [(1.0, lambda part: draw_sections(runs, times, units=units, into=part))],
            "Jar, bench and box cut through the axis; light is hot, dark is cold. Outside of the solid line the wax has"
            " set, outside of the dashed line it is frozen through.",
        ),
        page(
            frame,
            "Cooling curves",
            [(1.0, curves)],
            "Hold them against a thermometer of your own. Where a curve runs nearly level, the wax there is freezing:"
            " the heat of freezing holds its temperature up.",
        ),
        page(
            frame,
            "The top, and what it hides",
            [
                (3.9, lambda part: draw_tops(runs, units=units, into=part)),
                (2.6, lambda part: draw_top_profiles(runs, units=units, into=part)),
            ],
            "Above, to scale: the top when all has set, and the hollow under it. Below: the same tops over each other,"
            " with heights stretched. Estimates: they hang on how much the wax shrinks and on how long its melt flows,"
            " which no data sheet says.",
        ),
        page(
            frame,
            "How hot to pour",
            [(1.0, lambda part: draw_pour_chart(handout.study, units=units, into=part))],
            _recommended(handout, units),
        ),
    ]


def _recommended(handout: Handout, units: System) -> str:
    """Say what the chart recommends for the room of the scenario, or the room of the chart that is nearest to it."""
    room = handout.scenario.jar.room.at(0.0)
    nearest = min((choice.room for choice in handout.study.choices), key=lambda one: abs(one - room))
    told = []
    for choice in handout.study.choices:
        if choice.room != nearest:
            continue
        place = "bare" if choice.place == "bare" else "in the box"
        best = choice.recommended
        told.append(f"{place} {'none passes' if best is None else temperature_text(best.pour, units)}")
    own = "" if handout.differ else f" The chart is drawn for {handout.scenario.title}."
    if handout.left_out:
        own += f" Left out, as this wax would not set there: {', '.join(handout.left_out)}."
    return (
        "Find the room below, go up to the line, read the pour temperature on the left; hatched pours are rejected."
        f" Room at {temperature_text(nearest, units)}: {', '.join(told)}. `coolsim pour` prints every candidate with"
        f" its numbers.{own}"
    )
