"""What a study of the pour has found: candidates with their numbers, and the recommended ones."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

from coolsim.answers.answer import Value
from coolsim.overview import COMPUTED, Overview, OverviewTable, time_cell, volume_cell
from coolsim.scenario import Scenario
from coolsim.units import System, format_quantity

Place = Literal["bare", "boxed"]
Limit = Literal[
    "too near freezing",
    "wax maker's limit",
    "fragrance limit",
    "jar shock",
    "skin stays",
    "too slow",
    "failed",
    "passes too seldom",
]

AS_GOOD = 0.02
"""Candidates whose dish and cavity together are this little larger than the least are as good: the grid of the study
tells them no better apart [-]."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Candidate:
    """One pour temperature in one room [°C], bare or boxed, with the answers of its run and the limits that it breaks.

    Where cases were drawn, `passes` is the share of them in which it keeps all limits [-], and `breaks` has the
    limits that it breaks in some, with the share in which it does [-].
    """

    place: Place
    room: float
    jar: float
    pour: float
    answers: dict[str, Value] | None
    rejected: tuple[Limit, ...]
    fault: str | None = None
    passes: float | None = None
    breaks: tuple[tuple[Limit, float], ...] = ()

    def number(self, name: str) -> float | None:
        """Return an answer that is a number, by its key; None if there is none."""
        value = None if self.answers is None else self.answers[name]
        return float(value) if isinstance(value, int | float) else None

    @property
    def lost(self) -> float:
        """Volume of dish and cavity together [m3]; infinite if the run failed."""
        dish, cavity = self.number("dish_volume_m3"), self.number("cavity_volume_m3")
        return math.inf if dish is None or cavity is None else dish + cavity


@dataclass(frozen=True, slots=True, kw_only=True, repr=False)
class Choice(Overview):
    """The candidates for one place and one room [°C], from the coldest pour to the hottest."""

    place: Place
    room: float
    jar: float
    candidates: tuple[Candidate, ...]

    @property
    def recommended(self) -> Candidate | None:
        """The middle one of those as good as the best, away from limits on both sides; None if none passes."""
        good = self.as_good
        return good[(len(good) - 1) // 2] if good else None

    @property
    def as_good(self) -> tuple[Candidate, ...]:
        """Those round the one with the least dish and cavity, it included, that pass and cannot be told from it."""
        best = min((one for one in self.candidates if not one.rejected), key=lambda one: one.lost, default=None)
        if best is None:
            return ()
        most = best.lost * (1.0 + AS_GOOD)
        first = last = self.candidates.index(best)
        good = [not one.rejected and one.lost <= most for one in self.candidates]
        while first > 0 and good[first - 1]:
            first -= 1
        while last + 1 < len(good) and good[last + 1]:
            last += 1
        return self.candidates[first : last + 1]

    def __repr__(self) -> str:
        return f"<Choice {self.place}, room at {format_quantity(self.room, 'temperature')}>"

    def overview(self) -> OverviewTable:
        """Return the candidates, as a notebook shows them."""
        return OverviewTable(
            title=f"{self.place.capitalize()}, room at {format_quantity(self.room, 'temperature')}",
            headings=("Pour at", "Dish and cavity", "Fully set [h:mm]", "Breaks"),
            rows=tuple(
                (
                    format_quantity(one.pour, "temperature"),
                    volume_cell(None if one.answers is None else one.lost),
                    time_cell(one.number("fully_set_s")),
                    ", ".join(one.rejected) or "no limit",
                )
                for one in self.candidates
            ),
            notes=(COMPUTED,),
        )


@dataclass(frozen=True, slots=True, kw_only=True, repr=False)
class PourStudy(Overview):
    """The answer to how hot to pour. A notebook shows it as a table; `print` writes the same as lines.

    Parameters
    ----------
    bare, boxed : Scenario
        What was simulated.
    twin : {"bare", "boxed"}
        Which of the two the scenario does not describe itself.
    choices : tuple of Choice
        One for each place and room, rooms from cold to warm, bare before boxed.
    time_allowed : float
        Within what time a jar must be fully set [s].
    margin : float
        How far above the start of freezing a pour must be [K].
    own_grid : bool
        Whether the runs were cut as finely as the scenario asks, rather than a quarter more coarsely.
    made_up : bool
        Whether that other one was derived, rather than given.
    cases : int or None
        In how many cases each pour was tried [-]; None if only with the values of the scenario.
    share : float
        In which share of the cases a pour must pass [-].
    varied : tuple of str
        Keys that differ from case to case.

    Examples
    --------
    >>> from coolsim import PourStudy, built_in_pair
    >>> bare, boxed = built_in_pair()
    >>> PourStudy(bare=bare, boxed=boxed, twin="boxed", choices=(), time_allowed=57600.0, margin=8.0, own_grid=True)
    <PourStudy of 'Tumbler, bare on the bench' and 'Tumbler, in a closed box': 0 choices>
    """

    bare: Scenario
    boxed: Scenario
    twin: Place
    choices: tuple[Choice, ...]
    time_allowed: float
    margin: float
    own_grid: bool
    made_up: bool = True
    cases: int | None = None
    share: float = 1.0
    varied: tuple[str, ...] = ()

    def scenario(self, place: Place) -> Scenario:
        """Return the scenario of a place."""
        return self.bare if place == "bare" else self.boxed

    def __repr__(self) -> str:
        return f"<PourStudy of {self.bare.title!r} and {self.boxed.title!r}: {len(self.choices)} choices>"

    def overview(self) -> OverviewTable:
        """Return the recommended pours, as a notebook shows them."""
        return OverviewTable(
            title="How hot to pour",
            headings=("Place", "Room", "Pour at", "As good", "Dish and cavity", "Fully set [h:mm]"),
            rows=tuple(_overview_row(choice, self.bare.units) for choice in self.choices),
            notes=(COMPUTED,),
        )


def _overview_row(choice: Choice, units: System) -> tuple[str, ...]:
    room = format_quantity(choice.room, "temperature", system=units)
    best = choice.recommended
    if best is None:
        limits = dict.fromkeys(limit for one in choice.candidates for limit in one.rejected)
        return choice.place, room, f"none passes: {', '.join(limits)}", "", "", ""
    pours = [format_quantity(one.pour, "temperature", system=units) for one in (best, *choice.as_good)]
    as_good = f"{pours[1]} to {pours[-1]}" if len(pours) > 2 else ""
    return choice.place, room, pours[0], as_good, volume_cell(best.lost, units), time_cell(best.number("fully_set_s"))
