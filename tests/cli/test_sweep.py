"""`coolsim sweep`: tables for people and machines, slips, failed points, an interruption and a full disk."""

import csv
import json
import os
import resource
import signal
import subprocess
import sys

import pytest
from commands import PATIENCE, environment, names, wait_for_runs

from coolsim._version import __version__
from coolsim.cli.many import keep_runs
from coolsim.studies.sweep.journal import Journal

OVER = ("--over", "room.temperature=18C:26C:4K")


@pytest.fixture
def swept(coolsim, bare):
    """A sweep over two keys of which one combination is impossible, with both kinds of output."""
    return coolsim(*("sweep", bare, *OVER, "--over", "pour.temperature=40C,60C", "--csv", "rows.csv", "--workers", "2"))


def test_every_combination_is_a_row_and_the_last_key_changes_quickest(swept, folder):
    with open(folder / "rows.csv", newline="", encoding="utf-8") as file:
        rows = list(csv.DictReader(file))
    assert [(row["room.temperature [°C]"], row["pour.temperature [°C]"]) for row in rows] == [
        ("18", "40"), ("18", "60"), ("22", "40"), ("22", "60"), ("26", "40"), ("26", "60")
    ]  # fmt: skip
    done = [row for row in rows if not row["fault"]]
    # The colder the room, the sooner all is set: more heat goes per second.
    times = [float(row["fully set [s]"]) for row in done]
    assert times == sorted(times)
    assert all(float(row["ledger open share"]) < 1e-9 for row in done)


def test_failed_points_are_reported_the_rest_goes_on_and_the_code_says_so(swept, folder):
    assert swept.exit_code == 4
    assert "3 of 6 points failed:" in swept.stdout
    assert "more than still pours (pour.thickest, 10 %)" in " ".join(swept.stdout.split())
    assert swept.stdout.count(" failed\n") == 3
    assert max(map(len, swept.stdout.splitlines())) <= 80
    assert names(folder) == ["bare.toml", "rows.csv"]


def test_json_has_the_same_rows_in_si(coolsim, bare):
    done = coolsim("sweep", bare, "--over", "room.temperature=18C", "--json", "--workers", "1")
    (row,) = json.loads(done.stdout)["rows"]
    assert row["at"] == {"room.temperature": "18C"}
    assert row["answers"]["room_C"] == 18.0
    assert row["answers"]["fully_set_s"] > 3600.0
    assert row["fault"] is None


def test_us_units_are_used_where_the_workshop_uses_them(coolsim, bare, folder):
    done = coolsim("sweep", bare, "--over", "room.temperature=68F", "--units", "us", "--csv", "rows.csv")
    assert "68 °F" in done.stdout
    # One scenario needs no number.
    assert "scenario" not in done.stdout
    assert "1: " not in done.stdout
    heading = (folder / "rows.csv").read_text(encoding="utf-8").splitlines()[0]
    for expected in ("room.temperature [°F]", "dish volume [fl oz]", "dish [in]", "hole [in]", "fully set [s]"):
        assert expected in heading


@pytest.mark.parametrize(
    ("arguments", "code", "told"),
    [
        ([], 2, "at least one key with its values"),
        (["--over", "room.temperature"], 2, "behind an equals sign"),
        ([*OVER, *OVER], 2, "twice"),
        (["--over", "room.temprature=15C"], 2, "Did you mean 'room.temperature'?"),
        (["--over", "room.temperature="], 2, "found no values"),
        (["--over", "room.temperature=27C:15C"], 2, "runs backwards"),
        (["--over", "room.temperature=15mm:27mm"], 2, "a unit of a length"),
        (["--over", "pour.temperature=20C:40C"], 2, "no point of the sweep is possible"),
        ([*OVER, "--workers", "0"], 2, "--workers: found 0; give 1 to 61."),
        ([*OVER, "--csv", "missing/rows.csv"], 4, "no folder 'missing'"),
        ([*OVER, "--journal", "bare.toml"], 2, "which the command reads"),
        ([*OVER, "--journal", "."], 4, "it is a directory"),
    ],
)
def test_a_slip_gets_one_clear_message_and_runs_nothing(arguments, code, told, coolsim, bare, folder):
    done = coolsim("sweep", bare, *arguments)
    assert done.exit_code == code
    said = " ".join(done.stderr.split())
    assert told in said
    assert len(done.stderr.splitlines()) <= 4
    assert done.stdout == ""
    assert names(folder) == ["bare.toml"]


