"""What a spread has found: bands of the answers and curves, and in how many of the cases something happens."""

from __future__ import annotations

from dataclasses import dataclass

from coolsim.answers.catalogue import BY_KEY
from coolsim.answers.text import value_text
from coolsim.model.section import Array
from coolsim.overview import COMPUTED, Overview, OverviewTable
from coolsim.scenario import Scenario
from coolsim.scenario.plausible import Plausible
from coolsim.studies.spread.influence import MainEffects
from coolsim.studies.sweep.sweep import SweptRow


@dataclass(frozen=True, eq=False, slots=True, kw_only=True)
class SpreadAnswer:
    """How far one answer spreads [SI, °C].

    `nominal` is its value with the values of the scenario. One case in ten lies below `low`, and one in ten above
    `high`, of the cases in which it occurs; a time of setting is infinite where it comes after the end of the run.
    `occurs` is the share of the cases in which it does [-]; `effects` is None where it occurs too seldom, hardly
    varies, or there are too few runs to tell.
    """

    name: str
    nominal: float | None
    low: float | None
    median: float | None
    high: float | None
    occurs: float
    effects: MainEffects | None

    @property
    def band(self) -> tuple[float | None, ...]:
        """As stated, low, median and high [SI, °C]."""
        return self.nominal, self.low, self.median, self.high


@dataclass(frozen=True, eq=False, slots=True, kw_only=True)
class Chance:
    """In how many of the cases something happens, as a share [-], and whether it does with the scenario's own values.

    `effects` says what decides it; None if it is nearly always the same, or there are too few runs to tell.
    """

    name: str
    nominal: bool
    share: float
    effects: MainEffects | None


@dataclass(frozen=True, eq=False, slots=True, kw_only=True)
class Band:
    """Temperature of a point over time [°C]: as stated, and below one case in ten, half of them, nine in ten.

    A run that is over counts with its last temperature.
    """

    name: str
    nominal: Array
    low: Array
    median: Array
    high: Array


@dataclass(frozen=True, eq=False, slots=True, kw_only=True, repr=False)
class Spread(Overview):
    """How far answers spread. A notebook shows it as a table; `print` writes the same as lines.

    Parameters
    ----------
    scenario : Scenario
        The scenario.
    inputs : tuple of Plausible
        What was varied, and over what range.
    stated : tuple of str
        Usual keys that were not varied, because the scenario states them.
    seed : int
        Seed of the draws [-].
    passed_over : int
        Draws that were no possible scenario [-].
    refinement, tolerance : float
        How finely the runs were cut: factor on the number of cells [-], and error allowed in one time step [K].
    nominal : SweptRow
        The run with the values of the scenario, cut alike.
    rows : tuple of SweptRow
        The runs of the draws.
    levels : (n, p) ndarray
        Probability level of each input in each draw [-].
    answers : tuple of SpreadAnswer
        In the order of `coolsim.answers.catalogue.COMPARED`.
    chances : tuple of Chance
        What may happen or not.
    time : (nt,) ndarray
        Times of the bands [s].
    bands : tuple of Band
        The points of the cooling curves.

    Examples
    --------
    >>> from concurrent.futures import ThreadPoolExecutor
    >>> from coolsim import built_in_pair, spread, with_overrides
    >>> quick = with_overrides(built_in_pair()[0], {"run.refinement": 0.5, "run.tolerance": "1 K"})
    >>> with ThreadPoolExecutor(max_workers=1) as executor:
    ...     found = spread(quick, keys=["wax.latent_heat", "films.side_factor"], runs=8, executor=executor)
    >>> [known.key for known in found.inputs], found.levels.shape
    (['wax.latent_heat', 'films.side_factor'], (8, 2))
    """

    scenario: Scenario
    inputs: tuple[Plausible, ...]
    stated: tuple[str, ...]
    seed: int
    passed_over: int
    refinement: float
    tolerance: float
    nominal: SweptRow
    rows: tuple[SweptRow, ...]
    levels: Array
    answers: tuple[SpreadAnswer, ...]
    chances: tuple[Chance, ...]
    time: Array
    bands: tuple[Band, ...]

    def answer(self, name: str) -> SpreadAnswer:
        """Return the spread of the answer of this key."""
        found = {one.name: one for one in self.answers}
        return found[name]

    def __repr__(self) -> str:
        return f"<Spread of {self.scenario.title!r}: {len(self.rows)} runs over {len(self.inputs)} inputs>"

    def overview(self) -> OverviewTable:
        """Return the bands of the answers, as a notebook shows them."""
        units = self.scenario.units
        return OverviewTable(
            title=f"Spread: {self.scenario.title}",
            headings=("Answer", "As stated", "10 %", "Median", "90 %", "Occurs"),
            rows=tuple(
                (
                    BY_KEY[one.name].called,
                    *(value_text(BY_KEY[one.name], value, units) for value in one.band),
                    f"{100 * one.occurs:.0f} %",
                )
                for one in self.answers
            ),
            notes=(COMPUTED,),
        )
