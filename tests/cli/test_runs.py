"""run, compare and redraw: what they print and which files they leave."""

import json
import math
import re

import pytest
from commands import names

FIGURES = ("temperature-maps", "set-times", "cooling-curves", "solid-front", "heat-shares", "tops", "top-profiles")
TIMES = ("rim_set_s", "wick_free_until_s", "top_closed_s", "fully_set_s", "top_final_s", "solid_s", "cool_s")
NUMBERS = (
    *TIMES,
    "ended_s",
    "pour_C",
    "jar_C",
    "room_C",
    "pour_minus_jar_K",
    "shock_limit_K",
    "cool_within_K",
    "last_liquid_r_m",
    "last_liquid_above_bottom_m",
    "heat_given_off_J",
    "heat_share_top",
    "heat_share_side",
    "heat_share_base",
    "ledger_open_share",
)


def refuse(word):
    raise AssertionError(f"{word} is no number of JSON")


def document(text):
    return json.loads(text, parse_constant=refuse)


def test_compare_without_files_runs_the_pair_that_comes_with_coolsim(coolsim, folder):
    result = coolsim("run", "--no-figures")
    assert result.exit_code == 0
    for expected in ("Tumbler, one of six in an", "Rim set", "Top closed", "Fully set", "Through the side", "invented"):
        assert expected in result.stdout
    assert max(map(len, result.stdout.splitlines())) <= 80
    assert names(folder) == []


def test_cautions_stand_under_the_table_even_when_quiet(coolsim, bare):
    result = coolsim("run", bare, "--no-figures", "--quiet")
    assert "Caution: hot wax burns" in result.stdout
    assert "data sheets" in result.stdout
    assert result.stderr == ""


def test_one_line_counts_the_estimates_and_an_option_lists_them(coolsim, bare, monkeypatch):
    monkeypatch.setattr("coolsim.solve.simulate.simulate", lambda *_, **__: None)
    monkeypatch.setattr("coolsim.report.text.runs.answers_table", lambda *_, **__: "answers")
    counted = coolsim("run", bare, "--no-figures").stdout
    listed = coolsim("run", bare, "--no-figures", "--estimates").stdout
    answers, caution, count, invented = counted.replace("\n\n", "\n").splitlines()
    assert answers == "answers"
    assert max(map(len, counted.splitlines())) <= 80
    _, long_list, tail = listed.strip().split("\n\n")
    assert tail.splitlines() == [caution, invented]
    keys = [word for word in long_list.replace(".\n", " ").split() if re.match(r"[a-z]+\.[a-z_]+[.,]?$", word)]
    assert count == f"{len(keys)} values are estimates; --estimates lists them."


def test_any_number_of_scenarios_stand_side_by_side(coolsim, bare, boxed):
    third = bare.with_name("third.toml")
    third.write_text(bare.read_text().replace('"60 °C"', '"57 °C"').replace("bare on the bench", "poured cooler"))
    result = coolsim("run", bare, boxed, third, "--no-figures", "--json")
    runs = document(result.stdout)["runs"]
    assert [one["file"] for one in runs] == [str(bare), str(boxed), str(third)]
    assert [round(one["pour_C"], 6) for one in runs] == [60.0, 60.0, 57.0]


@pytest.mark.parametrize("name", ["bare", "boxed"])
def test_json_has_every_answer_as_a_finite_number(name, coolsim, request):
    result = coolsim("run", request.getfixturevalue(name), "--no-figures", "--json")
    found = document(result.stdout)
    assert found["program"] == "coolsim"
    assert "Hot wax" in found["caution"]
    (run,) = found["runs"]
    for key in NUMBERS:
        assert isinstance(run[key], float), key
        assert math.isfinite(run[key]), key
    assert run["rim_set_s"] < run["wick_free_until_s"] <= run["top_closed_s"] < run["fully_set_s"]
    # It is as solid as the room makes it when its hottest place is near the room.
    assert run["fully_set_s"] < run["top_final_s"] < run["solid_s"] <= run["ended_s"]
    # A second: the one is found in enthalpy, the other in temperature.
    assert run["solid_s"] == pytest.approx(run["cool_s"], abs=1.0)
    assert 0.8 < run["solid_share"] < 0.9
    # The three shares are all of the heat: round-off of a sum of three.
    assert sum(run[f"heat_share_{path}"] for path in ("top", "side", "base")) == pytest.approx(1.0, abs=1e-12)
    assert run["ledger_closed"] is True
    assert run["invented"] is True
    assert "wax.latent_heat" in run["estimates"]["Every answer"]


def test_json_is_the_only_thing_on_standard_output(process, bare):
    done = process("run", bare, "--no-figures", "--csv", "bare.csv", "--json")
    assert done.returncode == 0
    assert document(done.stdout)["runs"]
    assert done.stderr == "wrote bare.csv\n"


