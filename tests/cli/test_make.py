"""`coolsim make`: one command for every paper, each with the options that it takes."""

from inspect import signature

import pytest
from commands import names
from typer.main import get_command

from coolsim.cli import app_for
from coolsim.cli.commands.make import PIECES, What
from coolsim.report.wording import listed

OPTIONS = {one.name: one for one in get_command(app_for()).commands["make"].params}


def test_every_word_has_its_paper():
    assert list(PIECES) == list(What)


@pytest.mark.parametrize("what", What)
def test_a_paper_takes_options_that_the_command_has(what):
    assert set(PIECES[what].takes) <= OPTIONS.keys()


@pytest.mark.parametrize("what", What)
def test_what_a_paper_does_not_take_is_refused_and_says_who_does(what, coolsim, bare, folder):
    given = {"jars": 3, "start": "9:00", "date": "2026-03-14", "rooms": "18C,22C", "pours": "56C,60C", "frames": 5}
    given |= {"seconds": 4, "until": "2h", "paper": "a4", "workers": 1, "journal": "kept.jsonl"}
    flags = ["middle", "json", "short"]
    for name in [*given, *flags]:
        if name in PIECES[what].takes:
            continue
        value = [] if name in flags else [given[name]]
        done = coolsim("make", what, bare, f"--{name}", *value)
        assert done.exit_code == 2
        others = listed([one for one in What if name in PIECES[one].takes])
        assert done.stderr.startswith(f"error: --{name}: it is for {others}, not for {what}; leave it out.\n")
    assert names(folder) == ["bare.toml"]


def test_all_own_options_were_asked():
    shared = {"what", "files", "output", "units", "force", "quiet", "help"}
    taken = {name for piece in PIECES.values() for name in piece.takes}
    assert OPTIONS.keys() - shared == taken
    # What is made of a saved result or a pair is asked by name.
    assert {"frames", "seconds", "until"} <= signature(PIECES[What.FILM].make).parameters.keys()


def test_several_scenarios_get_a_label_each(coolsim, bare, boxed, folder):
    assert coolsim("make", "label", bare, boxed).exit_code == 0
    assert names(folder) == ["bare-label.txt", "bare.toml", "boxed-label.txt", "boxed.toml"]


def test_the_calendar_alone(coolsim, bare, folder):
    done = coolsim("make", "calendar", bare, "--start", "9:00", "--date", "2026-03-14", "--middle")
    assert (done.exit_code, done.stdout, done.stderr) == (0, "", "wrote bare-calendar.ics\n")
    assert (folder / "bare-calendar.ics").read_bytes().startswith(b"BEGIN:VCALENDAR\r\n")
