"""What a scenario becomes: the jar in SI, the round trip of its data, overrides, the scenarios of the project."""

import json
import math
import pickle
import subprocess
import sys
import tomllib
from dataclasses import replace
from pathlib import Path

import pytest

from coolsim.errors import ScenarioError
from coolsim.model.catalogue import CONTACTS, FLUTE_HEIGHTS, INERTS
from coolsim.model.jar import Jar, Surround
from coolsim.model.materials import catalogue_inert, catalogue_wax, poured_density, with_fragrance
from coolsim.model.softness import Softness
from coolsim.scenario import built_in_pair, load_scenario, scenario_from_data, with_overrides

FILES = sorted((Path(__file__).parents[2] / "scenarios").glob("*.toml"))

# Sums and products of a few floats.
ROUND_OFF = 1e-12


def made(data):
    return scenario_from_data(data, where="jar.toml")


def test_the_project_has_the_scenarios_that_its_readme_speaks_of():
    assert {
        "tumbler-bare.toml",
        "tumbler-boxed.toml",
        "paraffin-boxed.toml",
        "small-tin.toml",
        "cold-room.toml",
        "flaps-open.toml",
        "flaps-closed.toml",
    } <= {file.name for file in FILES}


@pytest.mark.parametrize("file", FILES, ids=lambda file: file.stem)
def test_every_scenario_of_the_project_loads_and_is_marked_as_invented(file):
    scenario = load_scenario(file)
    assert isinstance(scenario.jar, Jar)
    assert scenario.invented
    assert scenario.where == str(file)


@pytest.mark.parametrize("file", FILES, ids=lambda file: file.stem)
def test_every_scenario_of_the_project_says_where_each_number_comes_from(file):
    # Two keys explain themselves: the times of the maps, and points whose table is explained.
    quiet = ("map_times", '"', "title", "note", "invented", "units")
    for line in file.read_text(encoding="utf-8").splitlines():
        if "=" in line and not line.startswith(("#", *quiet)):
            assert "  # " in line or " # " in line, line


@pytest.mark.parametrize("file", FILES, ids=lambda file: file.stem)
def test_data_survive_json_and_rebuild_the_same_scenario(file):
    scenario = load_scenario(file)
    again = scenario_from_data(json.loads(json.dumps(scenario.data)), where=scenario.where)
    assert again == scenario


def test_a_scenario_can_be_sent_to_a_worker_process(scenarios):
    scenario = load_scenario(scenarios / "tumbler-boxed.toml")
    assert pickle.loads(pickle.dumps(scenario)) == scenario


def test_the_built_in_pair_is_that_of_the_scenarios_folder(scenarios):
    for built_in, name in zip(built_in_pair(), ("tumbler-bare.toml", "tumbler-boxed.toml"), strict=True):
        loaded = load_scenario(scenarios / name)
        assert built_in.data == loaded.data
        assert built_in.jar == loaded.jar
        assert built_in.where == name


def test_the_files_of_the_built_in_pair_are_those_of_the_scenarios_folder_to_the_byte(scenarios):
    import coolsim.scenario

    packaged = Path(coolsim.scenario.__file__).parent / "data"
    assert sorted(file.name for file in packaged.iterdir()) == ["tumbler-bare.toml", "tumbler-boxed.toml"]
    for file in packaged.iterdir():
        assert file.read_bytes() == (scenarios / file.name).read_bytes()


def test_the_built_in_pair_differs_in_the_box_only():
    bare, boxed = built_in_pair()
    assert bare.jar.surround is None
    assert boxed.jar.surround is not None
    for name in ("wax", "depth", "pour", "support", "room", "melt", "answers", "accuracy", "horizon"):
        assert getattr(bare.jar, name) == getattr(boxed.jar, name)


def test_open_and_closed_flaps_differ_in_the_flaps_only(scenarios):
    opened, closed = (load_scenario(scenarios / f"flaps-{state}.toml") for state in ("open", "closed"))
    changed = with_overrides(opened, {"surround.flaps": "closed", "title": closed.title})
    assert changed.jar == closed.jar


