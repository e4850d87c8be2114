r"""How much to weigh and to lay out for a batch of jars, in how many melts, and what it costs.

A jar is filled with hot liquid, so its mass is that of the volume filled at the density of the liquid at the pour.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from coolsim.model.batch import Batch, Prices
from coolsim.model.freezing_curve import temperature_at
from coolsim.model.materials import poured_density
from coolsim.model.properties import Wax
from coolsim.model.softness import Softness
from coolsim.scenario import Scenario
from coolsim.studies.workshop.portions import Portion, jars_filled, net_weight, portions, required_batch
from coolsim.units import System, format_quantity


@dataclass(frozen=True, slots=True, kw_only=True)
class Filled:
    """What a given melt fills: wax and its oil [kg], jars [-], and the mix left over besides `left_behind` [kg]."""

    wax: float
    oil: float
    jars: int
    left: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Cost:
    """What a batch costs, and a jar of it [-], in a currency that may have no name; `left_out` has no price."""

    currency: str
    batch: float
    jar: float
    left_out: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Amounts:
    """Wax, oil and wicks of a batch.

    Parameters
    ----------
    jars : int
        How many jars are filled [-].
    load : float
        Mass of oil in the mass of the mix [-].
    load_of_wax : float
        The same oil as a share of the mass of the wax alone, as makers often state it [-].
    allowed : (float, float)
        Least and highest load that the supplier allows, mass of oil in the mass of the mix [-].
    net_weight, wax_each, oil_each : float
        Mass of the mix in one jar, and of the wax and the oil in it [kg].
    wax, oil, mix : float
        Mass to weigh for all jars, with what stays in the pitcher after each melt [kg].
    left_behind : float
        Mass of the mix that stays in the pitcher, of all melts together [kg].
    density : float
        Density of the liquid at the pour [kg/m3].
    fill_volume, brim_volume : float
        Volume of the hot wax in a jar, and of the jar up to its rim [m3].
    level_at_pour, rim : float
        Height of the hot wax, and of the brim, over the inside of the base [m].
    level_set : float
        Mean height of the wax once it has set [m].
    wicks : int
        How many wicks there are in all jars [-].
    wick : float
        How long each of them is cut [m].
    portions : tuple of Portion
        Which jars each melt fills, and what is weighed for it.
    cost : Cost or None
        What the batch costs; None if the scenario states no price.
    filled : Filled or None
        What the melt that the scenario states fills; None if it states none.
    warnings : tuple of str
        What the reader should know, in sentences.

    Examples
    --------
    >>> from coolsim import amounts, built_in_pair, with_overrides
    >>> six = amounts(with_overrides(built_in_pair()[0], {"batch.jars": 6, "batch.left_behind": "20 g"}))
    >>> round(1e3 * six.net_weight), round(1e3 * six.wax), round(1e3 * six.oil)
    (208, 1164, 101)
    """

    jars: int
    load: float
    load_of_wax: float
    allowed: tuple[float, float]
    net_weight: float
    wax_each: float
    oil_each: float
    wax: float
    oil: float
    mix: float
    left_behind: float
    density: float
    fill_volume: float
    brim_volume: float
    level_at_pour: float
    rim: float
    level_set: float
    wicks: int
    wick: float
    portions: tuple[Portion, ...]
    cost: Cost | None
    filled: Filled | None
    warnings: tuple[str, ...]


def amounts(scenario: Scenario, *, units: System | None = None) -> Amounts:
    """Work out what a batch takes.

    Parameters
    ----------
    scenario : Scenario
        A scenario with a table `batch`.
    units : {"metric", "us"}, optional
        Units of the warnings; those of the scenario if left out.

    Returns
    -------
    Amounts
        Masses, volumes and levels.

    Raises
    ------
    ScenarioError
        If the scenario says nothing about a batch.

    Notes
    -----
    With a load w of oil in the mix, a mass of wax W goes with W w/(1 − w) of oil. After setting the wax stands lower
    by what it loses until suction moves it no more; what it loses after that stays in it as void.

    Examples
    --------
    >>> from coolsim import amounts, built_in_pair, with_overrides
    >>> melt = amounts(with_overrides(built_in_pair()[0], {"batch.melt": "1 kg"})).filled
    >>> melt.jars, round(1e3 * melt.left)
    (5, 39)
    """
    batch = required_batch(scenario)
    jar, load, wick = scenario.jar, batch.load, scenario.wick
    density = poured_density(jar.wax, jar.pour)
    area = math.pi * jar.vessel.inner_radius**2
    net = net_weight(scenario)
    rim = jar.vessel.height - jar.vessel.base
    melts = portions(scenario)
    left_behind = len(melts) * batch.left_behind
    mix = batch.jars * net + left_behind
    wicks = batch.jars * wick.number
    return Amounts(
        jars=batch.jars,
        load=load,
        load_of_wax=load / (1.0 - load),
        allowed=(batch.lowest_load, batch.highest_load),
        net_weight=net,
        wax_each=net * (1.0 - load),
        oil_each=net * load,
        wax=mix * (1.0 - load),
        oil=mix * load,
        mix=mix,
        left_behind=left_behind,
        density=density,
        fill_volume=area * jar.depth,
        brim_volume=jar.vessel.brimful,
        level_at_pour=jar.depth,
        rim=rim,
        level_set=jar.depth * _share_left(jar.wax, jar.melt.softness, jar.pour),
        wicks=wicks,
        wick=wick.length(level=jar.depth, rim=rim),
        portions=melts,
        cost=_cost(scenario.prices, wax=mix * (1.0 - load), oil=mix * load, jars=batch.jars, wicks=wicks),
        filled=None if batch.melt is None else _filled(batch, batch.melt, net),
        warnings=tuple(_warnings(batch, net, units or scenario.units)),
    )


def _share_left(wax: Wax, softness: Softness, pour: float) -> float:
    """Share of the depth that is left when suction moves no more wax; what it loses after that is missing inside."""
    liquid = softness.liquid_at(softness.feeds_below)
    hot, stiff = wax.volume.density(
        np.array([pour, temperature_at(wax.freezing, liquid)]), np.array([wax.liquid_at(pour), liquid])
    )
    return float(hot / stiff)


def _filled(batch: Batch, melt: float, net: float) -> Filled:
    oil = melt * batch.load / (1.0 - batch.load)
    jars = jars_filled(batch, melt, net)
    return Filled(wax=melt, oil=oil, jars=jars, left=max(melt + oil - batch.left_behind - jars * net, 0.0))


def _cost(prices: Prices, *, wax: float, oil: float, jars: int, wicks: int) -> Cost | None:
    used = {"wax": (prices.wax, wax), "fragrance oil": (prices.fragrance, oil), "jars": (prices.jar, jars)}
    used |= {"wicks": (prices.wick, wicks), "lids": (prices.lid, jars), "labels": (prices.label, jars)}
    known = [price * amount for price, amount in used.values() if price is not None]
    if not known:
        return None
    batch = sum(known)
    left_out = tuple(name for name, (price, amount) in used.items() if price is None and amount)
    return Cost(currency=prices.currency, batch=batch, jar=batch / jars, left_out=left_out)


def _warnings(batch: Batch, net: float, units: System) -> list[str]:
    def show(mass: float) -> str:
        return format_quantity(mass, "mass", system=units)

    found = []
    if 0.0 < batch.load < batch.lowest_load:
        low, least = (format_quantity(one, "fraction") for one in (batch.load, batch.lowest_load))
        found.append(f"{low} of oil in the mix is less than the lowest load, {least} (batch.lowest_load).")
    if batch.melt is not None and not jars_filled(batch, batch.melt, net):
        needed = (net + batch.left_behind) * (1.0 - batch.load)
        found.append(f"the melt of {show(batch.melt)} fills no jar: one needs {show(needed)} of wax.")
    return found
