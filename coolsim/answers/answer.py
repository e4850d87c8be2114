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

Group = Literal["pour", "skin", "setting", "last liquid", "top", "losses", "heat", "run"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Run:
    """What answers are read from.

    Parameters
    ----------
    result : Result
        The run.
    jar : Jar or None
        What was run, where it is known.

    Raises
    ------
    ValueError
        From its properties, if the run holds no wax: then it has no answers.
    """

    result: Result
    jar: Jar | None = None

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
        """The top and the inside; None if the wax has not set within the run, as half a top goes on sinking."""
        return None if self.events.fully_set is None else self.top


@dataclass(frozen=True, slots=True, kw_only=True)
class Answer:
    """One answer of a run.

    Parameters
    ----------
    key : str
        Its name for machines, with the SI unit (or C) at its end.
    label : str
        What a table calls it under the heading of its group.
    group : str
        Which group it belongs to.
    kind : Kind or None
        What kind of quantity it is; None for a share, a word, or what a workshop would not put into its own units.
    read : callable
        Takes it from a run.
    name : str
        What it is called by itself, in a sentence; empty if that is the label in small letters.
    means : str
        What it means for the maker, where that needs saying.
    grid : {"converges", "jumps"} or None
        Whether its numerical error can be bounded from a coarser run, or whether it jumps from grid to grid; None if
        nobody asks.
    compared : bool
        Whether it is followed from run to run: through a spread, from one model of the melt to another.
    form : {"number", "words", "yes or no"}
        What its value is.
    may_lack : bool
        Whether a run that ended well may lack it, besides the times of a skin and of setting.
    tells_from : float or None
        Least difference between two runs that means something, for an answer of which less is better [its unit]; None
        where neither less nor more is better.
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
        """Take it from a run; what belongs to the top is None until all has set."""
        return None if self.group == "top" and run.events.fully_set is None else self.read(run)
