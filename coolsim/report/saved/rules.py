"""What the arrays of a saved result must be like: one table of their shapes, and what must agree between them.

A file may come from anybody. A result that passes here can be drawn and told: nothing after the loading looks again.
"""

from __future__ import annotations

import dataclasses
import math
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any, Literal

import numpy as np

from coolsim.model.freezing import EnthalpyTable
from coolsim.model.section import Grid
from coolsim.solve.history import History
from coolsim.solve.result import Events, Result
from coolsim.solve.surface import at_radius
from coolsim.solve.wax_body import WaxBody

_CLOSE = 1e-9  # round-off of sums over some thousand cells, as a share of the largest one
_SAME_TIME = 1e-6  # as a share of the run: a fit and an interpolation, which another processor may round otherwise
_COLDEST, _HOTTEST = -273.15, 2000.0  # °C
_MOST_PLACES = 10_000_000  # cells and air of a section: hundreds of times what a scenario can ask for


@dataclass(frozen=True, slots=True)
class Rule:
    """What an array must be like.

    The same name in a shape is the same size throughout a result, ``name+1`` one more. It may hold indices (whole),
    rise from entry to entry, and have gaps (NaN): none, for what is not there in a part of a day, or any.
    """

    shape: tuple[str, ...]
    whole: bool = False
    rises: bool = False
    gaps: Literal["none", "of a day", "any"] = "none"


RULES: dict[type, dict[str, Rule]] = {
    Grid: {
        "r_edges": Rule(("columns+1",), rises=True),
        "z_edges": Rule(("rows+1",), rises=True),
        "block": Rule(("rows", "columns"), whole=True),
        "row": Rule(("cells",), whole=True),
        "column": Rule(("cells",), whole=True),
        "by_column": Rule(("cells",), whole=True),
        "covered": Rule(("columns",)),
    },
    EnthalpyTable: {
        name: Rule(("pieces",))
        for name in (
            "base", "temperature", "temperature_slope", "liquid", "liquid_slope", "potential", "potential_slope"
        )
    },
    History: {
        "time": Rule(("steps",), rises=True),
        "enthalpy": Rule(("steps", "cells"), gaps="of a day"),
        "surface": Rule(("steps", "faces"), gaps="of a day"),
        "nodes": Rule(("steps", "nodes"), gaps="of a day"),
        "owed": Rule(("steps", "nodes")),
        "owed_over": Rule(("steps",)),
        "gaps": Rule(("steps", "air gaps", "2")),
        "room": Rule(("steps",)),
        "lost": Rule(("steps", "boundaries")),
        "to_nodes": Rule(("steps", "nodes")),
        "carried": Rule(("steps", "links")),
        "released": Rule(("steps",)),
    },
    WaxBody: {
        "cells": Rule(("wax rows", "wax columns"), whole=True),
        "r": Rule(("wax columns",), rises=True),
        "z": Rule(("wax rows",), rises=True),
        "r_edges": Rule(("wax columns+1",), rises=True),
        "z_edges": Rule(("wax rows+1",), rises=True),
        "volume": Rule(("wax rows", "wax columns")),
    },
    Result: {
        "block": Rule(("cells",), whole=True),
        "surface_set": Rule(("wax columns",), gaps="any"),
    },
}  # fmt: skip
"""The arrays of each part of a result. A field that is an array and is missing here is refused."""

_ENDLESS = {(EnthalpyTable, "liquidus")}  # numbers that may be infinite: an inert material never melts


def check_result(result: Result) -> None:
    """Refuse a result of which the parts do not fit each other; the message of the ValueError names them."""
    sizes = {"2": 2, "boundaries": len(result.boundaries), "nodes": len(result.nodes)}
    _check_part(result, "result", sizes, day=bool(result.changes))
    # Only what the rules above let pass can be reckoned with.
    with np.errstate(all="ignore"):
        for what, agrees in _relations(result):
            if not agrees:
                raise ValueError(what)


def _check_part(part: Any, where: str, sizes: dict[str, int], *, day: bool) -> None:
    if isinstance(part, EnthalpyTable):
        # Each material has its own number of pieces.
        sizes = {}
    for field in dataclasses.fields(part):
        value, name = getattr(part, field.name), f"{where}.{field.name}"
        if isinstance(value, np.ndarray):
            _check_array(value, name, RULES[type(part)][field.name], sizes, day=day)
        else:
            endless = (type(part), field.name) in _ENDLESS
            _check_value(value, name, sizes, day=day, endless=endless)


def _check_value(value: Any, name: str, sizes: dict[str, int], *, day: bool, endless: bool = False) -> None:
    if dataclasses.is_dataclass(value):
        _check_part(value, name, sizes, day=day)
    elif isinstance(value, tuple):
        for index, item in enumerate(value):
            _check_value(item, f"{name}[{index}]", sizes, day=day)
    elif isinstance(value, float) and not math.isfinite(value) and not (endless and value > 0.0):
        raise ValueError(f"{name} is {value}")


