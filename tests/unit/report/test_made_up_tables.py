"""Tables of boxes, batches, melts and sweeps, and answers for machines, on numbers that are given to them."""

import csv
import io
from dataclasses import replace
from types import SimpleNamespace

import pytest
from made_up import BARE, BOXED, made_up_melts

from coolsim.answers.catalogue import BY_KEY, COMPARED, answers_of
from coolsim.answers.verdict import depth_band
from coolsim.cli.naming import titles
from coolsim.model.layout import problem_of
from coolsim.model.places import Places
from coolsim.report.cautions import cautions
from coolsim.report.paper.advice import advice_text, effect_text
from coolsim.report.paper.story import story
from coolsim.report.text.amounts import amounts_data, amounts_text
from coolsim.report.text.box import box_text, fillings_text, shape_data, trials_data
from coolsim.report.text.melt_models import melt_models_data, melt_models_text
from coolsim.report.text.runs import TitledRun, answers_data, answers_table, error_data, error_group
from coolsim.report.text.sweep import sweep_csv, sweep_data
from coolsim.scenario import with_overrides
from coolsim.solve.result import Skin
from coolsim.studies.checks import grid_error
from coolsim.studies.sweep.sweep import SweptRow, sweep_points
from coolsim.studies.workshop.advice import Advice, TriedChange
from coolsim.studies.workshop.amounts import Amounts, Cost, Filled
from coolsim.studies.workshop.boxes import BoxAnswers, BoxTrial, PlaceAnswers
from coolsim.studies.workshop.portions import Portion

MELTS = """\
  Melt                   stratified    effective, 10 ×     no mixing
-------------------------------------------------------------------------------
  First skin melts again 1:00          2:00        +100 %  0:36         -40 %
  Rim set                1:30          3:00        +100 %  0:54         -40 %
  Wick free until        2:00          4:00        +100 %  1:12         -40 %
  Top closed             2:30          5:00        +100 %  1:30         -40 %
  Fully set              3:00          6:00        +100 %  1:48         -40 %
  Top has sunk for good  3:30          7:00        +100 %  2:06         -40 %
  As solid as it gets    4:00          8:00        +100 %  2:24         -40 %
  May be lidded          4:30          9:00        +100 %  2:42         -40 %
  Dish                   5 mm          10 mm       +100 %  3 mm         -40 %
  Hole                   5.5 mm        11 mm       +100 %  3.3 mm       -40 %
  Middle below the rim   6 mm          12 mm       +100 %  3.6 mm       -40 %
  Fall of the rim        6.5 mm        13 mm       +100 %  3.9 mm       -40 %
  Fall of the middle     7 mm          14 mm       +100 %  4.2 mm       -40 %
  Sunk volume            7.5 mL        15.0 mL     +100 %  4.5 mL       -40 %
  Void in the wax        8.0 mL        16.0 mL     +100 %  4.8 mL       -40 %
  Hidden cavity          8.5 mL        17.0 mL     +100 %  5.1 mL       -40 %
  Heat through the top   90 %          180 %       +100 %  54 %         -40 %
  Heat through the side  95 %          190 %       +100 %  57 %         -40 %
  Heat through the base  100 %         200 %       +100 %  60 %         -40 %
-------------------------------------------------------------------------------"""


def test_each_model_of_the_melt_has_its_own_answers_and_differences():
    found = made_up_melts([])
    assert melt_models_text(found, title="Jar", units="metric").split("\n\n")[0] == f"Jar\n{MELTS}"
    answers = melt_models_data(found)["answers"]
    for number, name in enumerate(answer.key for answer in COMPARED):
        value = found.answers[0][name]
        assert (answers[name]["stratified"]["value"], answers[name]["depends"]) == (value, True), number
        for model, factor in (("effective", 2.0), ("none", 0.6)):
            assert answers[name][model] == pytest.approx({"value": factor * value, "difference": factor - 1.0})