def test_the_range_of_the_melt_is_shown_on_request(coolsim, bare, boxed):
    table = coolsim("run", bare, boxed, "--no-figures", "--melt-range").stdout
    assert table.count("1 MPa to 10 MPa") == 2
    assert "Measure one set top" in table
    assert "1 MPa to 10 MPa" not in coolsim("run", bare, boxed, "--no-figures").stdout
    (run,) = document(coolsim("run", bare, "--no-figures", "--melt-range", "--json").stdout)["runs"]
    assert [one["stiffness_Pa"] for one in run["top_over_melt"]] == pytest.approx([1e6, 3e6, 1e7])
    assert run["top_over_melt"][1]["hole_m"] == run["top"]["hole_m"]


def test_a_melt_that_does_not_circulate_has_a_range_too(coolsim, bare):
    bare.write_text(bare.read_text() + '\n[melt]\nmixing = "none"\n')
    assert "1 MPa to 10 MPa" in coolsim("run", bare, "--no-figures", "--melt-range").stdout


def test_units_change_the_table_but_not_the_json(coolsim, bare):
    metric = coolsim("run", bare, "--no-figures")
    us = coolsim("run", bare, "--no-figures", "--units", "us")
    assert "60 °C" in metric.stdout
    assert "140 °F" in us.stdout
    assert "°C" not in us.stdout
    plain, other = (coolsim("run", bare, "--no-figures", "--json", *more) for more in ([], ["--units", "us"]))
    assert document(plain.stdout) == document(other.stdout)


def test_a_left_out_option_leaves_the_units_of_the_file(coolsim, bare):
    bare.write_text(bare.read_text().replace('units = "metric"', 'units = "us"'))
    assert "140 °F" in coolsim("run", bare, "--no-figures").stdout
    assert "60 °C" in coolsim("run", bare, "--no-figures", "--units", "metric").stdout


def test_equal_titles_are_told_apart_by_their_files(coolsim, bare):
    other = bare.with_name("other.toml")
    other.write_text(bare.read_text())
    runs = document(coolsim("run", "bare.toml", "other.toml", "--no-figures", "--json").stdout)["runs"]
    assert [one["title"] for one in runs] == [
        "Tumbler, bare on the bench (bare.toml)",
        "Tumbler, bare on the bench (other.toml)",
    ]


def test_compare_draws_every_figure_into_the_usual_folder_and_says_where(coolsim, folder, bare, boxed):
    result = coolsim("run", bare, boxed)
    assert result.exit_code == 0
    assert names(folder / "coolsim-figures") == sorted(f"{name}.png" for name in FIGURES)
    assert result.stderr.splitlines() == [f"wrote coolsim-figures/{name}.png" for name in FIGURES]


@pytest.mark.parametrize(("format", "begins"), [("png", b"\x89PNG"), ("svg", b"<?xml"), ("pdf", b"%PDF")])
def test_a_single_figure_in_a_format(format, begins, coolsim, folder, bare):
    result = coolsim("run", bare, "--figures", "shown here", "--only", "solid-front", "--format", format)
    assert result.exit_code == 0
    # The figures of a single scenario bear its name, so that those of the next one do not replace them.
    assert names(folder / "shown here") == [f"bare-solid-front.{format}"]
    assert (folder / "shown here" / f"bare-solid-front.{format}").read_bytes().startswith(begins)


def test_curves_of_one_scenario_go_to_a_file_and_of_several_to_a_folder(coolsim, folder, bare, boxed):
    assert coolsim("run", bare, "--no-figures", "--csv", "curves.csv").exit_code == 0
    assert (folder / "curves.csv").read_text(encoding="utf-8").startswith("time [s],")
    assert coolsim("run", bare, boxed, "--no-figures", "--csv", "curves").exit_code == 0
    assert names(folder / "curves") == ["bare.csv", "boxed.csv"]


def test_files_of_equal_names_get_a_number(coolsim, folder, bare):
    (folder / "sub").mkdir()
    other = folder / "sub" / "bare.toml"
    other.write_text(bare.read_text())
    assert coolsim("run", bare, other, "--no-figures", "--csv", "curves").exit_code == 0
    assert names(folder / "curves") == ["bare-2.csv", "bare.csv"]


def test_a_saved_result_is_drawn_again_the_same_without_running(coolsim, folder, bare, boxed, monkeypatch):
    first = coolsim("run", bare, boxed, "--figures", "one", "--only", "set-times", "--save", "both.npz")
    assert first.exit_code == 0

    def run_again(*_, **__):
        raise AssertionError("it ran again")

    monkeypatch.setattr("coolsim.solve.simulate.simulate", run_again)
    again = coolsim("run", "both.npz", "--figures", "two", "--only", "set-times")
    assert again.exit_code == 0
    assert again.stdout == first.stdout
    assert (folder / "one" / "set-times.png").read_bytes() == (folder / "two" / "set-times.png").read_bytes()


def test_names_with_spaces_and_letters_of_any_alphabet_work(coolsim, folder, bare):
    jar = folder / "my jár 蝋燭 №1.toml"
    bare.rename(jar)
    result = coolsim("run", jar, "--no-figures", "--csv", "curves of mine", "--save", "kept – 1.npz")
    assert result.exit_code == 0
    assert names(folder / "curves of mine") == ["my-jár-蝋燭-1.csv"]
    assert coolsim("run", "kept – 1.npz", "--no-figures").exit_code == 0
