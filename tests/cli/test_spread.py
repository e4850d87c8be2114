"""The command that tells how far the answers may be off."""

import csv
import json

import pytest

ONE = ("--vary", "wax.latent_heat", "--runs", "16", "--workers", "1")


def test_it_prints_bands_and_what_they_hang_on_and_draws_them(coolsim, bare, folder):
    done = coolsim("spread", bare, *ONE, "--figures", "here", "--format", "svg", "--csv", "cases.csv", "--estimates")
    assert done.exit_code == 0, done.stderr
    text = " ".join(done.stdout.split())
    for expected in (
        "as stated 10 % median 90 % occurs",
        "+wax.latent_heat",
        "90 kJ/kg 128 kJ/kg 170 kJ/kg correlation",
        "Estimates: 16 runs (seed 0)",
        "The workshop and its figures are invented.",
        "hot wax burns",
    ):
        assert expected in text
    assert done.stderr == "wrote cases.csv\nwrote here/bare-spread.svg\n"
    drawing = (folder / "here" / "bare-spread.svg").read_text(encoding="utf-8")
    for part in ("band", "median", "own", "Fully set"):
        assert f'id="{part}"' in drawing
    with (folder / "cases.csv").open(encoding="utf-8", newline="") as file:
        rows = list(csv.DictReader(file))
    assert len(rows) == 16
    assert len({row["wax.latent_heat [kJ/kg]"] for row in rows}) == 16


def test_json_is_one_document_in_si_units_and_a_seed_gives_it_again(coolsim, bare):
    first, again, other = (
        json.loads(coolsim("spread", bare, *ONE, "--seed", seed, "--no-figures", "--json").stdout) for seed in (1, 1, 2)
    )
    assert first == again
    assert first["answers"]["fully_set_s"]["median"] != other["answers"]["fully_set_s"]["median"]
    assert first["inputs"][0]["low"] == 90e3
    answer = first["answers"]["fully_set_s"]
    assert answer["low"] < answer["median"] < answer["high"]
    assert first["caution"].startswith("Caution")


def test_fewer_runs_than_the_ranking_needs_are_said_to_be_too_few(coolsim, bare):
    done = coolsim("spread", bare, "--runs", "8", "--workers", "1", "--no-figures", "--units", "us")
    text = " ".join(done.stdout.split())
    assert "8 runs are too few to tell" in text
    assert "°F" in text


def test_a_failed_run_ends_with_the_code_of_failure(coolsim, bare, monkeypatch):
    from coolsim.studies.sweep import sweep

    answer = sweep.run_studies

    def one_fails(studies, **options):
        (study,) = studies

        def asks():
            outcomes = yield next(study)
            try:
                study.send([*outcomes[:-1], {"fault": "made up for this test"}])
            except StopIteration as end:
                return end.value

        return answer([asks()], **options)

    monkeypatch.setattr(sweep, "run_studies", one_fails)
    done = coolsim("spread", bare, *ONE, "--no-figures")
    assert done.exit_code == 4
    assert "Warning: 1 of 16 runs failed and are left out; the first: made up" in " ".join(done.stdout.split())


@pytest.mark.parametrize(
    ("arguments", "code", "says"),
    [
        (["--runs", "7"], 2, "found 7; give 8 to 8192"),
        (["--seed", "-1"], 2, "found -1; give 0 to 999999"),
        (["--vary", "room.temperature", "--vary", "room.temperature=15C:25C"], 2, "found 'room.temperature' twice"),
        (["--vary", "room.temperature=25C:15C"], 2, "backwards"),
        (["--vary", "room.temperature=25C"], 2, "--vary room.temperature: found '25C'. Give LOW:HIGH"),
        (["--vary", "room.temprature"], 2, "Did you mean"),
        (["--workers", "0"], 2, "--workers: found 0; give 1 to 61."),
        (["--figures", "missing/here"], 4, "there is no folder 'missing'"),
        (["--no-figures", "--figures", "here"], 2, "contradicts --figures"),
        (["--csv", "missing/cases.csv"], 4, "missing"),
    ],
)
def test_bad_input_is_one_message_before_any_run(arguments, code, says, coolsim, bare, folder, monkeypatch):
    def run(*_, **__):
        raise AssertionError("a simulation ran")

    monkeypatch.setattr("coolsim.studies.sweep.sweep.run_points", run)
    result = coolsim("spread", bare, *arguments)
    assert result.exit_code == code, result.stderr
    assert says in " ".join(result.stderr.split())
    assert [path.name for path in folder.iterdir()] == ["bare.toml"]
