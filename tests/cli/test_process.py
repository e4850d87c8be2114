"""What only a process of its own shows: exit codes, the two streams, signals, closed pipes, a terminal."""

import os
import pty
import select
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest
from commands import COMMAND, PATIENCE, environment


def test_results_on_stdout_and_notes_on_stderr(process, bare):
    done = process("run", bare, "--no-figures", "--csv", "bare.csv")
    assert done.returncode == 0
    assert "Rim set" in done.stdout
    assert "wrote" not in done.stdout
    # No terminal: no progress, no hint, no colour.
    assert done.stderr == "wrote bare.csv\n"


def test_quiet_leaves_stderr_empty(coolsim, bare):
    assert coolsim("run", bare, "--no-figures", "--csv", "bare.csv", "--quiet").stderr == ""


# 0 is above, 1, 3 and 130 are below.
@pytest.mark.parametrize(
    ("arguments", "code"), [(["chek"], 2), (["run", "bare.toml", "--no-figures", "--save", "missing/bare.npz"], 4)]
)
def test_exit_codes(arguments, code, process, bare):
    done = process(*arguments)
    assert done.returncode == code
    assert "Traceback" not in done.stderr


def test_a_command_is_loaded_alone_and_all_of_them_where_they_are_asked_for(process, coolsim, bare):
    arguments = ("run", "bare.toml", "--over", "room.temperature=20C")
    # In a process of its own only `run` is there; the message knows `sweep` all the same.
    assert process(*arguments).stderr == coolsim(*arguments).stderr
    assert process("completion", "fish").stdout == coolsim("completion", "fish").stdout
    assert {one for one in loaded_by("check", bare) if one.startswith("coolsim.cli.commands.")} == {
        "coolsim.cli.commands.check"
    }


@pytest.mark.parametrize(
    "arguments", [("today", "--middle"), ("spread", "--no-figures", "--runs", "8", "--workers", "1")]
)
def test_what_takes_long_to_load_is_left_where_it_is(arguments, bare):
    command, *more = arguments
    heavy = {"matplotlib", "scipy.stats", "scipy.integrate", "scipy.optimize", "scipy.linalg"}
    loaded = loaded_by(command, bare, *more)
    assert "coolsim.studies.sweep.sweep" in loaded
    assert not heavy & loaded


def loaded_by(*arguments):
    code = "import sys; from coolsim.cli import main\ntry: main()\nfinally: print(*sys.modules, file=sys.stderr)"
    done = subprocess.run(
        [sys.executable, "-c", code, *map(str, arguments)], capture_output=True, text=True, check=False
    )
    return set(done.stderr.split())


BUG = """
import sys
import coolsim.scenario
def broken(path):
    raise KeyError("a slip\\nof mine")
coolsim.scenario.load_scenario = broken
from coolsim.cli import main
main()
"""


@pytest.mark.parametrize(("shown", "lines"), [({}, 1), ({"COOLSIM_TRACEBACK": "1"}, None)])
def test_a_bug_is_one_line_that_asks_to_report_it(shown, lines, folder):
    command = [sys.executable, "-c", BUG, "check", "jar.toml"]
    done = subprocess.run(command, capture_output=True, text=True, check=False, env=environment(**shown))
    assert done.returncode == 1
    if lines is None:
        assert "Traceback" in done.stderr
        assert "in broken" in done.stderr
    else:
        assert len(done.stderr.splitlines()) == lines
        assert "bug in coolsim (KeyError: " in done.stderr
        assert "report" in done.stderr
        assert "Traceback" not in done.stderr


def test_a_reader_that_has_had_enough_is_no_error(process, bare, folder):
    reader, writer = os.pipe()
    os.close(reader)
    try:
        done = process("run", bare, "--no-figures", "--csv", "bare.csv", stdout=writer)
    finally:
        os.close(writer)
    assert done.returncode == 0
    assert done.stderr == "wrote bare.csv\n"
    assert (folder / "bare.csv").exists()


@pytest.mark.skipif(not Path("/dev/full").exists(), reason="needs the device that is always full")
def test_standard_output_on_a_full_disk(process, bare, folder):
    with open("/dev/full", "w") as full:
        done = process("run", bare, "--no-figures", "--csv", "bare.csv", stdout=full)
    assert done.returncode == 4
    assert done.stderr == (
        "error: standard output: cannot be written: No space left on device."
        " Send it somewhere else; files were not written.\n"
    )
    assert not (folder / "bare.csv").exists()


