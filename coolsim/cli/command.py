"""What all commands do alike: take options, check what they will write, tell, draw, write."""

from __future__ import annotations

import inspect
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, fields
from functools import cached_property
from pathlib import Path
from typing import TYPE_CHECKING, Any, Concatenate, get_type_hints

import typer

from coolsim._version import __version__
from coolsim.cli.naming import file_stems
from coolsim.cli.options import FIGURES_FOLDER, Options
from coolsim.cli.screen import Screen, example, say, say_json
from coolsim.cli.targets import Target, claim, in_folder, make_folder
from coolsim.cli.values import check_number

if TYPE_CHECKING:
    from matplotlib.figure import Figure as Drawing

    from coolsim.scenario import Scenario
    from coolsim.studies.spread.spread import Spread
    from coolsim.units import System


class Asked(Options):
    """The shared options of a command that was called, and what follows from them."""

    @cached_property
    def screen(self) -> Screen:
        """Where notes beside the result go."""
        return Screen(quiet=self.quiet)

    def system(self, scenario: Scenario) -> System:
        """Tell the units of the report."""
        return self.units.value if self.units is not None else scenario.units

    def check_workers(self) -> None:
        """Refuse a number of workers that cannot be."""
        from coolsim.studies.sweep.workers import MOST_WORKERS

        check_number(self.workers, 1, MOST_WORKERS, "--workers")

    def begin_workers(self) -> None:
        """Let what workers come from start while the command loads what it needs and reads its scenario."""
        from coolsim.studies.sweep.workers import begin_early

        self.check_workers()
        begin_early()

    def doubt(self, scenario: Scenario) -> Spread | None:
        """Tell how far the times of a scenario may be off, unless the middle is asked for."""
        from coolsim.studies.workshop.doubt import doubt_of

        if self.middle:
            return None
        with self.screen.bar("spread") as on_run:
            return doubt_of(scenario, workers=self.workers, on_run=on_run)

    def folder(self) -> Path | None:
        """Tell the folder of the figures; None for no figures."""
        if self.no_figures and (self.figures is not None or self.only):
            other = "--figures" if self.figures is not None else "--only"
            raise typer.BadParameter(f"it contradicts {other}; leave one out.", param_hint="'--no-figures'")
        return None if self.no_figures else self.figures or FIGURES_FOLDER

    def figure(self, scenarios: Sequence[Scenario], name: str, *, drawn: bool = True) -> list[Target]:
        """Tell the file of the one figure of a command: named after the scenario, if it is one; none if not drawn."""
        folder = self.folder()
        return in_folder("--figures", folder if drawn else None, self.figure_name(scenarios, name))

    def figure_name(self, scenarios: Sequence[Scenario], name: str) -> str:
        """Name the file of a figure."""
        prefix = f"{next(file_stems(scenarios))}-" if len(scenarios) == 1 else ""
        return f"{prefix}{name}.{self.format}"

    def claim(self, *targets: Target, inputs: Iterable[Path | None]) -> None:
        """Find out before a run that its outputs can be written, and that they destroy nothing."""
        claim(targets, inputs=inputs, force=self.force)

    def tell(
        self,
        about: Scenario | Sequence[Scenario],
        text: Callable[[], Iterable[str]],
        data: Callable[[], dict[str, Any]] = dict,
        *,
        rests: Callable[[], Iterable[str]] = tuple,
        estimates_of: Sequence[Scenario] = (),
        caution: bool = True,
    ) -> None:
        """Print the answers: paragraphs with a tail of notes, or one JSON document with what it is about.

        The document names the file of a scenario; those of several stand in the data. What the answers rest on is told
        if the estimates are asked for.
        """
        if self.json:
            from coolsim.report.wording import caution_for

            head = {} if isinstance(about, Sequence) else {"file": about.where, "invented": about.invented}
            tail = {"caution": caution_for(_several(about))} if caution else {}
            say_json({"program": "coolsim", "version": __version__, **head, **data(), **tail})
            return
        say(self.page(about, text(), rests=rests(), estimates_of=estimates_of, caution=caution))

    def page(
        self,
        about: Scenario | Sequence[Scenario],
        text: Iterable[str],
        *,
        rests: Iterable[str] = (),
        estimates_of: Sequence[Scenario] = (),
        caution: bool = True,
        whole: bool = False,
    ) -> str:
        """Set paragraphs above the notes that end each page; a whole page tells what they rest on in any case."""
        from coolsim.report.estimates import estimates_count, estimates_note
        from coolsim.report.text.page import paragraph
        from coolsim.report.wording import caution_for
        from coolsim.scenario.wording import INVENTED

        scenarios = _several(about)
        told = list(rests)
        count = estimates_count(estimates_of) or (told and "--estimates says what this rests on.") or ""
        notes = (
            caution_for(scenarios, short=True) if caution else "",
            "" if self.estimates or whole else count,
            INVENTED if any(one.invented for one in scenarios) else "",
        )
        if not (self.estimates or whole):
            told = []
        if self.estimates:
            told.append(paragraph(estimates_note(estimates_of)))
        return "\n\n".join(part for part in (*text, *told, "\n".join(filter(None, notes))) if part)

    def draw(self, figure: Sequence[Target], drawing: Drawing | bytes) -> None:
        """Write the one figure of a command, as it is drawn or printed already as the content of its file."""
        from coolsim.report.whole_file import write_bytes

        path = figure[0].path
        make_folder(path.parent)
        if not isinstance(drawing, bytes):
            from coolsim.report.figures.saving import as_file

            drawing = as_file(drawing, path)
        self.screen.wrote(write_bytes(path, drawing))

    def write(self, path: Path, text: str) -> None:
        """Write a text to a file."""
        from coolsim.report.whole_file import write_text

        self.screen.wrote(write_text(path, text))


