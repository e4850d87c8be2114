"""How long wax takes in a water bath: until all has melted, until the oil may be added, and down to the pour."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from coolsim.errors import ScenarioError, SolverError
from coolsim.model.bath import Bath, MeltingWax, fill_of, melting_wax
from coolsim.model.films import film_on_face_down, film_on_face_up, film_on_upright_wall
from coolsim.model.materials import liquid_density
from coolsim.model.radiation import radiation_film
from coolsim.model.section import Array
from coolsim.scenario import Scenario
from coolsim.studies.workshop.amounts import amounts
from coolsim.units import System, format_quantity

LONGEST = 24 * 3600.0
"""How long is waited for the wax at most [s]."""

_FIRST_MELT = 0.002
_LEAST_HEIGHT = 1e-3
_ROWS = 241
_HOTTER = 1.0
_RELATIVE, _ABSOLUTE = 1e-7, 1e-6


@dataclass(frozen=True, eq=False, slots=True, kw_only=True)
class Melting:
    """A melt from the flakes to the pour.

    Parameters
    ----------
    scenario : Scenario
        The scenario.
    bath : Bath
        Pitcher and water.
    wax, oil : float
        Mass of wax, and of the oil that it gets [kg].
    clear : float
        Clear point of the wax without oil [°C].
    time : (nt,) ndarray
        Since the pitcher was put into the water [s].
    temperature, water : (nt,) ndarray
        Temperatures of the melt, and of what lies round the pitcher [°C].
    melted : (nt,) ndarray
        Share of the wax that has melted [-].
    level : (nt,) ndarray
        Height of wax in the pitcher, flakes included [m].
    all_melted, oil_at, stirred, pour : float
        When the last wax has melted, the oil is added, it is stirred in, and the wax has the temperature of the pour
        [s].
    after_oil : float
        Temperature once the oil is in [°C].
    warnings : tuple of str
        What the reader should know, in sentences.

    Examples
    --------
    >>> from coolsim import built_in_pair, melt_batch, with_overrides
    >>> six = with_overrides(built_in_pair()[0], {"batch.jars": 4})
    >>> found = melt_batch(six)
    >>> found.all_melted < found.oil_at < found.stirred < found.pour
    True
    """

    scenario: Scenario
    bath: Bath
    wax: float
    oil: float
    clear: float
    time: Array
    temperature: Array
    water: Array
    melted: Array
    level: Array
    all_melted: float
    oil_at: float
    stirred: float
    pour: float
    after_oil: float
    warnings: tuple[str, ...]


def melt_batch(scenario: Scenario, *, units: System | None = None) -> Melting:
    """Melt the wax of a batch, add the oil, and let it cool to the pour.

    Parameters
    ----------
    scenario : Scenario
        A scenario with a table `batch`.
    units : {"metric", "us"}, optional
        Units of messages; those of the scenario if left out.

    Returns
    -------
    Melting
        Times and curves.

    Raises
    ------
    ScenarioError
        If the scenario says nothing about a batch, or the water never melts the wax or brings it to the temperature of
        the oil, the flakes do not fit the pitcher, or the wax with the oil is colder than the pour.
    SolverError
        If it takes more than a day.

    Notes
    -----
    Melt and flakes have one temperature each (`coolsim.model.bath`); `scipy.integrate.solve_ivp` follows them. That is
    an estimate: it depends on the film of the water, on how flakes lie, and on stirring. After the oil is in, the
    pitcher stands in the still air of the room on something that takes no heat, and its wax, just stirred, has one
    temperature.

    Examples
    --------
    >>> from coolsim import built_in_pair, melt_batch, with_overrides
    >>> batch = with_overrides(built_in_pair()[0], {"batch.melt": "900 g"})
    >>> hour = melt_batch(batch).oil_at / 3600.0
    >>> 0.4 < hour < 1.5
    True
    """
    system: System = scenario.units if units is None else units
    weighed = amounts(scenario, units=system)
    bath, jar = scenario.bath, scenario.jar
    filled = weighed.filled
    wax, oil = (weighed.wax, weighed.oil) if filled is None else (filled.wax, filled.oil)
    melting = melting_wax(scenario.plain_wax)
    room = jar.room.at(0.0)
    _refuse(scenario, bath, melting, wax, system)
    start = room if bath.start is None else bath.start
    time, masses, temperature = _melt(bath, melting, wax, start, room)
    reached = float(time[-1])
    after_oil = _mixed(melting, wax, float(temperature[-1]), oil, start, bath)
    if after_oil < jar.pour:
        raise ScenarioError(
            f"{scenario.where}: melting.oil_at: found {_shown(bath.oil_at, system)}, but with the cold oil in it the"
            f" wax has {_shown(after_oil, system)}, less than the pour at {_shown(jar.pour, system)}. Add the oil to"
            " hotter wax, as far as its sheet allows, or pour colder."
        )
    down = _cool(bath, melting, wax, oil, after_oil, room, jar.pour)
    whole = np.concatenate([time, reached + down[0]])
    melted = np.concatenate([1.0 - masses / wax, np.ones(len(down[0]))])
    levels = [fill_of(bath, melting, solid=mass, melt=wax - mass).level for mass in masses]
    gone = np.flatnonzero(masses <= 0.0)
    ready = reached + float(down[0][-1])
    stirred = reached + bath.stirred_for
    warnings = []
    if temperature[-1] > bath.oil_at + _HOTTER:
        warnings.append(
            f"When the last flakes have melted the melt round them has {_shown(float(temperature[-1]), system)}, more"
            f" than the {_shown(bath.oil_at, system)} for the oil: stir while it melts, or let it cool down first."
        )
    if ready < stirred:
        warnings.append(
            f"The wax has cooled to the pour, {_shown(jar.pour, system)}, before the oil is stirred in: warm the"
            " pitcher again, or add the oil to hotter wax."
        )
    around = [bath.at(one) for one in time]
    return Melting(
        scenario=scenario,
        bath=bath,
        wax=wax,
        oil=oil,
        clear=melting.clear,
        time=whole,
        temperature=np.concatenate([temperature, down[1]]),
        water=np.concatenate([around, np.full(len(down[0]), room)]),
        melted=melted,
        level=np.concatenate([levels, np.full(len(down[0]), levels[-1])]),
        all_melted=float(time[gone[0]]),
        oil_at=reached,
        stirred=stirred,
        pour=max(ready, stirred),
        after_oil=after_oil,
        warnings=tuple(warnings),
    )


def _shown(celsius: float, system: System) -> str:
    return format_quantity(celsius, "temperature", system=system)


def _refuse(scenario: Scenario, bath: Bath, melting: MeltingWax, wax: float, system: System) -> None:
    where, hottest = scenario.where, bath.hottest_water
    if hottest <= melting.clear:
        raise ScenarioError(
            f"{where}: melting.water: found {_shown(hottest, system)} at most, but this wax is clear only at"
            f" {_shown(melting.clear, system)} (wax.clear_point): it never melts. Give hotter water."
        )
    if bath.oil_at <= melting.clear:
        raise ScenarioError(
            f"{where}: melting.oil_at: found {_shown(bath.oil_at, system)}, not above the clear point of the wax,"
            f" {_shown(melting.clear, system)}. Give a hotter one."
        )
    if bath.water[-1][1] <= bath.oil_at:
        raise ScenarioError(
            f"{where}: melting.water: found {_shown(bath.water[-1][1], system)} at the end, not above the"
            f" {_shown(bath.oil_at, system)} at which the oil is added (melting.oil_at): the wax never gets there. Give"
            " hotter water."
        )
    batch = scenario.batch
    hottest_oil = None if batch is None or not batch.load else batch.hottest_oil
    if hottest_oil is not None and bath.oil_at > hottest_oil:
        raise ScenarioError(
            f"{where}: melting.oil_at: found {_shown(bath.oil_at, system)}, nearer to the flash point of the oil than"
            f" batch.flash_margin allows. Give at most {_shown(hottest_oil, system)}."
        )
    limits = [limit for name, limit in scenario.pour_limits.items() if name == "wax.highest_temperature"]
    if limits and bath.oil_at > min(limits):
        raise ScenarioError(
            f"{where}: melting.oil_at: found {_shown(bath.oil_at, system)}, above wax.highest_temperature,"
            f" {_shown(min(limits), system)}. Give a colder one."
        )
    level = fill_of(bath, melting, solid=wax, melt=0.0).level
    if level > bath.height:
        most = wax * bath.height / level
        raise ScenarioError(
            f"{where}: melting.pitcher_height: found {format_quantity(bath.height, 'length', system=system)}, but"
            f" {format_quantity(wax, 'mass', system=system)} of flakes are heaped"
            f" {format_quantity(level, 'length', system=system)} high. Give a larger pitcher, or melt at most"
            f" {format_quantity(most, 'mass', system=system)} at once."
        )


def _melt(bath: Bath, melting: MeltingWax, wax: float, start: float, room: float) -> tuple[Array, Array, Array]:
    """Follow flakes and melt until the temperature of the oil; give times, mass of flakes, temperature of the melt.

    Equation (43) of `coolsim.theory`.
    """
    to_clear, capacity = melting.to_clear(start), melting.wax.heat_capacity_liquid

    def heap_film(melt: float, height: float) -> float:
        return bath.stirred_film if bath.stirring else melting.film(melting.clear, melt, height)

    def into_melt(time: float, melt: float, wetted: float) -> float:
        water = bath.at(time)
        inside = bath.stirred_film if bath.stirring else melting.film(water, melt, max(wetted, _LEAST_HEIGHT))
        wet = bath.floor + np.pi * bath.diameter * min(wetted, bath.water_depth)
        return float(wet * (water - melt) / (1.0 / bath.water_film + 1.0 / inside))

    def with_flakes(time: float, state: Array) -> list[float]:
        solid, melt = float(state[0]), float(state[1])
        liquid = wax - solid
        fill = fill_of(bath, melting, solid=max(solid, 0.0), melt=liquid)
        dry = np.pi * bath.diameter * max(min(fill.level, bath.water_depth) - fill.wetted, 0.0)
        touched = dry * max(bath.at(time) - melting.clear, 0.0) / (1.0 / bath.water_film + 1.0 / bath.contact)
        given = fill.heap * heap_film(melt, max(fill.wetted, _LEAST_HEIGHT)) * (melt - melting.clear)
        melting_off = (given + touched) / to_clear
        # What runs off the heap is at the clear point and cools the melt down to it.
        gained = into_melt(time, melt, fill.wetted) - given - melting_off * capacity * (melt - melting.clear)
        return [-melting_off, gained / (liquid * capacity)]

    full = fill_of(bath, melting, solid=0.0, melt=wax).wetted

    def without(time: float, state: Array) -> list[float]:
        melt = float(state[0])
        above = film_on_face_up(melt, room, diameter=bath.diameter) + radiation_film(melt, room, emissivity=0.9)
        lost = bath.floor * above * (melt - room)
        return [(into_melt(time, melt, full) - lost) / (wax * capacity)]

    def gone(_: float, state: Array) -> float:
        return float(state[0]) - _FIRST_MELT * wax

    def hot(_: float, state: Array) -> float:
        return float(state[0]) - bath.oil_at

    # A trace of melt lies on the base at first; a trace of flakes is none.
    time, states = _follow(with_flakes, [wax * (1.0 - _FIRST_MELT), melting.clear], gone)
    mass, temperature = states[0].copy(), states[1]
    mass[-1] = 0.0
    if temperature[-1] >= bath.oil_at:
        return time, mass, temperature
    later, heated = _follow(without, [float(temperature[-1])], hot, begins=float(time[-1]))
    return (
        np.concatenate([time, later[1:]]),
        np.concatenate([mass, np.zeros(len(later) - 1)]),
        np.concatenate([temperature, heated[0, 1:]]),
    )


def _cool(
    bath: Bath, melting: MeltingWax, wax: float, oil: float, start: float, room: float, pour: float
) -> tuple[Array, Array]:
    """Follow the pitcher in the air of the room down to the pour; give times and temperatures."""
    capacity = wax * melting.wax.heat_capacity_liquid + oil * bath.oil_heat_capacity
    height = (wax + oil) / liquid_density(melting.wax, start) / bath.floor

    def rate(_: float, state: Array) -> list[float]:
        hot = float(state[0])
        side = film_on_upright_wall(hot, room, height=height, diameter=bath.diameter)
        side += radiation_film(hot, room, emissivity=bath.emissivity)
        top = film_on_face_up(hot, room, diameter=bath.diameter) + radiation_film(hot, room, emissivity=0.9)
        below = film_on_face_down(hot, room, diameter=bath.diameter)
        loss = np.pi * bath.diameter * height * side + bath.floor * (top + below)
        return [-loss * (hot - room) / capacity]

    def there(_: float, state: Array) -> float:
        return float(state[0]) - pour

    if start <= pour:
        return np.array([0.0]), np.array([start])
    time, states = _follow(rate, [start], there)
    return time, states[0]


def _mixed(melting: MeltingWax, wax: float, hot: float, oil: float, cold: float, bath: Bath) -> float:
    """Temperature of wax with oil in it [°C]."""
    of_wax, of_oil = wax * melting.wax.heat_capacity_liquid, oil * bath.oil_heat_capacity
    return (of_wax * hot + of_oil * cold) / (of_wax + of_oil)


def _follow(
    rates: Callable[[float, Array], list[float]],
    state: list[float],
    until: Callable[[float, Array], float],
    *,
    begins: float = 0.0,
) -> tuple[Array, Array]:
    """Follow an equation until something is zero; give times and states, the end among them."""

    def event(time: float, state: Array) -> float:
        return until(time, state)

    event.terminal = True  # type: ignore[attr-defined]
    # It takes a quarter of a second to load, and most who ask for this module melt nothing.
    from scipy.integrate import solve_ivp

    found = solve_ivp(
        rates, (begins, begins + LONGEST), state, method="LSODA", events=event, dense_output=True, rtol=_RELATIVE,
        atol=_ABSOLUTE,
    )  # fmt: skip
    if not found.success or not len(found.t_events[0]):
        raise SolverError("the wax takes more than a day in this bath; give hotter or deeper water, or less wax")
    end = float(found.t_events[0][0])
    time = np.linspace(begins, end, _ROWS)
    states: Array = found.sol(time)
    return time, states