def place(name, places, hour, depth):
    """Answers of a kind of place; its events are a quarter of an hour apart."""
    times = ("rim_set", "top_closed", "fully_set", "cool", "top_final")
    events = SimpleNamespace(**{event: 3600.0 * hour + 900.0 * number for number, event in enumerate(times)})
    top = SimpleNamespace(dish=0.4 * depth, hole=0.6 * depth, depth=depth, cavity_volume=1e-3 * depth)
    called = (
        f"{name} ({len(places)} jars)" if len(places) > 1 else f"{name} (row {places[0][0]}, column {places[0][1]})"
    )
    kind = SimpleNamespace(name=name, places=places, count=len(places), called=called)
    return PlaceAnswers(kind=kind, events=events, top=top)


@pytest.fixture
def box():
    return Places(rows=1, columns=3, length=0.3, width=0.12, pitch_along=0.09, pitch_across=0.1)


@pytest.fixture
def box_answers(box):
    places = (place("end", ((1, 1), (1, 3)), 2.0, 2e-3), place("in the row", ((1, 2),), 3.0, 1e-3))
    return BoxAnswers(places=box, kinds=places, time_allowed=3.5 * 3600.0)


BOX = """\
Three: 3 jars in 1 × 3 places, 300 mm × 120 mm inside

Fully set [h:mm since the pour], the box seen from above
  row        1       2       3
  1       2:30    3:30    2:30

Place [h:mm since pour]     Jars Rim set  Closed     Set  Lidded    Dish    Hole
--------------------------------------------------------------------------------
end                            2    2:00    2:15    2:30    2:45  0.8 mm  1.2 mm
in the row                     1    3:00    3:15    3:30    3:45  0.4 mm  0.6 mm
--------------------------------------------------------------------------------"""
SENTENCES = """\
Last: in the row (row 1, column 2), fully set at 3:30 h; first: end (2 jars),
1:00 h earlier.

Least flat: end (2 jars), dish 0.8 mm, hole 1.2 mm, hidden cavity 2.0 mL;
flattest: in the row (row 1, column 2), dish 0.4 mm, hole 0.6 mm (estimates).

All set within 3:30 h: yes."""


def test_each_place_of_a_box_has_its_own_times(box, box_answers):
    result = SimpleNamespace(warnings=(), changes=(), answers=SimpleNamespace(cool_within=3.0))
    text = box_text(SimpleNamespace(name="Three", places=box, results=(result,)), box_answers, units="metric")
    assert text.startswith(BOX)
    # Set exactly when the time is up is in time.
    assert text.endswith(SENTENCES)
    late = replace(box_answers, time_allowed=3.5 * 3600.0 - 1.0)
    assert (box_answers.passes, late.passes) == (True, False)


def test_a_box_for_machines_has_each_length_under_its_own_name(box):
    assert shape_data(box) == {
        "rows": 1, "columns": 3, "inner_length_m": 0.3, "inner_width_m": 0.12, "pitch_along_m": 0.09,
        "pitch_across_m": 0.1, "dividers": False, "empty": [],
    }  # fmt: skip


FILLINGS = """\
  Jars  Places       Apart  First set   Last set  Where                  In time
--------------------------------------------------------------------------------
     8  4 × 2                                     not run
     3  1 × 3        12 mm       2:30       3:30  in the row             no
     2  1 × 2        20 mm       2:30       2:30                         yes
--------------------------------------------------------------------------------"""


