"""What to say about a file that is not there."""

from __future__ import annotations

from difflib import get_close_matches
from pathlib import Path

_SCENARIOS = "scenarios"


def nearby(path: Path, *, ending: str, otherwise: str) -> str:
    """Suggest files with this ending in the named folder, or in a folder `scenarios` there; else say `otherwise`."""
    folder = path.parent
    if not folder.is_dir():
        return f"There is no folder {str(folder)!r} either; check the path."
    here, there = _names(folder, ending), _names(folder / _SCENARIOS, ending)
    wanted = path.name if path.suffix else f"{path.name}{ending}"
    for names, place in ((here, folder), (there, folder / _SCENARIOS)):
        close = get_close_matches(wanted, names, n=3)
        if close:
            return f"Did you mean {' or '.join(repr(str(place / name)) for name in close)}?"
    for names, called in ((here, "The folder"), (there, f"The folder '{folder / _SCENARIOS}'")):
        if names:
            return f"{called} has {', '.join(names[:5])}{' and more' if len(names) > 5 else ''}."
    return otherwise


def _names(folder: Path, ending: str) -> list[str]:
    return sorted(file.name for file in folder.glob(f"*{ending}"))
