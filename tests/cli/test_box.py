"""The command that runs all jars of a box together, and what the other commands say to such a scenario."""

import json
from itertools import pairwise
from pathlib import Path

import pytest

from coolsim.overview import hours_minutes

SCENARIOS = Path(__file__).parents[2] / "scenarios"
COARSE = '\n[run]\nrefinement = 0.5\ntolerance = "1 K"\n'


@pytest.fixture
def eleven(folder):
    path = folder / "eleven.toml"
    path.write_text((SCENARIOS / "box-3x4.toml").read_text(encoding="utf-8") + COARSE, encoding="utf-8")
    return path


def test_it_prints_the_plan_and_draws_it(coolsim, six, folder):
    done = coolsim("box", six, "--figures", "here", "--format", "svg")
    assert done.exit_code == 0
    text = " ".join(done.stdout.split())
    for expected in (
        "Six tumblers in one box: 6 jars in 2 × 3 places",
        "corner 4",
        "edge 2",
        "Last: edge (2 jars), fully set at",
        "All set within 16:00 h: yes.",
        "The workshop and its figures are invented.",
        "hot wax burns",
    ):
        assert expected in text
    plan = [line.split() for line in done.stdout.splitlines() if line.startswith(("  1 ", "  2 "))]
    assert plan[0][1] == plan[0][3] == plan[1][1] != plan[0][2]
    assert max(map(len, done.stdout.splitlines())) <= 80
    assert done.stderr == "wrote here/six-box.svg\n"
    assert (folder / "here" / "six-box.svg").read_text(encoding="utf-8").startswith("<?xml")


def test_an_empty_place_is_shown_as_one(coolsim, eleven):
    done = coolsim("box", eleven, "--no-figures", "--units", "us")
    row = next(line for line in done.stdout.splitlines() if line.startswith("  1 "))
    assert row.split()[-1] == "empty"
    assert " in\n" in done.stdout
    # With a corner gone all places differ.
    assert "inner, row 2, column 2" in done.stdout


def test_json_is_one_document(coolsim, six, folder):
    done = coolsim("box", six, "--no-figures", "--json", "--within", "3h")
    found = json.loads(done.stdout)
    assert found["jars"] == 6
    assert [kind["kind"] for kind in found["kinds"]] == ["corner", "edge"]
    assert found["kinds"][1]["places"] == [[1, 2], [2, 2]]
    times = [kind["answers"]["fully_set_s"] for kind in found["kinds"]]
    assert found["spread_s"] == pytest.approx(times[1] - times[0])
    assert found["last"] == "edge"
    assert found["time_allowed_s"] == 3 * 3600.0
    assert found["passes"] is False
    assert found["ledger_open_share"] < 1e-9
    assert sorted(path.name for path in folder.iterdir()) == ["six.toml"]


def test_fillings_say_how_many_jars_go_in(coolsim, six):
    done = coolsim("box", six, "--fillings", "--json")
    trials = json.loads(done.stdout)["fillings"]
    assert [trial["jars"] for trial in trials] == [6, 4, 3, 2, 2, 1]
    ran = [trial for trial in trials if trial["fault"] is None]
    # Fewer jars leave each more room.
    assert all(one["last_set_s"] > other["last_set_s"] for one, other in pairwise(ran[:3]))
    between = 0.5 * (ran[0]["last_set_s"] + ran[1]["last_set_s"])
    text = coolsim("box", six, "--fillings", "--within", f"{between} s").stdout
    assert f"Largest filling that sets within {hours_minutes(between)} h: 4 jars in 2 × 2" in text
    assert "No filling sets within 1:00 h." in coolsim("box", six, "--fillings", "--within", "1h").stdout
    assert max(map(len, text.splitlines())) <= 80


def test_spacings_say_how_far_apart(coolsim, six):
    done = coolsim("box", six, "--spacing", "5mm,40mm", "--json")
    near, far = json.loads(done.stdout)["spacings"]
    assert (near["spacing_m"], far["spacing_m"]) == (pytest.approx(0.005), pytest.approx(0.04))
    assert near["last_set_s"] > far["last_set_s"]
    limit = f"{0.5 * (near['last_set_s'] + far['last_set_s'])} s"
    assert "Least distance with which all set" in coolsim("box", six, "--spacing", "5mm,40mm", "--within", limit).stdout
    assert "With none of these" in coolsim("box", six, "--spacing", "5mm", "--within", "1h").stdout


