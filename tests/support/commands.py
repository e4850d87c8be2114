"""What tests of the command line share."""

import os
from pathlib import Path

ROOT = Path(__file__).parents[2]
SCENARIOS = ROOT / "scenarios"

# Half the cells in each direction and long steps: what the commands do with a run does not hang on its accuracy.
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
