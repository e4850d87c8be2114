"""Cooling and freezing of soft-wax container candles, axisymmetric in r and z.

The public names below are looked up on first use, so that ``import coolsim`` stays quick: a command that only
prints its help must not pay for numpy.
"""

from importlib import import_module
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from coolsim.errors import (
        CoolsimError,
        MaterialError,
        OutputError,
        ResultFileError,
        ScenarioError,
        SolverError,
        UnitError,
    )

__version__ = "0.1.0"

__all__ = [
    "CoolsimError",
    "MaterialError",
    "OutputError",
    "ResultFileError",
    "ScenarioError",
    "SolverError",
    "UnitError",
    "__version__",
]

# public name: the module that holds it. A name is added here, in __all__ and under TYPE_CHECKING.
_HOMES = {
    "CoolsimError": "coolsim.errors",
    "MaterialError": "coolsim.errors",
    "OutputError": "coolsim.errors",
    "ResultFileError": "coolsim.errors",
    "ScenarioError": "coolsim.errors",
    "SolverError": "coolsim.errors",
    "UnitError": "coolsim.errors",
}


def __getattr__(name: str) -> object:
    """Import a public name from its module the first time it is asked for."""
    if name not in _HOMES:
        raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
    value: object = getattr(import_module(_HOMES[name]), name)
    globals()[name] = value
    return value


def __dir__() -> list[str]:
    """List the public names, those not yet imported included."""
    return sorted({*globals(), *__all__})