def test_each_filling_of_a_box_has_its_first_and_last_jar(box_answers):
    early = replace(box_answers, kinds=box_answers.kinds[:1])
    late = replace(box_answers, time_allowed=3.0 * 3600.0)
    trials = (
        BoxTrial(rows=4, columns=2, jars=8, spacing=0.01, answers=None, fault="too many"),
        BoxTrial(rows=1, columns=3, jars=3, spacing=0.012, answers=late),
        BoxTrial(rows=1, columns=2, jars=2, spacing=0.02, answers=early),
    )
    text = fillings_text(trials, "Box", time_allowed=3.0 * 3600.0, units="metric")
    assert FILLINGS in text
    assert text.endswith("Largest filling that sets within 3:00 h: 2 jars in 1 × 2, at least 20 mm apart.")
    _, middle, _ = trials_data(trials)
    assert middle == {
        "rows": 1, "columns": 3, "jars": 3, "spacing_m": 0.012, "first_set_s": 9000.0, "last_set_s": 12600.0,
        "last": "in the row", "least_flat_m": 2e-3, "passes": False, "fault": None,
    }  # fmt: skip


AMOUNTS = {
    "jars": 6, "load": 0.08, "load_of_wax": 0.087, "allowed": (0.06, 0.1), "net_weight": 0.207, "wax_each": 0.19,
    "oil_each": 0.017, "wax": 1.16, "oil": 0.101, "mix": 1.261, "left_behind": 0.02, "density": 870.0,
    "fill_volume": 238e-6, "brim_volume": 280e-6, "level_at_pour": 0.06, "rim": 0.078, "level_set": 0.055,
    "wicks": 12, "wick": 0.0985,
    "portions": (
        Portion(number=1, first=1, last=5, wax=0.97, oil=0.084),
        Portion(number=2, first=6, last=6, wax=0.19, oil=0.017),
    ),
    "cost": Cost(currency="EUR", batch=27.3, jar=4.55, left_out=("jars", "wicks", "lids")),
}  # fmt: skip
BATCH = """\
To weigh for 6 jars
  Wax                                                   1160 g
  Fragrance oil                                          101 g
  Together                                              1261 g
  of it, stays in the pitcher                             20 g
Oil
  In the mix (wax.fragrance_load)                        8.0 %
  Allowed in the mix                           6.0 % to 10.0 %
  Per wax                                                8.7 %
In each jar
  Net weight                                             207 g
  Wax                                                    190 g
  Fragrance oil                                           17 g
  Volume of the hot wax                                 238 mL
  Share of the brimful jar                              85.0 %
  Level at the pour                                      60 mm
  Level after setting, mean                              55 mm
  Brim                                                   78 mm
In 2 melts, each with what stays in the pitcher
  Melt 1, jars 1 to 5                     970 g wax + 84 g oil
  Melt 2, jar 6                           190 g wax + 17 g oil
To lay out
  Jars, lids, labels: of each                                6
  Wicks with tabs, and holders                              12
  Length of a wick to cut                              98.5 mm
Cost, with what stays in the pitcher
  Of a jar                                            4.55 EUR
  Of the batch                                       27.30 EUR
  Without jars, wicks and lids, which have no price, and
  without work and heat.
A melt of 900 g of wax
  Takes oil                                               78 g
  Fills                                                 4 jars
  Is left over                                           150 g"""


def test_each_amount_of_a_batch_stands_on_its_line_and_under_its_name():
    found = Amounts(**AMOUNTS, filled=Filled(wax=0.9, oil=0.078, jars=4, left=0.15), warnings=())
    assert amounts_text("Six", found, units="metric").split("\n\n")[1] == BATCH
    units = {"density": "kg_m3", **dict.fromkeys(("level_at_pour", "rim", "level_set"), "m")}
    units |= dict.fromkeys(("fill_volume", "brim_volume"), "m3")
    units |= dict.fromkeys(("net_weight", "wax_each", "oil_each", "wax", "oil", "mix", "left_behind"), "kg")
    data = amounts_data(found)
    for name, unit in units.items():
        assert data[f"{name}_{unit}"] == AMOUNTS[name], name
    assert (data["jars"], data["oil_in_mix"], data["oil_per_wax"], data["oil_in_mix_allowed"]) == (
        6,
        0.08,
        0.087,
        (0.06, 0.1),
    )
    assert data["melt"] == {"wax_kg": 0.9, "oil_kg": 0.078, "jars": 4, "left_kg": 0.15}
    assert (data["wicks"], data["wick_m"]) == (12, 0.0985)
    assert data["melts"][1] == {"number": 2, "first": 6, "last": 6, "wax_kg": 0.19, "oil_kg": 0.017}
    assert data["cost"] == {"currency": "EUR", "batch": 27.3, "jar": 4.55, "left_out": ("jars", "wicks", "lids")}


