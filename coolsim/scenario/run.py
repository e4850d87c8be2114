"""The tables that steer the run: `[answers]`, `[films]` and `[run]`."""

from __future__ import annotations

from typing import Annotated

from coolsim.model.jar import Jar
from coolsim.model.problem import Accuracy, Thresholds
from coolsim.scenario.table import ESTIMATE, Doubt, TomlTable, like
from coolsim.scenario.values import Number, Quantity

_LAWS = Doubt(0.67, 1.5, "estimate: published laws of free convection scatter by 10 to 20 %")


class AnswersTable(TomlTable):
    """What counts as an answer."""

    touch: Annotated[float, Quantity("pressure", "1 Pa", "100 kPa", "1 kPa")] = like(
        Thresholds,
        "touch",
        "A top has set where it bears this: a fingertip laid on it.",
        source=ESTIMATE,
        behind="Rim, wick and top",
    )
    touch_depth: Annotated[float, Quantity("length", "0.5 mm", "20 mm", "3 mm")] = like(
        Thresholds, "touch_depth", "How deep a fingertip feels.", source=ESTIMATE, behind="Rim, wick and top"
    )
    wick: Annotated[float, Quantity("pressure", "1 Pa", "100 kPa", "1 kPa")] = like(
        Thresholds,
        "wick",
        "A leaning wick can be straightened until the wax round it bears this.",
        source=ESTIMATE,
        behind="Rim, wick and top",
    )
    carry: Annotated[float, Quantity("pressure", "1 Pa", "100 kPa", "1 kPa")] = like(
        Thresholds,
        "carry",
        "The jar may be moved once all wax bears this: a tilt is about 100 Pa, setting it down ten times that.",
        source=ESTIMATE,
        behind="Fully set and the last liquid",
    )
    cool_within: Annotated[float, Quantity("temperature_difference", "0.5 °C", "20 °C", "3 °C")] = like(
        Thresholds,
        "cool_within",
        "The jar may be moved and lidded when its hottest wax is this close to the room; the run ends then.",
        source=ESTIMATE,
        behind="May be lidded",
    )
    skin_margin: Annotated[float, Quantity("temperature_difference", "0 °C", "30 °C", "3 °C")] = like(
        Thresholds,
        "skin_margin",
        "A first skin forms while the melt is on average this much above the start of freezing.",
        source=ESTIMATE,
        behind="The first skin",
    )
    flat_within: Annotated[float, Quantity("length", "0.1 mm", "10 mm", "1 mm")] = like(
        Thresholds, "flat_within", "A dish or a hole that is not deeper than this does not count.", source=ESTIMATE
    )
    pit_from: Annotated[float, Quantity("length", "0.1 mm", "30 mm", "3 mm")] = like(
        Thresholds, "pit_from", "A hole in the middle that is this deep is called a pit at the wick.", source=ESTIMATE
    )
    void_shows: Annotated[float, Quantity("fraction", "1 %", "100 %", "10 %")] = like(
        Thresholds,
        "void_shows",
        "Share of void from which on a cut shows a cavity and not only pores.",
        source=ESTIMATE,
    )
    cavity_from: Annotated[float, Quantity("volume", "0.01 mL", "50 mL", "0.5 mL")] = like(
        Thresholds, "cavity_from", "Hidden cavities of this volume and more are reported as one.", source=ESTIMATE
    )


class FilmsTable(TomlTable):
    """Factors on the films, to fit them to a thermometer."""

    side_factor: Annotated[float, Number(0.2, 5.0)] = like(
        Jar, "side_factor", "On the film of the side.", doubt=_LAWS, spread=True, fit=True
    )
    top_factor: Annotated[float, Number(0.2, 5.0)] = like(
        Jar, "top_factor", "On the film of the top.", doubt=_LAWS, spread=True, fit=True
    )
    headspace_factor: Annotated[float, Number(0.05, 2.0)] = like(
        Jar,
        "headspace_factor",
        "How much of the open surface's film is left below the brim.",
        source=ESTIMATE,
        doubt=Doubt(0.4, 1.2, kind="ends"),
        spread=True,
        behind="Rim, wick and top",
    )


class RunTable(TomlTable):
    """How long and how finely to compute."""

    horizon: Annotated[float, Quantity("duration", "1 h", "72 h", "24 h")] = like(
        Jar, "horizon", "When the run ends at the latest."
    )
    refinement: Annotated[float, Number(0.5, 4.0)] = like(
        Accuracy, "refinement", "Factor on the number of cells in each direction."
    )
    tolerance: Annotated[float, Quantity("temperature_difference", "0.001 °C", "1 °C", "0.1 °C")] = like(
        Accuracy, "tolerance", "Error allowed in one time step."
    )


def thresholds_of(answers: AnswersTable) -> Thresholds:
    """Build what counts as an answer."""
    return Thresholds(**answers.given(*AnswersTable.model_fields))


def accuracy_of(run: RunTable) -> Accuracy:
    """Build the cut of the run."""
    return Accuracy(refinement=run.refinement, tolerance=run.tolerance)
