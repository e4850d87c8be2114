"""A process that is killed (kill -9) in the middle loses nothing that was whole before."""

import os
import signal
import subprocess
import sys

from commands import COMMAND, PATIENCE, environment, names, wait_for_runs

OVER = ("--over", "room.temperature=15C:24C:0.5K")

KILLED_IN_MID_WRITE = """
import os, signal, sys
from coolsim.report import whole_file as files

def killed(*_):
    os.kill(os.getpid(), signal.SIGKILL)

setattr(files.os, sys.argv[1], killed)
files.write_bytes("kept.npz", b"new" * 100_000)
"""


def sweep(*arguments):
    return "sweep", "bare.toml", "--workers", "1", *OVER, *arguments


def test_a_sweep_that_is_killed_goes_on_from_its_journal(start, process, bare, folder):
    killed, journal = start(*COMMAND, *sweep()), folder / "coolsim-journal.jsonl"
    wait_for_runs(journal, 2, killed)
    os.killpg(killed.pid, signal.SIGKILL)
    killed.communicate(timeout=PATIENCE)
    assert killed.returncode == -signal.SIGKILL
    # As a kill in the middle of a line leaves it: that line is run again, the whole ones are not.
    kept = [line for line in journal.read_bytes().splitlines(keepends=True) if line.endswith(b"\n")]
    assert 2 <= len(kept) < 19
    journal.write_bytes(b"".join(kept) + kept[0][: len(kept[0]) // 2])
    again, fresh = process(*sweep()), process(*sweep("--journal", "other"))
    assert again.returncode == 0
    assert again.stdout == fresh.stdout
    assert len([line for line in again.stdout.splitlines() if " °C " in line]) == 19
    assert "coolsim-journal.jsonl" not in names(folder)


def test_a_file_that_was_there_survives_a_kill_in_mid_write(folder):
    for step in ("fsync", "replace"):
        (folder / "kept.npz").write_bytes(b"old")
        done = subprocess.run([sys.executable, "-c", KILLED_IN_MID_WRITE, step], env=environment(), check=False)
        assert done.returncode == -signal.SIGKILL
        assert (folder / "kept.npz").read_bytes() == b"old"
