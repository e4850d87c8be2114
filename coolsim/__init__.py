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
    from coolsim.report.batch_sheet import draw_batch_sheet
    from coolsim.report.box_figure import draw_box
    from coolsim.report.calendar_file import calendar_text
    from coolsim.report.curves import draw_cooling_curves, draw_fronts, draw_heat_shares
    from coolsim.report.curves_csv import curves_csv
    from coolsim.report.figure import save_figure
    from coolsim.report.label_text import label_text
    from coolsim.report.melt_figure import draw_melt_models
    from coolsim.report.melting_figure import draw_melting
    from coolsim.report.repair_figure import draw_repair
    from coolsim.report.run_page import answers_data, answers_table
    from coolsim.report.sections import draw_sections
    from coolsim.report.set_map import draw_set_map
    from coolsim.report.spread_figure import draw_spread
    from coolsim.report.store import load_results, save_results
    from coolsim.report.top import draw_top_profiles, draw_tops
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
    from coolsim.studies.amounts import Amounts, amounts
    from coolsim.studies.boxes import BoxAnswers, BoxTrial, box_answers, box_fillings, box_spacings
    from coolsim.studies.day_plan import DayPlan, plan_day
    from coolsim.studies.melt_models import MeltModels, melt_models
    from coolsim.studies.melt_range import melt_range
    from coolsim.studies.melting import Melting, melt_batch
    from coolsim.studies.pour import choose_pour
    from coolsim.studies.pour_cases import pours_in_most_cases
    from coolsim.studies.pour_study import PourStudy
    from coolsim.studies.preparation import Preparation
    from coolsim.studies.repair import Repair, RepairedTop, repair
    from coolsim.studies.spread import spread
    from coolsim.studies.spread_found import Spread
    from coolsim.studies.sweep import Sweep, sweep, sweep_points

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
    "Amounts": "coolsim.studies.amounts",
    "Batch": "coolsim.model.batch",
    "Bath": "coolsim.model.bath",
    "Box": "coolsim.model.box",
    "BoxAnswers": "coolsim.studies.boxes",
    "BoxResult": "coolsim.solve.together",
    "BoxTrial": "coolsim.studies.boxes",
    "CoolsimError": "coolsim.errors",
    "DayPlan": "coolsim.studies.day_plan",
    "Events": "coolsim.solve.result",
    "HotAir": "coolsim.model.hot_air",
    "Inert": "coolsim.model.properties",
    "Change": "coolsim.model.jar",
    "Jar": "coolsim.model.jar",
    "Lid": "coolsim.model.jar",
    "MaterialError": "coolsim.errors",
    "MeltModels": "coolsim.studies.melt_models",
    "Melting": "coolsim.studies.melting",
    "OutputError": "coolsim.errors",
    "PourStudy": "coolsim.studies.pour_study",
    "Preparation": "coolsim.studies.preparation",
    "Problem": "coolsim.model.problem",
    "Repair": "coolsim.studies.repair",
    "RepairedTop": "coolsim.studies.repair",
    "Result": "coolsim.solve.result",
    "ResultFileError": "coolsim.errors",
    "Room": "coolsim.model.jar",
    "Scenario": "coolsim.scenario",
    "ScenarioError": "coolsim.errors",
    "SolverError": "coolsim.errors",
    "Spread": "coolsim.studies.spread_found",
    "Support": "coolsim.model.jar",
    "Surround": "coolsim.model.jar",
    "Sweep": "coolsim.studies.sweep",
    "UnitError": "coolsim.errors",
    "Vessel": "coolsim.model.jar",
    "Wax": "coolsim.model.properties",
    "amounts": "coolsim.studies.amounts",
    "answers_data": "coolsim.report.run_page",
    "answers_table": "coolsim.report.run_page",
    "box_answers": "coolsim.studies.boxes",
    "box_fillings": "coolsim.studies.boxes",
    "box_spacings": "coolsim.studies.boxes",
    "built_in_pair": "coolsim.scenario",
    "calendar_text": "coolsim.report.calendar_file",
    "catalogue_inert": "coolsim.model.materials",
    "catalogue_wax": "coolsim.model.materials",
    "choose_pour": "coolsim.studies.pour",
    "curves_csv": "coolsim.report.curves_csv",
    "draw_batch_sheet": "coolsim.report.batch_sheet",
    "draw_box": "coolsim.report.box_figure",
    "draw_cooling_curves": "coolsim.report.curves",
    "draw_fronts": "coolsim.report.curves",
    "draw_heat_shares": "coolsim.report.curves",
    "draw_melt_models": "coolsim.report.melt_figure",
    "draw_melting": "coolsim.report.melting_figure",
    "draw_repair": "coolsim.report.repair_figure",
    "draw_sections": "coolsim.report.sections",
    "draw_set_map": "coolsim.report.set_map",
    "draw_spread": "coolsim.report.spread_figure",
    "draw_top_profiles": "coolsim.report.top",
    "draw_tops": "coolsim.report.top",
    "kinds_of": "coolsim.model.box",
    "label_text": "coolsim.report.label_text",
    "load_results": "coolsim.report.store",
    "load_scenario": "coolsim.scenario",
    "melt_batch": "coolsim.studies.melting",
    "melt_models": "coolsim.studies.melt_models",
    "melt_range": "coolsim.studies.melt_range",
    "pours_in_most_cases": "coolsim.studies.pour_cases",
    "plan_day": "coolsim.studies.day_plan",
    "repair": "coolsim.studies.repair",
    "save_figure": "coolsim.report.figure",
    "save_results": "coolsim.report.store",
    "scenario_from_data": "coolsim.scenario",
    "simulate": "coolsim.solve.simulate",
    "simulate_box": "coolsim.solve.together",
    "spread": "coolsim.studies.spread",
    "starter_text": "coolsim.scenario",
    "sweep": "coolsim.studies.sweep",
    "sweep_points": "coolsim.studies.sweep",
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
