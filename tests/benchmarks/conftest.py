"""A table of what the benchmarks measured, below their outcome."""

from collections.abc import Callable

import pytest

MEASURED = pytest.StashKey[list[tuple[str, str]]]()


@pytest.fixture
def note(request) -> Callable[[str, str], None]:
    """Add a row to the table."""
    rows = request.config.stash.setdefault(MEASURED, [])

    def add(what: str, figure: str) -> None:
        rows.append((what, figure))

    return add


def pytest_terminal_summary(terminalreporter, config):
    rows = config.stash.get(MEASURED, [])
    if not rows:
        return
    terminalreporter.section("measured on this machine")
    width = max(len(what) for what, _ in rows)
    for what, figure in rows:
        terminalreporter.write_line(f"{what:<{width}}  {figure}")
