"""What was seen of a jar, read from words: an event timed by eye, a length by the ruler, a volume by the syringe."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence

from coolsim.errors import LogError, UnitError
from coolsim.model.places import Place
from coolsim.studies.fit.parameters import Seen
from coolsim.studies.fit.probe_curves import RULER, SIGHTS
from coolsim.units import parse_quantity

_PLACE = re.compile(r"(?:(?P<file>.+?)[\s,]+)?row\s+(?P<row>\d+)[\s,]+column\s+(?P<column>\d+)", re.IGNORECASE)
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
    what, jar = _named(named)
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
    return jar.strip() if ":" in named else None, Seen(what, value, deviation)


USUAL_ERROR = {"duration": "10 min", "length": "0.5 mm", "volume": "1 mL"}
"""How far a value may be off where nobody says it, by its kind: one standard deviation (estimates)."""


def seen_in_log(text: str) -> Seen:
    """Read ``NAME=VALUE`` as it is logged, with its usual error. LogError if it cannot be read.

    >>> seen_in_log("dish=2 mm")
    Seen(what='dish', value=0.002, deviation=0.0005)
    """
    what, _ = _named(text.partition("=")[0])
    usual = f"±{USUAL_ERROR[SIGHTS[what].kind]}"
    try:
        return seen_of(f"{text}{usual}")[1] if "=" in text else seen_of(f"{text}={usual}")[1]
    except LogError as error:
        raise LogError(str(error).replace(usual, "")) from None


def _named(text: str) -> tuple[str, str]:
    """Part what was seen, as `SIGHTS` calls it, from the jar that may stand before it."""
    jar, _, name = text.rpartition(":")
    what = " ".join(name.lower().replace("_", " ").replace("-", " ").split())
    if what not in SIGHTS:
        raise LogError(f"seen: found {name.strip()!r}. Give one of {', '.join(SIGHTS)}.")
    return what, jar


def jar_told(text: str, boxes: Mapping[str, bool]) -> tuple[tuple[str, Place | None] | None, str]:
    """Part a text into the jar that it names and the rest: None if it names none.

    A jar is named by its file, by its row and column in a box, or by both; `boxes` has the files, and whether each is
    of a box of jars. The row and the column alone will do if one of them is. LogError if they will not.

    >>> jar_told("row 1 column 2: dish=2 mm±0.5 mm", {"six": True})
    (('six', (1, 2)), 'dish=2 mm±0.5 mm')
    >>> jar_told("top closed=2:10±0:10", {"six": True})
    (None, 'top closed=2:10±0:10')
    """
    head, equals, value = text.partition("=")
    named, colon, what = head.rpartition(":")
    if not colon:
        return None, text
    rest = f"{what.strip()}{equals}{value}"
    found = _PLACE.fullmatch(named.strip())
    if found is None:
        return (named.strip(), None), rest
    places = [file for file, box in boxes.items() if box]
    file = found["file"] or (places[0] if len(places) == 1 else "")
    if not file:
        told = (
            f"the boxes {' and '.join(places)}. Name the one of its scenario first"
            if places
            else ("no scenario of a box of jars. Add a table [places] to it, or name the jar by its file alone")
        )
        raise LogError(f"seen: found {named.strip()!r} and {told}.")
    return (file, (int(found["row"]), int(found["column"]))), rest


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
