"""What ends a command from outside: Ctrl-C, SIGTERM, a closed terminal, kill -9, a lack of memory."""

import os
import signal
import time
from contextlib import nullcontext
from multiprocessing import active_children

import pytest
from commands import COMMAND, PATIENCE, names, wait_for_runs

# Far more runs than are finished before a signal comes.
MANY = ("sweep", "bare.toml", "--workers", "2", "--over", "room.temperature=15C:25C:0.2K")
# A run of many minutes.
FINE = '\n[run]\nrefinement = 4.0\ntolerance = "0.001 K"\n'
SIGNALS = {"SIGINT": (130, "interrupted"), "SIGTERM": (143, "terminated"), "SIGHUP": (129, "ended with its terminal")}

SIGNAL_IN_MID_WRITE = """
import os, signal, sys
from coolsim.cli import main
from coolsim.report import whole_file as files

number = getattr(signal, sys.argv.pop())
unlink = os.unlink

def again(path):
    # Not at the file with which the folder is tried before the run.
    if "bare.csv" in str(path):
        os.kill(os.getpid(), number)
    unlink(path)

files.os.fsync = lambda _: os.kill(os.getpid(), number)
files.os.unlink = again
main()
"""


@pytest.mark.parametrize(
    ("name", "send"),
    [("SIGINT", os.kill), ("SIGTERM", os.kill), ("SIGINT", os.killpg), ("SIGHUP", os.killpg)],
    ids=["Ctrl-C, to the command", "end", "Ctrl-C, as a terminal does", "the terminal is closed"],
)
def test_a_signal_ends_a_sweep_with_its_code_one_line_the_journal_and_no_process(name, send, start, bare, folder):
    process = start(*COMMAND, *MANY)
    journal = folder / "coolsim-journal.jsonl"
    wait_for_runs(journal, 1, process)
    send(process.pid, getattr(signal, name))
    out, said = process.communicate(timeout=PATIENCE)
    kept = journal.read_text().count("\n")
    code, word = SIGNALS[name]
    assert process.returncode == code
    assert out == ""
    runs = "run is" if kept == 1 else "runs are"
    assert said == (
        f"error: {word}; {kept} finished {runs} kept in coolsim-journal.jsonl; the same command goes on from there\n"
    )
    assert names(folder) == ["bare.toml", "coolsim-journal.jsonl"]


def test_a_sweep_that_is_killed_takes_all_of_its_processes_along(start, bare, folder):
    process = start(*COMMAND, *MANY)
    wait_for_runs(folder / "coolsim-journal.jsonl", 1, process)
    process.kill()
    # It comes back when the last one that writes to the same streams has ended: workers, their server, the tracker,
    # which tells that it cleaned up after the dead.
    out, said = process.communicate(timeout=PATIENCE)
    assert process.returncode == -signal.SIGKILL
    assert out == ""
    assert "Traceback" not in said


def test_signals_that_were_ignored_from_the_start_stay_ignored(start, bare, folder):
    over = ("--over", "room.temperature=15C:19C:1K", "--workers", "1", "--journal", "kept.jsonl")
    process = start(*COMMAND, "sweep", bare, *over, ignored=" ".join(SIGNALS))
    wait_for_runs(folder / "kept.jsonl", 1, process)
    for name in SIGNALS:
        # As a terminal does: to the command and its workers.
        os.killpg(process.pid, getattr(signal, name))
    out, said = process.communicate(timeout=PATIENCE)
    assert process.returncode == 0
    assert said == ""
    assert len([line for line in out.splitlines() if " °C " in line]) == 5


def test_more_signals_end_the_run_in_hand(start, bare, folder):
    (folder / "fine.toml").write_text(bare.read_text().split("[run]")[0] + FINE, encoding="utf-8")
    process = start(*COMMAND, "sweep", bare, "fine.toml", "--over", "room.temperature=20C", "--workers", "1")
    wait_for_runs(folder / "coolsim-journal.jsonl", 1, process)
    end = time.monotonic() + PATIENCE
    while process.poll() is None and time.monotonic() < end:
        process.send_signal(signal.SIGINT)
        time.sleep(0.01)
    out, said = process.communicate(timeout=PATIENCE)
    assert process.returncode == 130
    assert out == ""
    assert said.startswith("error: interrupted; 1 finished run is kept")
    assert said.count("\n") == 1


@pytest.mark.parametrize("name", ["SIGINT", "SIGTERM"])
def test_a_signal_in_mid_write_and_one_in_the_clean_up_leave_no_part_of_a_file(name, start, bare, folder):
    arguments = ("run", bare, "--no-figures", "--csv", "bare.csv", name)
    process = start("-c", SIGNAL_IN_MID_WRITE, *arguments)
    _, said = process.communicate(timeout=PATIENCE)
    code, word = SIGNALS[name]
    assert process.returncode == code
    assert said == f"error: {word}; files that were not finished are not there\n"
    assert names(folder) == ["bare.toml"]


def test_a_worker_that_the_system_kills_costs_no_run(coolsim, bare, folder, monkeypatch):
    killed = []

    def kill_a_worker(*_):
        if not killed:
            killed.extend(active_children()[:1])
            killed[0].kill()

    monkeypatch.setattr("coolsim.cli.commands.sweep.watch", lambda *_: nullcontext(kill_a_worker))
    done = coolsim(*MANY, "--csv", "rooms.csv")
    assert (done.exit_code, done.stderr) == (0, "wrote rooms.csv\n")
    assert killed
    # A heading, and a row for each room.
    assert len((folder / "rooms.csv").read_text().splitlines()) == 1 + 51
    assert not active_children()


def test_a_run_without_memory_is_one_message_and_leaves_files_as_they_were(coolsim, bare, folder, monkeypatch):
    def no_memory(*_, **__):
        raise MemoryError("Unable to allocate 3.00 TiB")

    (folder / "bare.csv").write_text("old")
    monkeypatch.setattr("coolsim.solve.simulate.build", no_memory)
    done = coolsim("run", bare, "--no-figures", "--csv", "bare.csv", "--force")
    assert done.exit_code == 4
    assert done.stdout == ""
    assert done.stderr == (
        "error: the memory ran out. Give fewer workers or a coarser grid (run.refinement); files that were not finished"
        " are not there\n"
    )
    assert (folder / "bare.csv").read_text() == "old"
    assert names(folder) == ["bare.csv", "bare.toml"]
