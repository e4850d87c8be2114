"""The command that makes all that is printed, read or looked at away from the screen."""

from __future__ import annotations

import shlex
from dataclasses import fields, replace
from enum import StrEnum
from pathlib import Path
from typing import Annotated, Any

import typer

from coolsim.cli.command import Asked, command
from coolsim.cli.options import Options, PaperSize, SavedOrFiles, takes
from coolsim.cli.papers.calendar import CALENDAR
from coolsim.cli.papers.film import FILM, FRAMES, MOST_FRAMES, MOST_SECONDS, SECONDS
from coolsim.cli.papers.guess import GUESS
from coolsim.cli.papers.handout import HANDOUT, ROOMS
from coolsim.cli.papers.label import LABEL
from coolsim.cli.papers.page import PAGE
from coolsim.cli.papers.piece import Piece
from coolsim.cli.papers.poster import POSTER
from coolsim.cli.papers.sheet import SHEET


class What(StrEnum):
    """What can be made."""

    HANDOUT = "handout"
    SHEET = "sheet"
    LABEL = "label"
    CALENDAR = "calendar"
    POSTER = "poster"
    GUESS = "guess"
    FILM = "film"
    PAGE = "page"


class AnyPaper(StrEnum):
    """Paper of what is printed; the largest is for what hangs on a wall."""

    A4 = "a4"
    LETTER = "letter"
    A3 = "a3"


PIECES: dict[What, Piece] = {
    What.HANDOUT: HANDOUT,
    What.SHEET: SHEET,
    What.LABEL: LABEL,
    What.CALENDAR: CALENDAR,
    What.POSTER: POSTER,
    What.GUESS: GUESS,
    What.FILM: FILM,
    What.PAGE: PAGE,
}
_SHARED = ("middle", "workers", "journal", "json")


@command(
    "Make what you print: handout, sheet, label.",
    "coolsim make sheet jar.toml --jars 6",
    "coolsim make label jar.toml --output label.txt",
    "coolsim make calendar jar.toml --start 9:00 --date 2026-03-14",
    "coolsim make handout bare.toml boxed.toml --paper letter",
    "coolsim make poster jar.toml --paper a3 --start 9:00",
    "coolsim make guess jar.toml",
    "coolsim make film bare.toml boxed.toml --until 4h -o setting.mp4",
    "coolsim make page bare.toml boxed.toml -o jar.html",
    asks=(*_SHARED, "units", "force"),
)
def make(
    asked: Asked,
    what: Annotated[What, typer.Argument(metavar="WHAT", help="What to make; see above.", show_default=False)],
    files: SavedOrFiles = None,
    output: Annotated[
        Path | None,
        typer.Option(
            "--output",
            "-o",
            metavar="FILE",
            help="The file to write; left out, NAME-WHAT in the current folder, after the first file.",
            show_default=False,
        ),
    ] = None,
    paper: Annotated[
        AnyPaper | None,
        typer.Option(
            "--paper",
            help="Paper; left out, a4 with metric units and letter with us. A3: a poster.",
            show_default=False,
        ),
    ] = None,
    jars: Annotated[int | None, takes("N", "Sheet: how many jars; left out, batch.jars of the scenario.")] = None,
    start: Annotated[str | None, takes("CLOCK", "Sheet, calendar, poster: when melting begins, as in 9:00.")] = None,
    date: Annotated[
        str | None, takes("DAY", "Sheet, calendar, label, poster: day of the batch, as in 2026-03-14.")
    ] = None,
    rooms: Annotated[
        str | None,
        typer.Option(
            "--rooms",
            "--room",
            metavar="RANGE",
            help=f"Handout, page: rooms of the pour chart, first:last:step or a list; left out, {ROOMS['metric']}, or"
            f" {ROOMS['us']} in a scenario with us units, without those in which this wax would not set.",
        ),
    ] = None,
    pours: Annotated[
        str | None,
        typer.Option(
            "--pours",
            "--pour",
            metavar="RANGE",
            help="Handout, page: pours of the chart, written the same way; left out, those of `coolsim pour`.",
        ),
    ] = None,
    short: Annotated[
        bool, typer.Option("--short", help="Handout: two pages for each participant alone, the jar and the day.")
    ] = False,
    frames: Annotated[
        int | None,
        takes("N", f"Film: how many pictures, 2 to {MOST_FRAMES}, dense where much happens; left out, {FRAMES}."),
    ] = None,
    seconds: Annotated[
        float | None,
        takes("S", f"Film: how long from the pour to the end, at most {MOST_SECONDS:g}; left out, {SECONDS:g}."),
    ] = None,
    until: Annotated[
        str | None, takes("DURATION", 'Film: time since the pour of the last picture, "4h"; left out, all of it.')
    ] = None,
) -> None:
    """Make what is printed, read or looked at away from the screen.

    \b
    WHAT is one of
      handout   a PDF for a class: the jar, the day, pours, faults and cures
      sheet     the batch sheet: one page with room for what you see
      label     the text of the label; notes for you are printed as well
      calendar  the plan of the day with reminders (iCalendar)
      poster    one page for the wall: the cut jar in real size, when it
                sets, four clocks, and how hot to pour
      guess     four pages for a class: jars to draw into, the answers,
                and a jar of paper to cut out and roll
      film      the jars while they cool, for a phone: a GIF, or -o NAME.mp4
      page      a page for the phone with sliders, one file (HTML)

    FILE is a scenario. Several give a sheet, label, calendar or poster each; two, bare and boxed, one handout or page;
    up to four stand side by side to guess about, where one alone is changed in three ways, and in a film, as do results
    that were saved with --save. A box of jars has its plan on a second page of the sheet; in a film it stands with the
    jars that are set first and last, on a poster with the least flat top, to guess about with the jar that is set last.
    """  # noqa: D301
    own: dict[str, Any] = {
        "paper": paper,
        "jars": jars,
        "start": start,
        "date": date,
        "rooms": rooms,
        "pours": pours,
        "short": short or None,
        "frames": frames,
        "seconds": seconds,
        "until": until,
    }
    own = {name: value for name, value in own.items() if value is not None}
    left_out = {one.name: one.default for one in fields(Options)}
    piece = PIECES[what]
    for name in (*(one for one in _SHARED if getattr(asked, one) != left_out[one]), *own):
        if name not in piece.takes:
            from coolsim.report.wording import listed

            others = listed([str(one) for one, other in PIECES.items() if name in other.takes])
            raise typer.BadParameter(f"it is for {others}, not for {what}; leave it out.", param_hint=f"'--{name}'")
    if not files and what is not What.FILM:
        raise typer.BadParameter(
            f"missing. Give a scenario, as in `coolsim make {what} jar.toml`.", param_hint="'FILE'"
        )
    if paper is not None and what is not What.POSTER:
        del own["paper"]
        if paper is AnyPaper.A3:
            raise typer.BadParameter(
                f"found 'a3', which is for a poster; a {what} is printed on a4 or letter.", param_hint="'--paper'"
            )
        asked = replace(asked, paper=PaperSize(paper.value))
    piece.make(asked, files or [], output, **own)
    if what is not What.FILM and files and not asked.json:
        asked.screen.hint(f"`coolsim day {shlex.quote(str(files[0]))}` writes all that a day needs into one folder.")
