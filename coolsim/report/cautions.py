"""What can hurt in a candle workshop, and what the figures rest on."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Literal

from coolsim.report.text.runs import TitledRun
from coolsim.report.wording import difference_text, temperature_text
from coolsim.scenario import Scenario
from coolsim.units import System

Topic = Literal[
    "who comes first", "burns", "alone", "bath", "fire", "flash points", "shock", "hot air", "board", "still"
]


def cautions(
    runs: Sequence[TitledRun], scenarios: Sequence[Scenario], *, units: System, topics: Sequence[Topic] | None = None
) -> tuple[str, ...]:
    """List what can hurt with these jars, one scenario for each run, or only some topics; the gravest first.

    Common practice, no source; codes and data sheets come before it.
    """
    told: dict[Topic, str] = {
        "who comes first": "Local codes and the data sheets of the suppliers of wax, fragrance, glass and heater"
        " prevail over everything on these pages.",
        "burns": "Hot wax burns skin and sticks to it. Wear closed shoes and long sleeves; cool a burn at once under"
        " running water, and have it seen by a doctor. Keep children and animals away.",
        "alone": "Never leave melting wax alone, not for a minute.",
        "bath": "Melt in a water bath with a thermometer in the wax, never over an open flame or straight on a hot"
        " plate. Do not let the bath run dry, and let no water get into the wax.",
        "fire": "Never put out a wax fire with water: water makes it burst. Switch the heat off, cover it with a lid"
        " or a fire blanket, get out and call for help if it goes on.",
        "flash points": f"Keep wax and fragrance well below their flash points. {_limits(scenarios, units)}",
        "shock": _shock(runs, units),
        "hot air": "Hot air on a set top melts wax in seconds, and heats the glass and the board as well: keep it"
        " moving, keep it off cardboard, never point it at a cracked jar, and let all cool before you touch it.",
        "board": "Cardboard burns. Keep boxes away from hobs and flames, and never light a candle in its box.",
        "still": "Do not carry a jar whose wax is still soft inside, even if its top looks firm.",
    }
    return tuple(told[topic] for topic in (told if topics is None else topics))


def _limits(scenarios: Sequence[Scenario], units: System) -> str:
    names = {"wax.highest_temperature": "the wax", "wax.fragrance_limit": "the fragrance"}
    limits: dict[str, None] = {}
    for scenario in scenarios:
        for key, limit in scenario.pour_limits.items():
            limits[f"{temperature_text(limit, units)} for {names[key]}"] = None
        if scenario.batch is not None and scenario.batch.flash_point is not None:
            limits[f"{temperature_text(scenario.batch.flash_point, units)} as the flash point of the oil"] = None
    if not limits:
        return "This scenario states no limit of theirs: take them from the data sheets before you heat anything."
    return f"The limits that this scenario states: {', '.join(limits)}; check them against the data sheets."


def _shock(runs: Sequence[TitledRun], units: System) -> str:
    limits = (run.jar.vessel.shock_limit for run in runs if run.jar is not None)
    told = dict.fromkeys(difference_text(limit, units) for limit in limits if limit is not None)
    if not told:
        return "Metal gets as hot as the wax at once: do not touch a tin that has just been filled."
    return (
        "Hot wax can crack cold glass. The limit taken here is"
        f" {' or '.join(told)} between wax and jar; ask the maker of the glass. Throw away chipped jars, warm the"
        " others, and stand them on something dry and not cold."
    )
