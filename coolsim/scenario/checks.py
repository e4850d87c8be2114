"""Whether the values of a scenario fit each other.

A check looks at values that are each within their own limits, and yields the key to blame with what was found and what
to do. Checks of one table stand beside it, those between tables here. A check that needs a value which is itself at
fault is left out.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Iterator
from typing import TypeVar

from coolsim.errors import MaterialError
from coolsim.model.air import dry_air, rayleigh_of
from coolsim.model.air_spaces import MEASURED_GAP_RAYLEIGH
from coolsim.model.catalogue import NEVER_SETS
from coolsim.model.freezing import on_heating
from coolsim.model.materials import coldest_pour
from coolsim.model.places import air_between, gaps_of
from coolsim.model.properties import Wax
from coolsim.scenario.batch import loads_are_a_range
from coolsim.scenario.day import DRAUGHT, standing_at_pour
from coolsim.scenario.file import ScenarioFile
from coolsim.scenario.made_of import material_is_known
from coolsim.scenario.mush import softness_of
from coolsim.scenario.places import empty_places_are_there, places_of, size_is_stated_once
from coolsim.scenario.pour import FILLS, depth_of, fill_is_stated_once
from coolsim.scenario.room import coldest_of, room_has_one_course, warmest_of
from coolsim.scenario.support import reach_is_some_or_none, slab_or_rack
from coolsim.scenario.surround import (
    HIGHEST_HEADROOM,
    WIDEST_GAP,
    box_or_water,
    cover_lies_on_flaps,
    gap_of,
    headroom_is_stated_once,
    headroom_of,
    layer_is_stated_once,
    layer_of,
)
from coolsim.scenario.table import ROUND_OFF, Fault, Show, TomlTable, UnreadableError, exactly_one
from coolsim.scenario.vessel import NARROWEST_WAX, base_leaves_room, walls_leave_room
from coolsim.scenario.wax import freezing_is_stated_once, wax_is_possible, wax_of
from coolsim.units import parse_quantity

_Check = Callable[[ScenarioFile], Iterable[Fault]]
_SomeTable = TypeVar("_SomeTable", bound=TomlTable)


def faults_between(file: ScenarioFile) -> list[Fault]:
    """Check the values that could be read against each other."""
    found: list[Fault] = []
    for check in _CHECKS:
        try:
            found += check(file)
        except (UnreadableError, MaterialError):
            # Either is reported once: by whoever reads the value, or by the check of the wax.
            continue
    return found


def _gap_is_stated_once(file: ScenarioFile) -> Iterator[Fault]:
    surround = file.cardboard
    if surround is None:
        return
    if file.places is None:
        yield from exactly_one(surround, "surround", ("gap", "box_width"))
        return
    given = [name for name in ("gap", "box_width") if getattr(surround, name) is not None]
    if given:
        yield f"surround.{given[0]}", "found, but [places] says how far the jars are from the wall, leave it out"


def _box_of_many_stands_on_a_bench(file: ScenarioFile) -> Iterator[Fault]:
    if file.places is None:
        return
    if file.support.kind == "rack":
        yield "support.kind", "found 'rack' with [places], give a slab: a box of many jars stands on a bench"
    elif file.support.mat is not None:
        yield "support.mat", "found with [places], leave it out: a box of many jars stands on the bench itself"


def _jar_in_water_stands_on_a_rack(file: ScenarioFile) -> Iterator[Fault]:
    if file.water is not None and file.support.kind != "rack":
        yield (
            "support.kind",
            f"found '{file.support.kind}' with surround.kind = 'water', give kind = 'rack' and none of its other keys:"
            " the water must get under the jar, too",
        )


def _water_stays_below_rim(file: ScenarioFile) -> Iterator[Fault]:
    depth = None if file.water is None else file.water.depth
    if depth is not None and depth > file.vessel.height + ROUND_OFF:
        yield (
            "surround.depth",
            f"found {file.show(depth, 'length')}, above the brim at {file.show(file.vessel.height, 'length')}, give"
            " less water or a taller jar",
        )


def _water_stays_liquid(file: ScenarioFile) -> Iterator[Fault]:
    if file.water is None:
        return
    room, jar = coldest_of(file.room), file.vessel.temperature
    for key, found in (("room.temperature", room), ("vessel.temperature", jar)):
        if found is not None and found < 0.0:
            yield (
                key,
                f"found {file.show(found, 'temperature')} with surround.kind = 'water', where water freezes, give"
                f" {file.show(0.0, 'temperature')} or more",
            )


def _fill_stays_below_rim(file: ScenarioFile) -> Iterator[Fault]:
    given = [name for name in FILLS if getattr(file.pour, name) is not None]
    if len(given) != 1:
        return
    depth, rim = depth_of(file.pour, file.vessel, file.wax), file.vessel.height - file.vessel.base
    found = f"found a fill {file.show(depth, 'length')} deep"
    if depth > rim + ROUND_OFF:
        yield (
            f"pour.{given[0]}",
            f"{found}, above the brim at {file.show(rim, 'length')} over the base, pour less or take a taller jar",
        )
    elif depth < NARROWEST_WAX - ROUND_OFF:
        yield f"pour.{given[0]}", f"{found}, pour at least {file.show(NARROWEST_WAX, 'length')}"


def _wax_still_pours(file: ScenarioFile) -> Iterator[Fault]:
    wax, pour, thickest = wax_of(file.wax), file.pour.temperature, file.pour.thickest
    coldest = coldest_pour(wax, thickest)
    if pour < coldest - ROUND_OFF:
        solid = file.show(1.0 - wax.liquid_at(pour), "fraction")
        yield (
            "pour.temperature",
            f"found {file.show(pour, 'temperature')}, but this wax with its fragrance starts to set at"
            f" {file.show(wax.freezing_starts, 'temperature')}, and {solid} of it is solid then, more than still pours"
            # Rounded up, in both units.
            f" (pour.thickest, {file.show(thickest, 'fraction')}), pour it at"
            f" {file.show(math.ceil(coldest + 0.3), 'temperature')} or"
            " hotter",
        )


def _pour_respects_limits(file: ScenarioFile) -> Iterator[Fault]:
    pour = file.pour.temperature
    for name, limit, whose in (
        ("highest_temperature", file.wax.highest_temperature, "the maker of the wax"),
        ("fragrance_limit", file.wax.fragrance_limit, "the fragrance"),
    ):
        if limit is not None and pour > limit:
            yield (
                "pour.temperature",
                f"found {file.show(pour, 'temperature')}, above the limit of {whose},"
                f" {file.show(limit, 'temperature')} (wax.{name}), pour it cooler",
            )


def _room_lets_it_set(file: ScenarioFile) -> Iterator[Fault]:
    if file.wax.kind in NEVER_SETS:
        return
    room, within = warmest_of(file.room), file.answers.cool_within
    sets = _temperature_at(wax_of(file.wax), softness_of(file.mush, file.wax.kind).liquid_at(file.answers.carry))
    if room + within >= sets:
        so = (
            "it would never set"
            if room >= sets
            else f"it would be within {file.show(within, 'temperature_difference')} of the room"
            " (answers.cool_within), where the run ends, before it has set"
        )
        yield (
            "room.temperature" if file.room.course is None else "room.course",
            f"found {file.show(room, 'temperature')}, but this wax counts as set only below"
            f" {file.show(sets, 'temperature')}: {so}, give a room colder than"
            f" {file.show(sets - within, 'temperature')}",
        )


def _temperature_at(wax: Wax, fraction: float) -> float:
    """Lowest temperature at which more than this share is liquid [°C]."""
    for (cold, less), (warm, more) in zip(wax.freezing[:-1], wax.freezing[1:], strict=True):
        if more > fraction:
            return cold + (warm - cold) * (fraction - less) / (more - less)
    return wax.freezing_starts


def _room_by_the_clock_knows_the_pour(file: ScenarioFile) -> Iterator[Fault]:
    if (file.room.course is not None or file.room.lowest is not None) and file.pour.clock is None:
        yield (
            "pour.clock",
            "missing, a room that changes by the clock needs the time of the pour, give it as in '16:30'",
        )


def _box_is_wide_enough(file: ScenarioFile) -> Iterator[Fault]:
    if file.cardboard is None or file.cardboard.gap is not None or file.cardboard.box_width is None:
        return
    width, diameter = file.cardboard.box_width, file.vessel.diameter
    gap = gap_of(file.cardboard, file.vessel, None)
    if width <= diameter:
        yield (
            "surround.box_width",
            f"found {file.show(width, 'length')}, but the jar is {file.show(diameter, 'length')} wide and does not"
            " fit the box, give a wider box",
        )
    elif gap > parse_quantity(WIDEST_GAP, "length"):
        yield (
            "surround.box_width",
            f"found {file.show(width, 'length')}, a mean gap of {file.show(gap, 'length')} round the jar, give a"
            f" narrower box: gaps over {WIDEST_GAP} are outside the range of the law",
        )


def _box_is_high_enough(file: ScenarioFile) -> Iterator[Fault]:
    if file.cardboard is None or file.cardboard.headroom is not None or file.cardboard.box_height is None:
        return
    box, height, headroom = file.cardboard.box_height, file.vessel.height, headroom_of(file.cardboard, file.vessel)
    if box < height:
        yield (
            "surround.box_height",
            f"found {file.show(box, 'length')}, but the jar is {file.show(height, 'length')} high and does not fit"
            " the box, give a taller box",
        )
    elif headroom > parse_quantity(HIGHEST_HEADROOM, "length"):
        yield (
            "surround.box_height",
            f"found {file.show(box, 'length')}, {file.show(headroom, 'length')} above the brim, give a"
            f" lower box: more than {HIGHEST_HEADROOM} is outside the range of the law",
        )


def _box_of_many_is_described(file: ScenarioFile) -> Iterator[Fault]:
    if file.places is None:
        return
    if file.water is not None:
        yield "surround.kind", "found 'water' with [places], leave one of the two out: jars in a box stand dry"
    elif file.cardboard is None:
        yield "places", "found without [surround], describe board, flaps and headroom there"
    elif file.cardboard.exposed_sides != 4:
        yield "surround.exposed_sides", "found, but [places] says which sides face the wall, leave it out"


def _jars_fit_the_box(file: ScenarioFile) -> Iterator[Fault]:
    places = file.places
    if places is None:
        return
    diameter, spacing = file.vessel.diameter, places.spacing
    divider = layer_of(file.cardboard) if places.dividers and file.cardboard is not None else 0.0
    if spacing is not None and spacing < divider:
        yield (
            "places.spacing",
            f"found {file.show(spacing, 'length')}, less than a divider, {file.show(divider, 'length')},"
            " give more or leave the dividers out",
        )
        return
    between = divider if spacing is None else spacing
    for name, size, count, what in (
        ("inner_length", places.inner_length, places.columns, "columns"),
        ("inner_width", places.inner_width, places.rows, "rows"),
    ):
        needed = count * diameter + (count - 1) * between
        if size is not None and size < needed - ROUND_OFF:
            apart = f" with {file.show(between, 'length')} between them" if between and count > 1 else ""
            jars = f"{count} jars of" if count > 1 else "a jar of"
            yield (
                f"places.{name}",
                f"found {file.show(size, 'length')}, but {jars} {file.show(diameter, 'length')}{apart} need"
                f" {file.show(needed, 'length')}, give a larger box or fewer {what}",
            )


def _box_gaps_are_in_range(file: ScenarioFile) -> Iterator[Fault]:
    places = file.places
    if places is None or any(_jars_fit_the_box(file)) or any(empty_places_are_there(places, file.show)):
        return
    widest = max((gap for _, gap in gaps_of(places_of(places, file.vessel), file.vessel.diameter)), default=0.0)
    if widest > parse_quantity(WIDEST_GAP, "length"):
        yield (
            "places" if places.inner_length is None else "places.inner_length",
            f"found a mean gap of {file.show(widest, 'length')} beside the jars, set them closer together or give a"
            f" smaller box: gaps over {WIDEST_GAP} are outside the range of the law",
        )


def _air_between_jars_is_in_range(file: ScenarioFile) -> Iterator[Fault]:
    places = file.places
    if (
        places is None
        or places.dividers
        or any(_jars_fit_the_box(file))
        or any(empty_places_are_there(places, file.show))
    ):
        return
    if any(_box_gaps_are_in_range(file)):
        return
    width = max((width for _, width in air_between(places_of(places, file.vessel), file.vessel.diameter)), default=0.0)
    warm = None if file.cardboard is None else file.cardboard.temperature
    given = (file.pour.temperature, file.vessel.temperature, file.support.temperature, warm)
    starts = [start for start in given if start is not None]
    hottest, coldest = max(*starts, warmest_of(file.room)), min(*starts, coldest_of(file.room))
    # The law is asked for two walls as far from the air between them, one on either side; at most, that is this.
    if rayleigh_of(dry_air(coldest), 2.0 * (hottest - coldest), width) > MEASURED_GAP_RAYLEIGH[1]:
        yield (
            "places" if places.spacing is None else "places.spacing",
            f"found {file.show(width, 'length')} of air between neighbouring jars, on average, which with"
            f" {file.show(hottest, 'temperature')} and {file.show(coldest, 'temperature')} may be more than the law"
            " of upright gaps allows, set the jars closer together, or put dividers between them (dividers = true)",
        )


def _changes_follow_each_other(file: ScenarioFile) -> Iterator[Fault]:
    if file.day is None:
        return
    rows, horizon = file.day.changes, file.run.horizon
    late = next((one for one in rows if one.time >= horizon), None)
    if late is not None:
        yield (
            "day.changes",
            f"found '{late.what}' at {file.show(late.time, 'duration')}, not before the end of the run at"
            f" {file.show(horizon, 'duration')}, give an earlier time or a later run.horizon",
        )
    flaps = None if file.cardboard is None else file.cardboard.flaps
    stands = standing_at_pour(file.day, flaps, file.room.air_speed)
    for one in rows:
        where = f"found '{one.what}' at {file.show(one.time, 'duration')}"
        of_flaps = one.what.startswith("flaps")
        if file.cardboard is None and (of_flaps or one.what.endswith("the box")):
            yield "day.changes", f"{where}, but the scenario has no box, give a table [surround], or leave the row out"
            return
        shut_away = of_flaps and not stands.boxed
        if shut_away or (one.what != DRAUGHT and stands.after(one) == stands):
            why = "the jar is not in its box then" if shut_away else "that is so already"
            yield "day.changes", f"{where}, but {why}, give rows that follow each other"
            return
        stands = stands.after(one)


def _lid_is_near_the_wax(file: ScenarioFile) -> Iterator[Fault]:
    if file.day is None or not any(one.what == "lid on" for one in file.day.changes):
        return
    air = file.vessel.height - file.vessel.base - depth_of(file.pour, file.vessel, file.wax)
    highest = parse_quantity(HIGHEST_HEADROOM, "length")
    if air > highest + ROUND_OFF:
        yield (
            "day.changes",
            f"found 'lid on' with {file.show(air, 'length')} of air between wax and rim, more than the law of level"
            f" air layers allows here, {file.show(highest, 'length')}, fill the jar higher, or leave the lid off",
        )


def _clock_runs_forwards(file: ScenarioFile) -> Iterator[Fault]:
    start, pour = file.plan.start, file.pour.clock
    if start is not None and pour is not None and pour <= start:
        yield (
            "plan.start",
            f"found {file.show(start, 'clock')}, but the wax is poured at {file.show(pour, 'clock')} (pour.clock):"
            " the clock would run backwards, give an earlier start, or only one of the two: the other follows",
        )


def _maps_are_within_run(file: ScenarioFile) -> Iterator[Fault]:
    horizon = file.run.horizon
    late = [time for time in file.report.map_times or () if time > horizon]
    if late:
        yield (
            "report.map_times",
            f"found {file.show(late[0], 'duration')}, after the end of the run at"
            f" {file.show(horizon, 'duration')}, give earlier times or a later run.horizon",
        )


def _probes_are_in_the_jar(file: ScenarioFile) -> Iterator[Fault]:
    vessel, points = file.vessel, file.report.probes or {}
    outer, base = 0.5 * vessel.diameter, vessel.base
    inner, rim = outer - vessel.wall, vessel.height - base
    depth = depth_of(file.pour, vessel, file.wax)
    for name, (r, z) in points.items():
        in_glass = inner < r <= outer + ROUND_OFF and -base - ROUND_OFF <= z <= rim + ROUND_OFF
        in_wax_or_base = 0.0 <= r <= inner and -base - ROUND_OFF <= z <= depth + ROUND_OFF
        if not (in_glass or in_wax_or_base):
            yield (
                "report.probes",
                f"found '{name}' at {file.show(r, 'length')} from the axis and {file.show(z, 'length')} above the"
                f" bottom of the wax, which is neither wax nor glass: the wax reaches"
                f" {file.show(inner, 'length')} and {file.show(depth, 'length')}, give a point in them",
            )


def _load_is_allowed(file: ScenarioFile) -> Iterator[Fault]:
    if file.batch is not None and file.wax.fragrance_load > file.batch.highest_load:
        yield (
            "wax.fragrance_load",
            f"found {file.show(file.wax.fragrance_load, 'fraction')} of oil in the mix, above the highest load,"
            f" {file.show(file.batch.highest_load, 'fraction')} (batch.highest_load), take less oil, or state the"
            " limit of the supplier's sheet",
        )


def _oil_stays_below_flash_point(file: ScenarioFile) -> Iterator[Fault]:
    if file.batch is None or file.wax.fragrance_load == 0.0 or file.batch.flash_point is None:
        return
    flash, margin, pour = file.batch.flash_point, file.batch.flash_margin, file.pour.temperature
    # At what temperature the oil is added, the study of the melting looks at.
    if pour > flash - margin:
        yield (
            "pour.temperature",
            f"found {file.show(pour, 'temperature')}, but wax with oil must stay"
            f" {file.show(margin, 'temperature_difference')} (batch.flash_margin) below the flash point of the oil,"
            f" {file.show(flash, 'temperature')}, give at most {file.show(flash - margin, 'temperature')}",
        )


def _air_melts_the_wax(file: ScenarioFile) -> Iterator[Fault]:
    air, clear = file.repair.air, on_heating(wax_of(file.wax)).freezing_starts
    if air <= clear:
        yield (
            "repair.air",
            f"found {file.show(air, 'temperature')}, which never melts a wax that is clear at"
            f" {file.show(clear, 'temperature')}, give hotter air",
        )


def _of(
    table: Callable[[ScenarioFile], _SomeTable | None], check: Callable[[_SomeTable, Show], Iterable[Fault]]
) -> _Check:
    """Ask a check of one table, if the scenario has it."""

    def ask(file: ScenarioFile) -> Iterable[Fault]:
        found = table(file)
        return () if found is None else check(found, file.show)

    return ask


_CHECKS: tuple[_Check, ...] = (
    _of(lambda file: file.pour, fill_is_stated_once),
    _of(lambda file: file.surround, box_or_water),
    _gap_is_stated_once,
    _of(lambda file: file.cardboard, headroom_is_stated_once),
    _of(lambda file: file.cardboard, layer_is_stated_once),
    _of(lambda file: file.wax, freezing_is_stated_once),
    _of(lambda file: file.wax, wax_is_possible),
    lambda file: material_is_known("vessel", file.vessel),
    _of(lambda file: file.support, slab_or_rack),
    _box_of_many_stands_on_a_bench,
    _jar_in_water_stands_on_a_rack,
    lambda file: material_is_known("support", file.support),
    lambda file: () if file.cardboard is None else material_is_known("surround", file.cardboard),
    _of(lambda file: file.vessel, walls_leave_room),
    _of(lambda file: file.vessel, base_leaves_room),
    _fill_stays_below_rim,
    _water_stays_below_rim,
    _water_stays_liquid,
    _wax_still_pours,
    _pour_respects_limits,
    _room_lets_it_set,
    _box_is_wide_enough,
    _box_is_high_enough,
    _of(lambda file: file.cardboard, cover_lies_on_flaps),
    _box_of_many_is_described,
    _of(lambda file: file.places, size_is_stated_once),
    _jars_fit_the_box,
    _of(lambda file: file.places, empty_places_are_there),
    _box_gaps_are_in_range,
    _air_between_jars_is_in_range,
    _changes_follow_each_other,
    _of(lambda file: file.room, room_has_one_course),
    _room_by_the_clock_knows_the_pour,
    _clock_runs_forwards,
    _of(lambda file: file.support, reach_is_some_or_none),
    _lid_is_near_the_wax,
    _maps_are_within_run,
    _probes_are_in_the_jar,
    _of(lambda file: file.batch, loads_are_a_range),
    _load_is_allowed,
    _oil_stays_below_flash_point,
    _air_melts_the_wax,
)
