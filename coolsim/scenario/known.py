"""The values of a scenario, as far as they are known."""

from __future__ import annotations

from typing import Any

from coolsim.units import Kind, System, format_quantity


class UnreadableError(LookupError):
    """A value that is needed is itself at fault, or its table is not there."""


class Known:
    """Values of a scenario by dotted key, SI and °C.

    Parameters
    ----------
    values : dict
        Those that could be read, and the defaults of those left out.
    """

    def __init__(self, values: dict[str, Any]) -> None:
        self._values = values

    def __call__(self, key: str) -> Any:
        """Return a value; UnreadableError if it is not known."""
        if key not in self._values:
            raise UnreadableError(key)
        return self._values[key]

    def has(self, key: str) -> bool:
        """Whether a value is known and given."""
        return self._values.get(key) is not None

    def show(self, value: float, kind: Kind) -> str:
        """Write a quantity in the units of the scenario.

        Parameters
        ----------
        value : float
            The quantity [SI, °C].
        kind : Kind
            What it is.

        Returns
        -------
        str
            Number and unit.
        """
        system: System = self._values.get("units", "metric")
        return format_quantity(value, kind, system=system)
