"""Saving the same bytes for the same content."""

from __future__ import annotations

import contextlib
import io
from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import Any

from matplotlib.backends.backend_pdf import PdfPages
from matplotlib.figure import Figure
from matplotlib.text import Text

from coolsim.errors import OutputError
from coolsim.report.figures.style import in_style
from coolsim.report.whole_file import write_bytes

_HALOED = "halo-"
_HALO = (
    f'[id^="{_HALOED}"] text {{paint-order: stroke; stroke: #ffffff; stroke-width: 2.2px; stroke-linejoin: round}}'
).encode()
_FONT = b"'DejaVu Sans'"

# No date, no version of the program that drew it: equal figures are equal files.
_METADATA: dict[str, dict[str, Any]] = {
    "png": {"Software": "coolsim"},
    "svg": {"Date": None, "Creator": "coolsim"},
    "pdf": {"CreationDate": None, "Creator": "coolsim", "Producer": None},
}


def save_figure(figure: Figure, path: Path | str) -> Path:
    """Write a figure as PNG, SVG or PDF, after the end of its name.

    Parameters
    ----------
    figure : Figure
        What to write.
    path : Path or str
        Where to; an existing file is replaced.

    Returns
    -------
    Path
        The file. Its bytes are the same for the same figure.

    Raises
    ------
    OutputError
        If the name has another end, or the file cannot be written.

    Examples
    --------
    >>> import tempfile
    >>> from coolsim import save_figure
    >>> with tempfile.TemporaryDirectory() as folder:
    ...     save_figure(Figure(), f"{folder}/blank.png").name
    'blank.png'
    """
    kind = Path(path).suffix.lower().removeprefix(".")
    if kind not in _METADATA:
        raise OutputError(
            f"{path}: cannot be written: figures are PNG, SVG or PDF. End the name in .png, .svg or .pdf."
        )
    content = io.BytesIO()
    with in_style(), _letters_kept(figure) if kind == "svg" else contextlib.nullcontext():
        figure.savefig(content, format=kind, metadata=_METADATA[kind])
    return write_bytes(path, _readable(content.getvalue()) if kind == "svg" else content.getvalue())


def _readable(svg: bytes) -> bytes:
    """Give the letters of an SVG their halos, and another font where there is not the one they are set in."""
    return svg.replace(b"</style>", _HALO + b"</style>", 1).replace(_FONT, _FONT + b", sans-serif")


@contextlib.contextmanager
def _letters_kept(figure: Figure) -> Iterator[None]:
    """Take the halos from the texts of a figure for a while, and mark the texts instead.

    matplotlib draws letters with a halo as outlines; an SVG knows halos of its own.
    """
    haloed = [text for text in figure.findobj(Text) if text.get_path_effects()]
    kept = [(text, text.get_path_effects(), text.get_gid()) for text in haloed]
    try:
        for number, text in enumerate(haloed):
            text.set_path_effects([])
            text.set_gid(f"{_HALOED}{number}")
        yield
    finally:
        for text, effects, gid in kept:
            text.set_path_effects(effects)
            text.set_gid(gid)


def save_pages(pages: Sequence[Figure], path: Path | str, *, title: str, author: str) -> Path:
    """Write pages as one PDF that says title and author unless they are empty; equal pages give equal bytes."""
    if Path(path).suffix.lower() != ".pdf":
        raise OutputError(f"{path}: cannot be written: a handout is a PDF. End the name in .pdf.")
    content = io.BytesIO()
    about = {**_METADATA["pdf"], "Title": title or None, "Author": author or None}
    with in_style(), PdfPages(content, metadata=about) as file:
        for page in pages:
            file.savefig(page)
    return write_bytes(path, content.getvalue())
