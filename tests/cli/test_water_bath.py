"""A jar in a water bath through the commands, and refused where bench and box meet."""

import csv
import json

import numpy as np
import pytest
from commands import coarse

from coolsim import load_scenario, simulate, with_overrides
from coolsim.solve.curves import temperature_of_point
from coolsim.studies.repair.heating import heat


@pytest.fixture
def water(folder):
    path = folder / "water.toml"
    path.write_text(coarse("water-bath.toml"), encoding="utf-8")
    return path


def test_compare_sets_it_beside_the_jar_on_the_bench(coolsim, bare, water):
    done = coolsim("run", bare, water, "--no-figures")
    assert done.exit_code == 0
    assert "Tumbler in cool water" in " ".join(done.stdout.split())


def test_sweep_varies_the_temperature_of_the_water(coolsim, water, folder):
    over = ("--over", "surround.temperature=10C:30C:10K")
    assert coolsim("sweep", water, *over, "--csv", "rows.csv", "--workers", "1").exit_code == 0
    with open(folder / "rows.csv", newline="", encoding="utf-8") as file:
        times = [float(row["fully set [s]"]) for row in csv.DictReader(file)]
    assert len(times) == 3
    assert times == sorted(times)


def test_a_pour_is_chosen_for_the_water_alone(coolsim, water):
    done = coolsim("pour", water, "--pour", "60C,66C", "--workers", "1", "--json")
    assert done.exit_code == 0, done.stderr
    document = json.loads(done.stdout)
    assert document["own"] == "in water"
    assert [choice["place"] for choice in document["choices"]] == ["in water"]
    assert "It stands in the water of the scenario" in " ".join(
        coolsim("pour", water, "--pour", "60C", "--workers", "1").stdout.split()
    )


def test_a_fit_finds_the_latent_heat_that_a_log_in_water_was_made_with(coolsim, water, folder):
    true = with_overrides(load_scenario(water), {"wax.latent_heat": "118 kJ/kg"})
    result = simulate(true.jar)
    middle = temperature_of_point(result, 0.0, 0.03)
    minutes = range(0, int(result.time[-1]) // 60)
    at = np.interp([60.0 * one for one in minutes], result.time, middle)
    rows = [f"{minute},{one:.2f}" for minute, one in zip(minutes, at, strict=True)]
    (folder / "log.csv").write_text("\n".join(["time [min],middle [C]", *rows]) + "\n", encoding="utf-8")
    asked = ("--probe", "middle=0 mm,30 mm", "--fields", "wax.latent_heat", "--no-figures", "--workers", "1", "--json")
    done = coolsim("fit", water, "log.csv", *asked)
    assert done.exit_code == 0, done.stderr
    (fitted,) = json.loads(done.stdout)["fields"]
    # The probe may be off its place and read wrong; both are fitted along, and take up some of it.
    assert fitted["fitted"] == pytest.approx(118e3, rel=0.03)


def test_a_spread_varies_a_stated_film_of_the_water_if_it_is_asked_to(coolsim, water):
    asked = ("--runs", "8", "--workers", "1", "--no-figures")
    water.write_text(
        water.read_text(encoding="utf-8").replace('depth = "60 mm"', 'depth = "60 mm"\nfilm = "400 W/m2K"'),
        encoding="utf-8",
    )
    done = coolsim("spread", water, *asked, "--vary", "surround.film")
    assert done.exit_code == 0, done.stderr
    assert "surround.film 200 W/m2K 400 W/m2K 800 W/m2K estimate" in " ".join(done.stdout.split())
    band = next(line.split() for line in done.stdout.splitlines() if line.strip().startswith("Fully set"))
    assert band[3] < band[5]  # 10 % and 90 % of the cases: the more film, the sooner


def test_a_jar_is_taken_out_of_the_water_for_the_hot_air(coolsim, water):
    done = coolsim("repair", water, "--no-figures")
    assert done.exit_code == 0
    assert "Repair with hot air: Tumbler in cool water" in done.stdout
    scenario = with_overrides(load_scenario(water), {"repair.longest": "10 s"})
    cooled = simulate(scenario.jar)
    assert [one.name for one in cooled.held] == ["water"]
    assert heat(scenario.jar, cooled, scenario.hot_air).result.held == ()


@pytest.mark.parametrize(
    ("what", "made", "begins"), [("film", "water-film.gif", b"GIF89a"), ("sheet", "water-sheet.pdf", b"%PDF")]
)
def test_what_is_drawn_or_printed_of_one_jar_takes_one_in_water(coolsim, water, folder, what, made, begins):
    assert coolsim("make", what, water, *(["--frames", "3"] if what == "film" else ["--middle"])).exit_code == 0
    assert (folder / made).read_bytes().startswith(begins)
