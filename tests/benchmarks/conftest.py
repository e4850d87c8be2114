"""What the benchmarks measured, below their outcome."""

from collections.abc import Callable

import pytest

MEASURED = pytest.StashKey[list[tuple[str, str]]]()
TABLES = pytest.StashKey[list[str]]()


@pytest.fixture
def note(request) -> Callable[[str, str], None]:
    """Add a row to the table."""
    rows = request.config.stash.setdefault(MEASURED, [])

    def add(what: str, figure: str) -> None:
        rows.append((what, figure))

    return add


@pytest.fixture
def show_table(request) -> Callable[[str], None]:
    """Show a table of its own."""
    return request.config.stash.setdefault(TABLES, []).append


def pytest_terminal_summary(terminalreporter, config):
    rows, tables = config.stash.get(MEASURED, []), config.stash.get(TABLES, [])
    if not rows and not tables:
        return
    terminalreporter.section("measured on this machine")
    width = max((len(what) for what, _ in rows), default=0)
    for what, figure in rows:
        terminalreporter.write_line(f"{what:<{width}}  {figure}")
    for table in tables:
        terminalreporter.write_line("")
        terminalreporter.write_line(table)
