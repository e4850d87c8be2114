"""Cooling and freezing of soft-wax container candles, axisymmetric in r and z.

The public names below are looked up on first use, so that ``import coolsim`` stays quick: a command that only
prints its help must not pay for numpy.
"""

from importlib import import_module
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from coolsim.errors import (
        CoolsimError,
        MaterialError,
        OutputError,
        ResultFileError,
        ScenarioError,
        SolverError,
        UnitError,
    )
    from coolsim.model.batch import Batch
    from coolsim.model.bath import Bath
    from coolsim.model.box import Box, kinds_of
    from coolsim.model.hot_air import HotAir
    from coolsim.model.jar import Change, Jar, Lid, Room, Support, Surround, Vessel
    from coolsim.model.materials import catalogue_inert, catalogue_wax, with_fragrance
    from coolsim.model.problem import Problem
    from coolsim.model.properties import Inert, Wax
    from coolsim.report.figures.box import draw_box
    from coolsim.report.figures.curves import draw_cooling_curves, draw_fronts, draw_heat_shares
    from coolsim.report.figures.figure import save_figure
    from coolsim.report.figures.melt_models import draw_melt_models
    from coolsim.report.figures.melting import draw_melting
    from coolsim.report.figures.repair import draw_repair
    from coolsim.report.figures.sections import draw_sections
    from coolsim.report.figures.set_map import draw_set_map
    from coolsim.report.figures.spread import draw_spread
    from coolsim.report.figures.tops import draw_top_profiles, draw_tops
    from coolsim.report.paper.batch_sheet import draw_batch_sheet
    from coolsim.report.saved.store import load_results, save_results
    from coolsim.report.text.calendar import calendar_text
    from coolsim.report.text.curves import curves_csv
    from coolsim.report.text.label import label_text
    from coolsim.report.text.runs import answers_data, answers_table
    from coolsim.scenario import (
        Scenario,
        built_in_pair,
        load_scenario,
        scenario_from_data,
        starter_text,
        with_overrides,
    )
    from coolsim.solve.result import Events, Result
    from coolsim.solve.simulate import simulate
    from coolsim.solve.together import BoxResult, simulate_box
    from coolsim.studies.checks.melt_models import MeltModels, melt_models
    from coolsim.studies.checks.melt_range import melt_range
    from coolsim.studies.pour.cases import pours_in_most_cases
    from coolsim.studies.pour.choose import choose_pour
    from coolsim.studies.pour.study import PourStudy
    from coolsim.studies.repair.repair import Repair, RepairedTop, repair
    from coolsim.studies.spread.found import Spread
    from coolsim.studies.spread.spread import spread
    from coolsim.studies.sweep.sweep import Sweep, sweep, sweep_points
    from coolsim.studies.workshop.amounts import Amounts, amounts
    from coolsim.studies.workshop.boxes import BoxAnswers, BoxTrial, box_answers, box_fillings, box_spacings
    from coolsim.studies.workshop.day_plan import DayPlan, plan_day
    from coolsim.studies.workshop.melting import Melting, melt_batch
    from coolsim.studies.workshop.preparation import Preparation

__version__ = "0.1.0"

__all__ = [
    "Amounts",
    "Batch",
    "Bath",
    "Box",
    "BoxAnswers",
    "BoxResult",
    "BoxTrial",
    "Change",
    "CoolsimError",
    "DayPlan",
    "Events",
    "HotAir",
    "Inert",
    "Jar",
    "Lid",
    "MaterialError",
    "MeltModels",
    "Melting",
    "OutputError",
    "PourStudy",
    "Preparation",
    "Problem",
    "Repair",
    "RepairedTop",
    "Result",
    "ResultFileError",
    "Room",
    "Scenario",
    "ScenarioError",
    "SolverError",
    "Spread",
    "Support",
    "Surround",
    "Sweep",
    "UnitError",
    "Vessel",
    "Wax",
    "__version__",
    "amounts",
    "answers_data",
    "answers_table",
    "box_answers",
    "box_fillings",
    "box_spacings",
    "built_in_pair",
    "calendar_text",
    "catalogue_inert",
    "catalogue_wax",
    "choose_pour",
    "curves_csv",
    "draw_batch_sheet",
    "draw_box",
    "draw_cooling_curves",
    "draw_fronts",
    "draw_heat_shares",
    "draw_melt_models",
    "draw_melting",
    "draw_repair",
    "draw_sections",
    "draw_set_map",
    "draw_spread",
    "draw_top_profiles",
    "draw_tops",
    "kinds_of",
    "label_text",
    "load_results",
    "load_scenario",
    "melt_batch",
    "melt_models",
    "melt_range",
    "plan_day",
    "pours_in_most_cases",
    "repair",
    "save_figure",
    "save_results",
    "scenario_from_data",
    "simulate",
    "simulate_box",
    "spread",
    "starter_text",
    "sweep",
    "sweep_points",
    "with_fragrance",
    "with_overrides",
]