def test_a_whole_cost_in_money_without_a_name_and_one_melt_are_told_in_few_lines():
    cost = Cost(currency="", batch=27.3, jar=4.55, left_out=())
    found = Amounts(**(AMOUNTS | {"cost": cost, "portions": AMOUNTS["portions"][:1]}), filled=None, warnings=())
    lines = amounts_text("Six", found, units="us").split("\n\n")[1].splitlines()
    assert lines[-4:] == [
        "Cost, with what stays in the pitcher",
        "  Of a jar                                                4.55",
        "  Of the batch                                           27.30",
        "  Without work and heat.",
    ]
    assert not any("melts" in line for line in lines)


def test_a_row_of_a_sweep_has_the_title_of_its_own_scenario():
    points = sweep_points([BARE, BOXED], {"room.temperature": ["20 °C", "24 °C"]})
    rows = [
        SweptRow(point=point, answers={**dict.fromkeys(BY_KEY), "fully_set_s": 60.0 * number}, fault=None)
        for number, point in enumerate(points)
    ]
    expected = [("bare", "20 °C", 0.0), ("bare", "24 °C", 60.0), ("boxed", "20 °C", 120.0), ("boxed", "24 °C", 180.0)]
    found = [
        (one["scenario"], one["at"]["room.temperature"], one["answers"]["fully_set_s"])
        for one in sweep_data(rows, ["bare", "boxed"])
    ]
    assert found == expected
    table = csv.DictReader(io.StringIO(sweep_csv(rows, ["bare", "boxed"], units="metric")))
    found = [(one["scenario"], f"{one['room.temperature [°C]']} °C", float(one["fully set [s]"])) for one in table]
    assert found == expected


@pytest.fixture(scope="module")
def made_up(runs):
    """The run of the bare tumbler with other events, each at a time of its own."""
    scenario, result = runs[0]
    names = ("rim_set", "wick_free_until", "top_closed", "fully_set", "top_final", "solid_throughout", "cool")
    events = replace(
        result.events,
        **{name: 3600.0 * (1 + number) for number, name in enumerate(names)},
        first_skin=Skin(formed=70.0, coldest=44.4, coldest_at=95.0, melted_again=130.0, warmest=2.0, rim_warmest=5.0),
        last_liquid=(0.012, 0.034),
    )
    return scenario, replace(result, events=events)


