"""What a scenario says, in a few lines, so that a misunderstanding shows before a run."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from coolsim.answers.answer import Value
from coolsim.model.freezing_curve import temperature_at
from coolsim.model.jar import Jar, support_in_words
from coolsim.model.softness import BUOYANT_STRESS
from coolsim.report.blocks import Column, Table
from coolsim.report.text.limits import breach_notes
from coolsim.report.wording import difference_text, length_text, temperature_text
from coolsim.scenario import Scenario
from coolsim.units import System, format_quantity

_GRAVITY = 9.81
_DIP = 1e-3
_ROUND_OFF = 1e-9

NEAR_BRIM = 3e-3
"""Hot wax that stands closer to the brim than this [m] is warned of: common practice, no source."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Gives:
    """What half-frozen wax gives way to.

    It does above the liquid share `liquid` [-], which freezing wax has at `temperature` [°C]; `stress` is what moves it
    [Pa], None where a key states the share; `keys` change it.
    """

    what: str
    liquid: float
    temperature: float
    stress: float | None
    keys: tuple[str, ...]


def softness_of(scenario: Scenario) -> tuple[Gives, ...]:
    """Tell what the softness of the wax means for melt, top and jar, from the softest wax to the stiffest."""
    jar = scenario.jar
    melt, answers, wax = jar.melt, jar.answers, jar.wax

    def gives(what: str, stress: float, *keys: str, liquid: float | None = None) -> Gives:
        share = melt.softness.liquid_at(stress) if liquid is None else liquid
        return Gives(
            what=what,
            liquid=share,
            temperature=float(temperature_at(wax.freezing, share)),
            stress=stress if liquid is None else None,
            keys=keys,
        )

    found = [
        gives("Buoyancy: the melt circulates", BUOYANT_STRESS, "melt.flows_above", liquid=melt.flows_above),
        gives(f"A dip of {1e3 * _DIP:.0f} mm: it levels", _GRAVITY * wax.density * _DIP),
        gives("A fingertip on the top", answers.touch, "answers.touch"),
        gives("A leaning wick", answers.wick, "answers.wick"),
        gives("Being carried: it slops", answers.carry, "answers.carry"),
        gives("Suction: the top is drawn down", melt.softness.feeds_below, "mush.suction"),
    ]
    return tuple(found if melt.mixing != "none" else found[1:])


def softness_table(scenario: Scenario, *, units: System | None = None) -> Table:
    """Set the same as a table, under the law that it comes from."""
    system, law = units or scenario.units, scenario.jar.melt.softness
    stiffness, gels_at = format_quantity(law.stiffness, "pressure"), format_quantity(law.gels_at, "fraction")
    return Table(
        title=f"How soft the wax is: yield stress {stiffness} × (solid share - {gels_at}) ^ {law.exponent:g} ([mush])",
        columns=(Column(width=33), *[Column(width=9, right=True)] * 3, Column(width=17)),
        headings=("  It gives way to", "liquid\nabove", "that is\nabove", "stress", "changed by"),
        rows=tuple(
            (
                f"  {one.what}",
                format_quantity(one.liquid, "fraction"),
                temperature_text(one.temperature, system, digits=1),
                "as stated" if one.stress is None else format_quantity(one.stress, "pressure"),
                ", ".join(one.keys),
            )
            for one in softness_of(scenario)
        ),
        gap=1,
    )


def softness_data(scenario: Scenario) -> list[dict[str, Any]]:
    """Give the same as plain data."""
    return [
        {
            "what": one.what,
            "liquid_above": one.liquid,
            "temperature_above_C": one.temperature,
            "stress_Pa": one.stress,
            "keys": list(one.keys),
        }
        for one in softness_of(scenario)
    ]


def scenario_summary(
    scenario: Scenario, *, units: System | None = None, answers: Sequence[Mapping[str, Value]] = ()
) -> tuple[str, ...]:
    r"""Describe a scenario, in its own units if none are given: the jar, its surroundings, and what is noteworthy.

    Examples
    --------
    >>> from coolsim.scenario import built_in_pair
    >>> print(*scenario_summary(built_in_pair()[1])[:2], sep="\n")
    Tumbler, one of six in an open box: 78 mm × 86 mm, glass; 59.4 mm of ... poured at 60 °C. ...
    In an open box, neighbours on 2 sides, gap 12 mm, ... runs for 24:00 h at most.
    """
    jar, system = scenario.jar, units or scenario.units
    return (
        _fill(scenario.title, jar, system),
        _surroundings(jar, system),
        *noteworthy(scenario, system, answers=answers),
    )


def noteworthy(scenario: Scenario, units: System, *, answers: Sequence[Mapping[str, Value]] = ()) -> tuple[str, ...]:
    """Say what is dangerous in a scenario, and in the answers of its runs if they are there; mostly nothing."""
    jar = scenario.jar
    limit = jar.vessel.shock_limit
    told = list(breach_notes(jar, stated=scenario.pour_limits, answers=answers, units=units))
    step = 0.0 if jar.water is None else jar.vessel_start - jar.water.temperature
    if limit is not None and abs(step) > limit:
        warmth, advice = ("colder", "warmer") if step > 0.0 else ("hotter", "cooler")
        told.append(
            f"Note: the water is {difference_text(abs(step), units)} {warmth} than the jar, more than the shock limit"
            f" of {difference_text(limit, units)} (vessel.shock_limit); take {advice} water."
        )
    if jar.headspace < NEAR_BRIM - _ROUND_OFF:
        told.append(
            f"Note: the hot wax stands {length_text(jar.headspace, units)} below the brim, closer than"
            f" {length_text(NEAR_BRIM, units)}: it slops over. Pour less or take a taller jar."
        )
    return tuple(told)


def _fill(title: str, jar: Jar, system: System) -> str:
    vessel = jar.vessel
    size = f"{length_text(vessel.diameter, system)} × {length_text(vessel.height, system)}"
    return (
        f"{title}: {size}, {vessel.material.name}; {length_text(jar.depth, system)} of {jar.wax.name}, poured at"
        f" {temperature_text(jar.pour, system)}. Full to the brim it holds"
        f" {format_quantity(vessel.brimful, 'volume', system=system)}."
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
