"""A day in the workshop: a scenario, and what follows from it, worked out when a page first asks for it."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from contextlib import AbstractContextManager
from dataclasses import dataclass
from functools import cached_property
from pathlib import Path
from typing import TYPE_CHECKING, Any

import typer

from coolsim.cli.command import Asked
from coolsim.cli.given import read_scenario, run_box, run_each
from coolsim.cli.naming import file_stems
from coolsim.cli.targets import to_file
from coolsim.cli.values import blaming, with_options

if TYPE_CHECKING:
    from coolsim.scenario import Scenario
    from coolsim.solve.result import Result
    from coolsim.solve.together import BoxResult
    from coolsim.studies.spread.spread import Spread
    from coolsim.studies.workshop.amounts import Amounts
    from coolsim.studies.workshop.day_plan import DayPlan
    from coolsim.studies.workshop.melting import Melting
    from coolsim.studies.workshop.melts import MeltInTurn, Turn
    from coolsim.studies.workshop.preparation import Preparation
    from coolsim.units import System

PLANNED = ("jars", "start", "date", "middle", "workers")
"""Options of all that has the plan of the day on it."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Told:
    """What a page of the day tells on the screen: answers, what they rest on, and the same as data."""

    answers: Callable[[Workday], Iterator[str]]
    rests: Callable[[Workday], Iterator[str]]
    document: Callable[[Workday], dict[str, Any]]


class Workday:
    """A scenario, and all that the pages of its day tell."""

    def __init__(self, asked: Asked, scenario: Scenario, *, one_melt: bool = False, water: str | None = None) -> None:
        self.asked, self.scenario = asked, scenario
        self._one_melt, self._water = one_melt, water

    @classmethod
    def of_file(
        cls,
        asked: Asked,
        file: Path,
        *,
        jars: int | None = None,
        melt: str | None = None,
        water: str | None = None,
        start: str | None = None,
        date: str | None = None,
    ) -> Workday:
        """Read a scenario, of one jar if neither it nor an option says how many, with what options say."""
        from coolsim.scenario import with_overrides
        from coolsim.studies.workshop.day_plan import begun_at
        from coolsim.studies.workshop.portions import batch_of_all
        from coolsim.studies.workshop.preparation import must_set

        asked.check_workers()
        scenario = read_scenario(file)
        must_set(scenario)
        scenario = batch_of_all(scenario)
        if jars is None and scenario.batch is None:
            scenario = with_overrides(scenario, {"batch.jars": 1})
        given = {
            "batch.jars": ("--jars", jars),
            "batch.melt": ("--melt", melt),
            "melting.water": ("--water", water),
            "date": ("--date", date),
        }
        scenario = with_options(scenario, given)
        if start is not None:
            # The pour follows from the start: the option takes the place of both keys.
            with blaming({"plan.start": "--start"}, where=scenario.where, rest="--start"):
                scenario = begun_at(scenario, start)
        return cls(asked, scenario, one_melt=melt is not None, water=water)

    @property
    def units(self) -> System:
        """Units of the workshop."""
        return self.asked.system(self.scenario)

    @cached_property
    def amounts(self) -> Amounts:
        """What to weigh."""
        from coolsim.studies.workshop.amounts import amounts

        return amounts(self.scenario, units=self.units)

    @cached_property
    def melts(self) -> tuple[MeltInTurn, ...]:
        """The melts of the batch in turn; none if one melt alone is asked for."""
        from coolsim.studies.workshop.melts import melts_in_turn

        with self._blaming_water():
            return (
                melts_in_turn(self.scenario, units=self.units)
                if not self._one_melt and self.scenario.batch is not None
                else ()
            )

    @cached_property
    def melting(self) -> Melting:
        """How the wax melts in its bath: the one melt, or the first."""
        from coolsim.studies.workshop.melting import melt_batch

        with self._blaming_water():
            return self.melts[0].melting if self.melts else melt_batch(self.scenario, units=self.units)

    def _blaming_water(self) -> AbstractContextManager[None]:
        return blaming({} if self._water is None else {"melting.water": "--water"}, where=self.scenario.where)

    @cached_property
    def before(self) -> Preparation:
        """How long the wax takes until the pour."""
        from coolsim.studies.workshop.preparation import preparation

        return preparation(self.scenario)

    @cached_property
    def found(self) -> Result | BoxResult:
        """The run, of all jars in a box."""
        if self.scenario.jar.places is not None:
            return run_box(self.scenario, self.asked.screen)
        ((result,),) = run_each([(self.scenario, None)], self.asked.screen)
        return result

    @property
    def results(self) -> tuple[Result, ...]:
        """The same as one result for each kind of place, or for the one jar."""
        from coolsim.solve.together import BoxResult

        return self.found.results if isinstance(self.found, BoxResult) else (self.found,)

    @cached_property
    def doubt(self) -> Spread | None:
        """How far the times may be off; None if the middle is asked for."""
        return self.asked.doubt(self.scenario)

    @cached_property
    def turns(self) -> tuple[Turn, ...]:
        """The melts in turn, each with what may be done when."""
        from coolsim.studies.workshop.day_plan import plan_day
        from coolsim.studies.workshop.melts import goes_by_the_clock, plan_turns

        def plan(one: Scenario, before: Preparation) -> DayPlan:
            # The first melt finds the jar as the scenario has it.
            again = goes_by_the_clock(one) and one.pour_clock != self.scenario.pour_clock
            results = run_each([(one, None)], self.asked.screen)[0] if again else self.results
            doubt = self.asked.doubt(one) if again else self.doubt
            return plan_day(one, results, before=before, doubt=doubt, units=self.units)

        return plan_turns(self.scenario, plan)

    @property
    def plan(self) -> DayPlan:
        """What may be done when: the plan of the first melt."""
        return self.turns[0].plan

    @property
    def warnings(self) -> tuple[str, ...]:
        """What the amounts and the runs warn of."""
        told = [*self.amounts.warnings, *(warning for result in self.results for warning in result.warnings)]
        return tuple(dict.fromkeys(told))


def of_each(
    name: str, ending: str, write: Callable[[Workday, Path], None], *, needs: Callable[[Scenario], None] | None = None
) -> Callable[..., None]:
    """Make what writes a page for each of some scenarios, each into a file of its own; what it needs is seen first."""

    def make(asked: Asked, files: Sequence[Path], output: Path | None, **stated: str | int | None) -> None:
        if output is not None and len(files) > 1:
            raise typer.BadParameter("give one scenario with it, or leave it out.", param_hint="'--output'")
        days = [Workday.of_file(asked, file, **stated) for file in files]  # type: ignore[arg-type]
        stems = file_stems([day.scenario for day in days])
        paths = [output or Path(f"{stem}-{name}{ending}") for stem in stems]
        asked.claim(*(one for path in paths for one in to_file("--output", path, ending)), inputs=files)
        for day in days:
            if needs is not None:
                needs(day.scenario)
        for day, path in zip(days, paths, strict=True):
            write(day, path)

    return make