# public name: the module that holds it. A name is added here, in __all__ and under TYPE_CHECKING.
_HOMES = {
    "Amounts": "coolsim.studies.workshop.amounts",
    "Batch": "coolsim.model.batch",
    "Bath": "coolsim.model.bath",
    "Box": "coolsim.model.box",
    "BoxAnswers": "coolsim.studies.workshop.boxes",
    "BoxResult": "coolsim.solve.together",
    "BoxTrial": "coolsim.studies.workshop.boxes",
    "CoolsimError": "coolsim.errors",
    "DayPlan": "coolsim.studies.workshop.day_plan",
    "Events": "coolsim.solve.result",
    "HotAir": "coolsim.model.hot_air",
    "Inert": "coolsim.model.properties",
    "Change": "coolsim.model.jar",
    "Jar": "coolsim.model.jar",
    "Lid": "coolsim.model.jar",
    "MaterialError": "coolsim.errors",
    "MeltModels": "coolsim.studies.checks.melt_models",
    "Melting": "coolsim.studies.workshop.melting",
    "OutputError": "coolsim.errors",
    "PourStudy": "coolsim.studies.pour.study",
    "Preparation": "coolsim.studies.workshop.preparation",
    "Problem": "coolsim.model.problem",
    "Repair": "coolsim.studies.repair.repair",
    "RepairedTop": "coolsim.studies.repair.repair",
    "Result": "coolsim.solve.result",
    "ResultFileError": "coolsim.errors",
    "Room": "coolsim.model.jar",
    "Scenario": "coolsim.scenario",
    "ScenarioError": "coolsim.errors",
    "SolverError": "coolsim.errors",
    "Spread": "coolsim.studies.spread.found",
    "Support": "coolsim.model.jar",
    "Surround": "coolsim.model.jar",
    "Sweep": "coolsim.studies.sweep.sweep",
    "UnitError": "coolsim.errors",
    "Vessel": "coolsim.model.jar",
    "Wax": "coolsim.model.properties",
    "amounts": "coolsim.studies.workshop.amounts",
    "answers_data": "coolsim.report.text.runs",
    "answers_table": "coolsim.report.text.runs",
    "box_answers": "coolsim.studies.workshop.boxes",
    "box_fillings": "coolsim.studies.workshop.boxes",
    "box_spacings": "coolsim.studies.workshop.boxes",
    "built_in_pair": "coolsim.scenario",
    "calendar_text": "coolsim.report.text.calendar",
    "catalogue_inert": "coolsim.model.materials",
    "catalogue_wax": "coolsim.model.materials",
    "choose_pour": "coolsim.studies.pour.choose",
    "curves_csv": "coolsim.report.text.curves",
    "draw_batch_sheet": "coolsim.report.paper.batch_sheet",
    "draw_box": "coolsim.report.figures.box",
    "draw_cooling_curves": "coolsim.report.figures.curves",
    "draw_fronts": "coolsim.report.figures.curves",
    "draw_heat_shares": "coolsim.report.figures.curves",
    "draw_melt_models": "coolsim.report.figures.melt_models",
    "draw_melting": "coolsim.report.figures.melting",
    "draw_repair": "coolsim.report.figures.repair",
    "draw_sections": "coolsim.report.figures.sections",
    "draw_set_map": "coolsim.report.figures.set_map",
    "draw_spread": "coolsim.report.figures.spread",
    "draw_top_profiles": "coolsim.report.figures.tops",
    "draw_tops": "coolsim.report.figures.tops",
    "kinds_of": "coolsim.model.box",
    "label_text": "coolsim.report.text.label",
    "load_results": "coolsim.report.saved.store",
    "load_scenario": "coolsim.scenario",
    "melt_batch": "coolsim.studies.workshop.melting",
    "melt_models": "coolsim.studies.checks.melt_models",
    "melt_range": "coolsim.studies.checks.melt_range",
    "pours_in_most_cases": "coolsim.studies.pour.cases",
    "plan_day": "coolsim.studies.workshop.day_plan",
    "repair": "coolsim.studies.repair.repair",
    "save_figure": "coolsim.report.figures.figure",
    "save_results": "coolsim.report.saved.store",
    "scenario_from_data": "coolsim.scenario",
    "simulate": "coolsim.solve.simulate",
    "simulate_box": "coolsim.solve.together",
    "spread": "coolsim.studies.spread.spread",
    "starter_text": "coolsim.scenario",
    "sweep": "coolsim.studies.sweep.sweep",
    "sweep_points": "coolsim.studies.sweep.sweep",
    "with_fragrance": "coolsim.model.materials",
    "with_overrides": "coolsim.scenario",
}


def __getattr__(name: str) -> object:
    """Import a public name from its module the first time it is asked for."""
    if name not in _HOMES:
        raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
    value: object = getattr(import_module(_HOMES[name]), name)
    globals()[name] = value
    return value


def __dir__() -> list[str]:
    """List the public names, those not yet imported included."""
    return sorted({*globals(), *__all__})
