"""materials: the catalogue with values, ranges, marks and sources."""

import json
import re

import pytest

from coolsim.model.catalogue import (
    CONTACTS,
    EMISSIVITIES,
    FATS,
    FLUTE_HEIGHTS,
    INERTS,
    NEVER_SETS,
    PARAFFIN_CURVES,
    WAXES,
)
from coolsim.model.materials import catalogue_values, wax_names
from coolsim.report.text.materials import catalogue_names, catalogue_text
from coolsim.scenario.values import Quantity
from coolsim.scenario.wax import WaxTable


def test_the_overview_names_every_material_in_80_columns(coolsim):
    result = coolsim("materials")
    for name in (*WAXES, *FATS, *PARAFFIN_CURVES, *INERTS):
        assert re.search(rf"^{re.escape(name)} ", result.stdout, re.MULTILINE), name
    assert max(map(len, result.stdout.splitlines())) <= 80


def test_all_shows_every_value_with_its_mark_and_source(coolsim):
    result = coolsim("materials", "--all")
    lines = result.stdout.splitlines()
    assert max(map(len, lines)) <= 80
    together = " ".join(result.stdout.split())
    count = 0
    waxes = [catalogue_values(name) for name in wax_names() if name not in PARAFFIN_CURVES]
    for group in (*waxes, *INERTS.values(), EMISSIVITIES, FLUTE_HEIGHTS, CONTACTS):
        for value in group.values():
            assert f"{value.mark}: {' '.join(value.source.split())}" in together
            count += 1
    # One line of source begins for each value; those of tins, fragrance and the measured curves come on top.
    marks = re.findall(
        r"^    (?:published|computed independently|open library|from memory|estimate"
        r"|published correlation, composition assumed): ",
        result.stdout,
        re.M,
    )
    assert len(marks) == count + 2 + len(PARAFFIN_CURVES)


def test_a_value_shows_its_range(coolsim):
    lines = coolsim("materials", "soft-vegetable").stdout.splitlines()
    assert "latent_heat             128 kJ/kg  (90 to 170)" in lines
    assert "total_shrinkage         6 %  (4 to 11)" in lines
    assert "viscosity               20 mPas  (15 to 28)" in lines


# Ice and the molar mass of water lie outside of what a scenario may state of a wax.
@pytest.mark.parametrize("wax", [name for name in WAXES if name not in NEVER_SETS])
def test_values_are_written_as_a_scenario_takes_them(wax):
    for line in catalogue_text([wax]).splitlines():
        key, _, shown = line.partition(" ")
        field = WaxTable.model_fields.get(key)
        spec = next((spec for spec in field.metadata if isinstance(spec, Quantity)), None) if field else None
        if spec is None or not shown:
            continue
        text = shown.partition("(")[0].strip()
        # Written with six digits.
        assert spec.read(text) == pytest.approx(WAXES[wax][key].nominal, rel=1e-5), line


def test_json_has_the_whole_catalogue(coolsim):
    found = json.loads(coolsim("materials", "--json").stdout)["materials"]
    assert tuple(found) == catalogue_names()
    heat = found["soft-vegetable"]["latent_heat"]
    assert (heat["nominal"], heat["low"], heat["high"], heat["unit"]) == (128e3, 90e3, 170e3, "J/kg")
    assert heat["mark"] == "published correlation, composition assumed"
    assert heat["source"]
    assert found["paraffin-47"]["freezing"][0] == [39.2, 0.05]
    soft = found["soft-vegetable"]
    assert soft["acids"] == [[1.0, {"16:0": 0.11, "18:0": 0.2, "18:1 trans": 0.45, "18:1": 0.22, "18:2": 0.02}]]
    assert soft["crystal_form"] == "beta-prime"
    assert (soft["freezing"][0][1], soft["freezing"][-1]) == (0.0, [46.5, 1.0])
    assert tuple(json.loads(coolsim("materials", "oak", "--json").stdout)["materials"]) == ("oak",)


def test_a_wax_of_fatty_acids_shows_them_and_how_it_freezes(coolsim):
    text = " ".join(coolsim("materials", "soft-vegetable", "hard-and-oil").stdout.split())
    assert "acids 16:0 11 %, 18:0 20 %, 18:1 trans 45 %, 18:1 22 %, 18:2 2 % crystal_form beta-prime" in text
    assert "liquid on cooling 95 % at 44.6, 75 % at 39.6, 50 % at 34.3, 25 % at 28.4, 10 % at 23.3 °C" in text
    assert "solid at 20 °C 95 %" in text
    assert "acids 50 % of a fat with 16:0 11 %, 18:0 89 % acids 50 % of a fat with 16:0 11 %, 18:0 4 %" in text


def test_a_misspelt_name_gets_a_suggestion(coolsim):
    result = coolsim("materials", "parafin")
    assert result.exit_code == 2
    assert "Did you mean 'paraffin'?" in result.stderr
    assert result.stdout == ""
    assert "Choose from soft-vegetable" in coolsim("materials", "xyzzy").stderr


def test_a_figure_of_one_wax_or_of_several_is_written_where_it_is_said(coolsim, tmp_path):
    one = coolsim("materials", "soft-vegetable", "--figure")
    assert one.stderr == "wrote coolsim-figures/soft-vegetable-freezing.png\n"
    assert one.stdout == coolsim("materials", "soft-vegetable").stdout
    both = coolsim("materials", "soft-vegetable", "paraffin", "--figures", str(tmp_path / "own"), "--format", "svg")
    assert both.exit_code == 0
    assert "soft-vegetable" in (tmp_path / "own" / "freezing.svg").read_text(encoding="utf-8")


def test_the_options_of_figures_are_those_of_every_command_that_draws(coolsim, tmp_path):
    without = coolsim("materials", "soft-vegetable", "--figure", "--no-figures")
    assert (without.exit_code, without.stderr) == (0, "")
    both = coolsim("materials", "soft-vegetable", "--figures", str(tmp_path / "own"), "--no-figures")
    assert both.exit_code == 2
    assert "--no-figures: it contradicts --figures; leave one out." in both.stderr


@pytest.mark.parametrize(
    ("names", "message"),
    [
        ([], "--figure: it draws 1 to 6 waxes; name some of soft-vegetable, paraffin,"),
        (["glass"], "--figure: it draws waxes, not 'glass'; name some of soft-vegetable, paraffin,"),
        (["water"], "--figure: it draws waxes, not 'water'; name some of soft-vegetable, paraffin,"),
    ],
    ids=["none", "no wax", "water"],
)
def test_a_figure_of_what_is_no_wax_is_refused(coolsim, names, message):
    result = coolsim("materials", *names, "--figure")
    assert result.exit_code == 2
    assert message in result.stderr
    assert result.stdout == ""