@dataclass(frozen=True, slots=True, kw_only=True)
class Command:
    """A command as typer takes it."""

    name: str
    short_help: str
    examples: tuple[str, ...]
    call: Callable[..., None]

    def add_to(self, app: typer.Typer, *, group: str) -> None:
        """Add the command to a group of the help."""
        app.command(self.name, short_help=self.short_help, epilog=example(*self.examples), rich_help_panel=group)(
            self.call
        )


def command(
    short_help: str, *examples: str, asks: Sequence[str] = ()
) -> Callable[[Callable[Concatenate[Asked, ...], None]], Command]:
    """Make a command of a function: shared options are named, and handed to it together, before its own."""
    names = [one.name for one in fields(Options) if one.name in (*asks, "quiet")]
    hints = get_type_hints(Options, include_extras=True)
    shared = [
        inspect.Parameter(name, inspect.Parameter.KEYWORD_ONLY, default=getattr(Options, name), annotation=hints[name])
        for name in names
    ]

    def made(function: Callable[Concatenate[Asked, ...], None]) -> Command:
        def call(**given: Any) -> None:
            function(Asked(**{name: given.pop(name) for name in names}), **given)

        known = get_type_hints(function, include_extras=True)
        own = list(inspect.signature(function).parameters.values())[1:]
        typed = [one.replace(annotation=known[one.name], kind=inspect.Parameter.KEYWORD_ONLY) for one in own]
        return Command(
            name=function.__name__,
            short_help=short_help,
            examples=examples,
            call=_seen_as(call, function.__doc__, [*typed, *shared]),
        )

    return made


def _several(about: Scenario | Sequence[Scenario]) -> Sequence[Scenario]:
    return about if isinstance(about, Sequence) else [about]


def _seen_as(
    call: Callable[..., None], text: str | None, parameters: Iterable[inspect.Parameter]
) -> Callable[..., None]:
    """Give a function the text and the parameters that typer shows."""
    parameters = list(parameters)
    call.__doc__ = text
    call.__signature__ = inspect.Signature(parameters)  # type: ignore[attr-defined]
    call.__annotations__ = {one.name: one.annotation for one in parameters}
    return call