def _check_array(array: np.ndarray, name: str, rule: Rule, sizes: dict[str, int], *, day: bool) -> None:
    kind = np.dtype(np.intp if rule.whole else float)
    if array.dtype != kind:
        raise ValueError(f"{name} holds {array.dtype} instead of {kind}")
    if array.ndim != len(rule.shape):
        raise ValueError(f"{name} has {array.ndim} dimensions instead of {len(rule.shape)}")
    for dimension, found in zip(rule.shape, array.shape, strict=True):
        known, _, more = dimension.partition("+")
        due = sizes.setdefault(known, found - int(more or 0)) + int(more or 0)
        if found != due:
            raise ValueError(f"{name} has {found} entries where {due} are due ({dimension})")
    if rule.whole:
        return
    if np.isinf(array).any():
        raise ValueError(f"{name} holds a number that is not finite")
    if np.isnan(array).any() and not (rule.gaps == "any" or (rule.gaps == "of a day" and day)):
        raise ValueError(f"{name} holds NaN")
    if rule.rises and not (np.diff(array) > 0.0).all():
        raise ValueError(f"{name} does not rise throughout")


def _relations(result: Result) -> Iterator[tuple[str, bool]]:
    """Tell what must agree, in an order in which each line may rely on those before it."""
    grid, history = result.grid, result.history
    yield "result has blocks without a material", len(result.parts) == len(result.tables) > 0
    yield "result.history has fewer than two steps", len(history.time) > 1
    yield "result.grid has no cells", 0 < grid.block.size <= _MOST_PLACES
    yield "result.grid.block names a block that is not there", _within(grid.block, -1, len(result.parts))
    row, column = np.nonzero(grid.block >= 0)
    yield "result.grid.row does not fit the blocks", np.array_equal(row, grid.row)
    yield "result.grid.column does not fit the blocks", np.array_equal(column, grid.column)
    yield "result.block does not fit that of the grid", np.array_equal(grid.block[row, column], result.block)
    yield "result.grid.by_column is another order", np.array_equal(np.lexsort((row, column)), grid.by_column)
    yield "result.grid has spans for another number of columns", len(grid.radial_span) == grid.block.shape[1]
    yield "result.grid has spans for another number of rows", len(grid.axial_span) == grid.block.shape[0]
    yield "result.grid.r_edges begins before the axis", bool(grid.r_edges[0] >= 0.0)
    yield "result.grid.covered is no share", bool(((grid.covered > 0.0) & (grid.covered <= 1.0 + _CLOSE)).all())
    for index, table in enumerate(result.tables):
        yield f"result.tables[{index}] is no freezing curve", _is_curve(table)
    yield "result.history starts before the pour", bool(history.time[0] >= 0.0)
    for name in ("room", "nodes", "surface"):
        yield f"result.history.{name} holds impossible temperatures", _possible(getattr(history, name))
    core = np.isin(result.block, [at for at, part in enumerate(result.parts) if part in ("wax", "glass")])
    yield "result.history.enthalpy lacks wax or glass", bool(np.isfinite(history.enthalpy[:, core]).all())
    begins = [np.searchsorted(history.time, begun, side="right") for begun, _ in result.changes]
    for name in ("enthalpy", "nodes", "surface"):
        for steps in np.split(np.isnan(getattr(history, name)), begins):
            yield f"result.history.{name} has gaps that are not those of a day", bool((steps == steps[:1]).all())
    temperature = result.temperatures(np.arange(len(result.block)))
    yield "result.history.enthalpy holds impossible temperatures", _possible(temperature)
    yield from _heat(result)
    known = [number for one in result.held for number in (one.top, one.temperature)]
    yield "result.held has no height or temperature", bool(np.isfinite(known).all())
    yield "result.changes do not follow each other", list(result.changes) == sorted(result.changes)
    there = {part is not None for part in (result.wax, result.events, result.surface_set)}
    lawful = result.wax is None or result.volume_law is not None
    yield "result has wax in some of its parts only", len(there) == 1 and lawful
    if result.wax is not None:
        yield from _wax(result, result.wax)


def _heat(result: Result) -> Iterator[tuple[str, bool]]:
    history, ledger = result.history, result.ledger
    paths = [path for path, _ in ledger.by_path]
    yield "result.ledger does not have top, side and base", paths == ["top", "side", "base"]
    by_path = {path: float(result.heat_lost(path)[-1]) for path, _ in ledger.by_path}
    whole = sum(by_path.values())
    scale = max(float(np.abs(history.lost).max(initial=0.0)), 1e-3)
    agrees = all(abs(share * whole - by_path[path]) <= _CLOSE * scale for path, share in ledger.by_path)
    shared = abs(whole) > _CLOSE * scale or not any(share for _, share in ledger.by_path)
    yield "result.history.lost does not fit the ledger", agrees and shared
    if result.changes:
        # What was left behind took its heat along.
        return
    capacity = np.array([one for _, one in result.nodes])
    stored = history.enthalpy[[0, -1]] @ result.grid.volume + history.owed[[0, -1]].sum(axis=1)
    stored = stored + history.nodes[[0, -1]] @ capacity
    given = history.given_before + float(stored[0] - stored[1])
    yield "result.history does not fit the heat given off", _near(given, ledger.given_off, float(np.abs(stored).max()))


