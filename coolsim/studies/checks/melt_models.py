"""Which answers of a jar depend on how its melt is modelled, and how much."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import Literal

from coolsim.answers.answer import Run, Value, number_of
from coolsim.answers.catalogue import COMPARED
from coolsim.scenario import Scenario
from coolsim.solve.integrate import Progress
from coolsim.solve.result import Result
from coolsim.solve.simulate import simulate

Mixing = Literal["stratified", "effective", "none"]

MODELS: tuple[Mixing, ...] = ("stratified", "effective", "none")
"""The models of the melt; the first is the one the others are compared with."""

DEPENDS_FROM = 0.05
"""An answer depends on the model if another model moves it by more than this [-].

Within this share the stratified melt meets every event of the resolved flow computations it was compared with."""


@dataclass(frozen=True, kw_only=True)
class MeltModels:
    """One jar under each model of the melt.

    Parameters
    ----------
    scenario : Scenario
        What was run; its own model of the melt does not matter.
    results : tuple of Result
        One for each of `MODELS`.
    answers : tuple of dict
        The answers of `COMPARED` for each of `MODELS`; None for what was not reached or is not there.

    Examples
    --------
    >>> from coolsim import built_in_pair, melt_models, with_overrides
    >>> quick = with_overrides(built_in_pair()[0], {"run.refinement": 0.5, "run.tolerance": "1 K"})
    >>> found = melt_models(quick)
    >>> found.value("rim_set_s", "none") < found.value("rim_set_s", "stratified")
    True
    """

    scenario: Scenario
    results: tuple[Result, ...]
    answers: tuple[dict[str, Value], ...]

    def value(self, name: str, model: Mixing) -> float | None:
        """One answer under one model [SI, °C]; None if it was not reached or is not there."""
        return number_of(self.answers[MODELS.index(model)][name])

    def difference(self, name: str, model: Mixing) -> float | None:
        """Relative difference of an answer from that of the stratified melt [-]; None if either has no such answer."""
        value, usual = self.value(name, model), self.value(name, MODELS[0])
        if value is None or usual is None or usual == 0.0:
            return None
        return (value - usual) / abs(usual)

    def has_skin(self, model: Mixing) -> bool:
        """Tell whether a first skin forms at the glass under a model, be it one that stays."""
        events = self.results[MODELS.index(model)].events
        return events is not None and events.first_skin is not None

    def depends(self, name: str) -> bool | None:
        """Tell whether another model moves an answer by more than `DEPENDS_FROM`; None if no model has it.

        It depends, too, if one of the two has it and the other has not.
        """
        values = [self.value(name, model) for model in MODELS]
        if all(value is None for value in values):
            if name == "skin_melted_again_s" and len({self.has_skin(model) for model in MODELS}) > 1:
                return True
            return None
        differences = [self.difference(name, model) for model in MODELS[1:]]
        return any(found is None or abs(found) > DEPENDS_FROM for found in differences)


def melt_models(scenario: Scenario, *, on_step: Callable[[Progress], None] | None = None) -> MeltModels:
    """Run a scenario with a stratified melt, with an effective conductivity, and with pure conduction.

    Parameters
    ----------
    scenario : Scenario
        The scenario; relaxation, flowing share and conductivity factor are its own.
    on_step : callable, optional
        Called with a `Progress` after each step of each run.

    Returns
    -------
    MeltModels
        Results and answers under each model.

    Notes
    -----
    The stratified melt is what the others are compared with, because it alone meets resolved flow computations of a jar
    in all events (computed independently; `tests/verification/test_resolved_melt.py`). The two others are the usual
    shortcuts.

    Examples
    --------
    >>> from coolsim import built_in_pair, melt_models, with_overrides
    >>> quick = with_overrides(built_in_pair()[0], {"run.refinement": 0.5, "run.tolerance": "1 K"})
    >>> found = melt_models(quick)
    >>> found.depends("top_closed_s"), found.difference("rim_set_s", "none") < -0.5
    (True, True)
    """
    jar = scenario.jar
    results = tuple(simulate(replace(jar, melt=replace(jar.melt, mixing=model)), on_step=on_step) for model in MODELS)
    answers = tuple({answer.key: answer.of(Run(result=one)) for answer in COMPARED} for one in results)
    return MeltModels(scenario=scenario, results=results, answers=answers)