def test_the_jar_is_in_si_with_temperatures_in_celsius(scenarios):
    scenario = load_scenario(scenarios / "small-tin.toml")
    jar = scenario.jar
    # NIST SP 811: 1 in = 25.4 mm; (140 - 32) / 1.8 = 60.
    assert jar.vessel.diameter == pytest.approx(0.0635, rel=ROUND_OFF)
    assert jar.pour == pytest.approx(60.0, rel=ROUND_OFF)
    assert jar.name == scenario.title
    assert scenario.units == "us"


def test_level_volume_and_mass_are_the_same_fill(boxed, changed):
    jar = made(boxed).jar
    area = math.pi * jar.vessel.inner_radius**2
    assert jar.depth * area == pytest.approx(235e-6, rel=ROUND_OFF)
    # 1e-9: the texts below state nine digits and more.
    by_level = made(changed(boxed, {"pour.volume": None, "pour.level": f"{1e3 * jar.depth:.10f} mm"})).jar
    by_mass = made(
        changed(boxed, {"pour.volume": None, "pour.mass": f"{235e-3 * poured_density(jar.wax, jar.pour):.10f} g"})
    ).jar
    assert by_level.depth == pytest.approx(jar.depth, rel=1e-9)
    assert by_mass.depth == pytest.approx(jar.depth, rel=1e-9)


def test_a_square_box_becomes_the_ring_with_its_perimeter(boxed, changed):
    jar = made(changed(boxed, {"surround.gap": None, "surround.box_width": "100 mm"})).jar
    ring = 2.0 * math.pi * (0.5 * jar.vessel.diameter + jar.surround.gap)
    assert ring == pytest.approx(4 * 0.100, rel=ROUND_OFF)


def test_headroom_is_what_the_box_is_higher_than_the_jar(boxed, changed):
    jar = made(changed(boxed, {"surround.headroom": None, "surround.box_height": "100 mm"})).jar
    assert jar.surround.headroom == pytest.approx(0.014, rel=ROUND_OFF)


def test_a_flute_letter_is_the_thickness_of_the_catalogue(boxed, changed):
    assert made(boxed).jar.surround.layer == FLUTE_HEIGHTS["B"].nominal
    assert made(changed(boxed, {"surround.flute": None, "surround.layer": "5 mm"})).jar.surround.layer == 0.005


def test_a_cover_is_its_thickness_over_its_conductivity(boxed, changed):
    boxed = changed(boxed, {"surround.flaps": "closed"})
    towel = INERTS["towel"]["conductivity"].nominal
    assert made(boxed).jar.surround.cover == 0.0
    plain = made(changed(boxed, {"surround.cover_thickness": "12 mm"})).jar.surround.cover
    assert plain == pytest.approx(0.012 / towel, rel=ROUND_OFF)
    own = {"surround.cover_thickness": "12 mm", "surround.cover_conductivity": "0.04 W/mK"}
    assert made(changed(boxed, own)).jar.surround.cover == pytest.approx(0.3, rel=ROUND_OFF)


def test_the_foot_follows_what_stands_on_what_unless_stated(boxed, changed):
    boxed = changed(boxed, {"vessel.foot": None})
    bare = changed(boxed, {"surround": None})

    def foot(data):
        return made(data).jar.vessel.foot

    assert foot(boxed) == CONTACTS["jar-on-board"].nominal
    assert foot(changed(boxed, {"surround.under_layers": 0})) == CONTACTS["glass-on-bench"].nominal
    assert foot(bare) == CONTACTS["glass-on-bench"].nominal
    assert foot(changed(bare, {"vessel.material": "aluminium"})) == CONTACTS["tin-on-bench"].nominal
    assert foot(changed(bare, {"vessel.foot": "77 W/m2K"})) == 77.0


def test_fragrance_lowers_freezing_and_latent_heat_as_the_model_says(boxed):
    wax = made(boxed).jar.wax
    assert wax == with_fragrance(catalogue_wax("soft-vegetable"), 0.08)
    assert wax.freezing_starts < catalogue_wax("soft-vegetable").freezing_starts