@pytest.mark.parametrize("encoding", ["ascii", "latin-1"])
def test_an_output_that_lacks_letters_is_no_error(encoding, process, bare):
    env = environment(PYTHONIOENCODING=encoding, PYTHONUTF8="0")
    done = process("check", bare, env=env, encoding=encoding)
    assert done.returncode == 0
    assert "78 mm" in done.stdout


def read_until(terminal, wanted, seconds):
    """Read from a terminal until a text has come; what came is returned."""
    seen, end = b"", time.monotonic() + seconds
    while wanted not in seen and time.monotonic() < end:
        ready, _, _ = select.select([terminal], [], [], 0.1)
        if ready:
            try:
                seen += os.read(terminal, 4096)
            except OSError:  # Linux says so when the last writer has gone.
                break
    return seen


@pytest.fixture
def on_terminal(start):
    """Start a command with stderr on a terminal."""
    started = []

    def show(*arguments, **changes):
        terminal, other = pty.openpty()
        process = start(*COMMAND, *arguments, stderr=other, **changes)
        os.close(other)
        started.append((process, terminal))
        return process, terminal

    yield show
    for process, terminal in started:
        process.kill()
        process.communicate()
        os.close(terminal)


def test_progress_and_a_hint_on_a_terminal(on_terminal, bare):
    process, terminal = on_terminal("run", "bare.toml", "--no-figures")
    seen = read_until(terminal, b"Next: ", PATIENCE)
    assert b"hottest wax" in seen
    assert b"Next: " in seen
    out, _ = process.communicate(timeout=PATIENCE)
    assert process.returncode == 0
    assert "\x1b" not in out
    assert "Rim set" in out


def test_a_sweep_shows_a_bar_on_a_terminal(on_terminal, bare):
    process, terminal = on_terminal("sweep", "bare.toml", "--over", "room.temperature=20C,24C", "--workers", "1")
    seen = read_until(terminal, b"Next: ", PATIENCE)
    assert b"2 of 2" in seen
    assert b"Next: " in seen
    out, _ = process.communicate(timeout=PATIENCE)
    assert process.returncode == 0
    assert b"[" + 15 * b"#" + 15 * b"." + b"] 1 of 2" in seen
    assert "of 2" not in out


def test_a_hint_can_be_copied_whatever_the_file_is_called(on_terminal, bare):
    bare.rename(bare.with_name("my jar.toml"))
    _, terminal = on_terminal("check", "my jar.toml")
    assert b"`coolsim run 'my jar.toml'`" in read_until(terminal, b"toml'`", PATIENCE)


@pytest.mark.parametrize(("changes", "coloured"), [({}, True), ({"NO_COLOR": "1"}, False), ({"TERM": "dumb"}, False)])
def test_errors_are_coloured_on_a_terminal_unless_told_otherwise(changes, coloured, on_terminal):
    process, terminal = on_terminal("check", "missing.toml", **changes)
    seen = read_until(terminal, b"no such file.", PATIENCE)
    process.communicate(timeout=PATIENCE)
    assert process.returncode == 3
    assert b"no such file" in seen
    assert (b"\x1b[" in seen) is coloured


def test_an_interrupt_ends_the_run_with_130_and_leaves_no_file(on_terminal, bare, folder):
    # Twice as fine as usual: long enough to be met in the middle.
    fine = bare.read_text().replace("refinement = 0.5", "refinement = 4.0").replace('"1 K"', '"0.01 K"')
    bare.write_text(fine)
    process, terminal = on_terminal("run", "bare.toml", "--csv", "bare.csv", "--save", "bare.npz")
    assert b"hottest wax" in read_until(terminal, b"hottest wax", PATIENCE)
    process.send_signal(signal.SIGINT)
    seen = read_until(terminal, b"interrupted", PATIENCE)
    out, _ = process.communicate(timeout=PATIENCE)
    assert process.returncode == 130
    assert b"interrupted" in seen
    assert b"Traceback" not in seen
    assert out == ""
    assert [path.name for path in folder.iterdir()] == ["bare.toml"]
