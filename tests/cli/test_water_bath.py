"""A jar in a water bath through the commands: beside one on the bench, swept, refused where bench and box meet."""

import csv

import pytest
from commands import coarse


@pytest.fixture
def water(folder):
    path = folder / "water.toml"
    path.write_text(coarse("water-bath.toml"), encoding="utf-8")
    return path


def test_compare_sets_it_beside_the_jar_on_the_bench(coolsim, bare, water):
    done = coolsim("compare", bare, water, "--no-figures")
    assert done.exit_code == 0
    assert "Tumbler in cool water" in " ".join(done.stdout.split())


def test_sweep_varies_the_temperature_of_the_water(coolsim, water, folder):
    over = ("--over", "surround.temperature=10C:30C:10K")
    assert coolsim("sweep", water, *over, "--csv", "rows.csv", "--workers", "1").exit_code == 0
    with open(folder / "rows.csv", newline="", encoding="utf-8") as file:
        times = [float(row["fully set [s]"]) for row in csv.DictReader(file)]
    assert len(times) == 3
    assert times == sorted(times)


@pytest.mark.parametrize("command", ["pour", "handout"])
def test_what_chooses_between_bench_and_box_refuses_it_and_says_what_to_do(coolsim, water, command):
    done = coolsim(command, water)
    assert done.exit_code == 3
    assert (
        "water.toml: surround.kind: found 'water', but this chooses one pour for the bench and one for the box. Leave"
        " [surround] out, or try pours in the water with `coolsim sweep --over pour.temperature=60C:70C:5K`."
    ) in " ".join(done.stderr.split())
