"""What `coolsim make` makes: the ending of its file, the options that are its own, and what makes it."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass


@dataclass(frozen=True, slots=True, kw_only=True)
class Piece:
    """A piece to print, to read or to look at.

    `make` takes what was asked, the files, where to write, and by name those of the options in `takes` that were given.
    """

    ending: str
    takes: tuple[str, ...]
    make: Callable[..., None]
