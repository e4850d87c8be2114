"""The command that runs the checks against outside figures and writes them as a book."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from coolsim.cli.command import Asked, command
from coolsim.cli.edge import FAILED
from coolsim.cli.screen import complain
from coolsim.cli.targets import in_folder, make_folder, to_file
from coolsim.cli.usage import did_you_mean

BOOK = Path("verification.pdf")


@command(
    "Run the checks against outside figures.",
    "coolsim verify",
    "coolsim verify --only C1 --only T1 --output checks.pdf",
    "coolsim verify --figures pages --format png --json",
    asks=("figures", "format", "paper", "json", "force"),
)
def verify(
    asked: Asked,
    only: Annotated[
        list[str] | None,
        typer.Option(
            "--only",
            metavar="ID",
            help="Run this check only, as in C1, or that of a statement, as in V5; may be given several times.",
        ),
    ] = None,
    output: Annotated[
        Path | None,
        typer.Option(
            "--output",
            "-o",
            metavar="FILE.pdf",
            help=f"The book to write; left out, {BOOK} in the current folder.",
            show_default=False,
        ),
    ] = None,
) -> None:
    """Run the checks against outside figures, and write a page about each into a book.

    A check runs coolsim on a problem whose answer is known from elsewhere. The letter of its id says from where: C
    closed form, T published figure, L second library, R resolved computation, P common practice. With --only it says,
    too, how to open the problem from Python, and where its statement for other codes is. With --figures DIR each page
    is written as a picture. A value that is off by more than its tolerance ends the command with 4. All of them take
    one to two minutes.
    """
    from coolsim.report.text.verify import verify_data, verify_text
    from coolsim.studies.verify.case import check
    from coolsim.studies.verify.cases import CASES, cases_of

    known = list(dict.fromkeys(name for case in CASES for name in (case.id, *case.statements)))
    for name in only or ():
        if not cases_of(name):
            advice = did_you_mean(name.upper(), known) or f"Checks are {', '.join(known)}."
            raise typer.BadParameter(f"found '{name}', which is no check. {advice}", param_hint="'--only'")
    chosen = [case for case in CASES if not only or any(case in cases_of(name) for name in only)]
    path = output or BOOK
    pictures = {
        name: in_folder("--figures", asked.figures, f"{name}.{asked.format}")
        for name in (*(case.id for case in chosen), "checks", "summary")
    }
    asked.claim(*to_file("--output", path, ".pdf"), *(one for each in pictures.values() for one in each), inputs=[])
    checked = []
    with asked.screen.bar("checks") as on_case:
        for number, case in enumerate(chosen):
            if on_case:
                on_case(number, len(chosen))
            checked.append(check(case))
    asked.tell([], lambda: [verify_text(checked, opened=bool(only))], lambda: verify_data(checked), caution=False)
    from coolsim.report.figures.saving import save_figure
    from coolsim.report.paper.verify import draw_book, write_book

    book = draw_book(checked, paper=asked.paper.value if asked.paper else "a4")
    if asked.figures is not None:
        make_folder(asked.figures)
        for name, (target,) in pictures.items():
            asked.screen.wrote(save_figure(book.named[name], target.path))
    asked.screen.wrote(write_book(book, path))
    missed = sum(len(one.missed) for one in checked)
    if missed:
        complain(f"{missed} value{'s' if missed > 1 else ''} off by more than the tolerance; see above.")
        raise typer.Exit(FAILED)
