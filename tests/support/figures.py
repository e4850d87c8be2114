"""The folder figures/, made whole by `python tests/support/figures.py`, and what its pictures show.

`shown.json` beside the pictures holds the digest of each file, and the texts and lines of each figure: pictures of
another matplotlib differ in their bytes, but not in what they show.
"""

import hashlib
import json
import re
import subprocess
import sys
from functools import partial
from pathlib import Path

import numpy as np
from matplotlib.text import Text

from coolsim.cli.figures import draw
from coolsim.scenario import load_scenario
from coolsim.solve.simulate import simulate

TOP = Path(__file__).parents[2]
FOLDER = TOP / "figures"
SHOWN = FOLDER / "shown.json"
PAIR = ("scenarios/tumbler-bare.toml", "scenarios/tumbler-boxed.toml")
COMMANDS = (
    ("compare", *PAIR, "--figures", "figures"),
    ("animate", *PAIR, "--frames", "40", "--output", "figures/cooling.gif"),
    ("pour", PAIR[0], "--room", "15C:27C:3K", "--figures", "figures"),
)
_NUMBER = re.compile(r"[-−]?\d+(?:\.\d+)?")
_POINTS = 12


def figures_of_pair():
    """The figures of the pair by name, drawn anew."""
    scenarios = [load_scenario(TOP / name) for name in PAIR]
    runs = [(scenario.title, simulate(scenario.jar)) for scenario in scenarios]
    drawn = {}
    for name, save in draw(runs, scenarios, units="metric", only=()):
        drawn[str(name)] = save.args[0] if isinstance(save, partial) else save
    return drawn


def texts(figure):
    """What is written on a figure, labels of ticks left out."""
    written = (text.get_text() for text in figure.findobj(Text))
    return sorted(text for text in written if text.strip())


def lines(figure):
    """A few points of each line, in the order of drawing; where it breaks off there are none."""
    found = []
    for axes in figure.axes:
        for line in axes.get_lines():
            x, y = np.asarray(line.get_data(), dtype=float)
            x, y = (values[np.isfinite(x) & np.isfinite(y)].tolist() for values in (x, y))
            if len(x) >= _POINTS:
                steps = [round(index * (len(x) - 1) / (_POINTS - 1)) for index in range(_POINTS)]
                found.append([[round(x[step], 4) for step in steps], [round(y[step], 4) for step in steps]])
    return found


def split(text):
    """The words of a text without its numbers, and its numbers."""
    return _NUMBER.sub("#", text), [float(number.replace("−", "-")) for number in _NUMBER.findall(text)]


def digest(path):
    """Digest of a file."""
    return hashlib.sha256(path.read_bytes()).hexdigest()


def make():
    """Make the folder anew."""
    for command in COMMANDS:
        subprocess.run([sys.executable, "-m", "coolsim", *command], cwd=TOP, check=True, stdout=subprocess.DEVNULL)
    write_shown()


def write_shown():
    """Write down what the folder shows."""
    shown = {
        "files": {path.name: digest(path) for path in sorted(FOLDER.iterdir()) if path != SHOWN},
        "figures": {name: {"texts": texts(one), "lines": lines(one)} for name, one in figures_of_pair().items()},
    }
    SHOWN.write_text(json.dumps(shown, indent=1, ensure_ascii=False, allow_nan=False) + "\n", encoding="utf-8")


if __name__ == "__main__":
    make()