def test_answers_for_machines_have_each_number_under_its_own_name(made_up):
    scenario, result = made_up
    (data,) = answers_data([("Jar", result)], jars=[scenario.jar])
    point = answers_of(result, scenario.jar)
    skin = {"formed_s": 70.0, "coldest_C": 44.4, "coldest_at_s": 95.0, "melted_again_s": 130.0}
    skin |= {"warmest_K": 2.0, "rim_warmest_K": 5.0}
    assert data["first_skin"] == skin
    assert {name: point[f"skin_{name}"] for name in skin} == skin
    top = result.shrinkage
    of_top = {
        "rim_dip_m": top.rim_dip,
        "centre_dip_m": top.centre_dip,
        "dish_m": top.dish,
        "hole_m": top.hole,
        "depth_m": top.depth,
        "dish_volume_m3": top.dish_volume,
        "void_volume_m3": top.void_volume,
        "cavity_volume_m3": top.cavity_volume,
        "cavity_roof_m": top.cavity_roof,
        "cavity_r_m": top.cavity_place[0],
        "cavity_above_bottom_m": top.cavity_place[1],
        "lost_m3": top.ledger.total,
        "lost_surface_m3": top.ledger.surface,
        "lost_cavities_m3": top.ledger.cavities,
        "lost_pores_m3": top.ledger.pores,
        "lost_solid_m3": top.ledger.solid,
        "mass_open_share": top.ledger.open_share,
    }
    assert len(set(of_top.values())) >= len(of_top) - 1
    for name, value in of_top.items():
        assert (data["top"][name], point[name]) == (value, value), name
    assert point["mean_dip_m"] == top.ledger.surface / top.area.sum()
    of_run = {
        "rim_set_s": 3600.0,
        "wick_free_until_s": 7200.0,
        "top_closed_s": 10800.0,
        "fully_set_s": 14400.0,
        "top_final_s": 18000.0,
        "solid_s": 21600.0,
        "solid_share": result.solid_share,
        "cool_s": 25200.0,
        "last_liquid_r_m": 0.012,
        "last_liquid_above_bottom_m": 0.034,
        "heat_given_off_J": result.ledger.given_off,
        "ledger_open_share": result.ledger.open_share,
        "ended_s": result.time[-1],
        "shock_limit_K": 42.0,
        **{f"heat_share_{path}": share for path, share in result.ledger.by_path},
    }
    for name, value in of_run.items():
        assert (data[name], point[name]) == (value, value), name


def test_the_table_of_answers_has_each_of_them_on_its_line(made_up):
    _, result = made_up
    lines = [line.split("  ") for line in answers_table([("Jar", result)]).splitlines()]
    told = {parts[1].strip(): parts[-1].strip() for parts in lines if len(parts) > 2}
    wanted = {
        "Forms": "at 0:01 h", "Lowest temperature": "44 °C", "Melts again": "at 0:02 h", "Rim set": "1:00",
        "Wick free until": "2:00", "Top closed": "3:00", "Top has sunk for good": "5:00",
        "As solid as this room": f"6:00 ({100 * result.solid_share:.0f} % solid)", "From the axis": "12 mm",
        "Above the bottom of the": "34 mm",
    }  # fmt: skip
    assert {name: told.get(name) for name in wanted} == wanted


def test_the_numerical_error_of_an_answer_is_of_that_answer(made_up, runs, monkeypatch):
    scenario, result = made_up
    # The coarser run is the boxed jar, so that every answer differs; what is handed on is looked at, not worked out.
    monkeypatch.setattr(grid_error, "simulate", lambda *_, **__: runs[1][1])
    monkeypatch.setattr(grid_error, "error_estimate", lambda values, ratios: tuple(values))
    found = dict(grid_error.grid_error(scenario.jar, known=result).answers)
    fine, coarse = (answers_of(one) for one in (result, runs[1][1]))
    assert set(found) == {answer.key for answer in grid_error.ESTIMATED}
    for name, values in found.items():
        assert values == (fine[name], coarse[name]), name


ADVICE = """\
What to change                             dish       hole     cavity        set
Bare                                       [mm]       [mm]       [mL]     [h:mm]
--------------------------------------------------------------------------------
As it is                                    2.0        3.0        4.0       3:30
Warm the jar to 35 °C                       1.0        2.0        4.0       4:00
    Flatter dish, shallower hole
Pour hotter, at 63 °C                       2.0        3.0        6.0       3:30
    Larger cavity, beyond the shock limit of the jar
Fill only 80 % as high                      3.0        3.0        1.0       3:30
    Smaller cavity, but deeper dish, the first skin at the wall then stays
Pour cooler, at 50 °C                         –          –          –          –
    Not tried: too near freezing
--------------------------------------------------------------------------------"""


