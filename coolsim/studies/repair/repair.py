"""How long hot air must blow on a set top to level it and to open the cavity under it, and what comes of it."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np

from coolsim.answers.verdict import Band, Verdict, depth_band, verdict_of
from coolsim.errors import ScenarioError
from coolsim.model.hot_air import FILMS, HotAir
from coolsim.model.section import Array
from coolsim.overview import hours_minutes
from coolsim.scenario import Scenario, changed
from coolsim.scenario.plausible import states
from coolsim.solve.contraction import NEAR_AXIS, Shrinkage
from coolsim.solve.integrate import Progress
from coolsim.solve.result import Result
from coolsim.solve.together import simulate_jars
from coolsim.solve.wax_body import last_above
from coolsim.studies.repair.heating import Heating, heat, set_again
from coolsim.studies.repair.melted_top import melted_depth, reached, stands_over_melt

Goal = Literal["level", "open"]
"""What is to be reached: the dish levelled, the roof of the cavity melted through."""

_NO_VOLUME = 1e-15
_COOLER_BY = 10.0


@dataclass(frozen=True, slots=True, kw_only=True)
class RepairedTop:
    """The top after it has set again.

    Parameters
    ----------
    level : (m,) ndarray
        Height of the surface above the bottom of the wax, column by column [m].
    sunk : float
        How far the mean level lies below that of the top before, because melt has run into the cavity [m].
    dish, hole : float
        How far the level at half the radius lies below the rim, and the middle below that [m].
    verdict : str
        What the top is, in a word or two.
    cavity_volume : float
        Volume of the cavities that the melt hides as it sets again [m3].
    set_after, cool_after, touchable_after : float or None
        When the melt has set, when the wax is near the room and when no glass is hot to the touch, since the air was
        switched off [s]; None if the run ended before.

    Examples
    --------
    >>> from coolsim import built_in_pair, repair, with_overrides
    >>> quick = with_overrides(built_in_pair()[0], {"run.refinement": 0.5, "run.tolerance": "1 K"})
    >>> after = repair(quick).after
    >>> after.set_after < after.touchable_after < after.cool_after
    True
    """

    level: Array
    sunk: float
    dish: float
    hole: float
    verdict: Verdict
    cavity_volume: float
    set_after: float | None
    cool_after: float | None
    touchable_after: float | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Repair:
    """Hot air on the set top of a jar.

    Parameters
    ----------
    scenario : Scenario
        The jar.
    begins : float
        When the air is switched on, since the pour [s].
    before : Shrinkage
        The top and the cavity as they are then.
    band : (float, float)
        How deep its middle may be below its rim, with stiffer and with softer wax [m].
    verdict : str
        What the top is then, in a word or two.
    goals : tuple of {"level", "open"}
        What there is to repair.
    seconds : (nt,) ndarray
        Times since the air was switched on [s].
    r : (nr,) ndarray
        Middles of the columns [m].
    depth : (nt, nr) ndarray
        How deep each column has melted [m].
    surface : (nt,) ndarray
        Hottest place of the surface of the wax [°C].
    rim : (nt,) ndarray
        Brim of the vessel, where it meets the air [°C].
    across : (nt,) ndarray
        Rim minus coldest place of the vessel [K].
    levelled, opened : float or None
        When the melt levels the dish, and when it has reached the roof of the cavity [s]; None if that is no goal, or
        not within the longest time.
    reaches : float or None
        Smallest time that does all: what melt is left when the cavity has filled stands level [s]; None if the longest
        time does not.
    needed : float or None
        The same, if the wax stays below the flash point of its oil until then [s].
    too_hot : float or None
        When the surface gets hotter than wax with this oil may be [s]; None if not within the longest time, or if no
        flash point is stated.
    touch, shock : float or None
        When the brim gets hot to the touch, and when the glass differs by more than its shock limit [s]; None if not
        within the longest time. Metal has no shock.
    after : RepairedTop or None
        The top once it has set again after the smallest time; None if there is no such time.

    Examples
    --------
    >>> from coolsim import built_in_pair, repair, with_overrides
    >>> quick = with_overrides(built_in_pair()[0], {"run.refinement": 0.5, "run.tolerance": "1 K"})
    >>> found = repair(quick)
    >>> found.goals, 40.0 < found.needed < 60.0, found.after.verdict
    (('level',), True, 'flat')
    """

    scenario: Scenario
    begins: float
    before: Shrinkage
    band: Band
    verdict: Verdict
    goals: tuple[Goal, ...]
    seconds: Array
    r: Array
    depth: Array
    surface: Array
    rim: Array
    across: Array
    levelled: float | None
    opened: float | None
    reaches: float | None
    needed: float | None
    too_hot: float | None
    touch: float | None
    shock: float | None
    after: RepairedTop | None

    @property
    def hot_air(self) -> HotAir:
        """The air."""
        return self.scenario.hot_air

    @property
    def hottest_oil(self) -> float | None:
        """Hottest wax that its oil may meet [°C]; None if no flash point is stated or there is no oil."""
        return _hottest_oil(self.scenario)

    @property
    def depth_in_middle(self) -> Array:
        """Least melted depth of the columns within 5 mm of the axis, shape (nt,) [m]."""
        found: Array = self.depth[:, self.r <= max(NEAR_AXIS, self.r[0])].min(axis=1)
        return found

    @property
    def depth_at_glass(self) -> Array:
        """Melted depth of the outermost column, shape (nt,) [m]."""
        return self.depth[:, -1]

    @property
    def levels_from(self) -> float:
        """How far the highest place of the top stands over its mean: a melt this deep everywhere levels it [m]."""
        return float(self.before.level.max() - np.average(self.before.level, weights=self.before.area))


def repair(
    scenario: Scenario, *, known: Result | None = None, on_step: Callable[[Progress], None] | None = None
) -> Repair:
    """Blow hot air on the set top of a jar, and find how long that must last.

    Parameters
    ----------
    scenario : Scenario
        The jar, with its table `repair`. Of a box of jars that with the worst top is repaired, out of the box; after
        the changes of a day the jar stands on what it stands on in the end.
    known : Result, optional
        Its run, if there is one, of a box that of the jar to repair; it is run if left out.
    on_step : callable, optional
        Called with a `Progress` after each step of each run.

    Returns
    -------
    Repair
        Depths, temperatures, times, and the top after it has set again.

    Raises
    ------
    ScenarioError
        If the wax is not as solid as the room makes it when the run ends, or there is nothing to repair.

    Notes
    -----
    The run goes on where the cooling ended. Under the air the wax follows its melting curve, with the heat of its
    stable form (`coolsim.studies.repair.heating` says how that is counted), and the melt conducts better by
    `stirring`, since the jet drags it along; buoyancy does not stir what is heated from above. A melt levels the top
    where it is deep enough to run (`runs_from`) and covers the highest place. For the heat the cavity is wax: with
    air in it, its roof melts a little sooner. Melt that reaches the cavity fills it; pores
    below what melts stay.

    Examples
    --------
    >>> from coolsim import built_in_pair, repair, simulate, with_overrides
    >>> boxed = with_overrides(built_in_pair()[1], {"run.refinement": 0.5, "run.tolerance": "1 K"})
    >>> found = repair(boxed, known=simulate(boxed.jar))
    >>> found.touch < found.levelled
    True
    """
    jar = scenario.jar
    cooled = known
    if cooled is None:
        results = simulate_jars(jar, on_step=on_step)
        cooled = results[to_repair(results)]
    before, band = _set_top(scenario, cooled)
    verdict = verdict_of(before.dish, before.hole, jar.answers)
    goals = _goals(scenario, before)
    heating = heat(jar, cooled, scenario.hot_air, on_step=on_step)
    result = heating.result
    wax = result.required_wax()
    seconds = result.time - result.time[0]
    depth = melted_depth(result)
    rings = np.array([np.interp(before.r, wax.r, row) for row in depth])
    thin = scenario.hot_air.runs_from - depth.min(axis=1)
    over = [stands_over_melt(before.level, row, before.area) for row in rings]
    levelled = reached(seconds, np.maximum(over, thin)) if "level" in goals else None
    opened, reaches = None, levelled
    if "open" in goals and before.cavity_roof is not None:
        hollow = (before.cavity * wax.volume > _NO_VOLUME).any(axis=0)
        roof = before.cavity_roof - depth[:, hollow].min(axis=1)
        opened = reached(seconds, roof)
        filling = [stands_over_melt(before.level, row, before.area, run_off=before.cavity_volume) for row in rings]
        reaches = reached(seconds, np.maximum.reduce([roof, filling, thin]))
    surface = _surface(result)
    allowed = _hottest_oil(scenario)
    too_hot = None if allowed is None else reached(seconds, allowed - surface)
    across = heating.rim - heating.coldest
    limit = jar.vessel.shock_limit
    needed = None if reaches is None or (too_hot is not None and too_hot < reaches) else reaches
    return Repair(
        scenario=scenario,
        begins=float(result.time[0]),
        before=before,
        band=band,
        verdict=verdict,
        goals=goals,
        seconds=seconds,
        r=wax.r,
        depth=depth,
        surface=surface,
        rim=heating.rim,
        across=across,
        levelled=levelled,
        opened=opened,
        too_hot=too_hot,
        touch=reached(seconds, scenario.hot_air.hot_to_touch - heating.rim),
        shock=None if limit is None else reached(seconds, limit - across),
        reaches=reaches,
        needed=needed,
        after=None if needed is None else _after(scenario, before, heating, needed, goals, on_step),
    )


def to_repair(results: Sequence[Result]) -> int:
    """Find the jar of a box whose top is the worst, by index: the largest cavity, else the least flat one."""

    def worse(index: int) -> tuple[float, float]:
        top = results[index].shrinkage
        if top is None:
            return 0.0, 0.0
        hollow = top.cavity_volume >= results[index].answers.cavity_from
        return (top.cavity_volume if hollow else 0.0), max(abs(top.depth), abs(top.dish))

    return max(range(len(results)), key=worse) if len(results) > 1 else 0


def _hottest_oil(scenario: Scenario) -> float | None:
    batch = scenario.batch
    return None if batch is None or batch.load == 0.0 else batch.hottest_oil


def _set_top(scenario: Scenario, cooled: Result) -> tuple[Shrinkage, Band]:
    """Take the top, and how deep it may be; ScenarioError unless the wax is as solid as the room makes it."""
    ended = hours_minutes(float(cooled.time[-1]))
    top, events, band = cooled.shrinkage, cooled.events, depth_band(cooled)
    if top is None or band is None or events is None or events.solid_throughout is None:
        raise ScenarioError(
            f"{scenario.where}: not set: when the run ended, {ended} h after the pour, the wax was not yet as solid as"
            " its room makes it, and only a top that has set can be repaired. Give it more time (run.horizon) or a"
            " colder room."
        )
    return top, band


def _goals(scenario: Scenario, before: Shrinkage) -> tuple[Goal, ...]:
    answers = scenario.jar.answers
    goals: list[Goal] = []
    if verdict_of(before.dish, before.hole, answers) != "flat":
        goals.append("level")
    if before.cavity_volume >= answers.cavity_from:
        goals.append("open")
    if not goals:
        raise ScenarioError(
            f"{scenario.where}: nothing to repair: the top is flat within {1e3 * answers.flat_within:.1f} mm"
            f" (answers.flat_within) and hides less than {1e6 * answers.cavity_from:.1f} mL (answers.cavity_from)."
            " Leave it as it is, or ask for less."
        )
    return tuple(goals)


def _surface(result: Result) -> Array:
    """Hottest place of the surface of the wax, straight on from the two uppermost cells, shape (nt,) [°C]."""
    wax = result.required_wax()
    uppermost = result.temperatures(wax.cells[-2:])
    if len(wax.z) < 2:
        found: Array = uppermost[:, -1].max(axis=1)
        return found
    share = (wax.z_edges[-1] - wax.z[-1]) / (wax.z[-1] - wax.z[-2])
    hottest: Array = (uppermost[:, 1] + share * (uppermost[:, 1] - uppermost[:, 0])).max(axis=1)
    return hottest


def _after(
    scenario: Scenario,
    before: Shrinkage,
    heating: Heating,
    seconds: float,
    goals: tuple[Goal, ...],
    on_step: Callable[[Progress], None] | None,
) -> RepairedTop | None:
    jar = scenario.jar
    again = set_again(jar, heating, seconds, on_step=on_step)
    top, events = again.shrinkage, again.events
    if top is None or events is None:
        return None
    off = float(again.time[0])
    # What the melt gains by melting it loses again as it sets; what has run into the cavity, it has lost for good.
    filled = before.cavity_volume - top.cavity_volume if "open" in goals else -top.cavity_volume
    sunk = filled / float(before.area.sum())
    mean = float(np.average(before.level, weights=before.area)) - sunk
    glass = [index for index, part in enumerate(again.parts) if part == "glass"]
    hottest = again.temperatures(np.flatnonzero(np.isin(again.block, glass))).max(axis=1)
    touchable = float(last_above(again.time, hottest - scenario.hot_air.hot_to_touch))

    def since(time: float | None) -> float | None:
        return None if time is None or np.isnan(time) else time - off

    return RepairedTop(
        level=mean + top.level - float(np.average(top.level, weights=top.area)),
        sunk=sunk,
        dish=top.dish,
        hole=top.hole,
        verdict=verdict_of(top.dish, top.hole, jar.answers),
        cavity_volume=top.cavity_volume,
        set_after=since(events.fully_set),
        cool_after=since(events.cool),
        touchable_after=since(touchable),
    )


def over_films(found: Repair, cooled: Result) -> tuple[Repair, Repair] | None:
    """Repair the same top with the weakest and the strongest jet of `FILMS`; None if the scenario states its film."""
    if states(found.scenario, "repair.film"):
        return None
    weak, strong = (repair(changed(found.scenario, {"repair.film": film}), known=cooled) for film in FILMS)
    return weak, strong


def cooler_air(found: Repair, cooled: Result) -> Repair | None:
    """Find the hottest air, in steps of 10 K, that repairs the top while the wax stays below the flash point.

    None if none does within the longest time.
    """
    allowed = found.hottest_oil
    if allowed is None:
        return None
    # Air no hotter than that, or than the clear point, need not be tried: the one does no harm, the other no good.
    coldest = max(allowed, found.scenario.jar.wax.clear_point)
    best: Repair | None = None
    fewest, most = 1, math.ceil((found.hot_air.air - coldest) / _COOLER_BY) - 1
    while fewest <= most:
        middle = (fewest + most) // 2
        air = found.hot_air.air - middle * _COOLER_BY
        tried = repair(changed(found.scenario, {"repair.air": air}), known=cooled)
        if tried.needed is None and tried.too_hot is not None:
            fewest = middle + 1
        else:
            best, most = tried, middle - 1
    return None if best is None or best.needed is None else best