def command(*arguments):
    return [sys.executable, "-m", "coolsim", "sweep", "bare.toml", "--workers", "1", *arguments]


def test_after_an_interrupt_the_same_command_goes_on(start, bare, folder):
    over = ("--over", "room.temperature=15C:24C:0.05K")
    process, journal = start(*command(*over)[1:]), folder / "coolsim-journal.jsonl"
    before = wait_for_runs(journal, 1, process)
    # As a terminal does: to the command and its workers.
    os.killpg(process.pid, signal.SIGINT)
    out, said = process.communicate(timeout=PATIENCE)
    assert process.returncode == 130
    assert out == ""
    kept = journal.read_bytes().count(b"\n")
    # The chunk that was being run, if one was, is finished, and the third one is not begun.
    assert 1 <= before <= kept < 181
    assert f"{kept} finished run" in said
    assert said.count("\n") == 1
    # What is in the journal is believed, not run again: a time changed in it comes out.
    first, *rest = journal.read_text().splitlines(keepends=True)
    record = json.loads(first)
    record["answers"]["fully_set_s"] = 360000.0
    journal.write_text("".join([json.dumps(record) + "\n", *rest]))
    again = subprocess.run(command(*over), capture_output=True, encoding="utf-8", env=environment(), check=True)
    assert "100:00" in again.stdout
    assert len([line for line in again.stdout.splitlines() if " °C " in line]) == 181
    assert names(folder) == ["bare.toml"]


def test_an_interrupt_counts_the_runs_of_this_command_and_not_those_of_another(tmp_path, capsys):
    with Journal(tmp_path / "j.jsonl") as journal:
        journal.add("of another sweep", {})
        journal.add("of an older version", {})

    def stopped():
        with keep_runs(tmp_path / "j.jsonl") as journal:
            journal.asked.update({"a", "b"})
            journal.add("a", {})
            raise KeyboardInterrupt

    with pytest.raises(KeyboardInterrupt) as ended:
        stopped()
    path = tmp_path / "j.jsonl"
    assert ended.value.__notes__ == [f"1 finished run is kept in {path}; the same command goes on from there"]
    assert capsys.readouterr().err == (
        f"warning: {path}: 2 lines, the first of them line 1, hold no answers as coolsim {__version__}"
        " gives them. They are passed over, and those runs are made again.\n"
    )


def test_a_full_disk_in_mid_sweep_is_one_message_and_keeps_whole_lines(bare, folder):
    # A limit on the size of a file meets the same path as a full disk, without one: room for some two points.
    def little_room():
        resource.setrlimit(resource.RLIMIT_FSIZE, (4000, 4000))

    over = ("--over", "room.temperature=15C:24C:1K", "--journal", "kept.jsonl")
    done = subprocess.run(
        command(*over), capture_output=True, encoding="utf-8", env=environment(), preexec_fn=little_room, check=False
    )
    assert done.returncode == 4
    assert "kept.jsonl: cannot be written: the file is too large" in done.stderr
    assert "the same command goes on from there" in done.stderr
    assert done.stderr.count("\n") == 1
    kept = (folder / "kept.jsonl").read_text()
    assert kept.endswith("}\n")
    assert f"{kept.count(chr(10))} finished points are kept" in done.stderr
    again = subprocess.run(command(*over), capture_output=True, encoding="utf-8", env=environment(), check=True)
    assert len([line for line in again.stdout.splitlines() if " °C " in line]) == 10
    # It was asked for, so it stays.
    assert (folder / "kept.jsonl").read_text().startswith(kept)
