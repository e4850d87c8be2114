"""Standard output and standard error that are closed, full or left by their reader: the documented exit code."""

import fcntl
import os
import subprocess
import sys

import pytest
from commands import environment

COMMANDS = {
    "--help": 0,
    "--version": 0,
    "completion bash": 0,
    "materials": 0,
    "check bare.toml": 0,
    "chek bare.toml": 2,
    "check missing.toml": 3,
    "new bare.toml": 4,
}
FULL = "/dev/full"


def through_shell(command, redirections):
    """Call a command with its streams as a shell makes them."""
    return subprocess.run(
        ["sh", "-c", f'exec "$0" -m coolsim {command} {redirections}', sys.executable],
        check=False,
        capture_output=True,
        encoding="utf-8",
        env=environment(),
    )


@pytest.mark.parametrize(
    ("command", "output"), [*((one, "&-") for one in COMMANDS), ("--help", FULL), ("--version", FULL)]
)
def test_what_cannot_be_printed_is_an_output_that_cannot_be_written(output, command, bare):
    done = through_shell(command, f">{output}")
    assert done.returncode == (COMMANDS[command] or 4)
    assert "Traceback" not in done.stderr
    assert "bug in coolsim" not in done.stderr
    if not COMMANDS[command]:
        reason = "it is closed" if output == "&-" else "No space left on device"
        assert done.stderr == (
            f"error: standard output: cannot be written: {reason}. Send it somewhere else; files were not written.\n"
        )


@pytest.mark.parametrize(
    ("errors", "command"),
    [
        ("<&- 2>&-", "--help"),
        ("<&- 2>&-", "check missing.toml"),
        ("2>/dev/full", "--help"),
        ("2>/dev/full", "chek bare.toml"),
    ],
)
def test_without_standard_error_the_exit_code_stays(errors, command, bare, coolsim):
    done = through_shell(command, errors)
    assert done.returncode == COMMANDS[command]
    if COMMANDS[command] == 0:
        assert done.stdout
        assert done.stdout == coolsim(command).stdout


@pytest.mark.parametrize("command", ["--help", "check missing.toml"])
def test_without_any_stream_the_exit_code_is_the_same(command, bare):
    assert through_shell(command, "<&- >&- 2>&-").returncode == (COMMANDS[command] or 4)


def test_a_file_is_not_mixed_with_what_is_printed_where_standard_output_is_closed(bare, folder):
    # The number of a closed stream is free: the next file that is opened would get it.
    done = through_shell("run bare.toml --no-figures --csv bare.csv --quiet", "<&- 2>&-")
    assert done.returncode == 0
    assert (folder / "bare.csv").read_text(encoding="utf-8").startswith("time [s],")
    assert "Rim set" in done.stdout
    new = through_shell("new jar.toml", ">&- 2>&-")
    assert new.returncode == 0
    assert (folder / "jar.toml").read_text(encoding="utf-8").startswith("# A scenario for coolsim.")


def test_workers_run_without_streams(bare, folder):
    done = through_shell("sweep bare.toml --over room.temperature=20C,24C --workers 2 --csv rows.csv", "<&- >&- 2>&-")
    assert done.returncode == 4
    # The runs are kept, and the same command with an output needs none.
    assert len((folder / "coolsim-journal.jsonl").read_bytes().splitlines()) == 2


@pytest.mark.parametrize("command", ["--help", "--version", "completion bash"])
def test_a_reader_that_is_gone_is_no_error_whatever_is_printed(command, process, bare):
    reader, writer = os.pipe()
    os.close(reader)
    try:
        done = process(*command.split(), stdout=writer)
    finally:
        os.close(writer)
    assert done.returncode == COMMANDS[command]
    assert "Traceback" not in done.stderr


def test_a_reader_that_is_slow_gets_everything_from_an_output_that_does_not_wait(coolsim, bare):
    reader, writer = os.pipe()
    os.set_blocking(writer, False)
    # As little as a pipe can hold, so that the command does have to wait.
    fcntl.fcntl(writer, fcntl.F_SETPIPE_SZ, 4096)
    command = [sys.executable, "-m", "coolsim", "materials", "--all", "--json"]
    with subprocess.Popen(command, stdout=writer, stderr=subprocess.PIPE, env=environment()) as started:
        os.close(writer)
        with os.fdopen(reader, "rb") as stream:
            found = stream.read()
        errors = started.stderr.read()
    assert started.returncode == 0, errors
    assert found.decode() == coolsim("materials", "--all", "--json").stdout
    assert len(found) > 4096
