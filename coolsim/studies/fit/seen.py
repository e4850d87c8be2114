"""What was seen of a jar, read from words: an event timed by eye, a length by the ruler, a volume by the syringe."""

from __future__ import annotations

from collections.abc import Sequence

from coolsim.errors import LogError, UnitError
from coolsim.studies.fit.parameters import Seen
from coolsim.studies.fit.probe_curves import RULER, SIGHTS
from coolsim.units import parse_quantity

_CONFIDENT = ("±", "+-", "+/-")


def seen_of(text: str) -> tuple[str | None, Seen]:
    """Read ``NAME=VALUE±DEVIATION``, and the jar it was seen on if that stands before; ``+-`` will do for ``±``.

    What stands behind ± is one standard deviation. LogError if it cannot be read.

    >>> seen_of("top closed=2:10+-10 min")
    (None, Seen(what='top closed', value=7800.0, deviation=600.0))
    >>> seen_of("boxed: dish=2 mm±0.5 mm")
    ('boxed', Seen(what='dish', value=0.002, deviation=0.0005))
    """
    named, _, rest = text.partition("=")
    jar, colon, name = named.rpartition(":")
    what = " ".join(name.lower().replace("_", " ").replace("-", " ").split())
    if what not in SIGHTS:
        raise LogError(f"seen: found {name.strip()!r}. Give one of {', '.join(SIGHTS)}.")
    kind = SIGHTS[what].kind
    example = {"duration": "2:10±0:10", "length": "2 mm±0.5 mm", "volume": "3 mL±1 mL"}[kind]
    sign = next((sign for sign in _CONFIDENT if sign in rest), None)
    if sign is None:
        raise LogError(f"seen: found {text!r}. Say how sure it is, as in '{what}={example}'.")
    try:
        value, deviation = (parse_quantity(part.strip(), kind) for part in rest.split(sign, 1))
    except UnitError as error:
        raise LogError(f"seen: {what}: {error}.") from None
    if not deviation > 0.0:
        raise LogError(f"seen: found {text!r}. Give a deviation above zero, as in '{what}={example}'.")
    if not (value > 0.0 or what in RULER):
        raise LogError(f"seen: found {text!r}. Give a time and a deviation above zero.")
    return jar.strip() if colon else None, Seen(what, value, deviation)


def seen_on(texts: Sequence[str], jars: Sequence[str]) -> tuple[tuple[Seen, ...], ...]:
    """Read what was seen, jar by jar; with several jars each text names its own. LogError if it does not."""
    found: list[list[Seen]] = [[] for _ in jars]
    called = " and ".join(f"'{jar}'" for jar in jars)
    for text in texts:
        jar, seen = seen_of(text)
        if jar is None and len(jars) > 1:
            raise LogError(f"seen: found {text!r} and the jars {called}. Name its jar, as in '{jars[0]}: {text}'.")
        if jar is not None and jar not in jars:
            raise LogError(f"seen: found the jar {jar!r}, but the scenarios are called {called}. Give one of these.")
        mine = found[0 if jar is None else jars.index(jar)]
        if any(one.what == seen.what for one in mine):
            raise LogError(f"seen: found '{seen.what}' twice. Give each once for a jar.")
        mine.append(seen)
    return tuple(map(tuple, found))
