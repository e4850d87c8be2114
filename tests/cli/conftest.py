import functools
import os
import pickle
import signal
import subprocess
import sys

import pytest
from commands import coarse, environment, load_all, python
from typer.testing import CliRunner

from coolsim.cli import app_for
from coolsim.solve import simulate, together
from coolsim.studies.sweep import point
from coolsim.studies.workshop import boxes

load_all()
APP = app_for()
MOST_KEPT = 12


@pytest.fixture(scope="module", autouse=True)
def equal_jars_run_once():
    """Let a jar that a command runs in this process run once: most tests here ask something else of the same three.

    A run is a function of its jar. What a test puts in the place of `simulate` or of its parts is called all the same.
    For the tests of one file at a time: tests of other folders in the same process are to see the solver itself.
    """
    with pytest.MonkeyPatch.context() as patch:
        for module in (simulate, together):
            patch.setattr(module, "simulate", remembering(module.simulate))
        for module in (together, boxes, point):
            patch.setattr(module, "simulate_box", remembering(module.simulate_box))
        yield


@functools.cache
def remembering(run):
    known = {}

    @functools.wraps(run)
    def remembered(jar, **how):
        if any(value is not None for value in how.values()):
            return run(jar, **how)
        key = (pickle.dumps(jar), simulate.build)
        if key not in known:
            # A few are enough: those who ask for the same stand beside each other.
            while len(known) >= MOST_KEPT:
                del known[next(iter(known))]
            known[key] = run(jar)
        return known[key]

    return remembered


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
