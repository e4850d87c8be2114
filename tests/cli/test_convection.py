"""`coolsim convection`: a jar under each model of the melt, and the name that the command had once."""

import json

import pytest


def test_it_prints_the_answers_side_by_side_and_draws_them(coolsim, bare, folder):
    done = coolsim("convection", bare, "--figures", "here", "--format", "svg")
    assert done.exit_code == 0
    text = " ".join(done.stdout.split())
    for expected in ("stratified effective, 10 × no mixing", "Depend on the model (more than 5 % off", "hot wax burns"):
        assert expected in text
    assert done.stderr == "wrote here/bare-convection.svg\n"
    assert (folder / "here" / "bare-convection.svg").read_text(encoding="utf-8").startswith("<?xml")


def test_json_is_one_document(coolsim, bare, boxed, folder):
    done = coolsim("convection", bare, boxed, "--no-figures", "--json")
    jars = json.loads(done.stdout)["jars"]
    assert [jar["file"] for jar in jars] == [str(bare), str(boxed)]
    closed = jars[0]["answers"]["top_closed_s"]
    assert closed["depends"] is True
    assert closed["effective"]["value"] < closed["stratified"]["value"]
    assert sorted(path.name for path in folder.iterdir()) == ["bare.toml", "boxed.toml"]


def test_the_old_name_goes_on_working_and_says_the_new_one(coolsim, bare, monkeypatch):
    monkeypatch.setattr("coolsim.studies.checks.melt_models.melt_models", lambda *_, **__: None)
    monkeypatch.setattr("coolsim.report.text.melt_models.melt_models_text", lambda *_, title, **__: title)
    old, new = coolsim("melts", bare, "--no-figures"), coolsim("convection", bare, "--no-figures")
    assert (old.exit_code, old.stdout) == (0, new.stdout)
    assert old.stderr == f"warning: `coolsim melts` is called `coolsim convection` now.\n{new.stderr}"


@pytest.mark.parametrize(
    ("arguments", "code", "says"),
    [
        (["bare.toml", "--no-figures", "--figures", "here"], 2, "contradicts --figures"),
        (["bare.toml"] * 5, 2, "found 5 files; give 4 at most"),
        (["bare.toml", "--figures", "missing/here"], 4, "there is no folder 'missing'"),
        (["missing.toml"], 3, "no such file"),
    ],
)
def test_bad_input_is_one_message_before_any_run(arguments, code, says, coolsim, bare, folder, monkeypatch):
    def run(*_, **__):
        raise AssertionError("the simulation ran")

    monkeypatch.setattr("coolsim.solve.simulate.simulate", run)
    result = coolsim("convection", *arguments)
    assert result.exit_code == code
    assert says in " ".join(result.stderr.split())
    assert [path.name for path in folder.iterdir()] == ["bare.toml"]
