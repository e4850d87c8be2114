"""An output never destroys an input, another output, or a file that coolsim did not write."""

import errno
import os
import time

import pytest
import typer

from coolsim.cli.targets import _MARKS, Target, claim, in_folder, to_file
from coolsim.errors import OutputError


def refusal(*targets, inputs=(), force=False):
    with pytest.raises(typer.BadParameter) as caught:
        claim(targets, inputs=inputs, force=force)
    return f"{caught.value.param_hint}: {caught.value.message}"


@pytest.fixture
def given(folder):
    path = folder / "in.csv"
    path.write_text("precious")
    return path


@pytest.mark.parametrize("force", [False, True])
@pytest.mark.parametrize("way", ["same", "dotted", "absolute", "symlink", "hard link", "chain", "through a folder"])
def test_an_input_is_never_an_output_by_whatever_way(way, force, given, folder):
    out = folder / "out.csv"
    if way == "same":
        out = given.relative_to(folder)
    elif way == "dotted":
        (folder / "sub").mkdir()
        out = folder / "sub" / ".." / "in.csv"
    elif way == "absolute":
        out = given
    elif way == "symlink":
        out.symlink_to(given)
    elif way == "hard link":
        os.link(given, out)
    elif way == "chain":
        (folder / "link").symlink_to("in.csv")
        out.symlink_to("link")
    else:
        (folder / "there").symlink_to(folder)
        out = folder / "there" / "in.csv"
    (target,) = to_file("--csv", out, ".csv")
    assert refusal(target, inputs=[None, given], force=force) == (
        f"'--csv': found '{out}', which the command reads; give another name."
    )


@pytest.mark.parametrize("way", ["same", "dotted", "dangling link", "hard link", "through a folder"])
def test_two_outputs_never_share_a_file(way, folder):
    first = second = folder / "x.csv"
    if way == "dotted":
        second = folder / "." / "x.csv"
    elif way == "dangling link":
        second = folder / "y.csv"
        second.symlink_to("x.csv")
    elif way == "hard link":
        first.touch()
        second = folder / "y.csv"
        os.link(first, second)
    elif way == "through a folder":
        (folder / "there").symlink_to(folder)
        second = folder / "there" / "x.csv"
    found = refusal(Target(option="--csv", path=first), Target(option="--journal", path=second, appended=True))
    assert found == f"'--journal': found '{second}', which --csv writes as well; give another name."


def test_a_file_is_not_the_folder_of_another_output(folder):
    both = [*in_folder("--figures", folder / "x.npz", "a.png"), *to_file("--save", folder / "x.npz", ".npz")]
    assert refusal(*both) == f"'--save': found '{folder}/x.npz', which --figures writes as well; give another name."


def test_the_folder_of_an_output_is_not_an_input(given, folder):
    (target,) = in_folder("--figures", given, "a.png")
    assert "which the command reads" in refusal(target, inputs=[given])


@pytest.mark.parametrize("ending", [*_MARKS, ".toml"])
def test_a_file_of_someone_else_needs_force(ending, folder):
    path = folder / f"x{ending}"
    path.write_bytes(b"\x89PNG or %PDF, scenario,fault: of someone else")
    targets = to_file("--output", path, ending)
    with pytest.raises(OutputError) as caught:
        claim(targets, force=False)
    assert str(caught.value) == f"{path}: exists already. Give another name, or --force to replace it."
    claim(targets, force=True)
    path.write_bytes(b"")
    # There is nothing in it to lose.
    claim(targets, force=False)


def test_what_coolsim_wrote_is_replaced_without_asking(coolsim, bare, folder):
    commands = [
        ("run", bare, "--csv", "a.csv", "--save", "a.npz", "--only", "set-times", "--format", "png"),
        ("run", "a.npz", "--only", "set-times", "--format", "svg"),
        ("run", "a.npz", "--only", "set-times", "--format", "pdf"),
        ("make", "film", "a.npz", "--frames", "2", "--seconds", "1", "-o", "a.gif"),
        ("make", "label", bare, "-o", "a.txt"),
        ("make", "page", bare, "--rooms", "21C", "--pours", "60C", "--middle", "--workers", "1", "-o", "a.html"),
        ("make", "sheet", bare, "--middle", "-o", "a.pdf"),
        ("day", "--only", "plan", bare, "--start", "9:00", "--date", "2026-03-14", "--calendar", "a.ics", "--middle"),
        ("sweep", bare, "--over", "room.temperature=20C", "--workers", "1", "--csv", "b.csv"),
        ("pour", bare, "--pour", "60C", "--workers", "1", "--csv", "c.csv"),
    ]
    for command in commands:
        assert coolsim(*command).exit_code == 0, command
    written = [path for path in folder.rglob("*") if path.is_file() and path.suffix != ".toml"]
    assert {path.suffix for path in written} == _MARKS.keys() - {".mp4", ".bash", ".zsh", ".fish"}
    for path in written:
        claim(to_file("--output", path), force=False)


