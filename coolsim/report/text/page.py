"""Pages as plain text of at most 80 columns."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from typing import ParamSpec

from coolsim.report.blocks import HARD_SPACE, Block, Lines, Note
from coolsim.tables import WIDTH as WIDTH
from coolsim.tables import wrapped as wrapped

Given = ParamSpec("Given")


def text_of(blocks: Iterable[Block]) -> str:
    """Write a page, its blocks parted by blank lines."""
    return "\n\n".join(_written(block) for block in blocks)


def parted(blocks: Iterable[Block]) -> tuple[str, str]:
    """Write the answers of a page, and apart from them what they rest on."""
    all_of_them = list(blocks)
    rests = [block for block in all_of_them if isinstance(block, Note) and block.rests]
    return text_of(block for block in all_of_them if block not in rests), text_of(rests)


def as_text(blocks: Callable[Given, list[Block]]) -> Callable[Given, str]:
    """Turn what gives the blocks of a page into what gives its text."""

    def text(*args: Given.args, **options: Given.kwargs) -> str:
        return text_of(blocks(*args, **options))

    return text


def paragraph(text: str) -> str:
    """Break a text into lines."""
    return "\n".join(wrapped(text, WIDTH))


def _written(block: Block) -> str:
    match block:
        case Note(text, _):
            return paragraph(text).replace(HARD_SPACE, " ")
        case Lines(lines):
            return "\n".join(lines)
        case _:
            return block.text()
