"""The command fit, from a log to a scenario that runs."""

import json

import numpy as np
import pytest
from commands import coarse

from coolsim.scenario import load_scenario, with_overrides
from coolsim.solve.simulate import simulate

ONE = ("--fields", "films.side_factor", "--workers", "1")
AXIS = ("--probe", "probe=0 mm,35 mm")
TWO = ("--seen", "bare: dish=2 mm±0.5 mm", "--seen", "other: dish=2 mm±0.5 mm")


def log(path, run, values):
    time = np.arange(5.0, 120.0, 5.0)
    rows = (
        f"{minute:g},{value:.2f}\n" for minute, value in zip(time, np.interp(60 * time, run.time, values), strict=True)
    )
    path.write_text("time [min],probe [°C]\n" + "".join(rows), encoding="utf-8")


@pytest.fixture
def measured(bare):
    """A log of the axis, made with side films a fifth larger."""
    run = simulate(with_overrides(load_scenario(bare), {"films.side_factor": 1.2}).jar)
    log(bare.with_name("log.csv"), run, run.temperature_at(0.0, 0.035))
    return bare


def test_fit_writes_a_scenario_with_the_values_and_where_they_came_from(coolsim, measured, folder):
    asked = ("fit", "bare.toml", "log.csv", *AXIS, *ONE, "--out", "new.toml", "--no-figures")
    done = coolsim(*asked)
    assert done.exit_code == 0
    assert "films.side_factor" in done.stdout
    text = (folder / "new.toml").read_text(encoding="utf-8")
    assert "fitted to log.csv" in text
    # Without noise the truth is met within what a probe of 0.5 K and 1 mm leaves open: two standard deviations.
    assert load_scenario(folder / "new.toml").jar.side_factor == pytest.approx(1.2, abs=0.15)
    assert max(map(len, done.stdout.splitlines())) <= 80


def test_fit_keeps_the_mark_and_the_line_ends_of_the_file(coolsim, measured, folder):
    measured.write_bytes(b"\xef\xbb\xbf" + measured.read_bytes().replace(b"\n", b"\r\n"))
    done = coolsim("fit", "bare.toml", "log.csv", *AXIS, *ONE, "--out", "new.toml", "--no-figures")
    assert done.exit_code == 0
    new = (folder / "new.toml").read_bytes()
    assert new.startswith(b"\xef\xbb\xbf")
    assert new.count(b"\n") == new.count(b"\r\n")


def test_fit_for_machines_and_its_figure(coolsim, measured, folder):
    done = coolsim("fit", "bare.toml", "log.csv", *AXIS, *ONE, "--json", "--figures", "shown")
    document = json.loads(done.stdout)
    (field,) = document["fields"]
    assert field["key"] == "films.side_factor"
    assert field["low"] < field["fitted"] < field["high"]
    assert [path.suffix for path in (folder / "shown").iterdir()] == [".png"]


def test_the_films_can_be_fitted_with_hot_water(coolsim, folder):
    water = folder / "water.toml"
    text = coarse("tumbler-bare.toml")
    text = text.replace('kind = "soft-vegetable"', 'kind = "water"').replace('"8 %"', '"0 %"')
    water.write_text(text, encoding="utf-8")
    run = simulate(with_overrides(load_scenario(water), {"films.side_factor": 1.2}).jar)
    log(folder / "log.csv", run, run.mean_wax_temperature())
    done = coolsim("fit", "water.toml", "log.csv", "--probe", "probe=mean", *ONE, "--out", "films.toml", "--no-figures")
    assert done.exit_code == 0
    assert load_scenario(folder / "films.toml").jar.side_factor == pytest.approx(1.2, abs=0.15)


def test_a_bare_and_a_boxed_jar_are_fitted_together_and_each_is_written(coolsim, bare, folder):
    (folder / "boxed.toml").write_text(coarse("tumbler-boxed.toml"), encoding="utf-8")
    done = coolsim(
        "fit", "bare.toml", "boxed.toml", "--seen", "bare: middle=5 mm±0.5 mm", "--seen", "boxed: middle=4 mm±0.5 mm",
        "--fields", "wax.total_shrinkage", "--workers", "1", "--json", "--figures", "shown", "--out", "a.toml",
        "--out", "b.toml",
    )  # fmt: skip
    assert done.exit_code == 0
    document = json.loads(done.stdout)
    (field,) = document["fields"]
    assert field["low"] < field["fitted"] < field["high"]
    for jar, seen in zip(document["jars"], (5e-3, 4e-3), strict=True):
        (one,) = jar["seen"]
        assert (one["what"], one["seen_m"], one["deviation_m"]) == ("middle", pytest.approx(seen), 5e-4)
        assert jar["probes"] == []
        # What was seen pulls the model towards it.
        assert abs(one["after_m"] - seen) <= abs(one["before_m"] - seen) + 5e-4
    found = [load_scenario(folder / name).jar.wax.total_shrinkage for name in ("a.toml", "b.toml")]
    assert found == pytest.approx([field["fitted"]] * 2)
    assert [path.suffix for path in (folder / "shown").iterdir()] == [".png"]


