"""All jars of a box through the changes of a day: in each part the box, or all jars bare, is one joined network."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

import numpy as np

from coolsim.model.boxed import Member, members_of
from coolsim.model.day import Phase, arranged
from coolsim.model.jar import Jar
from coolsim.model.layout import problem_of
from coolsim.model.places import kinds_of
from coolsim.model.problem import with_stirred_wax
from coolsim.solve.events import close_ledger
from coolsim.solve.history import History
from coolsim.solve.integrate import Progress, integrate
from coolsim.solve.join import Joined, join, split
from coolsim.solve.network import build
from coolsim.solve.phases import PhaseRun, added, carried
from coolsim.solve.result import Ledger
from coolsim.solve.start import Start


@dataclass(frozen=True, slots=True, kw_only=True)
class BoxPart:
    """One part of the day of a box.

    Kinds of place with their problems, what begins it (with the problem of the first kind), and the run of all of them
    joined.
    """

    members: tuple[Member, ...]
    phase: Phase
    joined: Joined
    history: History

    def run_of(self, name: str) -> PhaseRun:
        """Part of the joined run of one jar of a kind."""
        index = [member.kind.name for member in self.members].index(name)
        network, history = split(self.joined, self.history)[index]
        return PhaseRun(self.phase, network, history)


def run_box_day(
    jar: Jar, *, each_place: bool = False, on_step: Callable[[Progress], None] | None = None
) -> tuple[BoxPart, ...]:
    """Run all jars of a box through their day, by kinds or each place for itself; one part without changes."""
    arrangements = [replace(jar, changes=()), *(arranged(jar, change) for change in jar.changes)]
    begins = [0.0, *(change.time for change in jar.changes)]
    parts: list[BoxPart] = []
    for index, there in enumerate(arrangements):
        members = tuple(
            replace(member, problem=replace(member.problem, room=jar.room.temperature))
            for member in _members(there, each_place=each_place)
        )
        change = jar.changes[index - 1] if index else None
        phase = Phase(
            problem=members[0].problem,
            begins=begins[index],
            moved=change is not None and change.moved,
            happens="" if change is None else change.happens,
        )
        networks = [build(with_stirred_wax(member.problem)) for member in members]
        joined = join(networks, [member.kind.count for member in members])
        start = _carried(parts[-1], members, joined, phase) if parts else None
        until = begins[index + 1] if index + 1 < len(begins) else None
        history = integrate(joined.network, start=start, until=until, on_step=on_step)
        parts.append(BoxPart(members=members, phase=phase, joined=joined, history=history))
    return tuple(parts)


def _members(jar: Jar, *, each_place: bool) -> tuple[Member, ...]:
    if jar.surround is not None or jar.places is None:
        return members_of(jar, each_place=each_place)
    # Out of the box: each stands alone.
    bare = problem_of(replace(jar, places=None))
    kinds = kinds_of(jar.places, each_place=each_place)
    return tuple(Member(kind=kind, problem=bare) for kind in kinds if not kind.empty)


def _carried(before: BoxPart, members: Sequence[Member], joined: Joined, phase: Phase) -> Start:
    known = [member.kind.name for member in before.members]
    sections = []
    for index, member in enumerate(members):
        if member.kind.name in known:
            was = known.index(member.kind.name)
            sections.append(
                (before.joined.parts[was], before.joined.cells[was], joined.parts[index], joined.cells[index])
            )
    return carried(before.history, sections, before.joined.network, joined.network, phase)


def ledger_of(parts: Sequence[BoxPart]) -> Ledger:
    """Add the ledgers of the whole box up: of all jars, board and air."""
    runs = [PhaseRun(part.phase, part.joined.network, part.history) for part in parts]
    ledgers = [close_ledger(run.network, run.history) for run in runs]
    return ledgers[0] if len(ledgers) == 1 else added(ledgers, runs)


def nodes_of(parts: Sequence[BoxPart]) -> tuple[tuple[str, ...], History]:
    """Put the temperatures of air, flaps and what is between neighbours together.

    Names of the nodes, and a history with NaN where they are not there; with changes on the way it holds no cells.
    """
    names = tuple(dict.fromkeys(node.name for part in parts for node in part.joined.network.nodes))
    if len(parts) == 1:
        return names, parts[0].history
    columns = []
    for number, part in enumerate(parts):
        rows = slice(1 if number else 0, None)
        found = np.full((len(part.history.time[rows]), len(names)), np.nan)
        for column, node in enumerate(part.joined.network.nodes):
            found[:, names.index(node.name)] = part.history.nodes[rows, column]
        columns.append((part.history.time[rows], part.history.room[rows], found))
    time, room, nodes = (np.concatenate(column) for column in zip(*columns, strict=True))
    none = np.zeros((len(time), 0))
    return names, replace(
        parts[-1].history,
        time=time,
        room=room,
        nodes=nodes,
        enthalpy=none,
        surface=none,
        owed=np.zeros_like(nodes),
        owed_over=np.zeros(len(time)),
        gaps=np.zeros((len(time), 0, 2)),
        lost=none,
        to_nodes=np.zeros_like(nodes),
        carried=none,
        released=np.zeros(len(time)),
        rejected=sum(part.history.rejected for part in parts),
        newton=sum(part.history.newton for part in parts),
    )
