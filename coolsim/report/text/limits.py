"""What a planned pour breaks and what mends it, in words: one home for every page that plans one."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from coolsim.answers.answer import Value
from coolsim.model.jar import Jar
from coolsim.report.wording import difference_text, temperature_text
from coolsim.studies.pour.limits import MARGIN, Breach, broken_limits
from coolsim.units import System

_ASK = "`coolsim pour` finds one that passes"


def breach_notes(
    jar: Jar,
    *,
    stated: Mapping[str, float] | None = None,
    answers: Sequence[Mapping[str, Value]] = (),
    units: System = "metric",
) -> tuple[str, ...]:
    """Say which limits the pour of a jar breaks and what mends it; nothing if it keeps all that are known.

    `stated` are the limits of the data sheets by their keys [°C], those of `Scenario.pour_limits`. With the answers of
    its runs, of several jars in a box, also whether a first skin stays.

    Examples
    --------
    >>> from dataclasses import replace
    >>> from coolsim.scenario import built_in_pair
    >>> breach_notes(replace(built_in_pair()[0].jar, pour=65.0))
    ('Note: the wax is 44 °C hotter than the jar, more than ...; warm the jar to 25 °C, or pour at 61 °C.',)
    """
    return tuple(
        f"Note: {_broken(breach, jar, units)}; {_mended(breach, units)}."
        for breach in broken_limits(jar, stated or {}, answers=answers, units=units)
    )


def _broken(breach: Breach, jar: Jar, units: System) -> str:
    at = temperature_text(jar.pour, units)
    if breach.limit == "jar shock" and jar.vessel.shock_limit is not None:
        return (
            f"the wax is {difference_text(jar.pour - jar.vessel_start, units)} hotter than the jar, more than the shock"
            f" limit of {difference_text(jar.vessel.shock_limit, units)} (vessel.shock_limit)"
        )
    starts = temperature_text(jar.wax.freezing_starts, units)
    if breach.limit == "cloudy":
        return f"poured at {at}, the wax has begun to set: it does so from {starts}"
    if breach.limit == "too near freezing":
        return (
            f"poured at {at}, less than {difference_text(MARGIN, units)} above the start of freezing at {starts}, the"
            " wax sets on the wall at once (estimate)"
        )
    if breach.limit == "skin stays":
        return f"poured at {at}, the first skin at the wall stays and shows as rings"
    return f"a pour at {at} is above the {breach.limit}"


def _mended(breach: Breach, units: System) -> str:
    ways = [] if breach.jar is None else [f"warm the jar to {temperature_text(breach.jar, units)}"]
    if breach.pour is not None:
        ways.append(f"pour at {temperature_text(breach.pour, units)}")
    return ", or ".join(ways) or _ASK