def test_a_foreign_file_in_the_folder_of_figures_needs_force(coolsim, bare, folder, monkeypatch):
    def run(*_, **__):
        raise AssertionError("the simulation ran")

    monkeypatch.setattr("coolsim.solve.simulate.simulate", run)
    holiday = folder / "charts" / "bare-set-times.png"
    holiday.parent.mkdir()
    holiday.write_bytes(b"\x89PNG\r\n\x1a\n of a camera")
    result = coolsim("run", bare, "--figures", "charts")
    assert result.exit_code == 4
    assert result.stderr == (
        "error: charts/bare-set-times.png: exists already. Give another name, or --force to replace it.\n"
    )
    # Another figure does not touch it.
    with pytest.raises(AssertionError, match="the simulation ran"):
        coolsim("run", bare, "--figures", "charts", "--only", "tops")
    with pytest.raises(AssertionError, match="the simulation ran"):
        coolsim("run", bare, "--figures", "charts", "--force")


def test_a_journal_may_hold_anything_because_it_is_read_first(given):
    claim([Target(option="--journal", path=given, appended=True)], force=False)


@pytest.mark.parametrize(("code", "says"), [(errno.EROFS, "read-only"), (errno.ENOSPC, "the disk is full")])
@pytest.mark.parametrize("there", [True, False])
def test_a_folder_that_takes_no_file_is_found_before_the_run(code, says, there, folder, monkeypatch):
    if there:
        (folder / "charts").mkdir()

    def fail(*_, **__):
        raise OSError(code, os.strerror(code))

    monkeypatch.setattr("tempfile.mkstemp", fail)
    with pytest.raises(OutputError, match=says):
        claim(in_folder("--figures", folder / "charts", "a.png"), force=False)


def test_looking_leaves_nothing_behind(folder):
    claim([*in_folder("--figures", folder / "charts", "a.png"), *to_file("--csv", folder / "a.csv")], force=False)
    assert list(folder.iterdir()) == []


def test_a_device_behind_a_link_is_not_replaced(folder):
    (folder / "x.csv").symlink_to(os.devnull)
    with pytest.raises(OutputError, match="it is no ordinary file"):
        claim(to_file("--csv", folder / "x.csv", ".csv"), force=True)


@pytest.mark.parametrize("name", ["x" * 300 + ".csv", "a\0b.csv"])
def test_a_name_that_cannot_be_is_refused(name, folder):
    with pytest.raises(OutputError, match="cannot be written"):
        claim(to_file("--csv", folder / name, ".csv"), force=False)


def test_a_link_in_a_circle_is_refused(folder):
    (folder / "a.csv").symlink_to("b.csv")
    (folder / "b.csv").symlink_to("a.csv")
    with pytest.raises(OutputError, match=r"a\.csv"):
        claim(to_file("--csv", folder / "a.csv", ".csv"), force=False)


def test_what_a_kill_left_is_cleared_after_a_day(folder):
    from coolsim.report.whole_file import write_text

    day = 86400.0
    ages = {
        ".bare.csv.abcd_123.part": 2 * day,  # its own, old
        ".bare.csv.efgh_456.part": 0.5 * day,  # another command may be at work
        "film.part": 2 * day,
        ".bare.csv.ABCD_123.part": 2 * day,
        ".bare.csv.abcd_1234.part": 2 * day,
    }
    now = time.time()
    for name, age in ages.items():
        (folder / name).touch()
        os.utime(folder / name, (now - age, now - age))
    (folder / ".x.csv.abcd_123.part").mkdir()
    os.utime(folder / ".x.csv.abcd_123.part", (now - 2 * day, now - 2 * day))
    (folder / "kept").write_text("kept")
    os.utime(folder / "kept", (now - 2 * day, now - 2 * day))
    (folder / ".y.csv.abcd_123.part").symlink_to("kept")
    os.utime(folder / ".y.csv.abcd_123.part", (now - 2 * day, now - 2 * day), follow_symlinks=False)
    write_text(folder / "new.csv", "new")
    left = {path.name for path in folder.iterdir()}
    assert left == {*ages, ".x.csv.abcd_123.part", ".y.csv.abcd_123.part", "kept", "new.csv"} - {
        ".bare.csv.abcd_123.part"
    }
