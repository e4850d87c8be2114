"""What a page says, as data: notes, tables and lines; a renderer such as `coolsim.report.text.page` sets them."""

from __future__ import annotations

from dataclasses import dataclass

from coolsim.tables import HARD_SPACE as HARD_SPACE
from coolsim.tables import Column as Column
from coolsim.tables import Row as Row
from coolsim.tables import Table as Table


@dataclass(frozen=True, slots=True)
class Note:
    """A paragraph, broken into lines where the page is narrow.

    Whether it says what the answers rest on: a screen leaves that out unless it is asked for.
    """

    text: str
    rests: bool = False


@dataclass(frozen=True, slots=True)
class Lines:
    """Lines that stay as they are."""

    lines: tuple[str, ...]


Block = Note | Table | Lines
