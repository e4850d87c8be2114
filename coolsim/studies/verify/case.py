"""A check against an outside figure: page of the book and test in one object."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np

from coolsim.model.jar import Jar
from coolsim.model.problem import Problem

Kind = Literal["C", "T", "L", "R", "P"]

KINDS: dict[Kind, str] = {
    "C": "closed form",
    "T": "published figure",
    "L": "second library",
    "R": "resolved computation",
    "P": "common practice",
}
"""The first letter of an id: what kind of evidence a case is."""

Mark = Literal["published", "abstract read", "from memory", "open library", "this project", "no source"]

MARKS: dict[Mark, str] = {
    "published": "read in the source named",
    "abstract read": "only its abstract was read",
    "from memory": "recalled, not checked against the source named",
    "open library": "computed with the library and the version named",
    "this project": "computed independently for this project, by other means than coolsim",
    "no source": "what every workshop knows",
}
"""Where the reference comes from."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Value:
    """A value beside its reference.

    Parameters
    ----------
    name : str
        What it is.
    unit : str
        Its unit; empty for none.
    computed, reference : float
        What coolsim gives, and what the source does [unit].
    tolerance : float
        By how much they may differ [unit].
    scale : float
        What a difference is a share of: the reference, or the span that a temperature lies in [unit].
    """

    name: str
    unit: str
    computed: float
    reference: float
    tolerance: float
    scale: float

    @property
    def error(self) -> float:
        """Computed less reference [unit]."""
        return self.computed - self.reference

    @property
    def of_tolerance(self) -> float:
        """Error in tolerances [-]; infinite for a value that is not there."""
        return self.error / self.tolerance if np.isfinite(self.computed) else float("inf")

    @property
    def relative(self) -> float:
        """Error as a share of the scale [-]."""
        return self.error / self.scale

    @property
    def kept(self) -> bool:
        """Whether the error is within the tolerance."""
        return abs(self.of_tolerance) <= 1.0

    def __str__(self) -> str:
        unit = f" {self.unit}" if self.unit else ""
        return (
            f"{self.name}: {self.computed:.7g} instead of {self.reference:.7g}{unit},"
            f" off by {self.error:+.3g} of {self.tolerance:.3g}"
        )


def value(
    name: str,
    computed: float,
    reference: float,
    *,
    within: float | None = None,
    share: float | None = None,
    unit: str = "",
    span: float | None = None,
) -> Value:
    """Put a value beside its reference, within so much [unit] or within a share of it [-].

    `span` is what a difference is a share of [unit] where it is not the reference.
    """
    scale = abs(reference) if span is None else span
    tolerance = within if within is not None else (share or 0.0) * abs(reference)
    return Value(
        name=name,
        unit=unit,
        computed=float(computed),
        reference=float(reference),
        tolerance=float(tolerance),
        scale=float(scale),
    )


def _none() -> tuple[Value, ...]:
    return ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Case:
    """A check.

    `formulas` are the equation in the part of TeX that matplotlib reads, `equation` says in words what it is. `slack`
    says why the tolerances are what they are. `run` gives the values, `orders` how fast errors fall with finer cells
    or steps. `problems` are some of those that it runs, each with the name of its statement for other codes, or none.
    """

    id: str
    title: str
    setup: str
    formulas: tuple[str, ...]
    equation: str
    source: str
    mark: Mark
    slack: str
    run: Callable[[], Iterable[Value]]
    orders: Callable[[], Iterable[Value]] = _none
    problems: tuple[tuple[str, Callable[[], Problem | Jar]], ...] = ()

    @property
    def kind(self) -> Kind:
        """What kind of evidence it is."""
        return next(kind for kind in KINDS if self.id.startswith(kind))

    @property
    def statements(self) -> tuple[str, ...]:
        """Names of its problem statements."""
        return tuple(name for name, _ in self.problems if name)


@dataclass(frozen=True, slots=True, kw_only=True)
class Checked:
    """A case and what its run gave."""

    case: Case
    values: tuple[Value, ...]
    orders: tuple[Value, ...]

    @property
    def missed(self) -> tuple[Value, ...]:
        """What is off by more than its tolerance."""
        return tuple(one for one in (*self.values, *self.orders) if not one.kept)

    @property
    def worst(self) -> float:
        """Largest error in tolerances [-]."""
        return max(abs(one.of_tolerance) for one in (*self.values, *self.orders))


def check(case: Case) -> Checked:
    """Run a case."""
    return Checked(case=case, values=tuple(case.run()), orders=tuple(case.orders()))


@dataclass(frozen=True, slots=True, kw_only=True)
class Evidence:
    """All values of one kind: how many cases and values there are, and how many missed [-].

    Bias and spread are mean and standard deviation of the relative errors [-]; None if no value is there.
    """

    kind: Kind
    cases: int
    values: int
    missed: int
    bias: float | None
    spread: float | None


def evidence(checked: Sequence[Checked]) -> tuple[Evidence, ...]:
    """Sum up what was found, kind by kind."""
    found = []
    for kind in KINDS:
        of_kind = [one for one in checked if one.case.kind == kind]
        values = [value for one in of_kind for value in one.values]
        # What is not there is counted as missed.
        errors = [value.relative for value in values if np.isfinite(value.computed)]
        if values:
            found.append(
                Evidence(
                    kind=kind,
                    cases=len(of_kind),
                    values=len(values),
                    missed=sum(len(one.missed) for one in of_kind),
                    bias=float(np.mean(errors)) if errors else None,
                    spread=float(np.std(errors)) if errors else None,
                )
            )
    return tuple(found)
