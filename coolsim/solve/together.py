"""All jars of a box in one run: one section for each kind of place, sharing air, flaps and time steps."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from coolsim.model.jar import Jar
from coolsim.model.places import Place, PlaceKind, Places
from coolsim.overview import COMPUTED, Overview, OverviewTable, hours_minutes, time_cell
from coolsim.solve.assemble import result_of
from coolsim.solve.box_day import BoxPart, ledger_of, nodes_of, run_box_day
from coolsim.solve.history import History
from coolsim.solve.integrate import Progress
from coolsim.solve.phases import told_as_one
from coolsim.solve.result import Ledger, Result
from coolsim.solve.simulate import simulate


@dataclass(frozen=True, kw_only=True, repr=False)
class BoxResult(Overview):
    """The run of a box of several jars. A notebook shows it as a table; `print` writes the same as lines.

    Parameters
    ----------
    name : str
        What the report calls it.
    places : Places
        Where the jars stand.
    diameter : float
        Of the jars [m].
    kinds : tuple of PlaceKind
        Kinds of place with jars, from the most exposed on.
    results : tuple of Result
        The run of one jar of each kind. What a jar gave to the air of the box and to its neighbours counts as lost.
    ledger : Ledger
        The heat of all jars, board and air together.
    nodes : tuple of str
        Names of the air of the box, the flaps, and what is between neighbours.
    history : History
        Of the box: the nodes, and all cells behind each other (none if the jars stand otherwise on the way).

    Examples
    --------
    >>> from dataclasses import replace
    >>> from coolsim import Places, built_in_pair, simulate_box, with_overrides
    >>> quick = with_overrides(built_in_pair()[1], {"run.refinement": 0.5, "run.tolerance": "1 K"}).jar
    >>> places = Places(rows=2, columns=3, length=0.29, width=0.195, pitch_along=0.09, pitch_across=0.09)
    >>> print(simulate_box(replace(quick, name="Six", places=places)))
    Six [h:mm since the pour]
    Place   Jars  Rim set  Top closed  Fully set  May be lidded
    ...
    """

    name: str
    places: Places
    diameter: float
    kinds: tuple[PlaceKind, ...]
    results: tuple[Result, ...]
    ledger: Ledger
    nodes: tuple[str, ...]
    history: History

    def __repr__(self) -> str:
        return f"<BoxResult {self.name!r}: {self.places.jars} jars, ended {hours_minutes(self.history.time[-1])} h>"

    def overview(self) -> OverviewTable:
        """Return the times of each kind of place, as a notebook shows them."""
        rows = []
        for kind, result in zip(self.kinds, self.results, strict=True):
            events = result.required_events()
            times = (events.rim_set, events.top_closed, events.fully_set, events.cool)
            rows.append((kind.name, str(kind.count), *(time_cell(time) for time in times)))
        return OverviewTable(
            title=f"{self.name or 'A box'} [h:mm since the pour]",
            rows=tuple(rows),
            headings=("Place", "Jars", "Rim set", "Top closed", "Fully set", "May be lidded"),
            notes=(COMPUTED,),
        )

    def at(self, place: Place) -> Result:
        """Run of the jar in a place.

        Parameters
        ----------
        place : (int, int)
            Row and column, from 1 [-].

        Returns
        -------
        Result
            That of its kind.

        Raises
        ------
        ValueError
            If no jar stands there.
        """
        for kind, result in zip(self.kinds, self.results, strict=True):
            if place in kind.places:
                return result
        raise ValueError(f"no jar stands in row {place[0]}, column {place[1]}")


def simulate_box(jar: Jar, *, each_place: bool = False, on_step: Callable[[Progress], None] | None = None) -> BoxResult:
    """Run all jars of a box together.

    Parameters
    ----------
    jar : Jar
        The jars, with their box.
    each_place : bool, optional
        Solve each place for itself, not each kind of place: slower, with the same outcome.
    on_step : callable, optional
        Called with a `Progress` after each step.

    Returns
    -------
    BoxResult
        A run for each kind of place.

    Raises
    ------
    SolverError
        If the run cannot be finished, or a temperature is not finite.
    ValueError
        If the jar has no box of several, or the jars do not fit it.

    Examples
    --------
    >>> from dataclasses import replace
    >>> from coolsim import Places, built_in_pair, simulate_box, with_overrides
    >>> quick = with_overrides(built_in_pair()[1], {"run.refinement": 0.5, "run.tolerance": "1 K"}).jar
    >>> places = Places(rows=1, columns=2, length=0.20, width=0.10, pitch_along=0.09, pitch_across=0.09)
    >>> pair = simulate_box(replace(quick, places=places))
    >>> pair.at((1, 1)) is pair.at((1, 2))
    True
    """
    if jar.places is None:
        raise ValueError(f"'{jar.name}' does not stand in a box of several jars")
    parts = run_box_day(jar, each_place=each_place, on_step=on_step)
    kinds = tuple(member.kind for member in max((part.members for part in parts), key=len) if not member.kind.empty)
    nodes, history = nodes_of(parts)
    return BoxResult(
        name=jar.name,
        places=jar.places,
        diameter=jar.vessel.diameter,
        kinds=kinds,
        results=tuple(_result(parts, kind.name, f"{jar.name}: {kind.name}") for kind in kinds),
        ledger=ledger_of(parts),
        nodes=nodes,
        history=history,
    )


def simulate_jars(jar: Jar, *, on_step: Callable[[Progress], None] | None = None) -> tuple[Result, ...]:
    """Run a jar, or all jars of its box together: one result, or one for each kind of place with jars.

    `on_step` is called after each step; SolverError if the run cannot be finished.
    """
    if jar.places is None:
        return (simulate(jar, on_step=on_step),)
    return simulate_box(jar, on_step=on_step).results


def _result(parts: Sequence[BoxPart], kind: str, name: str) -> Result:
    runs = [part.run_of(kind) for part in parts]
    return result_of(runs[0].network, runs[0].history, name=name) if len(runs) == 1 else told_as_one(runs, name=name)
