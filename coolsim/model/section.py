"""The r-z section: which block of which material stands where, before any grid is chosen.

A section is a stack of rectangles. `Span`s cut the radius (from the axis outwards) and the height (from the bench
upwards) into intervals; a `Block` names the intervals it fills and what it is made of. What no block fills is air and
is not solved: heat crosses it only through the `Boundary`, `Contact` and `Link` laws of the `Problem`.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from coolsim.model.properties import Inert, Wax

Array = NDArray[np.float64]
Integers = NDArray[np.int64]
Finer = Literal["evenly", "start", "end", "both"]
Material = Inert | Wax


@dataclass(frozen=True, slots=True, kw_only=True)
class Span:
    """One interval of the section along r or z, and how finely it is cut.

    - `name`: What the interval is called by blocks.
    - `length`: Its length [m].
    - `cells`: Number of cells at refinement 1 [-].
    - `finer`: Towards which end the cells get thinner.
    - `stretch`: Ratio of the widest to the thinnest cell in the limit of many cells [-].
    """

    name: str
    length: float
    cells: int
    finer: Finer = "evenly"
    stretch: float = 1.0

    def __post_init__(self) -> None:
        if not (np.isfinite(self.length) and self.length > 0):
            raise ValueError(f"span '{self.name}': length {self.length} m must be a positive finite number")
        if self.cells < 1:
            raise ValueError(f"span '{self.name}': needs at least one cell, not {self.cells}")
        if not self.stretch >= 1.0:
            raise ValueError(f"span '{self.name}': stretch {self.stretch} must be 1 or more")

    def parted(self, length: float, *, name: str) -> tuple[Span, Span]:
        """Cut it in two after a length [m]; the cells on either side go on with the same widths."""
        if self.finer == "both":
            raise ValueError(f"span '{self.name}' is fine at both ends and is not cut in two")
        share, even = length / self.length, self.finer == "evenly" or self.stretch == 1.0
        if self.finer == "end":
            share = 1.0 - share
        # Where along the cells that is: what `_stretched` does, undone.
        at = share if even else float(np.log1p(share * (self.stretch - 1.0)) / np.log(self.stretch))
        if self.finer == "end":
            at = 1.0 - at
        cells = min(max(round(at * self.cells), 1), max(self.cells - 1, 1))
        lower = replace(self, length=length, cells=cells, stretch=self.stretch**at)
        rest = max(self.cells - cells, 1)
        upper = replace(self, name=name, length=self.length - length, cells=rest, stretch=self.stretch ** (1.0 - at))
        return lower, upper

    def edges(self, refinement: float = 1.0) -> Array:
        """Cell edges from 0 to the length [m], with a factor on their number [-].

        They are samples of one smooth mapping, so a doubled grid contains the edges of the coarse one: what Richardson
        extrapolation needs.
        """
        count = max(1, round(self.cells * refinement))
        position = np.linspace(0.0, 1.0, count + 1)
        if self.finer == "evenly" or self.stretch == 1.0:
            mapped = position
        elif self.finer == "start":
            mapped = _stretched(position, self.stretch)
        elif self.finer == "end":
            mapped = 1.0 - _stretched(1.0 - position, self.stretch)
        else:
            lower = 0.5 * _stretched(np.minimum(2.0 * position, 1.0), self.stretch)
            upper = 0.5 * _stretched(np.minimum(2.0 * (1.0 - position), 1.0), self.stretch)
            mapped = np.where(position <= 0.5, lower, 1.0 - upper)
        edges: Array = self.length * mapped
        return edges


def _stretched(position: Array, stretch: float) -> Array:
    rate = np.log(stretch)
    mapped: Array = np.expm1(rate * position) / np.expm1(rate)
    return mapped


@dataclass(frozen=True, slots=True, kw_only=True)
class Block:
    """A rectangle (or several) of one material, by the names of its spans, with its temperature at the start [°C].

    The part is what people call it: "wax", "glass", "board", "bench".
    """

    part: str
    material: Material
    radial: tuple[str, ...]
    axial: tuple[str, ...]
    start: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Section:
    """Geometry of the solved domain.

    - `radial`: From the axis (or `inner_radius`) outwards.
    - `axial`: From the lowest point upwards.
    - `blocks`: What fills them. No two blocks may fill the same place.
    - `inner_radius`: Where r starts [m]: 0 is the axis.
    - `coverage`: Radial spans of which only a share of the circle exists [-], as the board beside a jar that has
      neighbours on some sides; more than 1 where the walls of a cell are longer than the circle.
    """

    radial: tuple[Span, ...]
    axial: tuple[Span, ...]
    blocks: tuple[Block, ...]
    inner_radius: float = 0.0
    coverage: tuple[tuple[str, float], ...] = ()

    def __post_init__(self) -> None:
        radial = _unique([span.name for span in self.radial], "radial span")
        axial = _unique([span.name for span in self.axial], "axial span")
        taken: dict[tuple[str, str], str] = {}
        for block in self.blocks:
            for name in block.radial:
                if name not in radial:
                    raise ValueError(f"block '{block.part}': there is no radial span '{name}'")
            for name in block.axial:
                if name not in axial:
                    raise ValueError(f"block '{block.part}': there is no axial span '{name}'")
            for place in ((r, z) for r in block.radial for z in block.axial):
                if place in taken:
                    raise ValueError(f"blocks '{taken[place]}' and '{block.part}' both fill {place}")
                taken[place] = block.part
        if not taken:
            raise ValueError("a section needs at least one block")
        for name, share in self.coverage:
            if name not in radial or not 0.0 < share < np.inf:
                raise ValueError(f"coverage of '{name}' must name a radial span and be positive, not {share}")


def cut_at(section: Section, height: float, *, name: str, near: float = 0.5e-3) -> Section:
    """Let cells end at a height [m]: the upper part of the span that it lies in gets the name.

    A height `near` [m] the end of a span takes that end.
    """
    bottom = 0.0
    for index, span in enumerate(section.axial):
        below, above = height - bottom, bottom + span.length - height
        bottom += span.length
        if min(below, above) > near:
            axial = (*section.axial[:index], *span.parted(below, name=name), *section.axial[index + 1 :])
            both = {span.name: (span.name, name)}
            blocks = tuple(
                replace(block, axial=tuple(new for old in block.axial for new in both.get(old, (old,))))
                for block in section.blocks
            )
            return replace(section, axial=axial, blocks=blocks)
    return section


def spans_below(section: Section, height: float) -> tuple[str, ...]:
    """Names of the axial spans whose middle lies below a height [m]."""
    tops = np.cumsum([span.length for span in section.axial])
    return tuple(span.name for span, top in zip(section.axial, tops, strict=True) if top - 0.5 * span.length < height)


def _unique(names: Sequence[str], what: str) -> set[str]:
    if len(set(names)) != len(names):
        raise ValueError(f"{what} names must differ from each other: {list(names)}")
    return set(names)


@dataclass(frozen=True, slots=True, kw_only=True)
class Grid:
    """A section cut into cells.

    Cells are kept as vectors over the filled cells only, row after row from the bottom, each row from the axis
    outwards ("row order").

    - `r_edges`, `z_edges` (nr + 1,): Cell edges [m].
    - `block` (nz, nr): Index of the block in each place, -1 for air.
    - `row`, `column` (n,): Place of each filled cell, in row order.
    - `by_column` (n,): The filled cells listed column after column, each from the bottom up.
    - `radial_span`, `axial_span`: Name of the span of each column and each row.
    - `covered` (nr,): Share of the circle that exists [-].
    """

    r_edges: Array
    z_edges: Array
    block: Integers
    row: Integers
    column: Integers
    by_column: Integers
    radial_span: tuple[str, ...]
    axial_span: tuple[str, ...]
    covered: Array

    @property
    def r(self) -> Array:
        """Mid radius of each column, shape (nr,) [m]."""
        middle: Array = 0.5 * (self.r_edges[1:] + self.r_edges[:-1])
        return middle

    @property
    def z(self) -> Array:
        """Mid height of each row, shape (nz,) [m]."""
        middle: Array = 0.5 * (self.z_edges[1:] + self.z_edges[:-1])
        return middle

    @property
    def volume(self) -> Array:
        """Volume of each filled cell, shape (n,) [m3]."""
        ring = np.pi * np.diff(self.r_edges**2) * self.covered
        volume: Array = ring[self.column] * np.diff(self.z_edges)[self.row]
        return volume

    def on_plane(self, values: Array) -> Array:
        """Lay a row-order vector out on the (nz, nr) plane, with NaN in the air."""
        plane = np.full(self.block.shape, np.nan)
        plane[self.row, self.column] = values
        return plane


def cut(section: Section, *, refinement: float = 1.0) -> Grid:
    """Cut a section into cells, with a factor on the number of cells of every span [-]."""
    r_edges, radial_span = _joined(section.radial, section.inner_radius, refinement)
    z_edges, axial_span = _joined(section.axial, 0.0, refinement)
    block = np.full((len(axial_span), len(radial_span)), -1, dtype=np.int64)
    for index, one in enumerate(section.blocks):
        rows = [name in one.axial for name in axial_span]
        columns = [name in one.radial for name in radial_span]
        block[np.ix_(rows, columns)] = index
    row, column = np.nonzero(block >= 0)
    shares = dict(section.coverage)
    return Grid(
        r_edges=r_edges,
        z_edges=z_edges,
        block=block,
        row=row,
        column=column,
        by_column=np.lexsort((row, column)),
        radial_span=radial_span,
        axial_span=axial_span,
        covered=np.array([shares.get(name, 1.0) for name in radial_span]),
    )


def _joined(spans: Sequence[Span], origin: float, refinement: float) -> tuple[Array, tuple[str, ...]]:
    edges = [origin]
    names: list[str] = []
    for span in spans:
        steps = span.edges(refinement)[1:]
        edges.extend(edges[-1] + steps)
        names.extend([span.name] * len(steps))
    return np.array(edges), tuple(names)
