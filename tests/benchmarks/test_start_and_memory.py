"""How quickly the command line starts, and what a run needs of memory; each in a process of its own."""

import pytest

from coolsim.scenario import starter_text
from tests.benchmarks.processes import used_by


@pytest.fixture
def scenario(tmp_path):
    (tmp_path / "jar.toml").write_text(starter_text(), encoding="utf-8")
    return tmp_path


def test_command_line_starts_hardly_later_than_numpy(scenario, note):
    numpy, _ = used_by("-c", "import numpy", folder=scenario, repeats=7)
    shown, _ = used_by("-m", "coolsim", "--help", folder=scenario, repeats=7)
    ran, _ = used_by("-m", "coolsim", "run", "jar.toml", "--no-figures", folder=scenario, repeats=7)
    note("python -c 'import numpy'", f"{1e3 * numpy:6.0f} ms CPU")
    note("coolsim --help", f"{1e3 * shown:6.0f} ms CPU   (asserted: at most 250 ms more than numpy)")
    note("coolsim run --no-figures", f"{1e3 * ran:6.0f} ms CPU   (aim, not asserted: at most 600 ms more than numpy)")
    assert shown - numpy <= 0.25


def test_peak_memory_of_full_runs_stays_below_250_megabytes(scenario, note):
    _, run = used_by("-m", "coolsim", "run", "jar.toml", "--no-figures", folder=scenario)
    _, drawn = used_by("-m", "coolsim", "run", "jar.toml", folder=scenario)
    _, pair = used_by("-m", "coolsim", "run", folder=scenario)
    for name, peak in (("run --no-figures", run), ("run with figures", drawn), ("compare with figures", pair)):
        note(f"peak memory, coolsim {name}", f"{peak / 1e6:6.0f} MB   (asserted: below 250 MB)")
    assert max(run, drawn, pair) < 250e6
