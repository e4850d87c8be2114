"""How messages about a scenario show what was found."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from difflib import get_close_matches

INVENTED = "The workshop and its figures are invented."
"""What stands with every answer about a scenario that is made up."""

_LONGEST_SHOWN = 60
# Beyond this many bits a number is not written out (and CPython refuses to, from 4300 digits on).
_LARGEST_SHOWN = 128
_BARE_KEY = re.compile(r"[A-Za-z0-9_-]{1,60}")


def shown(raw: object) -> str:
    """Write a raw value so that it fits into one line of a message."""
    if raw is None:
        return "nothing"
    if isinstance(raw, bool):
        return str(raw).lower()
    if isinstance(raw, int):
        return str(raw) if raw.bit_length() <= _LARGEST_SHOWN else "a very large number"
    if isinstance(raw, float):
        return repr(raw)
    if isinstance(raw, str):
        return repr(raw) if len(raw) <= _LONGEST_SHOWN else f"{raw[:_LONGEST_SHOWN]!r}…"
    if isinstance(raw, Mapping):
        return "a table" if raw else "an empty table"
    if isinstance(raw, list | tuple):
        return f"a list of {len(raw)}" if raw else "an empty list"
    return f"a {type(raw).__name__}"


def key_text(parts: Iterable[object]) -> str:
    """Join the parts of a key by dots; parts that TOML would want quoted are quoted and cut."""
    texts = []
    for part in parts:
        if isinstance(part, str) and _BARE_KEY.fullmatch(part):
            texts.append(part)
        else:
            texts.append(shown(part))
    return ".".join(texts)


def nearest(raw: object, options: Iterable[str]) -> str | None:
    """Find the option that looks most like what was found."""
    if not isinstance(raw, str) or len(raw) > _LONGEST_SHOWN:
        return None
    lowered = {option.lower(): option for option in options}
    return next((lowered[close] for close in get_close_matches(raw.lower(), lowered, n=1)), None)


def suggestion(raw: object, options: Iterable[str]) -> str:
    """Write the nearest option as the end of a message, or nothing."""
    close = nearest(raw, options)
    return f"; did you mean '{close}'?" if close else ""


def sentence(message: str) -> str:
    """End a message with a full stop, unless it asks something."""
    return message if message.endswith("?") else f"{message}."