def tried(**changed):
    """Answers of a pour that is exactly as much hotter than the jar as it is trusted with."""
    usual = {
        "pour_C": 63.0, "jar_C": 21.0, "shock_limit_K": 42.0, "skin_formed_s": 5.0, "skin_melted_again_s": 60.0,
        "fully_set_s": 12600.0, "dish_m": 2e-3, "hole_m": 3e-3, "cavity_volume_m3": 4e-6,
    }  # fmt: skip
    return {**dict.fromkeys(BY_KEY), **usual, **changed}


def test_what_gets_better_is_said_first_the_end_of_a_breach_with_it():
    usual = tried(pour_C=65.0, skin_melted_again_s=None)
    ends = {"pour_C": 61.0, "skin_melted_again_s": 60.0}

    def told(**changed):
        trial = TriedChange(change="warm the jar", value=35.0, answers=tried(**changed), fault=None)
        return effect_text(Advice(scenario=BARE, usual=usual, trials=(trial,)), trial)

    both = "The first skin then melts again, no longer beyond the shock limit"
    assert told(**ends) == both
    assert told(**ends, dish_m=4e-3) == f"{both}, but deeper dish"
    assert told(pour_C=65.0, skin_melted_again_s=None, dish_m=4e-3) == "Deeper dish"
    # One ends, the other begins.
    usual = tried(pour_C=63.01)
    assert told(pour_C=61.0, skin_melted_again_s=None) == (
        "No longer beyond the shock limit, but the first skin at the wall then stays"
    )


def test_each_change_has_its_own_numbers_and_says_what_they_do():
    warm = tried(dish_m=1e-3, hole_m=2e-3, fully_set_s=14400.0)
    less = tried(dish_m=3e-3, cavity_volume_m3=1e-6, skin_melted_again_s=None)
    hot = tried(pour_C=63.01, cavity_volume_m3=6e-6)
    trials = (
        TriedChange(change="warm the jar", value=35.0, answers=warm, fault=None),
        TriedChange(change="pour hotter", value=63.01, answers=hot, fault=None),
        TriedChange(change="fill less", value=0.8, answers=less, fault=None),
        TriedChange(change="pour cooler", value=50.0, answers=None, fault="too near freezing"),
    )
    advice = Advice(scenario=BARE, usual=tried(), trials=trials)
    assert advice_text([advice], ["Bare"], units="metric") == ADVICE
    # 1 mm is 0.04 in, 2 mm are 0.08 in.
    assert "0.04 0.08 0.14 4:00" in " ".join(advice_text([advice], ["Bare"], units="us").split())
    same = TriedChange(change="still air", value=None, answers=tried(dish_m=2e-3 * 1.0001), fault=None)
    assert effect_text(advice, same) == "The top stays the same"


def test_a_cavity_that_is_none_to_speak_of_counts_as_none():
    pores = tried(cavity_volume_m3=0.4e-6)
    fewer = TriedChange(change="still air", value=None, answers=tried(cavity_volume_m3=0.1e-6), fault=None)
    assert effect_text(Advice(scenario=BARE, usual=pores, trials=()), fewer) == "The top stays the same"
    asked = with_overrides(BARE, {"answers.cavity_from": "0.3 mL"})
    assert effect_text(Advice(scenario=asked, usual=pores, trials=()), fewer) == "Smaller cavity"


def test_each_limit_of_the_data_sheets_is_named_after_what_it_limits():
    limits = {"wax.highest_temperature": "80 °C", "wax.fragrance_limit": "60 °C", "batch.flash_point": "95 °C"}
    stated = with_overrides(BARE, {"pour.temperature": "55 °C", "batch.jars": 2, **limits})
    (told,) = cautions([], [stated], units="metric", topics=["flash points"])
    assert "80 °C for the wax, 60 °C for the fragrance, 95 °C as the flash point of the oil;" in told


