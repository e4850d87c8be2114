"""Whether the values of a scenario fit each other.

Each check looks at values that are each within their own limits, and yields the key to blame with what was found
and what to do. A check that needs a value which is itself at fault is left out.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator

from coolsim.errors import MaterialError
from coolsim.model.catalogue import NEVER_SETS
from coolsim.model.materials import inert_names
from coolsim.model.properties import Wax
from coolsim.scenario.batch_checks import BATCH_CHECKS
from coolsim.scenario.box_checks import BOX_CHECKS
from coolsim.scenario.build import depth_of, gap_of, headroom_of, in_box_of_many, inert_of, wax_of
from coolsim.scenario.day_build import DAY_CHECKS, warmest_room
from coolsim.scenario.files import ALTERNATIVES
from coolsim.scenario.known import Known, UnreadableError
from coolsim.scenario.repair_build import REPAIR_CHECKS
from coolsim.scenario.tables import HIGHEST_HEADROOM, WIDEST_GAP, WaxTable
from coolsim.scenario.wording import suggestion
from coolsim.units import parse_quantity

Fault = tuple[str, str]
"""Dotted key and message."""

_NARROWEST_WAX = 5e-3
_LOWEST_INSIDE = 10e-3
_ROUND_OFF = 1e-9
_SHORTEST_REACH = 0.1e-3


def faults_between(known: Known) -> list[Fault]:
    """Check the values against each other.

    Parameters
    ----------
    known : Known
        The values that could be read.

    Returns
    -------
    list of (str, str)
        Key and message of each fault.
    """
    found = []
    for check in _CHECKS:
        try:
            found += list(check(known))
        except (UnreadableError, MaterialError):
            # Either is reported once: by whoever reads the value, or by the check of the wax.
            continue
    return found


def _exactly_one(known: Known) -> Iterator[Fault]:
    for table, keys in ALTERNATIVES:
        try:
            given = [key for key in keys if known(f"{table}.{key}") is not None]
        except UnreadableError:
            # One of them is at fault, or the table is missing.
            continue
        if "gap" in keys and in_box_of_many(known):
            if given:
                yield f"{table}.{given[0]}", "found, but [box] says how far the jars are from the wall, leave it out"
            continue
        if len(given) != 1:
            what = " and ".join(given) or "none of them"
            yield table, f"found {what}, give exactly one of {', '.join(keys)}"


def _freezing_once(known: Known) -> Iterator[Fault]:
    ends = [name for name in ("freezing_starts", "freezing_ends") if known.has(f"wax.{name}")]
    if known.has("wax.freezing") and ends:
        yield "wax.freezing", f"found {' and '.join(ends)} as well, give either the rows or the two temperatures"


def _wax_is_possible(known: Known) -> Iterator[Fault]:
    try:
        wax_of(known)
    except MaterialError as error:
        for line in str(error).splitlines():
            fault = line.partition(": ")[2]
            name = fault.split(" ", 1)[0]
            yield f"wax.{name}" if name in WaxTable.model_fields else "wax", fault


def _material_of(table: str) -> Callable[[Known], Iterator[Fault]]:
    def check(known: Known) -> Iterator[Fault]:
        name = known(f"{table}.material")
        if name is None:
            # A slab that lacks it is named where slab and rack are told apart.
            return
        try:
            inert_of(known, table)
        except UnreadableError as missing:
            if str(missing.args[0]) == f"{table}.material":
                yield (
                    f"{table}.material",
                    f"found '{name}', which is not in the catalogue ({', '.join(inert_names())})"
                    "; for a material of your own give conductivity, density and heat_capacity as well"
                    f"{suggestion(name, inert_names())}",
                )

    return check


def _walls_leave_room(known: Known) -> Iterator[Fault]:
    wall, diameter = known("vessel.wall"), known("vessel.diameter")
    thickest = 0.5 * diameter - _NARROWEST_WAX
    if wall > thickest:
        yield (
            "vessel.wall",
            f"found {known.show(wall, 'length')}, too thick for a jar {known.show(diameter, 'length')} wide,"
            f" give at most {known.show(thickest, 'length')}",
        )


def _base_leaves_room(known: Known) -> Iterator[Fault]:
    base, height = known("vessel.base"), known("vessel.height")
    thickest = height - _LOWEST_INSIDE
    if base > thickest:
        yield (
            "vessel.base",
            f"found {known.show(base, 'length')}, too thick for a jar {known.show(height, 'length')} high,"
            f" give at most {known.show(thickest, 'length')}",
        )


def _fill_stays_below_rim(known: Known) -> Iterator[Fault]:
    if sum(known.has(f"pour.{name}") for name in ("level", "volume", "mass")) != 1:
        return
    depth = depth_of(known)
    rim = known("vessel.height") - known("vessel.base")
    key = next(name for name in ("level", "volume", "mass") if known.has(f"pour.{name}"))
    if depth > rim + _ROUND_OFF:
        yield (
            f"pour.{key}",
            f"found a fill {known.show(depth, 'length')} deep, above the rim at {known.show(rim, 'length')}"
            " over the base, pour less or take a higher jar",
        )
    elif depth < _NARROWEST_WAX - _ROUND_OFF:
        yield (
            f"pour.{key}",
            f"found a fill {known.show(depth, 'length')} deep, pour at least {known.show(_NARROWEST_WAX, 'length')}",
        )


def _pour_is_liquid(known: Known) -> Iterator[Fault]:
    wax, pour = wax_of(known), known("pour.temperature")
    if pour < wax.freezing_starts:
        yield (
            "pour.temperature",
            f"found {known.show(pour, 'temperature')}, but this wax with its fragrance starts to freeze at"
            f" {known.show(wax.freezing_starts, 'temperature')}, pour it hotter",
        )


def _pour_respects_limits(known: Known) -> Iterator[Fault]:
    pour = known("pour.temperature")
    for name, whose in (("highest_temperature", "the maker of the wax"), ("fragrance_limit", "the fragrance")):
        limit = known(f"wax.{name}")
        if limit is not None and pour > limit:
            yield (
                "pour.temperature",
                f"found {known.show(pour, 'temperature')}, above the limit of {whose},"
                f" {known.show(limit, 'temperature')} (wax.{name}), pour it cooler",
            )


def _room_lets_it_set(known: Known) -> Iterator[Fault]:
    if known("wax.kind") in NEVER_SETS:
        return
    wax, feeds, room = wax_of(known), known("melt.feeds_above"), warmest_room(known)
    within = known("answers.cool_within")
    sets = _temperature_at(wax, feeds)
    if room + within >= sets:
        set_below = f"this wax counts as set only below {known.show(sets, 'temperature')}"
        so = (
            "it would never set"
            if room >= sets
            else f"it would be within {known.show(within, 'temperature_difference')} of the room"
            " (answers.cool_within), where the run ends, before it has set"
        )
        yield (
            "room.temperature" if known("room.course") is None else "room.course",
            f"found {known.show(room, 'temperature')}, but {set_below}: {so}, give a room colder than"
            f" {known.show(sets - within, 'temperature')}",
        )


def _temperature_at(wax: Wax, fraction: float) -> float:
    """Lowest temperature at which more than this share is liquid [°C]."""
    for (cold, less), (warm, more) in zip(wax.freezing[:-1], wax.freezing[1:], strict=True):
        if more > fraction:
            return cold + (warm - cold) * (fraction - less) / (more - less)
    return wax.freezing_starts


def _feeding_outlasts_flow(known: Known) -> Iterator[Fault]:
    flows, feeds = known("melt.flows_above"), known("melt.feeds_above")
    if feeds > flows:
        yield (
            "melt.feeds_above",
            f"found {known.show(feeds, 'fraction')}, but wax that circulates (melt.flows_above,"
            f" {known.show(flows, 'fraction')}) also creeps, give at most that",
        )


def _box_is_wide_enough(known: Known) -> Iterator[Fault]:
    width, diameter = known("surround.box_width"), known("vessel.diameter")
    if width is None or known.has("surround.gap"):
        return
    if width <= diameter:
        yield (
            "surround.box_width",
            f"found {known.show(width, 'length')}, but the jar is {known.show(diameter, 'length')} wide and does not"
            " fit the box, give a wider box",
        )
    elif gap_of(known) > parse_quantity(WIDEST_GAP, "length"):
        yield (
            "surround.box_width",
            f"found {known.show(width, 'length')}, a mean gap of {known.show(gap_of(known), 'length')} round the jar,"
            f" give a narrower box: gaps over {WIDEST_GAP} are outside the range of the law",
        )


def _box_is_high_enough(known: Known) -> Iterator[Fault]:
    box, height = known("surround.box_height"), known("vessel.height")
    if box is None or known.has("surround.headroom"):
        return
    if box < height:
        yield (
            "surround.box_height",
            f"found {known.show(box, 'length')}, but the jar is {known.show(height, 'length')} high and does not fit"
            " the box, give a higher box",
        )
    elif headroom_of(known) > parse_quantity(HIGHEST_HEADROOM, "length"):
        yield (
            "surround.box_height",
            f"found {known.show(box, 'length')}, {known.show(headroom_of(known), 'length')} above the rim, give a"
            f" lower box: more than {HIGHEST_HEADROOM} is outside the range of the law",
        )


def _cover_lies_on_flaps(known: Known) -> Iterator[Fault]:
    given = [name for name in ("cover_thickness", "cover_conductivity") if known.has(f"surround.{name}")]
    if given and known("surround.flaps") == "open":
        yield f"surround.{given[0]}", "found a cover on open flaps, close the flaps or leave the cover out"
    elif given == ["cover_conductivity"] and known("surround.cover_thickness") is None:
        yield "surround.cover_conductivity", "found without cover_thickness, give both or neither"


def _clock_runs_forwards(known: Known) -> Iterator[Fault]:
    start, pour = known("plan.start"), known("pour.clock")
    if start is not None and pour is not None and pour <= start:
        yield (
            "plan.start",
            f"found {known.show(start, 'clock')}, but the wax is poured at {known.show(pour, 'clock')} (pour.clock):"
            " the clock would run backwards, give an earlier start, or only one of the two: the other follows",
        )


def _reach_is_some_or_none(known: Known) -> Iterator[Fault]:
    # A ring of nanometres conducts so well that the round-off of its fluxes opens the energy ledger.
    reach = known("support.reach")
    if 0.0 < reach < _SHORTEST_REACH - _ROUND_OFF:
        shortest = known.show(_SHORTEST_REACH, "length")
        yield (
            "support.reach",
            f"found {1e3 * reach:.3g} mm, shorter than {shortest}, give 0 mm for none, or a longer one",
        )


def _lid_is_near_the_wax(known: Known) -> Iterator[Fault]:
    rows = known("day.changes") if known.has("day.changes") else ()
    if not any(one.what == "lid on" for one in rows):
        return
    air = known("vessel.height") - known("vessel.base") - depth_of(known)
    highest = parse_quantity(HIGHEST_HEADROOM, "length")
    if air > highest + _ROUND_OFF:
        yield (
            "day.changes",
            f"found 'lid on' with {known.show(air, 'length')} of air between wax and rim, more than the law of level"
            f" air layers holds for here, {known.show(highest, 'length')}, fill the jar higher, or leave the lid off",
        )


def _maps_are_within_run(known: Known) -> Iterator[Fault]:
    times, horizon = known("report.map_times"), known("run.horizon")
    late = [time for time in times or () if time > horizon]
    if late:
        yield (
            "report.map_times",
            f"found {known.show(late[0], 'duration')}, after the end of the run at"
            f" {known.show(horizon, 'duration')}, give earlier times or a later run.horizon",
        )


def _probes_are_in_the_jar(known: Known) -> Iterator[Fault]:
    points = known("report.probes") or {}
    outer, base = 0.5 * known("vessel.diameter"), known("vessel.base")
    inner = outer - known("vessel.wall")
    depth, rim = depth_of(known), known("vessel.height") - base
    for name, (r, z) in points.items():
        in_glass = inner < r <= outer + _ROUND_OFF and -base - _ROUND_OFF <= z <= rim + _ROUND_OFF
        in_wax_or_base = 0.0 <= r <= inner and -base - _ROUND_OFF <= z <= depth + _ROUND_OFF
        if not (in_glass or in_wax_or_base):
            yield (
                "report.probes",
                f"found '{name}' at {known.show(r, 'length')} from the axis and {known.show(z, 'length')} above the"
                f" bottom of the wax, which is neither wax nor glass: the wax reaches"
                f" {known.show(inner, 'length')} and {known.show(depth, 'length')}, give a point in them",
            )


_OF_SLAB = ("material", "thickness", "temperature", "mat", "mat_thickness", "conductivity", "density", "heat_capacity")


def _slab_or_rack(known: Known) -> Iterator[Fault]:
    given = [name for name in _OF_SLAB if known(f"support.{name}") is not None]
    if known("support.kind") == "rack":
        if given:
            yield f"support.{given[0]}", "found with kind = 'rack', which has none, leave it out"
        if known("support.underside") == "held":
            yield "support.underside", "found 'held' with kind = 'rack', leave it out"
        if in_box_of_many(known):
            yield "support.kind", "found 'rack' with [box], give a slab: a box of many jars stands on a bench"
        return
    for name, example in (("material", "oak"), ("thickness", "30 mm")):
        if name not in given:
            yield f"support.{name}", f"missing, give it as in '{example}'"
    if known("support.underside") == "held" and "temperature" not in given:
        yield "support.temperature", "missing, an underside that is held needs it, give it as in '40 °C'"
    if ("mat" in given) != ("mat_thickness" in given):
        missing, example = ("mat_thickness", "5 mm") if "mat" in given else ("mat", "towel")
        yield f"support.{missing}", f"missing, a mat has both, give it as in '{example}'"
    if "mat" in given and in_box_of_many(known):
        yield "support.mat", "found with [box], leave it out: a box of many jars stands on the bench itself"


_CHECKS: tuple[Callable[[Known], Iterator[Fault]], ...] = (
    _exactly_one,
    _freezing_once,
    _wax_is_possible,
    _material_of("vessel"),
    _slab_or_rack,
    _material_of("support"),
    _material_of("surround"),
    _walls_leave_room,
    _base_leaves_room,
    _fill_stays_below_rim,
    _pour_is_liquid,
    _pour_respects_limits,
    _room_lets_it_set,
    _feeding_outlasts_flow,
    _box_is_wide_enough,
    _box_is_high_enough,
    _cover_lies_on_flaps,
    *BOX_CHECKS,
    *DAY_CHECKS,
    _clock_runs_forwards,
    _reach_is_some_or_none,
    _lid_is_near_the_wax,
    _maps_are_within_run,
    _probes_are_in_the_jar,
    *BATCH_CHECKS,
    *REPAIR_CHECKS,
)
