"""The errors that coolsim raises on purpose.

Each is also the built-in error that fits, so that a caller who knows only Python can catch it. Anything else
that leaves the library is a bug of the library.
"""

from collections.abc import Iterable


class CoolsimError(Exception):
    """Base of all errors that coolsim raises on purpose.

    Examples
    --------
    >>> from coolsim import CoolsimError, load_scenario
    >>> try:
    ...     load_scenario("no-such-jar.toml")
    ... except CoolsimError as error:
    ...     print(type(error).__name__)
    ScenarioError
    """


class ScenarioError(CoolsimError, ValueError):
    """A scenario asks for something that cannot be simulated.

    All faults of a scenario are collected and raised together, so that a file can be corrected in one go.

    Parameters
    ----------
    faults : str or iterable of str
        One line for each fault, worded "where: what. What to do".

    Attributes
    ----------
    faults : tuple of str
        The faults in the order in which they were found.

    Raises
    ------
    ValueError
        If there is no fault to report.

    Examples
    --------
    >>> error = ScenarioError(["jar.toml: pour: missing. Add pour = '65 °C'.", "jar.toml: wax: missing."])
    >>> len(error.faults)
    2
    >>> print(error)
    jar.toml: pour: missing. Add pour = '65 °C'.
    jar.toml: wax: missing.
    """

    faults: tuple[str, ...]

    def __init__(self, faults: str | Iterable[str]) -> None:
        self.faults = (faults,) if isinstance(faults, str) else tuple(faults)
        if not self.faults:
            raise ValueError("a ScenarioError needs at least one fault")
        # The faults are the only argument, so that pickling (worker processes) restores the same error.
        super().__init__(self.faults)

    def __str__(self) -> str:
        return "\n".join(self.faults)


class MaterialError(CoolsimError, ValueError):
    """A material has an impossible property, or a law is used outside its range.

    Examples
    --------
    >>> from coolsim import catalogue_wax
    >>> catalogue_wax("tallow")
    Traceback (most recent call last):
        ...
    coolsim.errors.MaterialError: no material 'tallow' in the catalogue; choose from soft-vegetable, paraffin, ...
    """


class UnitError(CoolsimError, ValueError):
    """A text does not state a quantity of the expected kind.

    Examples
    --------
    >>> from coolsim.units import parse_quantity
    >>> parse_quantity("65", "temperature")
    Traceback (most recent call last):
        ...
    coolsim.errors.UnitError: found '65' (no unit), expected a temperature such as '65 °C' (units: ...)
    """


class SolverError(CoolsimError, RuntimeError):
    """A simulation could not be carried to its end.

    Examples
    --------
    >>> issubclass(SolverError, RuntimeError), issubclass(SolverError, CoolsimError)
    (True, True)
    """


class OutputError(CoolsimError, OSError):
    """A file could not be written; what was there before is untouched.

    Examples
    --------
    >>> from coolsim import save_figure
    >>> from matplotlib.figure import Figure
    >>> save_figure(Figure(), "set-times.doc")
    Traceback (most recent call last):
        ...
    coolsim.errors.OutputError: set-times.doc: cannot be written: figures are PNG, SVG or PDF. ...
    """


class ResultFileError(CoolsimError, ValueError):
    """A file is no saved result, or not one that this version reads.

    Examples
    --------
    >>> from coolsim import load_results
    >>> load_results("no-such-file.npz")
    Traceback (most recent call last):
        ...
    coolsim.errors.ResultFileError: no-such-file.npz: no such file. ...
    """


class LogError(CoolsimError, ValueError):
    """A thermometer's log cannot be read, or could be read in more than one way."""
