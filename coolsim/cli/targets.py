"""Where the outputs of a command go: all of them are checked before the run."""

from __future__ import annotations

import os
import re
import stat
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from pathlib import Path

import typer

from coolsim.errors import OutputError
from coolsim.report.whole_file import refused, try_folder

FIGURES = (".png", ".svg", ".pdf")
_HEAD, _TAIL = 16384, 4096  # bytes of a file that are looked at
_PROGRAM = b"coolsim"
# How a file that coolsim wrote begins, and what stands in its first or last bytes. A scenario is not among them:
# whoever wrote it first, it is the user's.
_MARKS = {
    ".csv": (
        rb"time \[s\],[^\r\n]*,share of heat through the|place,room \[[^\r\n]*,passes in|scenario,[^\r\n]*,fault\r\n",
        rb"",
    ),
    ".npz": (rb"PK", '"program": "coolsim"'.encode("utf-32-le")),
    ".png": (rb"\x89PNG\r\n", _PROGRAM),
    ".svg": (rb"<\?xml[^>]*>\s*<!DOCTYPE svg", _PROGRAM),
    ".pdf": (rb"%PDF-", _PROGRAM),
    ".gif": (rb"GIF8", _PROGRAM),
    ".html": (rb"<!doctype html>", _PROGRAM),
    ".mp4": (rb"....ftyp", _PROGRAM),
    ".ics": (rb"BEGIN:VCALENDAR", b"PRODID:-//coolsim//"),
    ".txt": (rb"[^\r\n]", rb"\n\nHOW TO BURN IT\n- |\nCaution: hot wax burns"),
    ".bash": (rb"#", _PROGRAM),
    ".zsh": (rb"#", _PROGRAM),
    ".fish": (rb"#", _PROGRAM),
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Target:
    """A file that a command is going to write, and the option or argument that says so."""

    option: str
    path: Path
    endings: tuple[str, ...] = ()  # that its name may have; empty for any
    folder: Path | None = None  # that is made for it if it is missing; None if it must be there
    appended: bool = False  # it is read and gets longer, instead of being replaced


def in_folder(option: str, folder: Path | None, name: str) -> list[Target]:
    """Give the target of a file in a folder that is made for it; none without a folder."""
    return [] if folder is None else [Target(option=option, path=folder / name, folder=folder)]


def to_file(option: str, path: Path | None, *endings: str) -> list[Target]:
    """Give the target of a file with one of some endings; none without a file."""
    return [] if path is None else [Target(option=option, path=path, endings=endings)]


def make_folder(folder: Path) -> None:
    """Make a folder for figures or curves; its parent must be there."""
    try:
        folder.mkdir(exist_ok=True)
    except OSError as error:
        raise OutputError(f"{folder}: cannot be made: {error.strerror}. Give another folder.") from error


def claim(targets: Sequence[Target], *, inputs: Iterable[Path | None] = (), force: bool) -> None:
    """Find out before a run that its outputs can be written, and that they destroy nothing.

    A wrong ending, and the name of an input or of another output, be it by a link, are faults of usage; a file that
    coolsim did not write is replaced by force only.
    """
    read = {_identity(path) for path in inputs if path is not None and path.exists()}
    taken: dict[object, str] = {}
    for folder, option in {target.folder: target.option for target in targets if target.folder is not None}.items():
        if _identity(folder) in read:
            raise _wrong(option, f"found '{folder}', which the command reads; give another name.")
        taken[_identity(folder)] = option
    for target in targets:
        _check_ending(target)
        same = _identity(target.path)
        if same in read:
            raise _wrong(target.option, f"found '{target.path}', which the command reads; give another name.")
        if same in taken:
            both = f"found '{target.path}', which {taken[same]} writes as well; give another name."
            raise _wrong(target.option, both)
        taken[same] = target.option
    for target in targets:
        _check_place(target)
        if not (target.appended or force or _may_be_replaced(target.path)):
            raise OutputError(f"{target.path}: exists already. Give another name, or --force to replace it.")
    for folder in dict.fromkeys(_written_to(target) for target in targets):
        try_folder(folder)


def _check_ending(target: Target) -> None:
    if target.endings and target.path.suffix.lower() not in target.endings:
        wanted = " or ".join(target.endings)
        raise _wrong(target.option, f"found '{target.path}'; give a name that ends in {wanted}.")


def _wrong(option: str, reason: str) -> typer.BadParameter:
    return typer.BadParameter(reason, param_hint=f"'{option}'")


def _identity(path: Path) -> tuple[object, ...]:
    """Tell a file apart from others, by whatever links and ways it is reached; one that is not there, by its folder."""
    try:
        real = path.resolve()
        if real.exists():
            found = real.stat()
            return found.st_dev, found.st_ino
        if real.parent.exists():
            found = real.parent.stat()
            return found.st_dev, found.st_ino, real.name
    except (OSError, ValueError, RuntimeError) as error:
        # A name that is too long, a letter that no name has, links in a circle.
        raise refused(path, error if isinstance(error, OSError) else ValueError(str(error))) from error
    return (str(real),)


def _check_place(target: Target) -> None:
    folder = target.folder
    parent = (folder or target.path).parent
    if not parent.is_dir():
        raise OutputError(
            f"{folder or target.path}: cannot be written: there is no folder '{parent}'. Create it first."
        )
    if folder is not None and folder.exists() and not folder.is_dir():
        raise OutputError(f"{folder}: cannot be written: a file has that name. Give the name of a folder.")
    path = target.path
    if path.is_dir():
        raise OutputError(f"{path}: cannot be written: it is a directory. Give the name of a file in it.")
    if path.exists() and not stat.S_ISREG(path.stat().st_mode):
        raise OutputError(f"{path}: cannot be written: it is no ordinary file. Give the name of a file.")


def _written_to(target: Target) -> Path:
    """Find the folder that must take new files: that of the file behind a link, or of the folder to be made."""
    folder = target.folder
    if folder is not None and not folder.exists():
        return folder.parent
    return (target.path.resolve() if target.path.is_symlink() else target.path).parent


def _may_be_replaced(path: Path) -> bool:
    """Tell whether a file is not there, is empty, or is what coolsim writes under that ending."""
    try:
        with path.open("rb") as file:
            head = file.read(_HEAD)
            file.seek(max(file.seek(0, os.SEEK_END) - _TAIL, 0))
            tail = file.read()
    except FileNotFoundError:
        return True
    except OSError as error:
        raise refused(path, error) from error
    begins, holds = _MARKS.get(path.suffix.lower(), (rb"(?!)", b""))
    return not head or (re.match(begins, head) is not None and any(re.search(holds, part) for part in (head, tail)))
