import copy
import tomllib
from pathlib import Path

import pytest

SCENARIOS = Path(__file__).parents[2] / "scenarios"


def _changed(data, changes):
    """A copy of the data with values set, or removed where None, by dotted key."""
    data = copy.deepcopy(data)
    for dotted, value in changes.items():
        *tables, name = dotted.split(".")
        table = data
        for step in tables:
            table = table.setdefault(step, {})
        if value is None:
            table.pop(name, None)
        else:
            table[name] = value
    return data


@pytest.fixture
def changed():
    return _changed


@pytest.fixture
def scenarios():
    """The folder of the scenarios that come with the project."""
    return SCENARIOS


@pytest.fixture
def boxed():
    """The data of the boxed tumbler, the fullest of the scenarios."""
    return tomllib.loads((SCENARIOS / "tumbler-boxed.toml").read_text(encoding="utf-8"))
