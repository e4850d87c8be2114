"""What a scenario says, in a few lines, so that a misunderstanding shows before a run."""

from __future__ import annotations

from coolsim.model.jar import Jar, support_in_words
from coolsim.report.wording import difference_text, length_text, temperature_text
from coolsim.scenario import Scenario
from coolsim.units import System, format_quantity


def scenario_summary(scenario: Scenario, *, units: System | None = None) -> tuple[str, ...]:
    r"""Describe a scenario, in its own units if none are given: the jar, its surroundings, and what is noteworthy.

    Examples
    --------
    >>> from coolsim.scenario import built_in_pair
    >>> print(*scenario_summary(built_in_pair()[1])[:2], sep="\n")
    Tumbler, one of six in an open box: 78 mm × 86 mm, glass; 59.4 mm of ... poured at 65 °C.
    In an open box, neighbours on 2 sides, gap 12 mm, ... runs for 24:00 h at most.
    """
    jar, system = scenario.jar, units or scenario.units
    return (_fill(scenario.title, jar, system), _surroundings(jar, system), *noteworthy(scenario, system))


def noteworthy(scenario: Scenario, units: System) -> tuple[str, ...]:
    """Say what is dangerous in a scenario as it is stated; mostly nothing."""
    jar = scenario.jar
    start, limit = _jar_start(jar), jar.vessel.shock_limit
    steps = [("wax", jar.pour - start, "hotter", "warm the jar or pour cooler")]
    if jar.water is not None:
        step = start - jar.water.temperature
        warmth = "colder" if step > 0.0 else "hotter"
        steps.append(("water", abs(step), warmth, f"take {'warmer' if step > 0.0 else 'cooler'} water"))
    return tuple(
        f"Note: the {what} is {difference_text(step, units)} {warmth} than the jar, more than the shock limit of"
        f" {difference_text(limit, units)} (vessel.shock_limit); {advice}."
        for what, step, warmth, advice in steps
        if step > limit
    )


def _fill(title: str, jar: Jar, system: System) -> str:
    vessel = jar.vessel
    size = f"{length_text(vessel.diameter, system)} × {length_text(vessel.height, system)}"
    return (
        f"{title}: {size}, {vessel.material.name}; {length_text(jar.depth, system)} of {jar.wax.name}, poured at"
        f" {temperature_text(jar.pour, system)}."
    )


def _surroundings(jar: Jar, system: System) -> str:
    box, water = jar.surround, jar.water
    place = "Bare"
    if water is not None:
        place = (
            f"In water at {temperature_text(water.temperature, system)}, {length_text(water.depth, system)} up the jar"
        )
    if box is not None:
        kind = "a closed box" if box.flaps == "closed" else "an open box"
        places = jar.places
        beside = 4 - box.exposed_sides
        jars = (
            (f"neighbours on {beside} {'side' if beside == 1 else 'sides'}, " if beside else "")
            if places is None
            else f"{places.jars} jars in {places.rows} × {places.columns} places, mean "
        )
        place = f"In {kind}, {jars}gap {length_text(box.gap, system)}, headroom {length_text(box.headroom, system)}"
    horizon = format_quantity(jar.horizon, "duration")
    course = " at the pour, by the clock after that" if callable(jar.room.temperature) else ""
    room = f"{temperature_text(jar.room.at(0.0), system)}{course}"
    return (
        f"{place}; on {support_in_words(jar.support, system)}; room at {room}; runs for {horizon} h at most."
        f"{_on_the_way(jar)}"
    )


def _on_the_way(jar: Jar) -> str:
    told = ", ".join(f"{one.happens} at {format_quantity(one.time, 'duration')}" for one in jar.changes)
    return f" On the way: {told}." if told else ""


def _jar_start(jar: Jar) -> float:
    return jar.room.at(0.0) if jar.vessel.start is None else jar.vessel.start