def test_each_numerical_uncertainty_is_rounded_up_in_the_unit_of_its_answer():
    sizes = {"s": (7200.0, 31.0), "m": (2.54e-3, 0.131e-3), "m3": (3e-6, 0.11e-6), "C": (44.0, 0.2)}
    answers = tuple(
        (
            name,
            grid_error.ErrorEstimate(
                value=value, extrapolated=value + off, uncertainty=off, order=2.0, safety=3.0, basis="x"
            ),
        )
        for name in (answer.key for answer in grid_error.ESTIMATED)
        for value, off in (sizes.get(name.rpartition("_")[2], (0.3, 0.01)),)
    )
    run = TitledRun(title="Jar", result=None, error=grid_error.GridError(cells=(4, 2), answers=answers))
    rows = {row.label: row for row in error_group([run]).rows}

    def cell(label, units):
        return rows[label].cell(run, units).replace("\N{NO-BREAK SPACE}", " ")

    assert [cell(label, "metric") for label in ("Fully set", "Hole", "Sunk volume")] == [
        "120.0 ± 0.6 min", "2.5 ± 0.2 mm", "3.0 ± 0.2 mL",
    ]  # fmt: skip
    # 0.131 mm are 0.0052 in, 0.11 mL 0.0037 fl oz.
    assert [cell(label, "us") for label in ("Fully set", "Hole", "Sunk volume")] == [
        "120.0 ± 0.6 min", "0.100 ± 0.006 in", "0.101 ± 0.004 fl oz",
    ]  # fmt: skip
    data = error_data(run.error)
    for name, one in answers:
        told = {
            key: data[name][key] for key in ("value", "extrapolated", "uncertainty", "order", "safety_factor", "basis")
        }
        assert told == {
            "value": one.value, "extrapolated": one.extrapolated, "uncertainty": one.uncertainty, "order": 2.0,
            "safety_factor": 3.0, "basis": "x",
        }  # fmt: skip
        # Of the top and the inside it was found not to bound the error.
        assert data[name]["bounds_the_error"] == (not name.endswith(("_m", "_m3")))


def test_the_story_tells_each_run_its_own_numbers(made_up, runs):
    told = [TitledRun(title=scenario.title, result=result, jar=scenario.jar) for scenario, result in (made_up, runs[1])]
    told[1] = replace(told[1], result=replace(told[1].result, events=replace(told[1].result.events, rim_set=5400.0)))
    found = dict(story(told, ("bare", "in the box"), units="metric"))
    for tag, run in zip(("bare", "in the box"), told, strict=True):
        shares = dict(run.result.ledger.by_path)
        heat = ", ".join(f"{100 * shares[path]:.0f} % by the {path}" for path in ("top", "side", "base"))
        assert f"{tag}: {heat}" in found["Heat"].replace("Bare", "bare")
        top = run.result.shrinkage
        # In millimetres with one decimal, as far as it says something.
        dish, middle, *band = (
            f"{1e3 * one:.1f}".removesuffix(".0") for one in (top.dish, top.depth, *depth_band(run.result))
        )
        assert (
            f"{dish} mm below its rim half-way in, {middle} mm ({band[0]} to {band[1]}) in the middle"
            in found["In the end"]
        )
    assert "The rim of the top has set after 1:00 h bare, 1:30 h in the box." in found["Melt"]


def test_files_are_added_to_titles_that_are_equal():
    other = replace(BARE, where="other.toml")
    assert titles([BARE, BOXED]) == [BARE.title, BOXED.title]
    assert titles([BARE, other, BOXED]) == [f"{BARE.title} ({BARE.where})", f"{BARE.title} (other.toml)", BOXED.title]


def test_a_companion_has_larger_cells_and_steps_that_are_longer_by_as_much():
    first = problem_of(BARE.jar)
    for times in (1, 2):
        ours, theirs = first.accuracy, grid_error.coarser(first, times=times).accuracy
        factor = 1.5**times
        assert ours.refinement / theirs.refinement == pytest.approx(factor)
        # The error of a step goes with the third power of its length.
        assert theirs.tolerance / ours.tolerance == pytest.approx(factor**3)
        assert theirs.longest_step / ours.longest_step == pytest.approx(factor)
