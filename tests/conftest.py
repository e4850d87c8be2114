import os
import sys
from collections.abc import Iterator
from pathlib import Path

import numpy as np
import pytest
from hypothesis import settings

import coolsim

ROOT = Path(__file__).parents[1]
# `.ci/run` sets it: what is tested is then the package as users get it, with every file that it needs.
INSTALLED = "COOLSIM_TEST_INSTALLED"
# What takes longest; else one process still has it to do when all others are done.
LONG = (
    "docs/test_readme.py",
    "figures/test_current.py",
    "any_scenario/",
    "convergence/",
    "verification/",
    "cli/",
    "page/",
    "figures/",
)
# `pytest -m quick tests`: something of every floor, in half a minute on two cores.
QUICK = (
    "cli/test_help.py",
    "cli/test_outputs.py",
    "docs/test_alike.py",
    "docs/test_quick.py",
    "docs/test_theory.py",
    "figures/test_top.py",
    "scenario/test_faults.py",
    "unit/model/",
    "unit/report/test_files.py",
    "unit/report/test_store.py",
    "unit/report/test_tables.py",
    "unit/solve/test_curves.py",
    "unit/solve/test_start.py",
    "unit/studies/test_day_plan.py",
    "unit/studies/test_ranges.py",
    "unit/studies/test_wording.py",
    "unit/test_",
    "verification/test_lumped_body.py",
)

# `python -m pytest tests/any_scenario --hypothesis-profile=ten-thousand`: as many scenarios as its tests say for it.
settings.register_profile("ten-thousand", max_examples=2500, print_blob=True)


def pytest_report_header() -> str:
    return f"coolsim: {Path(coolsim.__file__).parent}"


def pytest_configure() -> None:
    if not os.environ.get(INSTALLED):
        return
    if Path(coolsim.__file__).parent == ROOT / "coolsim":
        raise pytest.UsageError(f"{INSTALLED} is set, but coolsim is that of {ROOT}: install it without -e")
    # Processes that tests start look there, too.
    if ROOT in (Path(place).resolve() for place in sys.path):
        raise pytest.UsageError(
            f"{INSTALLED} is set, but Python looks for coolsim in {ROOT}: call `pytest` by its name"
        )


def named(nodeid: str, names: tuple[str, ...]) -> bool:
    return any(nodeid.startswith(f"tests/{name}") for name in names)


def pytest_ignore_collect(collection_path: Path, config: pytest.Config) -> bool | None:
    """What is not quick is not even read: the other solvers alone take seconds to import."""
    file = collection_path.relative_to(ROOT).as_posix()
    return True if config.option.markexpr == "quick" and file.endswith(".py") and not named(file, QUICK) else None


@pytest.hookimpl(tryfirst=True)
def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """With `--dist loadfile --no-loadscope-reorder` the files are handed out in this order: the long ones first."""
    for item in items:
        if named(item.nodeid, QUICK):
            item.add_marker("quick")
    items.sort(
        key=lambda item: next((rank for rank, name in enumerate(LONG) if named(item.nodeid, (name,))), len(LONG))
    )


@pytest.fixture(autouse=True)
def _floating_point_errors_are_exceptions() -> Iterator[None]:
    """A division by zero or an invalid value anywhere in the arrays of a test is a failure of that test."""
    # Underflow stays silent: exp(-t/tau) that fades to zero is the right answer.
    with np.errstate(divide="raise", over="raise", invalid="raise", under="ignore"):
        yield
