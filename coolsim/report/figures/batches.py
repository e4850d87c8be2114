"""What was seen of batches beside what is computed for each."""

from __future__ import annotations

from collections.abc import Sequence

from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.ticker import MaxNLocator

from coolsim.report.figures.panels import clock_ticks, heading
from coolsim.report.figures.style import (
    DASHED,
    HOUR,
    INKS,
    MARKERS,
    PAGE_WIDTH,
    Drawing,
    plain_text,
    styled,
    titles_fit,
)
from coolsim.report.text.batches import verdict_text
from coolsim.report.wording import in_units, temperature_text
from coolsim.studies.fit.drift import Compared, Drift
from coolsim.studies.fit.probe_curves import SIGHTS
from coolsim.units import System

_PANEL, _REST = 1.9, 1.1  # inches
_MOST_DAYS = 12
_MOST_TICKS = 5
_TOP_LETTERS = 16


@styled
def draw_batches(
    batches: Sequence[Compared], found: Sequence[Drift], *, title: str, units: System = "metric"
) -> Figure:
    """Draw a panel for each thing seen: as it was seen, with the error of a reading, and as it was computed.

    Below them stand the days, the rooms, and the tops in the maker's words.
    """
    figure = Drawing(figsize=(PAGE_WIDTH, _PANEL * len(found) + _REST), layout="constrained")
    panels = figure.subplots(len(found), 1, squeeze=False, sharex=True)[:, 0]
    heading(figure, "Batches, seen and computed", title)
    for axes, one in zip(panels, found, strict=True):
        _panel(axes, batches, one, units)
    # As many days as there is room for, the last one among them.
    every = -(-len(batches) // _MOST_DAYS)
    named = range((len(batches) - 1) % every, len(batches), every)
    panels[-1].set_xticks([*named], [_foot(batches[number], units) for number in named])
    panels[-1].set_xlim(-0.5, len(batches) - 0.5)
    panels[-1].set_xlabel("day, room and top of the batch")
    figure.legend(*panels[0].get_legend_handles_labels(), loc="outside lower center", ncols=2)
    return figure


def _foot(one: Compared, units: System) -> str:
    room = temperature_text(one.scenario.jar.room.at(0.0), units)
    return "\n".join((plain_text(one.batch.day[:10]), room, plain_text(titles_fit(one.batch.top, _TOP_LETTERS))))


def _panel(axes: Axes, batches: Sequence[Compared], one: Drift, units: System) -> None:
    kind = SIGHTS[one.what].kind
    scale, _, unit = in_units(kind, units)
    if kind == "duration":
        scale, unit = 1.0 / HOUR, "h:mm"
    seen = [(number, was) for number, row in enumerate(batches) for was in row.batch.seen if was.what == one.what]
    axes.errorbar(
        [number for number, _ in seen],
        [scale * was.value for _, was in seen],
        yerr=[scale * was.deviation for _, was in seen],
        linestyle="",
        marker=MARKERS[0],
        markersize=5.0,
        color=INKS[0],
        elinewidth=0.8,
        capsize=2.5,
        label="seen, and how far a reading may be wrong",
    )
    computed = [(number, batches[number].computed[one.what]) for number, _ in seen]
    reached = [(number, scale * value) for number, value in computed if value is not None]
    axes.plot(
        [number for number, _ in reached],
        [value for _, value in reached],
        linestyle=DASHED,
        linewidth=1.0,
        marker=MARKERS[1],
        markersize=4.5,
        markerfacecolor="white",
        color=INKS[2],
        label="computed, at the room and pour of the batch",
    )
    axes.set_ylabel(f"{one.what} [{unit}]")
    axes.set_title(verdict_text(one), loc="left")
    if kind == "duration":
        low, high = axes.get_ylim()
        clock_ticks(axes.yaxis, high - low, _MOST_TICKS)
    else:
        axes.yaxis.set_major_locator(MaxNLocator(_MOST_TICKS))
    axes.grid(axis="y", color="0.9", linewidth=0.5)
    axes.set_axisbelow(True)
