import pickle
import subprocess
import sys

import numpy as np
import pytest

import coolsim
from coolsim.errors import (
    CoolsimError,
    LogError,
    MaterialError,
    OutputError,
    ResultFileError,
    ScenarioError,
    SolverError,
    UnitError,
)


@pytest.mark.parametrize(
    ("error", "builtin"),
    [
        (ScenarioError, ValueError),
        (MaterialError, ValueError),
        (UnitError, ValueError),
        (SolverError, RuntimeError),
        (OutputError, OSError),
        (ResultFileError, ValueError),
        (LogError, ValueError),
    ],
)
def test_each_error_is_a_coolsim_error_and_the_builtin_that_fits(error, builtin):
    assert issubclass(error, CoolsimError)
    assert issubclass(error, builtin)


def test_a_scenario_error_shows_every_fault_on_its_own_line():
    error = ScenarioError(fault for fault in ("jar: too wide. Use 90 mm.", "wax: unknown. Use paraffin."))
    assert error.faults == ("jar: too wide. Use 90 mm.", "wax: unknown. Use paraffin.")
    assert str(error) == "jar: too wide. Use 90 mm.\nwax: unknown. Use paraffin."


def test_a_single_text_is_one_fault_not_many_letters():
    assert ScenarioError("jar: too wide.").faults == ("jar: too wide.",)


def test_a_scenario_error_without_faults_is_refused():
    with pytest.raises(ValueError, match="at least one fault"):
        ScenarioError([])


def test_a_scenario_error_comes_back_whole_from_a_worker_process():
    error = ScenarioError(["one", "two"])
    again = pickle.loads(pickle.dumps(error))
    assert type(again) is ScenarioError
    assert again.faults == error.faults
    assert str(again) == str(error)


def test_every_public_name_can_be_had_and_has_a_home():
    for name in coolsim._HOMES:
        assert getattr(coolsim, name) is not None
        assert name in dir(coolsim)


def test_an_unknown_public_name_is_an_attribute_error():
    with pytest.raises(AttributeError, match="no attribute 'bench'"):
        coolsim.bench  # noqa: B018


def test_importing_coolsim_and_its_units_loads_no_heavy_package():
    code = (
        "import sys, coolsim, coolsim.units\n"
        "print(sorted({'numpy', 'scipy', 'matplotlib', 'pydantic', 'typer'} & set(sys.modules)))"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "[]"


def test_floating_point_errors_are_exceptions_in_every_test():
    with pytest.raises(FloatingPointError):
        np.zeros(1) / np.zeros(1)
