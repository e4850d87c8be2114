"""Where results cannot go: found before the run where it can be, exit code 4, nothing half-written."""

import errno
import os

import pytest


@pytest.fixture
def never_run(monkeypatch):
    def run(*_, **__):
        raise AssertionError("the simulation ran")

    monkeypatch.setattr("coolsim.solve.simulate.simulate", run)


@pytest.mark.usefixtures("never_run")
@pytest.mark.parametrize(
    "arguments",
    [
        ["--figures", "missing/figures"],
        ["--no-figures", "--csv", "missing/bare.csv"],
        ["--no-figures", "--csv", "missing/curves"],
        ["--no-figures", "--save", "missing/bare.npz"],
    ],
)
def test_a_missing_folder_is_found_before_the_run(arguments, coolsim, bare, folder):
    result = coolsim("run", bare, *arguments)
    assert result.exit_code == 4
    assert "there is no folder 'missing'. Create it first." in result.stderr
    assert [path.name for path in folder.iterdir()] == ["bare.toml"]


@pytest.mark.usefixtures("never_run")
@pytest.mark.parametrize(
    ("arguments", "says"),
    [
        (["--figures", "notes"], "a file has that name"),
        (["--no-figures", "--csv", "notes"], "a file has that name"),
        (["--no-figures", "--save", "notes/bare.npz"], "there is no folder 'notes'"),
    ],
)
def test_a_file_where_a_folder_is_due_is_found_before_the_run(arguments, says, coolsim, bare, folder):
    (folder / "notes").write_text("mine")
    result = coolsim("run", bare, *arguments)
    assert result.exit_code == 4
    assert says in result.stderr
    assert (folder / "notes").read_text() == "mine"


@pytest.mark.usefixtures("never_run")
@pytest.mark.parametrize(
    ("arguments", "says"),
    [
        (["run", "bare.toml", "--save", "bare.zip"], "ends in .npz"),
        (["run", "bare.toml", "--no-figures", "--only", "set-times"], "contradicts"),
        (["run", "bare.toml", "--no-figures", "--figures", "here"], "contradicts"),
        (["run", "bare.toml", "--format", "gif"], "png"),
        (["run", "bare.toml", "--only", "tables"], "temperature-maps"),
        (["run", "bare.toml", "--units", "imperial"], "metric"),
        (["run", "bare.toml", "--colour"], "coolsim run has no option '--colour'."),
        (["day"], "FILE.toml is missing. An example: `coolsim day jar.toml --start 9:00 --date 2026-03-14`."),
        (["make"], "coolsim make: WHAT is missing. An example: `coolsim make sheet jar.toml --jars 6`."),
        (["make", "sheet"], "FILE: missing. Give a scenario, as in `coolsim make sheet jar.toml`."),
        (
            ["make", "banner", "bare.toml"],
            "WHAT: found 'banner'. Give one of handout, sheet, label, calendar, poster, guess, film, page.",
        ),
        (["make", "sheet", "bare.toml", "--frames", "9"], "--frames: it is for film, not for sheet; leave it out."),
        (["make", "film", "bare.toml", "--paper", "a4"], "--paper: it is for handout, sheet, poster and guess, not"),
        (["make", "label", "bare.toml", "boxed.toml", "-o", "a.txt"], "--output: give one scenario with it"),
        (["day", "bare.toml", "--only", "plan", "--output", "here"], "--output: it contradicts --only"),
        (["day", "bare.toml", "--only", "plan", "--figures", "here"], "--figures: there is no figure of the plan"),
        (["check"], "coolsim check: FILE.toml is missing."),
        (["warm"], "there is no command 'warm'. Choose from new, run, pour"),
        (["run", "bare.toml", "--csv"], "coolsim run: Option '--csv' requires an argument."),
        (["sweep", "bare.toml", "--workers", "two"], "--workers: give a whole number."),
        (["new", "jar.toml", "--height", "3", "in"], "coolsim new: 'in' is too much; put a value of several words"),
        (["help", "run"], "`coolsim COMMAND --help`"),
        (["run", "bare.toml", "boxed.toml", "--csv", "all.csv"], "give a folder"),
    ],
)
def test_usage(arguments, says, coolsim, bare, boxed, folder):
    result = coolsim(*arguments)
    assert result.exit_code == 2
    assert says in result.stderr
    assert result.stdout == ""
    assert sorted(path.name for path in folder.iterdir()) == ["bare.toml", "boxed.toml"]


