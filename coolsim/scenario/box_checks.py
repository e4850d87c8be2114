"""Whether the jars of one box fit it, and each other."""

from __future__ import annotations

from collections.abc import Callable, Iterator

from coolsim.model.air import dry_air, rayleigh_of
from coolsim.model.air_spaces import MEASURED_GAP_RAYLEIGH
from coolsim.model.box import air_between, gaps_of
from coolsim.model.catalogue import FLUTE_HEIGHTS
from coolsim.scenario.build import box_of, in_box_of_many
from coolsim.scenario.day_build import coldest_room, warmest_room
from coolsim.scenario.known import Known, UnreadableError
from coolsim.scenario.tables import WIDEST_GAP
from coolsim.units import parse_quantity

_ROUND_OFF = 1e-9


def _box_is_described(known: Known) -> Iterator[tuple[str, str]]:
    if not in_box_of_many(known):
        return
    if not known.has("surround.flaps"):
        yield "box", "found without [surround], describe board, flaps and headroom there"
    elif known("surround.exposed_sides") != 4:
        yield "surround.exposed_sides", "found, but [box] says which sides face the wall, leave it out"
    size = [name for name in ("inner_length", "inner_width") if known.has(f"box.{name}")]
    distances = [name for name in ("spacing", "to_wall") if known.has(f"box.{name}")]
    wanted = "give either inner_length and inner_width (spacing may be added), or spacing and to_wall"
    found = " and ".join([*size, *distances]) or "neither size nor distances"
    alone = known("box.rows") == known("box.columns") == 1
    enough = len(size) == 2 or distances == ["spacing", "to_wall"] or (alone and distances == ["to_wall"])
    if not enough or (size and "to_wall" in distances):
        yield "box", f"found {found}, {wanted}"


def _jars_fit_the_box(known: Known) -> Iterator[tuple[str, str]]:
    if not in_box_of_many(known):
        return
    diameter, spacing = known("vessel.diameter"), known("box.spacing")
    divider = _divider_of(known)
    if spacing is not None and spacing < divider:
        yield (
            "box.spacing",
            f"found {known.show(spacing, 'length')}, less than a divider, {known.show(divider, 'length')},"
            " give more or leave the dividers out",
        )
        return
    between = divider if spacing is None else spacing
    for name, count, what in (
        ("inner_length", known("box.columns"), "columns"),
        ("inner_width", known("box.rows"), "rows"),
    ):
        size = known(f"box.{name}")
        needed = count * diameter + (count - 1) * between
        if size is not None and size < needed - _ROUND_OFF:
            apart = f" with {known.show(between, 'length')} between them" if between and count > 1 else ""
            jars = f"{count} jars of {known.show(diameter, 'length')}" if count > 1 else "a jar of "
            jars = jars if count > 1 else f"{jars}{known.show(diameter, 'length')}"
            yield (
                f"box.{name}",
                f"found {known.show(size, 'length')}, but {jars}{apart} need {known.show(needed, 'length')},"
                f" give a larger box or fewer {what}",
            )


def _divider_of(known: Known) -> float:
    """Thickness of what stands between neighbours [m]."""
    if not known("box.dividers"):
        return 0.0
    flute, layer = known("surround.flute"), known("surround.layer")
    if flute is None and layer is None:
        raise UnreadableError("surround.layer")
    return float(layer if flute is None else FLUTE_HEIGHTS[flute].nominal)


def _empty_places_are_there(known: Known) -> Iterator[tuple[str, str]]:
    if not in_box_of_many(known):
        return
    rows, columns, empty = known("box.rows"), known("box.columns"), known("box.empty")
    outside = [place for place in empty if place[0] > rows or place[1] > columns]
    if outside:
        yield (
            "box.empty",
            f"found row {outside[0][0]}, column {outside[0][1]}, but the box has {rows} rows and {columns} columns,"
            " give places in it",
        )
    elif len(empty) >= rows * columns:
        yield "box.empty", "found all places of the box, leave at least one jar in it"


def _box_gaps_are_in_range(known: Known) -> Iterator[tuple[str, str]]:
    if not in_box_of_many(known) or any(_jars_fit_the_box(known)) or any(_empty_places_are_there(known)):
        return
    box = box_of(known)
    widest = max((gap for _, gap in gaps_of(box, known("vessel.diameter"))), default=0.0)
    if widest > parse_quantity(WIDEST_GAP, "length"):
        yield (
            "box.inner_length" if known.has("box.inner_length") else "box",
            f"found a mean gap of {known.show(widest, 'length')} beside the jars, set them closer together or give a"
            f" smaller box: gaps over {WIDEST_GAP} are outside the range of the law",
        )


_STARTS = ("pour.temperature", "vessel.temperature", "support.temperature", "surround.temperature")


def _air_between_jars_is_in_range(known: Known) -> Iterator[tuple[str, str]]:
    if not in_box_of_many(known) or known("box.dividers"):
        return
    if any(_jars_fit_the_box(known)) or any(_empty_places_are_there(known)) or any(_box_gaps_are_in_range(known)):
        return
    width = max((width for _, width in air_between(box_of(known), known("vessel.diameter"))), default=0.0)
    starts = [known(name) for name in _STARTS if known.has(name)]
    hottest, coldest = max(*starts, warmest_room(known)), min(*starts, coldest_room(known))
    # The law is asked for two walls as far from the air between them, one on either side; at most, that is this.
    if rayleigh_of(dry_air(coldest), 2.0 * (hottest - coldest), width) > MEASURED_GAP_RAYLEIGH[1]:
        yield (
            "box.spacing" if known.has("box.spacing") else "box",
            f"found {known.show(width, 'length')} of air between neighbouring jars, on the mean, which with"
            f" {known.show(hottest, 'temperature')} and {known.show(coldest, 'temperature')} may be more than the law"
            " of upright gaps holds for, set the jars closer together, or put dividers between them (dividers = true)",
        )


BOX_CHECKS: tuple[Callable[[Known], Iterator[tuple[str, str]]], ...] = (
    _box_is_described,
    _jars_fit_the_box,
    _empty_places_are_there,
    _box_gaps_are_in_range,
    _air_between_jars_is_in_range,
)
"""Checks of the table `[box]`: each yields the key to blame, and a message."""
