"""One answer of a run."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Literal

from coolsim.model.jar import Jar
from coolsim.solve.contraction import Shrinkage
from coolsim.solve.result import Events, Result, Skin
from coolsim.units import Kind

Value = float | str | bool | None
"""What an answer comes as: in SI and °C, a word, or yes and no; None if it was not reached or is not there."""


def number_of(value: Value) -> float | None:
    """Take the number that an answer is [its unit]; None for one that is no number or is not there."""
    return float(value) if isinstance(value, int | float) else None


Group = Literal["pour", "skin", "setting", "last liquid", "top", "losses", "heat", "run"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Run:
    """What answers are read from: a result, and the jar where it is known; ValueError if it holds no wax.

    `place` is where it stands in a box of several.
    """

    result: Result
    jar: Jar | None = None
    place: str | None = None

    @property
    def events(self) -> Events:
        """When what happened."""
        if self.result.events is None:
            raise ValueError(f"'{self.result.name}' holds no wax, so it has no answers")
        return self.result.events

    @property
    def skin(self) -> Skin | None:
        """The first skin at the glass, if one forms."""
        return self.events.first_skin

    @property
    def top(self) -> Shrinkage:
        """The top and the inside at the end of the run, set or not."""
        if self.result.shrinkage is None:
            raise ValueError(f"'{self.result.name}' holds no wax, so it has no answers")
        return self.result.shrinkage

    @property
    def set_top(self) -> Shrinkage | None:
        """The top and the inside; None if the top still sinks when the run ends."""
        return None if self.events.top_final is None else self.top


@dataclass(frozen=True, slots=True, kw_only=True)
class Answer:
    """One answer of a run.

    `key` is its name for machines, with the SI unit (or C) at its end; `label` what a table calls it under the
    heading of its group, and `name` what it is called by itself where that differs; `means` what it means for the
    maker. `kind` is None for a share, a word, or what a workshop would not put into its own units. `grid` says
    whether its numerical error can be bounded from a coarser run, or whether it jumps from grid to grid;
    `compared`, whether it is followed from run to run; `may_lack`, whether a run that ended well may lack it,
    besides the times of a skin and of setting. `tells_from` is the least difference between two runs that means
    something, for an answer of which less is better [its unit]. `worst` is the end that counts for the jars of a box
    (`largest` is the farthest from zero), or the key of the answer whose jar has this one, too; None for what is that
    of the jar that is set last.
    """

    key: str
    label: str
    group: Group
    kind: Kind | None
    read: Callable[[Run], Value]
    name: str = ""
    means: str = ""
    grid: Literal["converges", "jumps"] | None = None
    compared: bool = False
    form: Literal["number", "words", "yes or no"] = "number"
    may_lack: bool = False
    tells_from: float | None = None
    worst: Literal["largest", "least", "skin_coldest_C", "cavity_volume_m3"] | None = None

    @property
    def called(self) -> str:
        """What it is called in a sentence."""
        return self.name or self.label[0].lower() + self.label[1:]

    @property
    def waits(self) -> bool:
        """Whether it comes after the end of a run that does not have it, as the time at which something sets does."""
        return self.group == "setting"

    @property
    def lacks(self) -> bool:
        """Whether a run that ended well may lack it."""
        return self.may_lack or self.group in ("skin", "setting")

    def of(self, run: Run) -> Value:
        """Take it from a run; what belongs to the top is None while it still sinks."""
        return None if self.group == "top" and run.events.top_final is None else self.read(run)