PROPERTIES = {
    "latent_heat": ("140 kJ/kg", 140e3),
    "heat_capacity_solid": ("1900 J/kgK", 1900.0),
    "heat_capacity_liquid": ("2.2 kJ/kgK", 2200.0),
    "conductivity_solid": ("0.25 W/mK", 0.25),
    "conductivity_liquid": ("0.15 W/mK", 0.15),
    "density_solid": ("0.94 g/cm3", 940.0),
    "density_liquid": ("870 kg/m3", 870.0),
    "density_liquid_at": ("75 °C", 75.0),
    "expansion_liquid": ("8e-4 1/K", 8e-4),
    "viscosity": ("18 mPas", 0.018),
    "viscosity_at": ("70 °C", 70.0),
    "viscosity_slope": ("3000 K", 3000.0),
    "total_shrinkage": ("7 %", 0.07),
    "expansion_solid": ("4e-4 1/K", 4e-4),
    "molar_mass": ("870 g/mol", 0.870),
    "emissivity": (0.95, 0.95),
    "clear_point": ("54 °C", 54.0),
}


@pytest.mark.parametrize(("name", "text", "value"), [(name, *pair) for name, pair in PROPERTIES.items()])
def test_each_property_of_the_wax_can_be_stated(boxed, changed, name, text, value):
    plain = changed(boxed, {"wax.fragrance_load": None})
    wax = made(changed(plain, {f"wax.{name}": text})).jar.wax
    assert getattr(wax, name) == pytest.approx(value, rel=ROUND_OFF)
    unchanged = made(plain).jar.wax
    others = set(PROPERTIES) - {name}
    assert all(getattr(wax, other) == getattr(unchanged, other) for other in others)


def test_a_stated_liquid_density_is_the_density_of_the_fill(boxed, changed):
    # Liquid halfway between 70 °C, where it is stated, and 46.5 °C: 870 (1 + 7.3e-4 * 11.75).
    plain = changed(boxed, {"wax.fragrance_load": None, "wax.density_liquid": "870 kg/m3"})
    assert made(plain).jar.wax.density == pytest.approx(870.0 * (1.0 + 7.3e-4 * 11.75), rel=ROUND_OFF)


def test_a_stated_freezing_range_moves_the_clear_point_with_it(boxed, changed):
    plain = changed(boxed, {"wax.fragrance_load": None, "wax.freezing_starts": "48 °C"})
    wax = made(plain).jar.wax
    usual = catalogue_wax("soft-vegetable")
    # Nine tenths are solid where they were before.
    assert (wax.freezing_starts, wax.freezing_ends) == pytest.approx((48.0, usual.freezing_ends), rel=ROUND_OFF)
    # The catalogue has freezing from 46.5 °C and a clear point of 52.8 °C.
    assert wax.clear_point == pytest.approx(54.3, rel=ROUND_OFF)


@pytest.mark.parametrize(
    "stated",
    [
        {"wax.freezing_starts": "48 °C"},
        {"wax.freezing_starts": "48 °C", "wax.freezing_ends": "38 °C"},
        {"wax.freezing": [["38 °C", "0 %"], ["48 °C", "100 %"]]},
    ],
    ids=["start", "both", "rows"],
)
def test_the_density_of_the_fill_follows_a_stated_freezing_range(boxed, changed, stated):
    # Liquid halfway between 70 °C, where the catalogue has 877 kg/m3, and 48 °C. A fill is that of the hot wax.
    data = {"wax.fragrance_load": None, "pour.volume": None, "pour.mass": "200 g", **stated}
    jar = made(changed(boxed, data)).jar
    density = 877.0 * (1.0 + 7.3e-4 * 11.0)
    assert jar.wax.density == pytest.approx(density, rel=ROUND_OFF)
    hot = 877.0 * (1.0 + 7.3e-4 * (70.0 - jar.pour))
    assert jar.depth == pytest.approx(0.2 / hot / (math.pi * jar.vessel.inner_radius**2), rel=ROUND_OFF)
    # The end of freezing has no part in it.
    ends = made(changed(boxed, {"wax.fragrance_load": None, "wax.freezing_ends": "30 °C"})).jar.wax
    assert ends.density == pytest.approx(877.0 * (1.0 + 7.3e-4 * 11.75), rel=ROUND_OFF)


