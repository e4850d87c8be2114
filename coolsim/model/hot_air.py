"""Hot air on the top of a jar that has set: which laws hold while it blows, and how the wax melts under it."""

from __future__ import annotations

from dataclasses import dataclass, replace

from coolsim.model.freezing import on_heating
from coolsim.model.problem import Boundary, Problem
from coolsim.model.properties import Wax

TOP, GLASS_ABOVE, RIM = "wax surface", "glass above the wax", "rim"
"""Faces that the hot air meets, by the names of their laws."""

FILMS = (60.0, 120.0)
"""What laws of jets on plates give for a nozzle of 30 mm, from memory [W/m2/K]."""


@dataclass(frozen=True, slots=True, kw_only=True)
class HotAir:
    """Hot air that is blown on a set top, and how long.

    Parameters
    ----------
    air : float
        Temperature of the air where it meets the wax; at the nozzle it is hotter [°C].
    film : float
        Film coefficient on the wax [W/m2/K].
    on_glass : float
        How much of that film the brim, and the glass above the wax, get [-].
    stirring : float
        How much better the melt under the jet conducts than at rest, because the jet drags it along [-].
    runs_from : float
        Least depth of melt that runs level by itself [m].
    longest : float
        Longest time for which the air is blown [s].
    hot_to_touch : float
        Glass from here on burns the hand that holds it [°C].

    Examples
    --------
    >>> from coolsim import HotAir
    >>> HotAir(air=150.0).longest
    300.0
    """

    air: float = 200.0
    film: float = 80.0
    on_glass: float = 0.5
    stirring: float = 3.0
    runs_from: float = 1e-3
    longest: float = 300.0
    hot_to_touch: float = 51.0


def under_hot_air(problem: Problem, hot: HotAir) -> Problem:
    """State the problem of a bare jar while hot air is blown on its top.

    Its wax follows the melting curve, the jet stirs the melt, and the faces that the air meets have its film.
    """
    films = {TOP: hot.film, GLASS_ABOVE: hot.on_glass * hot.film, RIM: hot.on_glass * hot.film}

    def blown(law: Boundary) -> Boundary:
        return replace(law, film=films[law.name], air=hot.air) if law.name in films else law

    blocks = tuple(
        replace(block, material=on_heating(block.material)) if isinstance(block.material, Wax) else block
        for block in problem.section.blocks
    )
    return replace(
        problem,
        section=replace(problem.section, blocks=blocks),
        boundaries=tuple(blown(law) for law in problem.boundaries),
        melt=replace(problem.melt, mixing="effective", conductivity_factor=hot.stirring),
        stop_when_cool=False,
    )
