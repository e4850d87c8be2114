"""The poster: one page to hang over the pouring table, with the jar in real size."""

from __future__ import annotations

from collections.abc import Sequence
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING

from coolsim.cli.many import watch
from coolsim.cli.papers.handout import ROOMS
from coolsim.cli.papers.piece import Piece
from coolsim.cli.papers.workday import Workday, of_each
from coolsim.cli.screen import warn

if TYPE_CHECKING:
    from coolsim.cli.command import Asked
    from coolsim.report.paper.poster import PosterPaper
    from coolsim.scenario import Scenario


def _poster(
    asked: Asked, files: Sequence[Path], output: Path | None, *, paper: PosterPaper | None = None, **stated: str | None
) -> None:
    asked.begin_workers()
    of_each("poster", ".pdf", partial(_write, paper=paper))(asked, files, output, **stated)


def _write(day: Workday, path: Path, *, paper: PosterPaper | None) -> None:
    from coolsim.report.paper.page import usual_paper
    from coolsim.report.paper.poster import MOST_ROOMS, Poster, write_poster
    from coolsim.report.paper.true_size import ratio_text
    from coolsim.studies.pour.choose import choose_pour

    asked, scenario = day.asked, day.scenario
    on: PosterPaper = paper or usual_paper(day.units)
    with watch(asked.screen, "pours") as on_row:
        rooms = _rooms_of(scenario, MOST_ROOMS[on])
        study = choose_pour(scenario, alone=True, rooms=rooms, workers=asked.workers, on_row=on_row)
    poster = Poster(scenario=scenario, found=day.found, plan=day.plan, study=study)
    written, scale = write_poster(poster, path, paper=on, units=day.units)
    asked.screen.wrote(written)
    if scale != 1:
        other = "" if on == "a3" else "; try --paper a3"
        warn(f"{path}: in real size the jar does not fit on {on}, so it is drawn {ratio_text(scale)}{other}.")


def _rooms_of(scenario: Scenario, most: int) -> list[str]:
    """List the room of a scenario and those of a handout that are nearest to it, in which this wax sets."""
    from coolsim.scenario.ranges import swept_values
    from coolsim.studies.pour.choose import possible_rooms, with_own_room
    from coolsim.units import parse_quantity

    rooms = swept_values("room.temperature", ROOMS[scenario.units], called="--rooms")
    kept, _ = possible_rooms(scenario, with_own_room(scenario, rooms))
    own = scenario.jar.room.at(0.0)
    return sorted(kept, key=lambda room: abs(parse_quantity(room, "temperature") - own))[:most]


POSTER = Piece(ending=".pdf", takes=("paper", "start", "date", "middle", "workers"), make=_poster)