@pytest.mark.parametrize(
    ("arguments", "says"),
    [
        (["chek", "bare.toml"], "'check'"),
        (["REPAIR"], "'repair'"),
        (["bare.toml"], "`coolsim run bare.toml`"),
        (["--verison"], "'--version'"),
        (["run", "bare.toml", "--figure", "here"], "'--figures'"),
        (["run", "bare.toml", "--only", "set-time"], "'set-times'"),
        (["run", "bare.toml", "--only=coolingcurves"], "'cooling-curves'"),
        (["run", "bare.toml", "--only", "tops", "--only", "top-profile"], "'top-profiles'"),
        (["run", "bare.toml", "--format", "pfd"], "'pdf'"),
        (["bare.npz"], "`coolsim run bare.npz`"),
        (["make", "shet", "bare.toml"], "'sheet'"),
        (["day", "bare.toml", "--only", "amunts"], "'amounts'"),
        (["materials", "oka"], "'oak'"),
    ],
)
def test_a_slip_of_the_pen_gets_a_suggestion(arguments, says, coolsim, bare, boxed):
    result = coolsim(*arguments)
    assert result.exit_code == 2
    message, where_to_read_on = result.stderr.splitlines()
    assert message.startswith("error: ")
    assert message.endswith(f"Did you mean {says}?")
    assert where_to_read_on.startswith("See `coolsim ")


def test_an_option_of_another_command_is_named_with_it(coolsim, bare):
    result = coolsim("run", "bare.toml", "--over", "room.temperature=20C")
    assert result.exit_code == 2
    assert (
        result.stderr
        == "error: coolsim run has no option '--over'. It belongs to `coolsim sweep`.\nSee `coolsim run --help`.\n"
    )


def failing(code):
    def fail(*_, **__):
        raise OSError(code, os.strerror(code))

    return fail


@pytest.mark.parametrize(
    ("option", "target"), [("--csv", "bare.csv"), ("--save", "bare.npz"), ("--figures", "figures")]
)
def test_a_full_disk_leaves_nothing_half_written(option, target, coolsim, bare, folder, monkeypatch):
    monkeypatch.setattr("os.fsync", failing(errno.ENOSPC))
    more = ["--only", "set-times"] if option == "--figures" else ["--no-figures"]
    result = coolsim("run", bare, option, target, *more)
    assert result.exit_code == 4
    assert "the disk is full" in result.stderr
    assert "wrote" not in result.stderr
    # The table was printed before: it does not need the disk.
    assert "Rim set" in result.stdout
    assert [path for path in folder.rglob("*") if path.is_file()] == [bare]


def test_a_file_that_was_there_survives_a_full_disk(coolsim, bare, folder, monkeypatch):
    kept = folder / "bare.csv"
    kept.write_text("of yesterday")
    assert coolsim("run", bare, "--no-figures", "--csv", "bare.csv").exit_code == 4
    assert kept.read_text() == "of yesterday"
    monkeypatch.setattr("os.fsync", failing(errno.ENOSPC))
    assert coolsim("run", bare, "--no-figures", "--csv", "bare.csv", "--force").exit_code == 4
    assert kept.read_text() == "of yesterday"


# Root may write everywhere, so the refusals are played.
@pytest.mark.parametrize(("code", "says"), [(errno.EACCES, "no permission"), (errno.EROFS, "read-only")])
def test_a_folder_that_cannot_be_written(code, says, coolsim, bare, folder, monkeypatch):
    monkeypatch.setattr("tempfile.mkstemp", failing(code))
    result = coolsim("run", bare, "--no-figures", "--csv", "bare.csv")
    assert result.exit_code == 4
    assert says in result.stderr
    assert result.stdout == ""


def test_a_folder_of_figures_that_cannot_be_made(coolsim, bare, monkeypatch):
    monkeypatch.setattr("pathlib.Path.mkdir", failing(errno.EROFS))
    result = coolsim("run", bare, "--only", "set-times")
    assert result.exit_code == 4
    assert "coolsim-figures: cannot be made: Read-only file system." in result.stderr


def test_a_simulation_that_fails(coolsim, bare, folder, monkeypatch):
    from coolsim.errors import SolverError

    def fail(*_, **__):
        raise SolverError("at 12 s the time step fell below 1e-06 s")

    monkeypatch.setattr("coolsim.solve.simulate.simulate", fail)
    result = coolsim("run", bare)
    assert result.exit_code == 4
    assert result.stderr == "error: at 12 s the time step fell below 1e-06 s\n"
    assert [path.name for path in folder.iterdir()] == ["bare.toml"]