@pytest.mark.parametrize(
    ("arguments", "code", "says"),
    [
        (("bare.toml", "nolog.csv", *AXIS), 3, "no such file"),
        (("bare.toml",), 2, "give a log, or what was seen"),
        (("bare.toml", "log.csv", "log.csv", *AXIS), 2, "found two logs behind bare.toml"),
        (("bare.toml", "bare.toml", "--seen", "dish=2 mm±1 mm"), 2, "found two scenarios called 'bare'"),
        (("bare.toml", "--seen", "dish=2 mm"), 2, "Say how sure it is, as in 'dish=2 mm±0.5 mm'"),
        (("bare.toml", "--seen", "dish=2±0.5 mm"), 2, "dish: "),
        (
            ("bare.toml", "--seen", "box: dish=2 mm±0.5 mm"),
            2,
            "found the jar 'box', but the scenarios are called 'bare'",
        ),
        (
            ("bare.toml", "other.toml", "--out", "more.toml", "--seen", "dish=2 mm±0.5 mm"),
            2,
            "Name its jar, as in 'bare: dish=",
        ),
        (("bare.toml", "other.toml", "--out", "more.toml", *TWO[:2]), 2, "nothing was measured on other.toml"),
        (("bare.toml", "other.toml", *TWO), 2, "found 1 for 2 scenarios. Give it once for each"),
        (
            ("bare.toml", "hotter.toml", *TWO[:3], "hotter: dish=2 mm±0.5 mm", "--out", "more.toml"),
            3,
            "One fit is for one wax",
        ),
        (("bare.toml", "log.csv", "--probe", "box: axis=0 mm,35 mm"), 2, "found the jar 'box'"),
        (("bare.toml", "log.csv"), 3, "no place is known"),
        (("bare.toml", "log.csv", "--probe", "probe=0 mm,350 mm"), 3, "probe"),
        (("bare.toml", "--seen", "lunch=2:10±0:10"), 2, "found 'lunch'"),
        (("bare.toml", "log.csv", *AXIS, "--fields", "films.sid_factor"), 2, "side_factor"),
        (("bare.toml", "log.csv", *AXIS, "--lag", "-5 s"), 2, "zero or more"),
        (("bare.toml", "log.csv", *AXIS, "--lag", "2 h"), 3, "the log ends 115 min after the pour, and the probes"),
        (("bare.toml", "log.csv", *AXIS, "--from", "2 h"), 3, "5 to 115 min after the pour, and what is before 120"),
        (("bare.toml", "log.csv", *AXIS, "--until", "2 h"), 3, "--until is 120 min. Give an earlier --until"),
        (("bare.toml", "log.csv", *AXIS, "--until", "4 min"), 3, "--until is 4 min. Give a later --until"),
        (("bare.toml", "log.csv", *AXIS, "--from", "1 h", "--until", "30 min"), 3, "between 60 and 30 min"),
        (("bare.toml", "log.csv", "--probe", "axs=0 mm,35 mm"), 3, "no column 'axs'. The columns are 'probe'."),
        (("bare.toml", "late.csv", *AXIS), 3, "begin at 50.0 °C, and the wax is poured at 60.0 °C: they begin after"),
    ],
)
def test_bad_input_is_one_message_and_nothing_is_written(arguments, code, says, coolsim, measured, folder):
    text = (folder / "bare.toml").read_text(encoding="utf-8")
    (folder / "other.toml").write_text(text, encoding="utf-8")
    (folder / "hotter.toml").write_text(text.replace("[wax]", '[wax]\nlatent_heat = "140 kJ/kg"'), encoding="utf-8")
    (folder / "late.csv").write_text("time,probe [°C]\n14:05,21\n14:06,50\n14:15,48\n14:25,46\n", encoding="utf-8")
    before = sorted(path.name for path in folder.iterdir())
    done = coolsim("fit", *arguments, "--out", "new.toml", "--no-figures")
    assert done.exit_code == code
    assert says in done.stderr
    assert sorted(path.name for path in folder.iterdir()) == before