def test_a_stated_molar_mass_of_the_oil_lowers_the_freezing_range(boxed, changed):
    own = {"wax.fragrance_load": "8 %", "wax.fragrance_molar_mass": "150 g/mol"}
    wanted = with_fragrance(catalogue_wax("soft-vegetable"), 0.08, molar_mass_oil=0.15)
    assert made(changed(boxed, own)).jar.wax.freezing == wanted.freezing
    assert wanted.freezing != made(boxed).jar.wax.freezing


def test_the_plan_knows_the_load_of_the_wax(boxed, changed):
    assert made(changed(boxed, {"wax.fragrance_load": "6 %", "wax.fragrance": "fig"})).plan.load == 0.06


@pytest.mark.parametrize("turn", [1, -1])
def test_a_freezing_table_may_be_written_from_either_end(boxed, changed, turn):
    rows = [["46 °C", "100 %"], ["42 °C", "60 %"], ["34 °C", "0 %"]][::turn]
    wax = made(changed(boxed, {"wax.fragrance_load": "0 %", "wax.freezing": rows})).jar.wax
    assert wax.freezing == ((34.0, 0.0), (42.0, 0.6), (46.0, 1.0))


def test_a_material_of_ones_own_needs_its_three_values(boxed, changed):
    own = {"conductivity": "0.14 W/mK", "density": "620 kg/m3", "heat_capacity": "1600 J/kgK"}
    data = changed(boxed, {"support.material": "birch", **{f"support.{key}": text for key, text in own.items()}})
    material = made(data).jar.support.material
    assert (material.name, material.conductivity, material.density) == ("birch", 0.14, 620.0)


def test_one_value_of_a_catalogue_material_can_be_changed(boxed, changed):
    board = made(changed(boxed, {"surround.conductivity": "0.08 W/mK"})).jar.surround.board
    assert (board.conductivity, board.density) == (0.08, INERTS["board"]["density"].nominal)


def test_map_times_are_those_stated_and_otherwise_left_to_the_events(boxed, changed):
    assert made(boxed).map_times == ()
    stated = {"report.map_times": ["5 min", "1:15"]}
    assert made(changed(boxed, stated)).map_times == (300.0, 4500.0)


def test_probes_and_pour_limits_are_carried_along(boxed, changed):
    assert made(boxed).probes == {}
    assert made(boxed).pour_limits == {}
    data = changed(
        boxed,
        {"report.probes": {"rim": ["37 mm", "75 mm"], "floor": ["1 in", "0 mm"]}, "wax.highest_temperature": "80 °C"},
    )
    scenario = made(data)
    assert scenario.probes["rim"] == pytest.approx((0.037, 0.075), rel=ROUND_OFF)
    assert scenario.probes["floor"] == pytest.approx((0.0254, 0.0), rel=ROUND_OFF)
    assert scenario.pour_limits == {"wax.highest_temperature": 80.0}


def test_an_empty_file_but_for_what_is_required_takes_the_defaults_of_the_model(boxed):
    required = {
        "title": "x",
        "vessel": {key: boxed["vessel"][key] for key in ("diameter", "height", "wall", "base", "material")},
        "wax": {"kind": "beeswax"},
        "pour": {"temperature": "80 °C", "level": "50 mm"},
        "support": {"material": "oak", "thickness": "3 cm"},
    }
    jar = made(required).jar
    plain = Jar(name="x", vessel=jar.vessel, wax=catalogue_wax("beeswax"), depth=0.05, pour=80.0, support=jar.support)
    # Beeswax is no fat: how stiff its mush is nobody knows.
    assert jar.melt.softness == Softness(sure_within=10.0)
    plain = replace(plain, melt=jar.melt)
    assert jar == plain
    box = Surround(gap=0.01, headroom=0.02, board=catalogue_inert("board"), layer=FLUTE_HEIGHTS["C"].nominal)
    required["surround"] = {"gap": "1 cm", "headroom": "2 cm", "flute": "C"}
    assert made(required).jar.surround == box
    assert made(required).note == ""
    assert not made(required).invented