@pytest.mark.parametrize(
    ("arguments", "code", "says"),
    [
        (["six.toml", "--fillings", "--spacing", "5mm"], 2, "give --fillings or --spacing, not both"),
        (["six.toml", "--fillings", "--figures", "here"], 2, "it is for one run"),
        (["six.toml", "--no-figures", "--figures", "here"], 2, "contradicts --figures"),
        (["six.toml", "--within", "3"], 2, "found '3' (no unit)"),
        (["six.toml", "--spacing", "2mm"], 2, "--spacing: found 2 mm, less than a divider, 3.2 mm"),
        (["six.toml", "--figures", "missing/here"], 4, "there is no folder 'missing'"),
        (["missing.toml"], 3, "no such file"),
        (["bare.toml"], 3, "places: missing. Add a table [places]"),
        (["bare.toml", "--fillings"], 3, "places: missing. Add a table [places]"),
    ],
)
def test_bad_input_is_one_message_before_any_run(arguments, code, says, coolsim, six, bare, folder, monkeypatch):
    def run(*_, **__):
        raise AssertionError("the simulation ran")

    monkeypatch.setattr("coolsim.solve.together.simulate_box", run)
    result = coolsim("box", *arguments)
    assert result.exit_code == code
    assert says in " ".join(result.stderr.split())


def test_a_command_about_one_jar_says_why(coolsim, six):
    result = coolsim("convection", six)
    assert result.exit_code == 3
    told = "six.toml: places: found 6 jars in one box. The melt stirs itself in each jar alike, so one of them tells"
    assert told in " ".join(result.stderr.split())


def test_all_commands_were_asked():
    from typer.main import get_command

    from coolsim.cli import app_for

    # These take a box; the others read no scenario, or are asked above.
    no_scenario = {"materials", "new", "completion", "keys", "verify"}
    # These say above, or in tests/cli/test_log.py, why they do not.
    one_jar = {"convection", "log"}
    assert set(get_command(app_for()).commands) - one_jar - no_scenario == {
        "box", "check", "day", "fit", "make", "pour", "repair", "run", "spread", "sweep", "today",
        "whatif",
    }  # fmt: skip


def test_check_and_batch_take_a_box(coolsim, six):
    assert "6 jars in 2 × 3 places" in " ".join(coolsim("check", six).stdout.split())
    assert "To weigh for 6 jars" in coolsim("day", "--only", "amounts", six).stdout


def test_new_starts_a_box_of_many(coolsim, folder):
    assert coolsim("new", "nine.toml", "--rows", "3", "--columns", "3", "--spacing", "9 mm").exit_code == 0
    found = json.loads(coolsim("check", "nine.toml", "--json").stdout)["files"][0]
    assert found["fine"]
    assert "9 jars in 3 × 3 places" in found["summary"][1]
    bad = coolsim("new", "ten.toml", "--rows", "0")
    assert bad.exit_code == 2
    assert "--rows: found 0, give a whole number from 1 to 12." in " ".join(bad.stderr.split())
    assert coolsim("new", "ten.toml", "--spacing", "9 mm").exit_code == 2


def test_the_day_of_a_box_goes_on_for_all_of_its_jars(coolsim, six_by_day):
    six = six_by_day
    done = coolsim("box", six, "--no-figures", "--json")
    found = json.loads(done.stdout)
    changes = [{"at_s": 10800.0, "happens": "flaps open"}, {"at_s": 21600.0, "happens": "out of the box"}]
    assert [kind["answers"]["changes"] for kind in found["kinds"]] == [changes] * 2
    assert found["ledger_open_share"] < 1e-9
    assert "On the way: flaps open at 3:00 h, out of the box at 6:00 h." in coolsim("box", six, "--no-figures").stdout


def test_the_old_word_for_places_goes_on_working_and_says_the_new_one(coolsim, six, folder):
    text = six.read_text(encoding="utf-8")
    (folder / "old.toml").write_text(text.replace("[places]", "[box]"), encoding="utf-8")
    (folder / "new.toml").write_text(text, encoding="utf-8")
    old, new = coolsim("check", "old.toml"), coolsim("check", "new.toml")
    assert (old.exit_code, old.stdout) == (0, new.stdout.replace("new.toml", "old.toml"))
    assert old.stderr == f"warning: old.toml: the table [box] is called [places] now.\n{new.stderr}"
