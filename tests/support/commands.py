"""What tests of the command line share."""

import importlib
import os
import pkgutil
import subprocess
import sys
import time
from pathlib import Path

import coolsim

ROOT = Path(__file__).parents[2]
SCENARIOS = ROOT / "scenarios"

COMMAND = ("-m", "coolsim")

# How long to wait for a thing that comes in a second or two: it only ends a test that fails.
PATIENCE = 300.0

# Whoever runs the tests may have signals ignored, as in the background of a script; a program inherits that.
WITH_SIGNALS = """
import os, signal, sys
for name in ("SIGINT", "SIGTERM", "SIGHUP"):
    signal.signal(getattr(signal, name), signal.SIG_IGN if name in sys.argv[1].split() else signal.SIG_DFL)
os.execv(sys.executable, [sys.executable, *sys.argv[2:]])
"""

# Half the cells in each direction and long steps: what the commands do with a run does not depend on its accuracy.
COARSE = '\n[run]\nrefinement = 0.5\ntolerance = "1 K"\n'


def coarse(name):
    """A scenario of the project, made quick to run."""
    return (SCENARIOS / name).read_text(encoding="utf-8") + COARSE


def environment(**changes):
    """The environment of a command started by a test: of a terminal, without settings of whoever runs the tests."""
    kept = {name: value for name, value in os.environ.items() if name not in ("NO_COLOR", "COOLSIM_TRACEBACK")}
    return {**kept, "TERM": "xterm", **changes}


def names(folder):
    """Names of what is in a folder."""
    return sorted(path.name for path in folder.iterdir())


def python(*arguments, ignored="", stderr=subprocess.PIPE, **changes):
    """Start Python in a group of processes of its own, with the usual signals but those that are to be ignored.

    All processes that it starts write to the same streams: when `communicate` returns, none of them is left.
    """
    return subprocess.Popen(
        [sys.executable, "-c", WITH_SIGNALS, ignored, *map(str, arguments)],
        stdout=subprocess.PIPE,
        stderr=stderr,
        encoding="utf-8",
        env=environment(**changes),
        start_new_session=True,
    )


def wait_for_runs(journal, count, process):
    """Wait until a journal holds some runs, which only workers can have made; the number that it holds is returned."""
    end = time.monotonic() + PATIENCE
    while (kept := journal.read_bytes().count(b"\n") if journal.exists() else 0) < count:
        assert process.poll() is None, process.communicate()
        assert time.monotonic() < end, "no run was finished"
        time.sleep(0.01)
    return kept


def load_all():
    """Import every module of coolsim: what is loaded first under a patched name would keep it for good."""
    for module in pkgutil.walk_packages(coolsim.__path__, "coolsim."):
        if not module.name.endswith("__main__"):
            importlib.import_module(module.name)