def test_the_given_data_are_neither_changed_nor_shared(boxed, changed):
    before = json.dumps(boxed)
    scenario = made(boxed)
    assert json.dumps(boxed) == before
    boxed["vessel"]["height"] = "1 mm"
    assert scenario.data["vessel"]["height"] == "86 mm"


def test_an_override_changes_one_value_and_leaves_the_scenario_alone(boxed):
    scenario = made(boxed)
    hotter = with_overrides(scenario, {"pour.temperature": "72 °C", "run.horizon": "10 h"})
    assert (scenario.jar.pour, hotter.jar.pour) == (60.0, 72.0)
    assert hotter.jar.horizon == 36000.0
    assert hotter.data["pour"] == {"temperature": "72 °C", "volume": "235 mL"}
    assert hotter.jar.wax == scenario.jar.wax
    assert scenario.data == boxed


def test_an_override_takes_the_place_of_its_alternatives(boxed):
    scenario = made(boxed)
    assert "volume" not in with_overrides(scenario, {"pour.level": "60 mm"}).data["pour"]
    assert "gap" not in with_overrides(scenario, {"surround.box_width": "100 mm"}).data["surround"]
    rows = [["46 °C", "100 %"], ["34 °C", "0 %"]]
    curve = with_overrides(with_overrides(scenario, {"wax.freezing_starts": "46 °C"}), {"wax.freezing": rows})
    assert "freezing_starts" not in curve.data["wax"]
    assert "freezing" not in with_overrides(curve, {"wax.freezing_ends": "33 °C"}).data["wax"]


def test_an_override_of_none_removes_a_key_or_a_table(boxed):
    scenario = made(boxed)
    assert with_overrides(scenario, {"surround": None}).jar.surround is None
    assert with_overrides(scenario, {"wax.fragrance_load": None}).jar.wax == catalogue_wax("soft-vegetable")


def test_an_override_may_add_a_table(boxed):
    assert with_overrides(made(boxed), {"films.side_factor": 1.2}).jar.side_factor == 1.2


def test_bad_overrides_are_refused_with_a_suggestion(boxed):
    scenario = made(boxed)
    with pytest.raises(ScenarioError) as caught:
        with_overrides(scenario, {"pour.temprature": "68 °C", "room.temperature": 20})
    assert caught.value.faults == (
        "jar.toml: pour.temprature: unknown key. Did you mean 'temperature'?",
        "jar.toml: room.temperature: found 20 without a unit, give a temperature such as '21 °C'.",
    )
    with pytest.raises(ScenarioError, match=r"jar.toml: 'title.x': title is not a table. Name its value."):
        with_overrides(scenario, {"title.x": "68 °C"})


def test_importing_scenarios_loads_neither_scipy_nor_matplotlib():
    code = (
        "import sys, coolsim.scenario\n"
        "print(sorted({'scipy', 'matplotlib', 'typer'} & set(sys.modules)), 'pydantic' in sys.modules)"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "[] True"


def test_nothing_but_the_scenario_package_knows_toml_or_pydantic():
    import coolsim

    package = Path(coolsim.__file__).parent
    for file in package.rglob("*.py"):
        if file.parent.name != "scenario":
            text = file.read_text(encoding="utf-8")
            assert "import pydantic" not in text, file
            assert "from pydantic" not in text, file
            assert "tomllib" not in text, file


def test_each_scenario_file_states_values_with_units_as_texts(scenarios):
    # The format's promise: in the files of the project a bare number is a count, a factor or an emissivity.
    bare_numbers = {"side_layers", "flap_layers", "under_layers", "exposed_sides", "emissivity", "jars"}
    bare_numbers |= {"rows", "columns"}
    for file in scenarios.glob("*.toml"):
        for table in tomllib.loads(file.read_text(encoding="utf-8")).values():
            if isinstance(table, dict):
                found = {key for key, value in table.items() if type(value) in (int, float)}
                assert found <= bare_numbers
