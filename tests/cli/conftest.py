import os
import signal
import subprocess
import sys

import pytest
from commands import coarse, environment, load_all, python
from typer.testing import CliRunner

from coolsim.cli import app_for

load_all()
APP = app_for()


@pytest.fixture
def folder(tmp_path, monkeypatch):
    """An empty current folder."""
    monkeypatch.chdir(tmp_path)
    return tmp_path


@pytest.fixture
def bare(folder):
    """A scenario file in the current folder that runs quickly."""
    path = folder / "bare.toml"
    path.write_text(coarse("tumbler-bare.toml"), encoding="utf-8")
    return path


@pytest.fixture
def boxed(folder):
    path = folder / "boxed.toml"
    path.write_text(coarse("tumbler-boxed.toml"), encoding="utf-8")
    return path


@pytest.fixture
def six(folder):
    """A box of 2 × 3 jars in the current folder that runs quickly."""
    path = folder / "six.toml"
    path.write_text(coarse("box-2x3.toml"), encoding="utf-8")
    return path


@pytest.fixture
def six_by_day(six):
    """The same box, opened on the way and unpacked."""
    text = six.read_text(encoding="utf-8").replace("cover_", "# cover_")
    day = '\n[day]\nchanges = [["3 h", "flaps open"], ["6 h", "out of the box"]]\n'
    six.write_text(text + day, encoding="utf-8")
    return six


@pytest.fixture
def few_cases(monkeypatch):
    """Let a spread, and a plan with it, make eight runs unless the command says how many."""
    from coolsim.studies.spread import spread

    monkeypatch.setattr(spread, "RUNS", 8)
    for asks in (spread.spread, spread.spread_study):
        monkeypatch.setitem(asks.__kwdefaults__, "runs", 8)


@pytest.fixture
def coolsim(folder):
    """Call a command in this process; an exception that coolsim did not mean fails the test."""

    def call(*arguments):
        result = CliRunner().invoke(APP, [str(one) for one in arguments], prog_name="coolsim")
        if result.exception is not None and not isinstance(result.exception, SystemExit):
            raise result.exception
        return result

    return call


@pytest.fixture
def process(folder):
    """Call a command as a process of its own."""

    def call(*arguments, env=None, stdout=subprocess.PIPE, encoding="utf-8"):
        return subprocess.run(
            [sys.executable, "-m", "coolsim", *map(str, arguments)],
            check=False,
            stdout=stdout,
            stderr=subprocess.PIPE,
            encoding=encoding,
            env=env or environment(),
        )

    return call


@pytest.fixture
def start(folder):
    """Start Python as `commands.python` does; what a test that fails leaves running is ended."""
    started = []

    def begin(*arguments, **options):
        started.append(python(*arguments, **options))
        return started[-1]

    yield begin
    for process in started:
        if process.returncode is None:
            os.killpg(process.pid, signal.SIGKILL)
            process.communicate()
