"""Whether two texts say the same: words to the letter, measured numbers within one unit of their last digit.

Another processor or another numpy rounds a sum differently, and a number near the edge of its rounding turns over: what
is "+1 %" here is "+2 %" there. What is measured has a unit behind it, a sign before it or a decimal point. A bare whole
number is a count, a place or an exit code, and stays as it is; so does a number that touches a letter, a dot or a colon
and belongs to a name, a version or a time of another form.
"""

import re
from typing import NamedTuple

_UNIT = r"\s+(?:%|°C|°F|K|mm|mL|g|kg|kJ|kJ/kg|W/m2K|s|min|h|in|oz|fl\ oz)(?![\w/])"
_NUMBER = re.compile(
    rf"""(?<![\w.:/]) (?P<sign>[-−+]?)
    (?: (?P<hours>\d+):(?P<minutes>\d\d) | \d+ (?:\.(?P<decimals>\d+))? )
    (?![\w:]|\.\d) (?: (?=(?P<unit>{_UNIT})) )?""",
    re.VERBOSE,
)
_RULE = re.compile(r"-{3,}")


class Number(NamedTuple):
    """A number in a text: as written, its sign, its value, and by how much it may turn over."""

    written: str
    sign: str
    value: float
    slack: float


def _number(found, step):
    sign = found["sign"].replace("−", "-")
    if found["hours"]:
        minutes = 60.0 * int(found["hours"]) + int(found["minutes"])
        return Number(found[0], sign, -minutes if sign == "-" else minutes, float(step))
    measured = sign or found["decimals"] or found["unit"]
    slack = 10.0 ** -len(found["decimals"] or "") if measured else 0.0
    return Number(found[0], sign, float(found[0].replace("−", "-")), slack)


def _near(one, other):
    # A sum that shows its sign shows it always: "+1" may become "-0", but not "1".
    if "+" in (one.sign, other.sign) and "" in (one.sign, other.sign):
        return False
    # Of two numbers with more and fewer decimals the finer says how much: 2.1 may become 2, but not 3.
    return abs(one.value - other.value) <= min(one.slack, other.slack) + 1e-9


def alike(old, new, *, step=1):
    """Whether two texts say the same; a time h:mm may differ by a step of so many minutes, that of its rounding.

    White space is compared to the letter as long as every number has the length that it had. Where one gained or lost a
    digit, columns and ends of lines shift: then the words count, and a rule across the page is as good at any length.
    """
    words, others = (_NUMBER.sub(lambda found: "@" if found["hours"] else "#", text) for text in (old, new))
    numbers, values = ([_number(found, step) for found in _NUMBER.finditer(text)] for text in (old, new))
    if len(numbers) != len(values) or not all(map(_near, numbers, values)):
        return False
    if [len(one.written) for one in numbers] != [len(one.written) for one in values]:
        words, others = (_RULE.sub("---", text).split() for text in (words, others))
    return words == others
