"""The theory as DEVELOPERS.md shows it. `python tests/support/theory.py` writes that part of it anew."""

import re
from pathlib import Path

from coolsim.theory import INDICES, LEFT_OUT, LEFT_OUT_NOTE, MARKS, NOMENCLATURE, THEORY

PATH = Path(__file__).parents[2] / "DEVELOPERS.md"
_INDEX = re.compile(r"(?<!\w)(\w)_(\w+)")
_PART = re.compile(r"(?<=^<!-- theory -->\n).*?(?=^<!-- /theory -->$)", re.MULTILINE | re.DOTALL)


def text():
    """DEVELOPERS.md as it stands."""
    return PATH.read_text(encoding="utf-8")


def shown(developers):
    """The theory that it shows."""
    (part,) = _PART.findall(developers)
    return part


def _with_indices(terms):
    return _INDEX.sub(r"\1<sub>\2</sub>", terms)


def _rows(*rows):
    heads, *others = ["| " + " | ".join(row) + " |" for row in rows]
    return [heads, "|" + "---|" * len(rows[0]), *others]


def markdown():
    """The theory in Markdown."""
    lines = [f"Marks: {'; '.join(f'*{mark}*, {meaning}' for mark, meaning in MARKS.items())}.", ""]
    for chapter in THEORY:
        rows = [
            (
                f"({one.number})",
                f"**{one.name}** {' '.join(f'<br> ${formula}$' for formula in one.formulas)}",
                f"{_with_indices(one.terms)} *Source: {one.origin}.*",
                f"`{one.where}`: {', '.join(f'`{name}`' for name in one.functions)}",
            )
            for one in chapter.equations
        ]
        lines += [f"### {chapter.title}", "", *_rows(("", "equation", "terms, source and mark", "held in"), *rows), ""]
    symbols = [(f"${one.formula}$", one.meaning, f"[{one.unit}]") for one in NOMENCLATURE]
    lines += ["### Nomenclature", ""]
    lines += [INDICES, ""]
    lines += [*_rows(("symbol", "meaning", "unit"), *symbols), "", "### What is left out, and what that costs", ""]
    lines += [LEFT_OUT_NOTE, ""]
    left_out = [(one.what, one.effect, one.cost, one.basis) for one in LEFT_OUT]
    lines += _rows(("left out", "what it does", "what that costs", "rests on"), *left_out)
    return "\n".join(lines) + "\n"


def renewed(developers):
    """The whole text with that part made anew."""
    return _PART.sub(lambda _: f"\n{markdown()}\n", developers)


if __name__ == "__main__":
    PATH.write_text(renewed(text()), encoding="utf-8")
