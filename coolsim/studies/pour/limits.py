"""The limits that a pour must keep, where they lie, and what mends a planned pour that is beyond one."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Literal

from coolsim.answers.answer import Value
from coolsim.answers.catalogue import skin_stays
from coolsim.model.jar import Jar
from coolsim.units import System

Limit = Literal[
    "cloudy",
    "too near freezing",
    "wax maker's limit",
    "fragrance limit",
    "jar shock",
    "skin stays",
    "too slow",
    "failed",
    "passes too seldom",
]

FROM_BELOW: frozenset[Limit] = frozenset({"cloudy", "too near freezing", "skin stays"})
"""Limits that a hotter pour keeps."""

MARGIN = 8.0
"""How far above the start of freezing a pour must be unless the caller says otherwise, an estimate [K]. From nearer,
the melt comes close to freezing in its first minute, before a first skin can be told from setting."""

KEEP_OFF = 2.0
"""How far off a limit a pour is recommended if one can be, an estimate [K]: a thermometer, a pitcher that cools on the
way to the jars and a glass at the window are each a kelvin off."""

HOTTEST_JAR = 60.0
"""No jar is advised to be warmed further: it could not be held [°C]."""

STATED: dict[str, Limit] = {"wax.highest_temperature": "wax maker's limit", "wax.fragrance_limit": "fragrance limit"}
"""Limits of the data sheets, by the keys that state them."""

ROUND_OFF = 1e-6


def known_limits(jar: Jar, stated: Mapping[str, float], *, margin: float = MARGIN) -> dict[Limit, float]:
    """Tell at which pour [°C] each limit lies that is known without a run.

    `stated` are the limits of the data sheets by their keys [°C], those of `Scenario.pour_limits`; `margin` is how far
    above the start of freezing a pour must be [K].
    """
    starts = jar.wax.freezing_starts
    found: dict[Limit, float] = {"cloudy": starts, "too near freezing": starts + margin}
    found |= {STATED[key]: limit for key, limit in stated.items()}
    if jar.vessel.shock_limit is not None:
        found["jar shock"] = jar.vessel_start + jar.vessel.shock_limit
    return found


def beyond(pour: float, known: Mapping[Limit, float]) -> list[Limit]:
    """List the known limits that a pour breaks [°C]; one of wax that has begun to set is not called too near, too."""
    broken: list[Limit] = [
        limit
        for limit, at in known.items()
        if (pour < at - ROUND_OFF if limit in FROM_BELOW else pour > at + ROUND_OFF)
    ]
    return [limit for limit in broken if limit != "too near freezing" or "cloudy" not in broken]


@dataclass(frozen=True, slots=True, kw_only=True)
class Breach:
    """A limit that a planned pour breaks, and what mends it.

    `at` is the pour at which the limit lies [°C], None where only a run tells. `pour` and `jar` are the nearest
    temperatures of the wax and of the jar, at whole degrees and off the limit, that keep it and the other known ones
    [°C]; None where there is none.
    """

    limit: Limit
    at: float | None
    pour: float | None = None
    jar: float | None = None


def broken_limits(
    jar: Jar, stated: Mapping[str, float], *, answers: Sequence[Mapping[str, Value]] = (), units: System = "metric"
) -> tuple[Breach, ...]:
    """List the limits that the pour of a jar breaks; with the answers of its runs also that a first skin stays.

    `stated` are the limits of the data sheets by their keys [°C].

    Examples
    --------
    >>> from dataclasses import replace
    >>> from coolsim.scenario import built_in_pair
    >>> broken_limits(replace(built_in_pair()[0].jar, pour=65.0), {})
    (Breach(limit='jar shock', at=63.0, pour=61.0, jar=25.0),)
    """
    pour = jar.pour
    known = known_limits(jar, stated)
    found = []
    for limit in beyond(pour, known):
        warmer = None
        if limit == "jar shock":
            warmer = whole(pour - (known[limit] - jar.vessel_start) + KEEP_OFF, units, up=True)
        found.append(
            Breach(
                limit=limit,
                at=known[limit],
                pour=_mended(limit, known, units),
                jar=None if warmer is None or warmer > HOTTEST_JAR else warmer,
            )
        )
    if any(map(skin_stays, answers)):
        found.append(Breach(limit="skin stays", at=None))
    return tuple(found)


def _mended(limit: Limit, known: Mapping[Limit, float], units: System) -> float | None:
    """Find the pour nearest to a limit that is off it and keeps the other known ones [°C]."""
    up = limit in FROM_BELOW
    at = known["too near freezing"] + KEEP_OFF if up else known[limit] - KEEP_OFF
    mended = whole(at, units, up=up)
    return None if beyond(mended, known) else mended


def whole(celsius: float, units: System, *, up: bool) -> float:
    """Round a temperature [°C] up or down to a whole degree of the workshop."""
    factor, shift = (1.8, 32.0) if units == "us" else (1.0, 0.0)
    degrees = celsius * factor + shift
    return ((math.ceil(degrees - ROUND_OFF) if up else math.floor(degrees + ROUND_OFF)) - shift) / factor
