"""The parts of README.md that are made by running coolsim. `python tests/support/readme.py` writes them anew."""

import os
import re
import subprocess
import sys
import tempfile
from pathlib import Path

PATH = Path(__file__).parents[2] / "README.md"
DEVELOPERS = PATH.with_name("DEVELOPERS.md")
_SESSION = re.compile(r"(?<=^```console\n).*?(?=^```$)", re.MULTILINE | re.DOTALL)
_PYTHON = re.compile(r"^```python\n(.*?)^```$", re.MULTILINE | re.DOTALL)


def text():
    """README.md as it stands."""
    return PATH.read_text(encoding="utf-8")


def sessions(readme):
    """The blocks of commands with their output."""
    return _SESSION.findall(readme)


def commands(session):
    """The commands of one block."""
    return [line.removeprefix("$ ") for line in session.splitlines() if line.startswith("$ ")]


def played(session, folder):
    """Run the commands of a block in a folder; the block as it should be, what went to stderr after stdout."""
    scripts = Path(sys.executable).parent
    environment = {**os.environ, "PATH": f"{scripts}{os.pathsep}{os.environ['PATH']}", "COLUMNS": "80"}
    lines = []
    for command in commands(session):
        done = subprocess.run(
            ["bash", "-c", command], cwd=folder, env=environment, capture_output=True, encoding="utf-8", check=False
        )
        lines.append(f"$ {command}\n{done.stdout}{done.stderr}")
    return "".join(lines)


def examples(readme):
    """The Python examples."""
    return _PYTHON.findall(readme)


def renewed(readme, folder):
    """The whole text with every made part made anew."""
    return _SESSION.sub(lambda found: played(found[0], folder), readme)


if __name__ == "__main__":
    with tempfile.TemporaryDirectory() as empty:
        PATH.write_text(renewed(text(), Path(empty)), encoding="utf-8")
