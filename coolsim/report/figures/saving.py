"""Saving the same bytes for the same content."""

from __future__ import annotations

import io
from collections.abc import Sequence
from pathlib import Path
from typing import Any

from matplotlib.backends.backend_pdf import PdfPages
from matplotlib.figure import Figure

from coolsim.errors import OutputError
from coolsim.report.figures.style import in_style
from coolsim.report.whole_file import write_bytes

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
    with in_style():
        figure.savefig(content, format=kind, metadata=_METADATA[kind])
    return write_bytes(path, content.getvalue())


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
