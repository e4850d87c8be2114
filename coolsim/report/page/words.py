"""Texts and data of a page as HTML."""

from __future__ import annotations

import json
import re
from html import escape

from coolsim.tables import HARD_SPACE

_TYPED = re.compile("`([^`]*)`")
_UNIT = re.compile(r"(?<=\d) (?=(?:°[CF]|mm|cm|mL|in|fl|oz|h|min|d|g|%)(?!\w))")


def hard(text: str) -> str:
    """Keep numbers and their units on one line."""
    return _UNIT.sub(HARD_SPACE, text)


def as_html(text: str) -> str:
    """Escape a text; numbers stay with their units, and what is typed looks like it.

    >>> as_html("5 < 6, says `a & b`")
    '5 &lt; 6, says <code>a &amp; b</code>'
    """
    return _TYPED.sub(r"<code>\1</code>", escape(hard(text)))


def as_json(data: object) -> str:
    r"""Write data so that no text in it can end the element that holds it, or begin another one.

    >>> print(as_json({"title": "</script>&"}))
    {"title":"\u003c/script\u003e\u0026"}
    """
    told = json.dumps(data, ensure_ascii=False, separators=(",", ":"), allow_nan=False)
    for letter in "<>&\u2028\u2029":
        told = told.replace(letter, f"\\u{ord(letter):04x}")
    return told
