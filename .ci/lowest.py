"""The lowest versions that pyproject.toml allows, as constraints for pip."""

import re
import tomllib
from pathlib import Path

project = tomllib.loads((Path(__file__).parents[1] / "pyproject.toml").read_text(encoding="utf-8"))["project"]
extras = project["optional-dependencies"]
for requirement in (*project["dependencies"], *extras["distributed"], *extras["test"]):
    if not requirement.startswith(f"{project['name']}["):
        name, lowest = re.fullmatch(r"([\w-]+)(?:\[[\w,-]+\])?>=([\d.]+)", requirement).groups()
        print(f"{name}=={lowest}")