def _wax(result: Result, wax: WaxBody) -> Iterator[tuple[str, bool]]:
    grid = result.grid
    yield "result.wax.cells names a cell that is not there", _within(wax.cells, 0, len(result.block))
    rows, columns = grid.row[wax.cells], grid.column[wax.cells]
    first, left = int(rows.flat[0]), int(columns.flat[0])
    height, width = wax.cells.shape
    places = np.indices((height, width))
    yield (
        "result.wax.cells are no rectangle",
        bool((rows == places[0] + first).all() and (columns == places[1] + left).all()),
    )
    one = {int(block) for block in result.block[wax.cells].flat}
    yield "result.wax.cells are of several materials", len(one) == 1 and result.parts[min(one)] == "wax"
    r, z = grid.r_edges[left : left + width + 1], grid.z_edges[first : first + height + 1] - wax.bottom
    yield "result.wax.r_edges does not fit the grid", _near(wax.r_edges, r, r[-1])
    yield "result.wax.z_edges does not fit the grid", _near(wax.z_edges, z, grid.z_edges[-1])
    for name, middles, edges in (("r", wax.r, wax.r_edges), ("z", wax.z, wax.z_edges)):
        inside = ((edges[:-1] < middles) & (middles < edges[1:])).all()
        yield f"result.wax.{name} is outside of its cells", bool(inside)
    yield "result.wax.volume does not fit the grid", _near(wax.volume, grid.volume[wax.cells], wax.volume.max())
    table = result.tables[min(one)]
    for field in dataclasses.fields(table):
        same = np.array_equal(getattr(table, field.name), getattr(wax.table, field.name))
        yield f"result.wax.table.{field.name} is not that of its material", same
    if result.events is not None and result.surface_set is not None:
        yield from _events(result, result.events, wax, result.surface_set)


def _events(result: Result, events: Events, wax: WaxBody, touched: np.ndarray) -> Iterator[tuple[str, bool]]:
    """Tell whether the events are those of the history, as far as that is quickly found."""
    end = float(result.time[-1])
    known = touched[np.isfinite(touched)]
    yield "result.surface_set are outside of the run", bool(((known >= 0.0) & (known <= end)).all())
    times = [value for value in dataclasses.asdict(events).values() if isinstance(value, float)]
    yield "result.events are outside of the run", all(0.0 <= value <= end for value in times)
    r, z = events.last_liquid
    inside = 0.0 <= r <= wax.r_edges[-1] and 0.0 <= z <= wax.z_edges[-1]
    yield "result.events.last_liquid is outside of the wax", bool(inside)
    axis, rim = (at_radius(wax, touched, at) for at in (0.0, float(wax.r_edges[-1])))
    found = {
        "rim_set": np.fmin(rim, np.fmin.reduce(touched)),
        "top_closed": np.maximum(axis, touched.max()),
        "fully_set": result.set_time().max(),
    }
    for name, due in found.items():
        due = due if due <= end else math.nan
        time = getattr(events, name)
        same = time is None if np.isnan(due) else time is not None and abs(time - due) <= _SAME_TIME * end
        what = "history" if name == "fully_set" else "surface_set"
        yield f"result.{what} does not fit the event '{name}'", bool(same)


def _is_curve(table: EnthalpyTable) -> bool:
    """Whether the pieces follow each other: each begins where the one before has ended."""
    width = np.diff(table.base)
    if len(table.base) == 0 or not table.solidus <= table.liquidus:
        return False
    if not (table.temperature_slope > 0.0).all() or not ((table.liquid >= 0.0) & (table.liquid <= 1.0)).all():
        return False
    if len(table.base) == 1:
        return True
    # The solid is counted from where freezing ends, as is the first piece of the freezing range.
    if len(table.base) == 2 or width[0] != 0.0 or not _near(width[1:], width[1], np.abs(table.base).max()):
        return False
    if not (width[1:] > 0.0).all():
        return False
    pairs = (
        (table.temperature, table.temperature_slope),
        (table.liquid, table.liquid_slope),
        (table.potential, table.potential_slope),
    )
    return all(_near(np.diff(at), slope[:-1] * width, np.abs(at).max()) for at, slope in pairs)


def _within(indices: np.ndarray, low: int, end: int) -> bool:
    return bool(indices.size and indices.min() >= low and indices.max() < end)


def _possible(temperature: np.ndarray) -> bool:
    known = temperature[~np.isnan(temperature)]
    return bool(((known >= _COLDEST) & (known <= _HOTTEST)).all())


def _near(found: Any, due: Any, scale: float) -> bool:
    return bool((np.abs(np.asarray(found) - due) <= _CLOSE * abs(scale)).all())
